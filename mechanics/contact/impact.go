package contact

import "math"

// Impact is what an impact comes to.
type Impact struct {
	Force  float64 // N, largest
	Squash float64 // m, largest
	Time   float64 // s, until the force is back at zero
}

// SpringImpact returns the impact of a mass (kg) at a speed (m/s) on a linear spring (N/m): v√(km), v√(m/k), π√(m/k).
func SpringImpact(mass, stiffness, speed float64) Impact {
	return Impact{speed * math.Sqrt(stiffness*mass), speed * math.Sqrt(mass/stiffness), math.Pi * math.Sqrt(mass/stiffness)}
}

// DrivenImpact returns the largest force (N) when a thrust (N) drives the mass on all the while: F₀ + √(F₀² + kmv²). Twice the thrust
// is the least, however slowly it comes.
func DrivenImpact(mass, stiffness, speed, thrust float64) float64 {
	return thrust + math.Sqrt(thrust*thrust+stiffness*mass*speed*speed)
}

// DropFactor returns how many times its weight (N) a thing that is dropped from a height (m) onto a spring (N/m) pushes at most:
// 1 + √(1 + 2hk/W).
func DropFactor(weight, stiffness, height float64) float64 {
	return 1 + math.Sqrt(1+2*height*stiffness/weight)
}

// DampedImpact returns the largest force over v√(km) and the largest squash over v√(m/k) for a spring and a dashpot side by side with
// the damping ratio z, 0 ≤ z < 1. The dashpot alone begins with 2z, which is the largest force from z = 1/2 on.
func DampedImpact(z float64) (force, squash float64) {
	s := math.Sqrt(1 - z*z)
	// x = e^(−zt)·sin(st)/s in units of v√(m/k) and √(m/k); the squash is largest where its speed vanishes.
	squash = math.Exp(-z / s * math.Atan2(s, z))
	at := func(t float64) float64 {
		sin, cos := math.Sincos(s * t)
		e := math.Exp(-z * t)
		x := e * sin / s
		return x + 2*z*(e*cos-z*x)
	}
	// The force F = x + 2zẋ is steady where (1 − 4z²)ẋ = 2zx.
	force = 2 * z
	if z < 0.5 {
		t := math.Atan2(s*(1-4*z*z), z*(3-4*z*z)) / s
		force = math.Max(force, at(t))
	}
	return force, squash
}

// hertzTime is 2∫₀¹ du/√(1 − u^(5/2)), the contact time in units of largest squash over speed.
const hertzTime = 2.943275

// HertzImpact returns the impact of a ball of radius r (m) and mass (kg) at a speed (m/s) on a half space, with the contact modulus E*
// (Pa): δ = (15mv²/(16E*√r))^(2/5), F = 4/3·E*√r·δ^(3/2), time 2.943275·δ/v (K. L. Johnson, Contact Mechanics, 1985, ch. 11; from
// memory).
func HertzImpact(r, modulus, mass, speed float64) Impact {
	d := math.Pow(15*mass*speed*speed/(16*modulus*math.Sqrt(r)), 0.4)
	return Impact{4. / 3 * modulus * math.Sqrt(r) * d * math.Sqrt(d), d, hertzTime * d / speed}
}

// ReducedMass returns the mass (kg) with which two free bodies meet: m₁m₂/(m₁ + m₂).
func ReducedMass(one, other float64) float64 { return one * other / (one + other) }
