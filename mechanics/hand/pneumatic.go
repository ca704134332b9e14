package hand

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/integrate/quad"
)

// HalfRound is a fibre-wound elastomer finger whose chamber has a half-round section on a flat base that does not stretch.
// Hoops keep it from swelling, so it bends towards the base.
type HalfRound struct {
	Inner  float64 // m, radius of the chamber
	Base   float64 // m, thickness of the base
	Wall   float64 // m, thickness of the wall
	Length float64 // m
	Shear  float64 // Pa, shear modulus of the elastomer (neo-Hookean)
}

// Validate says which of the measures is none.
func (f HalfRound) Validate() error {
	for _, v := range [...]struct {
		name  string
		value float64
	}{{"inner radius", f.Inner}, {"base thickness", f.Base}, {"wall thickness", f.Wall}, {"length", f.Length}, {"shear modulus", f.Shear}} {
		if !(v.value > 0) || math.IsInf(v.value, 0) {
			return fmt.Errorf("the finger's %s is %g; it must be above 0", v.name, v.value)
		}
	}
	return nil
}

// MomentPerPressure returns the bending moment that the pressure on the end cap has about the base, per pressure
// (N m/Pa = m³): (4a³ + 3πa²b)/6 (P. Polygerinos et al., IEEE T-RO 31 (2015) 778, abstract read, equation from memory;
// DESIGN.md, eq. 17).
func (f HalfRound) MomentPerPressure() float64 {
	a := f.Inner
	return (4*a*a*a + 3*math.Pi*a*a*f.Base) / 6
}

// SecondMoment returns ∫h² over the elastomer's section (m⁴), heights from the base's underside.
func (f HalfRound) SecondMoment() float64 {
	a, c, b := f.Inner, f.Inner+f.Wall, f.Base
	return 2*c*b*b*b/3 + b*b*math.Pi*(c*c-a*a)/2 + b*4*(c*c*c-a*a*a)/3 + math.Pi*(c*c*c*c-a*a*a*a)/8
}

// Bending returns the bending stiffness for small angles, 4·G·I (N m²).
func (f HalfRound) Bending() float64 { return 4 * f.Shear * f.SecondMoment() }

// Pressure returns what bends the free finger to an angle (rad, ≥ 0), Pa: with stretch λ = 1 + h·θ/L at height h and hoop
// stretch held, an incompressible neo-Hookean skin pulls with G(λ − λ⁻³) along; its moment about the base equals the cap's
// (DESIGN.md, eq. 18). Thinning of the wall and pressure on its inside are left out: real fingers differ by tens of per
// cent, which is why [Calibrate] exists. A negative angle, or a
// finger that [HalfRound.Validate] refuses, gives NaN.
func (f HalfRound) Pressure(angle float64) float64 {
	if !(angle >= 0) || f.Validate() != nil {
		return math.NaN()
	}
	rate := angle / f.Length
	pull := func(h float64) float64 {
		stretch := 1 + h*rate
		return f.Shear * (stretch - 1/(stretch*stretch*stretch)) * h
	}
	const nodes = 24 // the integrand is smooth; doubling changes nothing in 12 digits
	wall := quad.Fixed(func(r float64) float64 {
		return r * 2 * quad.Fixed(func(phi float64) float64 { return pull(f.Base + r*math.Sin(phi)) }, 0, math.Pi/2, nodes, nil, 0)
	}, f.Inner, f.Inner+f.Wall, nodes, nil, 0)
	base := 2 * (f.Inner + f.Wall) * quad.Fixed(pull, 0, f.Base, nodes, nil, 0)
	return (wall + base) / f.MomentPerPressure()
}

// FreeAngle returns the angle (rad) to which a pressure (Pa, ≥ 0) bends the free finger; NaN for a negative pressure
// or a finger that [HalfRound.Validate] refuses.
func (f HalfRound) FreeAngle(pressure float64) float64 {
	if !(pressure >= 0) || math.IsInf(pressure, 0) || f.Validate() != nil {
		return math.NaN()
	}
	high := 1.0
	for f.Pressure(high) < pressure {
		high *= 2
	}
	return bisect(func(angle float64) float64 { return f.Pressure(angle) - pressure }, 0, high)
}

// Fill returns the pressure (Pa) a step (s) later in a chamber that follows its command (Pa) with a time constant (s); exact
// for a command that stands during the step. A time constant of 0 follows at once.
func Fill(pressure, command, constant, step float64) float64 {
	if constant <= 0 {
		return command
	}
	return command + (pressure-command)*math.Exp(-step/constant)
}

// Chamber is one pressure chamber along a finger.
type Chamber struct {
	MomentPerPressure float64 // N m/Pa
	Towards           float64 // rad about z from x: where the finger's tip goes under pressure
	Filling, Venting  float64 // s, time constants
}

// Next returns the chamber's pressure (Pa) a step (s) later, filling or venting towards the command (Pa).
func (c Chamber) Next(pressure, command, step float64) float64 {
	if command > pressure {
		return Fill(pressure, command, c.Filling, step)
	}
	return Fill(pressure, command, c.Venting, step)
}

// PressureFinger is an elastic rod bent by chambers, cut into segments.
type PressureFinger struct {
	Chain    *Chain
	Chambers []Chamber
	about    []Vec // for each joint its axis in the straight finger
}

// NewPressureFinger cuts the rod into segments. Chambers that push in a direction in which the rod does not give are
// refused.
func NewPressureFinger(rod Rod, chambers []Chamber, segments int) (*PressureFinger, error) {
	joints, _, err := rod.Segments(segments)
	if err != nil {
		return nil, err
	}
	for i, c := range chambers {
		if !(c.MomentPerPressure > 0) || math.IsInf(c.MomentPerPressure, 0) || math.IsNaN(c.Towards) || math.IsInf(c.Towards, 0) {
			return nil, fmt.Errorf("chamber %d: moment per pressure %g N m/Pa, direction %g rad; the moment must be above 0", i+1, c.MomentPerPressure, c.Towards)
		}
		if !(c.Filling >= 0 && c.Venting >= 0) {
			return nil, fmt.Errorf("chamber %d: time constants %g s and %g s must be 0 or more", i+1, c.Filling, c.Venting)
		}
		sin, cos := math.Sincos(c.Towards)
		if rod.BendX == 0 && math.Abs(sin) > 1e-9 || rod.BendY == 0 && math.Abs(cos) > 1e-9 {
			return nil, fmt.Errorf("chamber %d pushes towards %.3g rad, where the finger has no bending stiffness given and stays straight", i+1, c.Towards)
		}
	}
	chain, err := NewChain(joints)
	if err != nil {
		return nil, err
	}
	f := &PressureFinger{Chain: chain, Chambers: append([]Chamber(nil), chambers...), about: make([]Vec, len(joints))}
	for i := range joints {
		f.about[i] = chain.joints[i].Axis
	}
	return f, nil
}

// Drive adds to torque (N m, one a joint) what the chambers' pressures (Pa, one a chamber) do. Pressure moments are the same
// in every segment and turn with it.
func (f *PressureFinger) Drive(torque, pressure []float64) {
	var moment Vec
	for i := range f.Chambers {
		c := &f.Chambers[i]
		sin, cos := math.Sincos(c.Towards)
		m := c.MomentPerPressure * pressure[i]
		moment.X -= m * sin
		moment.Y += m * cos
	}
	for i := range f.about {
		torque[i] += moment.Dot(f.about[i])
	}
}
