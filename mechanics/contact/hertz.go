package contact

import "math"

// Material is an isotropic elastic material.
type Material struct {
	Young   float64 // Pa
	Poisson float64 // −1 … 0.5
}

// planeStrain is the modulus E/(1−ν²) of a half-space pressed by a rigid body, Pa.
func (m Material) planeStrain() float64 { return m.Young / (1 - m.Poisson*m.Poisson) }

// EffectiveModulus returns the modulus E* (Pa) of two materials in contact, 1/E* = (1−ν₁²)/E₁ + (1−ν₂²)/E₂
// (Johnson eq. 4.22 ff.). An infinite Young's modulus stands for a rigid body.
func EffectiveModulus(a, b Material) float64 { return series(a.planeStrain(), b.planeStrain()) }

// EffectiveRadius returns the radius (m) of the sphere that touches a plane as two spheres of the radii touch each
// other, 1/R = 1/R₁ + 1/R₂. A negative radius is a hollow, an infinite one a plane.
func EffectiveRadius(r1, r2 float64) float64 { return series(r1, r2) }

func series(a, b float64) float64 { return 1 / (1/a + 1/b) }

// Hertz is the frictionless contact of round bodies without adhesion: an effective sphere against an effective
// half-space.
type Hertz struct {
	Radius  float64 // m, effective
	Modulus float64 // Pa, effective
}

// Force returns the normal force (N) at an approach d (m) of the bodies: F = 4/3·E*·√R·d^1.5; none when they are apart
// (Johnson eq. 4.23).
func (h Hertz) Force(d float64) float64 {
	if d <= 0 {
		return 0
	}
	return 4. / 3 * h.Modulus * math.Sqrt(h.Radius) * d * math.Sqrt(d)
}

// Approach returns how far the bodies come together (m) under a normal force (N): d = a²/R.
func (h Hertz) Approach(force float64) float64 {
	a := h.ContactRadius(force)
	return a * a / h.Radius
}

// ContactRadius returns the radius a (m) of the contact under a normal force (N): a³ = 3FR/4E* (Johnson eq. 4.22).
func (h Hertz) ContactRadius(force float64) float64 {
	return math.Cbrt(3 * math.Max(force, 0) * h.Radius / (4 * h.Modulus))
}

// PeakPressure returns the pressure (Pa) in the middle of the contact, p₀ = 3F/2πa² (Johnson eq. 4.24); the mean is two
// thirds of it.
func (h Hertz) PeakPressure(force float64) float64 {
	a := h.ContactRadius(force)
	if a == 0 {
		return 0
	}
	return 3 * force / (2 * math.Pi * a * a)
}

// Stiffness returns dF/dd = 2E*a (N/m) under a normal force (N).
func (h Hertz) Stiffness(force float64) float64 { return 2 * h.Modulus * h.ContactRadius(force) }

// widestValid is the ratio of contact radius to curvature up to which half-space theory is usually trusted.
const widestValid = 0.2

// Valid says whether the contact is small enough for the theory: a/R at most 0.2 (common practice, no source).
func (h Hertz) Valid(force float64) bool { return h.ContactRadius(force) <= widestValid*h.Radius }

// SubsurfaceShear returns the largest shear stress on the axis below a Hertz contact, as a share of the peak pressure,
// and its depth in contact radii. On the axis, with ζ = z/a (Johnson eq. 3.45):
//
//	σ_r/p₀ = −(1+ν)(1 − ζ·atan(1/ζ)) + ½/(1+ζ²),   σ_z/p₀ = −1/(1+ζ²),   τ = ½|σ_z − σ_r|
//
// Bruises begin there, not at the skin.
func SubsurfaceShear(poisson float64) (share, depth float64) {
	tau := func(z float64) float64 {
		inverse := 1 / (1 + z*z)
		radial := -(1+poisson)*(1-z*math.Atan2(1, z)) + inverse/2
		return math.Abs(-inverse-radial) / 2
	}
	depth = maximise(tau, 0.05, 2)
	return tau(depth), depth
}

// EdgeTension returns the tensile stress at the rim of a Hertz contact as a share of the peak pressure, (1−2ν)/3
// (Johnson sect. 3.4): skins that do not stand tension crack there.
func EdgeTension(poisson float64) float64 { return (1 - 2*poisson) / 3 }

// maximise returns where a function with one maximum in [lo, hi] has it, by golden sections.
func maximise(f func(float64) float64, lo, hi float64) float64 {
	const golden = 0.6180339887498949
	a, b := hi-golden*(hi-lo), lo+golden*(hi-lo)
	fa, fb := f(a), f(b)
	for hi-lo > 1e-10*(1+math.Abs(hi)) {
		if fa > fb {
			hi, b, fb = b, a, fa
			a = hi - golden*(hi-lo)
			fa = f(a)
		} else {
			lo, a, fa = a, b, fb
			b = lo + golden*(hi-lo)
			fb = f(b)
		}
	}
	return (lo + hi) / 2
}

// PullOff returns the force (N) that tears a sphere of effective radius R (m) off a sticky flat: 1.5·π·w·R, with the
// work of adhesion w (J/m²); K. L. Johnson, K. Kendall, A. D. Roberts 1971, Johnson ch. 5. An item lighter than this
// does not fall off an opened finger.
func PullOff(radius, adhesion float64) float64 { return 1.5 * math.Pi * adhesion * radius }

// Creep is a standard linear solid: under a constant load it yields at once as the short-time modulus says, and goes on
// yielding towards the long-time modulus.
type Creep struct {
	Short, Long float64 // Pa, effective moduli; Long ≤ Short
	Retardation float64 // s
}

// Compliance returns the creep compliance (1/Pa) after a load has stood for t seconds.
func (c Creep) Compliance(t float64) float64 {
	return 1/c.Long - (1/c.Long-1/c.Short)*math.Exp(-math.Max(t, 0)/c.Retardation)
}

// ContactRadius returns the radius (m) of a spherical contact that has carried a constant force (N) for t seconds:
// a³ = ¾·F·R·J(t), which holds while the contact grows (E. H. Lee, J. R. M. Radok 1960; from memory).
func (c Creep) ContactRadius(radius, force, t float64) float64 {
	return math.Cbrt(0.75 * math.Max(force, 0) * radius * c.Compliance(t))
}
