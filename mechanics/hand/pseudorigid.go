package hand

import "math"

// PseudoRigid stands for a cantilever of length L by two rigid parts and one spring: quick, and wrong by a few per cent.
// It serves as a budget of model error, never as truth.
type PseudoRigid struct {
	Reach float64 // γ: length of the turning part, share of L
	Hold  float64 // K_Θ: stiffness coefficient; the spring has γ·K_Θ·EI/L
	Slope float64 // c: tip angle over the angle of the turning part
}

// Constants for the two usual loads (L. L. Howell, "Compliant Mechanisms" (2001) ch. 5, from memory). Under an end moment
// the tip angle is M·L/EI exactly, which asks for γ·K_Θ = c = 1.5164.
var (
	PseudoRigidForce  = PseudoRigid{Reach: 0.8517, Hold: 2.65, Slope: 1.24}
	PseudoRigidMoment = PseudoRigid{Reach: 0.7346, Hold: 1.5164 / 0.7346, Slope: 1.5164}
)

// Stiffness returns the spring's stiffness (N m/rad) for a cantilever of length (m) and bending stiffness (N m²).
func (p PseudoRigid) Stiffness(length, bending float64) float64 {
	return p.Reach * p.Hold * bending / length
}

// EndLoaded returns the tip under a dead force across, load = P·L²/EI ≥ 0, from load·cos Θ = K_Θ·Θ (DESIGN.md, eq. 9).
func (p PseudoRigid) EndLoaded(load float64) Tip {
	if !(load >= 0) || math.IsInf(load, 0) {
		return Tip{math.NaN(), math.NaN(), math.NaN()}
	}
	return p.turned(bisect(func(a float64) float64 { return p.Hold*a - load*math.Cos(a) }, 0, math.Pi/2))
}

// EndMoment returns the tip under an end moment, moment = M·L/EI.
func (p PseudoRigid) EndMoment(moment float64) Tip { return p.turned(moment / (p.Reach * p.Hold)) }

func (p PseudoRigid) turned(angle float64) Tip {
	sin, cos := math.Sincos(angle)
	return Tip{p.Slope * angle, 1 - p.Reach*(1-cos), p.Reach * sin}
}
