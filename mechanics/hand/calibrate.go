package hand

import (
	"fmt"
	"math"
)

// Reading is one measurement on the bench at a pressure (Pa): an angle (rad) or a force (N).
type Reading struct{ Pressure, Value float64 }

// Bench says how the blocked force was measured; the same finger shows different forces.
type Bench int

const (
	// Guided: a rail along its back keeps the finger straight and only the tip presses on the load cell: F = M/L.
	Guided Bench = iota
	// TipHeld: only the tip is held, on a smooth face square to the straight finger's side; the finger arches behind it:
	// F = 1.5·M/L for small moments, exactly by the elastica for large ones.
	TipHeld
)

// Calibration is a pressure finger known from the bench.
type Calibration struct {
	MomentPerPressure float64 // N m/Pa
	Bending           float64 // N m²
	AngleMisfit       float64 // largest deviation of a free angle from the line through the origin, share of the largest angle
	ForceMisfit       float64 // the same for blocked forces
}

// GuidedForce returns the blocked force (N) of a finger held straight by a rail, under a bending moment (N m): M/L.
func GuidedForce(moment, length float64) float64 { return moment / length }

// largestHeld is how far the free finger may bend for the shape of the held one to stay the one it came from.
const largestHeld = 3.5

// HeldLoad returns the blocked force as F·L²/EI of a finger whose tip alone is held at its straight position, when the same
// moment would bend it freely to an angle (rad, up to 3.5 either way; NaN beyond). About 1.5 times the angle.
func HeldLoad(freeAngle float64) float64 {
	if !(math.Abs(freeAngle) <= largestHeld) {
		return math.NaN()
	}
	// Tip angle and force follow the curvature from zero; both are odd, so half a branch is enough.
	steps := int(math.Ceil(math.Abs(freeAngle)/0.25)) + 1
	tip, force, last := 0.0, 0.0, 0.0
	for i := 1; i <= steps; i++ {
		bend := freeAngle * float64(i) / float64(steps)
		tip += (bend - last) / 4
		force += 1.5 * (bend - last)
		last = bend
		off := func(tip, force float64) (root, y float64) {
			root, t := CantileverLoads{Across: -force, Curvature: bend}.shoot(tip)
			return root, t.Y
		}
		for range 30 {
			r, y := off(tip, force)
			if math.Abs(r)+math.Abs(y) < 1e-12 {
				break
			}
			const h = 1e-6
			rt, yt := off(tip+h, force)
			rf, yf := off(tip, force+h)
			a, b, c, d := (rt-r)/h, (rf-r)/h, (yt-y)/h, (yf-y)/h
			det := a*d - b*c
			tip -= (d*r - b*y) / det
			force -= (a*y - c*r) / det
		}
	}
	return force
}

// Calibrate finds moment per pressure and bending stiffness of a finger of a length (m) from free bending angles and blocked
// tip forces; one reading of each is enough, more are fitted by least squares. Free bending is an arc of the angle M·L/EI,
// so angles give the quotient of the two unknowns and forces their size (DESIGN.md, eq. 19).
func Calibrate(length float64, free, blocked []Reading, bench Bench) (Calibration, error) {
	if !(length > 0) || math.IsInf(length, 0) {
		return Calibration{}, fmt.Errorf("the finger's length is %g m; it must be above 0", length)
	}
	if bench != Guided && bench != TipHeld {
		return Calibration{}, fmt.Errorf("bench %d is neither guided nor tip-held", bench)
	}
	perPressure, angleMisfit, err := throughOrigin("free angle", free, func(p float64) float64 { return p })
	if err != nil {
		return Calibration{}, err
	}
	load := func(p float64) float64 { return perPressure * p / (length * length) }
	if bench == TipHeld {
		for _, r := range blocked {
			if perPressure*r.Pressure > largestHeld {
				return Calibration{}, fmt.Errorf("blocked force at %g Pa: freely the finger would bend by %.3g rad there, too far for a held tip to stay in place; use readings up to %.3g Pa or a rail", r.Pressure, perPressure*r.Pressure, largestHeld/perPressure)
			}
		}
		load = func(p float64) float64 { return HeldLoad(perPressure*p) / (length * length) }
	}
	bending, forceMisfit, err := throughOrigin("blocked force", blocked, load)
	if err != nil {
		return Calibration{}, err
	}
	return Calibration{MomentPerPressure: bending * perPressure / length, Bending: bending, AngleMisfit: angleMisfit, ForceMisfit: forceMisfit}, nil
}

// throughOrigin fits value = factor·of(pressure) by least squares.
func throughOrigin(name string, readings []Reading, of func(float64) float64) (factor, misfit float64, err error) {
	if len(readings) == 0 {
		return 0, 0, fmt.Errorf("no %s was given; one reading at a known pressure is needed", name)
	}
	var xx, xy, largest float64
	for i, r := range readings {
		if !(r.Pressure > 0 && r.Value > 0) || math.IsInf(r.Pressure, 0) || math.IsInf(r.Value, 0) {
			return 0, 0, fmt.Errorf("%s, reading %d: %g at %g Pa; both must be above 0", name, i+1, r.Value, r.Pressure)
		}
		x := of(r.Pressure)
		xx += x * x
		xy += x * r.Value
		largest = math.Max(largest, r.Value)
	}
	factor = xy / xx
	for _, r := range readings {
		misfit = math.Max(misfit, math.Abs(r.Value-factor*of(r.Pressure))/largest)
	}
	return factor, misfit, nil
}
