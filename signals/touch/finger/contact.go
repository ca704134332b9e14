package finger

import (
	"math"
	"math/cmplx"
)

// HertzContactTime returns how long two elastic round bodies touch when they strike, 2.943275·d/v with the largest approach
// d = (15·m·v²/(16·E*·√R))^(2/5): mass (kg) 1/m = 1/m₁ + 1/m₂, speed v (m/s), modulus E* (Pa) 1/E* = (1−ν₁²)/E₁ + (1−ν₂²)/E₂ and radius
// R (m) 1/R = 1/R₁ + 1/R₂ (K. L. Johnson, "Contact mechanics", 1985, chapter 11; from memory). The softer body decides: a modulus
// a hundred times as high makes the contact 6.3 times as short.
func HertzContactTime(mass, speed, modulus, radius float64) float64 {
	approach := math.Pow(15*mass*speed*speed/(16*modulus*math.Sqrt(radius)), 0.4)
	return 2.943275 * approach / speed
}

// Object is what strikes a finger. It is elastic and round where it strikes, does not ring itself, and is gone when the finger rings.
type Object struct {
	Name       string
	ModulusPa  float64 // of what the finger meets
	Poisson    float64
	MassKg     float64
	RadiusM    float64
	WhereFrom  string // of its numbers
	strikesMps float64
}

// Objects are what an invented finger can be touched by, the softest first.
var Objects = []Object{
	{"roll-skin", 0.5e6, 0.3, 0.050, 0.035, "plausible numbers of our own: a thin skin on crumb of 5 to 30 kPa", 0.3},
	{"crust", 20e6, 0.3, 0.050, 0.035, "plausible numbers of our own: a dry crust", 0.3},
	{"egg-shell", 30e9, 0.3, 0.060, 0.022, "shell 30 GPa, from memory; a hen's egg of 60 g", 0.3},
}

// ObjectNamed finds one of Objects; false when there is none of the name.
func ObjectNamed(name string) (Object, bool) {
	for _, o := range Objects {
		if o.Name == name {
			return o, true
		}
	}
	return Object{}, false
}

// TouchedBy returns the finger as it sounds when an object strikes it: for as long as both touch, the force rises and falls as half
// a sine (common practice for Hertz's), so tones that swing often meanwhile are hardly heard. What is given to the finger in all
// stays the same, so a soft object is heard less, high tones first. A finger that nothing is said of is struck in no time at all.
func (p *Specimen) TouchedBy(o Object) *Specimen {
	// A quarter of a clamped–free beam's mass swings with its end (common practice: 0.24).
	own := p.beam.DensityKgM3 * p.beam.LengthM * p.beam.WidthM * p.beam.ThicknessM / 4
	plane := func(modulus, poisson float64) float64 { return (1 - poisson*poisson) / modulus }
	const rubber, roundM = 0.5, 0.010
	struck := *p
	struck.contactS = HertzContactTime(
		1/(1/own+1/o.MassKg), o.strikesMps,
		1/(plane(p.beam.ModulusPa, rubber)+plane(o.ModulusPa, o.Poisson)),
		1/(1/roundM+1/o.RadiusM),
	)
	return &struck
}

// ContactS returns how long what strikes the finger touches it, in s; 0: a blow in no time.
func (p *Specimen) ContactS() float64 { return p.contactS }

// atmosphere around the finger, in Pa.
const atmosphere = 101325

// At returns the finger with its chamber at a pressure (Pa) above the surroundings. Two things move its tones apart.
//
// The chamber widens. In a thin closed tube of rubber (Poisson's ratio ½) the strain around is ε = ¾·pR/(Eh) and that along is 0
// (thin-walled vessel, common practice), so the section grows by ε at the same mass and length and bending tones rise by ε. The
// pull of the closed end is carried by the wall and given back by the air: on the whole there is no tension as in a string.
//
// The air gets stiffer, K = γ·(p₀ + p), at an unchanged speed of sound in free air. Against the same wall it is slowed down more, see
// [SoftWallSpeed], so the tones of the tube fall.
func (p *Specimen) At(pressurePa float64) *Specimen {
	strain := 0.75 * pressurePa * chamberByWall / p.wallPa
	speed := SpeedOfSound(20)
	slower := SoftWallSpeed(speed, airKgM3*(1+pressurePa/atmosphere), p.wallPa, chamberByWall*(1+2*strain)) / SoftWallSpeed(speed, airKgM3, p.wallPa, chamberByWall)
	under := *p
	under.modes = append([]mode(nil), p.modes...)
	for k := range under.modes {
		if under.modes[k].air {
			under.modes[k].hz *= slower
		} else {
			under.modes[k].hz *= 1 + strain
		}
	}
	return &under
}

// struck writes a mode's course after a force of half a sine over the contact, with an impulse of 1: with λ = −σ + iω, a = π/T and u
// the time of contact so far, Im e^{λt}·½a·(a − e^{−λu}(λ sin au + a cos au))/(λ² + a²).
func (m *mode) struck(dst []float64, contact, rateHz float64) {
	w, a := 2*math.Pi*m.hz, math.Pi/contact
	lambda := complex(-m.damping*w, w)
	front := complex(m.gain*a/2, 0) / (lambda*lambda + complex(a*a, 0))
	so := func(u float64) complex128 {
		sin, cos := math.Sincos(a * u)
		return front * (complex(a, 0) - cmplx.Exp(-lambda*complex(u, 0))*(lambda*complex(sin, 0)+complex(a*cos, 0)))
	}
	whole := so(contact)
	for i := range dst {
		t, part := float64(i)/rateHz, whole
		if t < contact {
			part = so(t)
		}
		dst[i] = imag(cmplx.Exp(lambda*complex(t, 0)) * part)
	}
}
