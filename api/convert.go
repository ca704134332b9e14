package api

import (
	"fmt"
	"math"
	"strconv"
	"time"

	"holdfast/domain"
	"holdfast/orient"
)

const (
	degree = math.Pi / 180
	mm     = 1e-3
	gram   = 1e-3
	hour   = 3600.0
)

// tidy rounds what a conversion of units blurred in the last digits, so that 12 mm does not come back as
// 12.000000000000002 mm; nine significant digits are far finer than any measurement here.
func tidy(v float64) float64 {
	if v == 0 || math.IsInf(v, 0) || math.IsNaN(v) {
		return v
	}
	scale := math.Pow(10, 11-math.Ceil(math.Log10(math.Abs(v))))
	if r := math.Round(v*scale) / scale; !math.IsInf(r, 0) && !math.IsNaN(r) {
		return r
	}
	return v
}

func ids(list []domain.ID) []string {
	out := make([]string, len(list))
	for i, id := range list {
		out[i] = string(id)
	}
	return out
}

func toIDs(list []string) []domain.ID {
	out := make([]domain.ID, len(list))
	for i, id := range list {
		out[i] = domain.ID(id)
	}
	return out
}

func each[A, B any](list []A, f func(A) B) []B {
	out := make([]B, len(list))
	for i, a := range list {
		out[i] = f(a)
	}
	return out
}

func timeOrNil(t time.Time) *time.Time {
	if t.IsZero() {
		return nil
	}
	return &t
}

func fromMeta(m domain.Meta) Meta {
	return Meta{Revision: m.Revision, Created: m.Created, Updated: m.Updated, Invented: m.Invented}
}

func fromRotation(r orient.Rotation) Orientation {
	r = r.Canonical()
	a := r.Approach()
	tilt, azimuth, roll := angle(a.Tilt), angle(a.Azimuth), angle(a.Roll)
	return Orientation{QW: &r.W, QX: &r.X, QY: &r.Y, QZ: &r.Z, TiltDeg: &tilt, AzimuthDeg: &azimuth, RollDeg: &roll}
}

// angle gives an angle in degrees, rounded to a billionth so that 30° reads 30.
func angle(rad float64) float64 {
	d := math.Round(rad/degree*1e9) / 1e9
	return d + 0 // no negative zero
}

// rotation reads an orientation; field is its path in the request.
func (o Orientation) rotation(field string) (orient.Rotation, []domain.FieldError) {
	fail := func(format string, args ...any) (orient.Rotation, []domain.FieldError) {
		return orient.Identity, []domain.FieldError{{Field: field, Reason: fmt.Sprintf(format, args...)}}
	}
	quaternion, angles := 0, 0
	for _, p := range []*float64{o.QW, o.QX, o.QY, o.QZ} {
		if p != nil {
			quaternion++
		}
	}
	for _, p := range []*float64{o.TiltDeg, o.AzimuthDeg, o.RollDeg} {
		if p != nil {
			angles++
		}
	}
	if (quaternion != 0 && quaternion != 4) || (angles != 0 && angles != 3) || quaternion+angles == 0 {
		return fail("give all of qw, qx, qy, qz, or all of tilt_deg, azimuth_deg, roll_deg")
	}
	var byAngles orient.Rotation
	if angles == 3 {
		if !(*o.TiltDeg >= 0 && *o.TiltDeg <= 180) {
			return fail("tilt_deg is %g and must be between 0 and 180", *o.TiltDeg)
		}
		if !(math.Abs(*o.AzimuthDeg) <= 360 && math.Abs(*o.RollDeg) <= 360) {
			return fail("azimuth_deg and roll_deg must be between -360 and 360")
		}
		byAngles = orient.FromApproach(orient.Approach{Tilt: *o.TiltDeg * degree, Azimuth: *o.AzimuthDeg * degree, Roll: *o.RollDeg * degree})
		if quaternion == 0 {
			return byAngles, nil
		}
	}
	q := orient.Rotation{W: *o.QW, X: *o.QX, Y: *o.QY, Z: *o.QZ}
	if n := q.Norm(); !(math.Abs(n-1) <= 1e-3) {
		return fail("qw, qx, qy, qz must be a unit quaternion; this one's length is %.6g", n)
	}
	unit, _ := q.Normalized()
	if angles == 3 && unit.AngleTo(byAngles) > 0.1*degree {
		return fail("quaternion and angles name orientations that are %.2f° apart; give one of both", unit.AngleTo(byAngles)/degree)
	}
	return unit.Canonical(), nil
}

func seedText(seed uint64) string { return strconv.FormatUint(seed, 10) }

// gathered collects field errors of a request.
type gathered []domain.FieldError

func (g *gathered) rotation(field string, o Orientation) orient.Rotation {
	r, bad := o.rotation(field)
	*g = append(*g, bad...)
	return r
}

func (g gathered) err(noun string) error {
	if len(g) == 0 {
		return nil
	}
	return &domain.Error{Kind: domain.KindInvalid, Message: fmt.Sprintf("this %s can not be accepted; mend the fields named", noun), Fields: g}
}
