package orient

import (
	"fmt"
	"math"
)

// Disc is Lambert's azimuthal equal-area projection of approach directions, centre straight down: tilt θ lies at radius
// 2·sin(θ/2)·Scale in the direction of the azimuth, so that equal solid angles get equal areas (J. H. Lambert 1772).
// The zero value has Scale 1: tilt 90° at √2, straight up on the rim at 2.
type Disc struct {
	Scale float64 // disc units per unit of 2·sin(θ/2); 0 means 1
}

// DiscTo returns the disc on which tilt maxTilt (rad, above 0, at most π) lies at radius 1.
func DiscTo(maxTilt float64) (Disc, error) {
	if !(maxTilt > 0 && maxTilt <= math.Pi+1e-12) {
		return Disc{}, fmt.Errorf("a disc needs a tilt limit above 0° and up to 180°, not %g°", maxTilt*180/math.Pi)
	}
	return Disc{Scale: 1 / (2 * math.Sin(maxTilt/2))}, nil
}

func (d Disc) scale() float64 {
	if d.Scale == 0 {
		return 1
	}
	return d.Scale
}

// Radius returns the disc radius of tilt (rad).
func (d Disc) Radius(tilt float64) float64 { return 2 * math.Sin(tilt/2) * d.scale() }

// Project returns the disc coordinates of a unit direction, x to the setting's x and y to its y, as seen from above.
// Straight up is the whole rim; it is put where its azimuth, 0, points.
func (d Disc) Project(direction Vec3) (x, y float64) {
	h := math.Hypot(direction[0], direction[1])
	if h == 0 {
		if direction[2] > 0 {
			return 2 * d.scale(), 0
		}
		return 0, 0
	}
	r := d.Radius(math.Atan2(h, -direction[2])) / h
	return r * direction[0], r * direction[1]
}

// Unproject returns the unit direction at disc coordinates x, y. ok is false outside the rim (beyond rounding) and for
// numbers that are not finite.
func (d Disc) Unproject(x, y float64) (direction Vec3, ok bool) {
	x, y = x/d.scale(), y/d.scale()
	r := math.Hypot(x, y)
	if !(r <= 2*(1+1e-12)) {
		return Vec3{}, false
	}
	half := math.Min(1, r/2) // sin(θ/2)
	if r == 0 {
		return Vec3{0, 0, -1}, true
	}
	// sin θ = 2·sin(θ/2)·cos(θ/2).
	h := 2 * half * math.Sqrt(1-half*half) / r
	return Vec3{h * x, h * y, 2*half*half - 1}, true
}

// ProjectAngles returns the disc coordinates of tilt and azimuth (rad).
func (d Disc) ProjectAngles(tilt, azimuth float64) (x, y float64) {
	s, c := math.Sincos(azimuth)
	r := d.Radius(tilt)
	return r * c, r * s
}

// UnprojectAngles returns tilt in [0, π] and azimuth in (−π, π] (rad) at disc coordinates; the azimuth is 0 at the
// centre. ok is false outside the rim.
func (d Disc) UnprojectAngles(x, y float64) (tilt, azimuth float64, ok bool) {
	r := math.Hypot(x, y) / d.scale()
	if !(r <= 2*(1+1e-12)) {
		return 0, 0, false
	}
	if r == 0 {
		return 0, 0, true
	}
	return 2 * math.Asin(math.Min(1, r/2)), WrapAngle(math.Atan2(y, x)), true
}

// DirectionOf returns the unit approach direction for tilt and azimuth (rad).
func DirectionOf(tilt, azimuth float64) Vec3 {
	st, ct := math.Sincos(tilt)
	sa, ca := math.Sincos(azimuth)
	return Vec3{st * ca, st * sa, -ct}
}

// DirectionAngles returns tilt in [0, π] and azimuth in (−π, π] (rad) of a direction of any length; the azimuth of
// straight down and straight up is 0.
func DirectionAngles(direction Vec3) (tilt, azimuth float64) {
	h := math.Hypot(direction[0], direction[1])
	if h == 0 {
		azimuth = 0
	} else {
		azimuth = WrapAngle(math.Atan2(direction[1], direction[0]))
	}
	return math.Atan2(h, -direction[2]), azimuth
}
