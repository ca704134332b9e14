package contact

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

// HertzEllipse is the contact of bodies whose effective curvature differs by direction, as an egg on a finger.
type HertzEllipse struct {
	R1, R2  float64 // m, effective principal radii; the larger first
	Modulus float64 // Pa, effective
	ratio   float64 // b/a
	wider   float64 // √(ab) over the radius of the circular contact with Re = √(R1·R2): F1 of Johnson
	closer  float64 // approach over that of the circular contact: F2 of Johnson
}

// NewHertzEllipse solves the geometry once: with e² = 1 − (b/a)² and complete elliptic integrals K, E,
//
//	R1/R2 = ((a/b)²·E − K)/(K − E)                                   (Johnson eq. 4.28, from memory)
//
// All that depends on the force follows from it in closed form. The order of the radii does not matter.
func NewHertzEllipse(r1, r2, modulus float64) HertzEllipse {
	if r2 > r1 {
		r1, r2 = r2, r1
	}
	h := HertzEllipse{R1: r1, R2: r2, Modulus: modulus, ratio: 1, wider: 1, closer: 1}
	if r1 == r2 {
		return h
	}
	// The ratio of radii falls as b/a rises; bisect its logarithm.
	lo, hi := math.Log(1e-9), 0.0
	for range 100 {
		mid := (lo + hi) / 2
		if radiusRatio(math.Exp(mid)) > r1/r2 {
			lo = mid
		} else {
			hi = mid
		}
	}
	k := math.Exp((lo + hi) / 2)
	h.ratio = k
	m := (1 - k) * (1 + k)
	bigK, bigE := mathext.CompleteK(m), mathext.CompleteE(m)
	// With c = √(ab): c³ = (3F·Re/4E*)·F1³ and d = (9F²/16Re·E*²)^⅓·F2 (Johnson eq. 4.26c, 4.27).
	g := 4 / (math.Pi * m) * math.Pow(k, 1.5) * math.Sqrt((bigE/(k*k)-bigK)*(bigK-bigE))
	h.wider = math.Cbrt(g)
	h.closer = 2 / math.Pi * math.Sqrt(k) / h.wider * bigK
	return h
}

// radiusRatio is R1/R2 of the contact whose half-axes have the ratio k = b/a.
func radiusRatio(k float64) float64 {
	m := (1 - k) * (1 + k)
	if m < 1e-6 {
		return math.Pow(k, -1.5) // the limit at the circle; the differences below would be rounding alone
	}
	bigK, bigE := mathext.CompleteK(m), mathext.CompleteE(m)
	return (bigE/(k*k) - bigK) / (bigK - bigE)
}

// circle is the contact of a sphere with the geometric mean of the radii.
func (h HertzEllipse) circle() Hertz {
	return Hertz{Radius: math.Sqrt(h.R1 * h.R2), Modulus: h.Modulus}
}

// Axes returns the half-axes (m) of the contact under a normal force (N), the longer first; it lies along the direction
// of the larger radius.
func (h HertzEllipse) Axes(force float64) (a, b float64) {
	c := h.wider * h.circle().ContactRadius(force)
	return c / math.Sqrt(h.ratio), c * math.Sqrt(h.ratio)
}

// Approach returns how far the bodies come together (m) under a normal force (N).
func (h HertzEllipse) Approach(force float64) float64 { return h.closer * h.circle().Approach(force) }

// Force returns the normal force (N) at an approach (m).
func (h HertzEllipse) Force(d float64) float64 { return h.circle().Force(d / h.closer) }

// PeakPressure returns the pressure (Pa) in the middle of the contact, 3F/2πab.
func (h HertzEllipse) PeakPressure(force float64) float64 {
	a, b := h.Axes(force)
	if a == 0 {
		return 0
	}
	return 3 * force / (2 * math.Pi * a * b)
}
