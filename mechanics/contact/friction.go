package contact

import (
	"math"
	"sync"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/mathext"
)

// TangentialRatio returns the shear over the normal stiffness of a contact that does not slip, 2(1−ν)/(2−ν), for like
// materials (R. D. Mindlin 1949; Johnson ch. 7).
func TangentialRatio(poisson float64) float64 { return 2 * (1 - poisson) / (2 - poisson) }

// StickRadius returns the radius of the part of a Hertz contact that still sticks under a shear force, as a share of the
// contact's: (1 − Q/μF)^⅓; 0 when all of it slips (Johnson eq. 7.37).
func StickRadius(shear, friction, force float64) float64 {
	carried := friction * force
	if !(math.Abs(shear) < carried) {
		return 0
	}
	return math.Cbrt(1 - math.Abs(shear)/carried)
}

// Profile is the pressure over a round contact of radius a: proportional to (1 − (r/a)^K)^(1/K). K = 2 is Hertz's, an
// infinite K is a uniform pressure (R. D. Howe, M. R. Cutkosky 1996; N. Xydas, I. Kao 1999; from memory).
type Profile struct{ K float64 }

// The profiles that are met most.
var (
	HertzProfile   = Profile{K: 2}
	UniformProfile = Profile{K: math.Inf(1)}
)

// moment is ∫₀¹ ρ^(s−1)·(1−ρ^k)^(1/k) dρ = B(s/k, 1+1/k)/k.
func (p Profile) moment(s float64) float64 {
	if math.IsInf(p.K, 1) {
		return 1 / s
	}
	return mathext.Beta(s/p.K, 1+1/p.K) / p.K
}

// Peak returns the pressure in the middle over the mean pressure.
func (p Profile) Peak() float64 { return 1 / (2 * p.moment(2)) }

// At returns the pressure at the distance ρ·a from the middle over the mean pressure.
func (p Profile) At(rho float64) float64 {
	switch {
	case rho >= 1:
		return 0
	case math.IsInf(p.K, 1):
		return 1
	}
	return p.Peak() * math.Pow(1-math.Pow(rho, p.K), 1/p.K)
}

// TorsionLimit returns the torque that spins the whole contact, over μ·F·a.
func (p Profile) TorsionLimit() float64 { return p.moment(3) / p.moment(2) }

// Slip returns the shear force over μF and the torque over μFa of a round contact that slips by turning about a point at
// the distance d·a from its middle: one point of its limit surface (S. Goyal, A. Ruina, J. Papadopoulos, Wear 143 (1991),
// definition). d = 0 is pure spin, an infinite d pure sliding.
func (p Profile) Slip(d float64) (shear, torque float64) {
	if math.IsInf(d, 1) {
		return 1, 0
	}
	// Polar coordinates about the turning point: there the direction of slip depends on the angle alone.
	nodes := gauss()
	// The ray at angle φ crosses the contact between two distances s, unless it misses it.
	widest := math.Pi
	if d > 1 {
		widest = math.Asin(1 / d)
	}
	for i := range nodes.x {
		// Towards the middle φ = 0; the integrand is even in φ. The substitution takes the root out of the ends.
		phi := widest * math.Sin(math.Pi/2*nodes.x[i])
		du := widest * math.Pi / 2 * math.Cos(math.Pi/2*nodes.x[i]) * nodes.w[i]
		half := math.Sqrt(math.Max(0, 1-d*d*math.Sin(phi)*math.Sin(phi)))
		from, to := d*math.Cos(phi)-half, d*math.Cos(phi)+half
		if d <= 1 {
			from = 0
		}
		for j := range nodes.x {
			// Points crowd where the pressure ends like a root.
			v := math.Sin(math.Pi / 2 * nodes.x[j])
			v *= v
			s := from + (to-from)*v
			ds := (to - from) * math.Pi / 2 * math.Sin(math.Pi*nodes.x[j]) * nodes.w[j]
			rho := math.Sqrt(math.Max(0, s*s+d*d-2*s*d*math.Cos(phi)))
			load := 2 * p.At(rho) / math.Pi * s * ds * du
			shear += load * math.Cos(phi)
			torque += load * (s - d*math.Cos(phi))
		}
	}
	return math.Abs(shear), math.Abs(torque)
}

// rule is a Gauss–Legendre rule on 0 … 1.
type rule struct{ x, w [64]float64 }

var gauss = sync.OnceValue(func() (r rule) {
	quad.Legendre{}.FixedLocations(r.x[:], r.w[:], 0, 1)
	return r
})

// EllipseMargin returns how much less a contact that slips by turning about a point carries than the usual ellipse
// (f/f_max)² + (m/m_max)² = 1 promises, as a share: above 0 the ellipse lies outside the limit surface there.
func (p Profile) EllipseMargin(d float64) float64 {
	f, m := p.Slip(d)
	return 1 - math.Hypot(f, m/p.TorsionLimit())
}

// SoftFinger relates the contact radius of a soft fingertip to the force, a = Scale·F^Gamma (N. Xydas, I. Kao, IJRR 18
// (1999) 941): Gamma runs from 0 (a stamp) to ⅓ (Hertz).
type SoftFinger struct {
	Scale float64 // m/N^Gamma
	Gamma float64
}

// HardeningGamma returns the exponent γ = n/(2n+1) for a skin that hardens as strainⁿ (as SoftFinger; from memory).
func HardeningGamma(n float64) float64 { return n / (2*n + 1) }

// ContactRadius returns the contact radius (m) under a normal force (N).
func (s SoftFinger) ContactRadius(force float64) float64 {
	return s.Scale * math.Pow(math.Max(force, 0), s.Gamma)
}

// TorsionLimit returns the torque (N m) that spins the fingertip on what it presses.
func (s SoftFinger) TorsionLimit(p Profile, friction, force float64) float64 {
	return p.TorsionLimit() * friction * force * s.ContactRadius(force)
}

// PyramidError returns the largest share by which a friction pyramid of n edges inside the cone understates friction,
// 1 − cos(π/n), and the share of the cone's cross-section that it covers.
func PyramidError(edges int) (understated, covered float64) {
	n := float64(edges)
	return 1 - math.Cos(math.Pi/n), n / (2 * math.Pi) * math.Sin(2*math.Pi/n)
}
