package hand

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mathext"
)

// Tip is where the end of a bent cantilever is, in shares of its length, and how it is turned. The straight cantilever
// lies along x from the origin; it bends towards y.
type Tip struct {
	Angle float64 // rad, from x towards y
	X, Y  float64 // share of the length
}

// EndLoaded returns the tip of an inextensible cantilever under a dead force across its straight axis, exactly, in
// elliptic integrals. The load is P·L²/EI. With the tip angle θ, 2k² = 1 + sin θ and ψ = atan(√(sin θ)/k′):
//
//	√load = F(ψ, k)     Y = 1 − 2(E(ψ, k) − k·sin ψ/√2)/√load     X = √(2 sin θ/load)       (DESIGN.md, eq. 6)
//
// (K. E. Bisshopp, D. C. Drucker 1945, from memory; F and E written as sums of the complete and incomplete integrals
// through the addition theorem, which loses no digits where the usual difference does.) A load that is negative or not
// finite gives NaN.
func EndLoaded(load float64) Tip {
	if !(load >= 0) || math.IsInf(load, 0) {
		return Tip{math.NaN(), math.NaN(), math.NaN()}
	}
	if load < 1e-6 {
		return Tip{load / 2, 1, load / 3} // the next terms are of the order load²
	}
	reach := func(angle float64) (root, psi, m float64) {
		sin := math.Sin(angle)
		m = (1 + sin) / 2
		// 1 − sin θ without cancellation near the right angle.
		c := math.Sin(math.Pi/4 - angle/2)
		psi = math.Atan2(math.Sqrt(sin), math.Abs(c))
		return mathext.EllipticF(psi, m), psi, m
	}
	angle := bisect(func(a float64) float64 { r, _, _ := reach(a); return r*r - load }, 0, math.Pi/2)
	root, psi, m := reach(angle)
	y := 1 - 2*(mathext.EllipticE(psi, m)-math.Sqrt(m/2)*math.Sin(psi))/root
	return Tip{angle, math.Sqrt(2*math.Sin(angle)) / root, y}
}

// Buckled returns what a cantilever pressed along its axis beyond its critical force looks like when its tip has turned by
// an angle (rad, 0 < angle < π), and the force as a multiple of the critical one, π²EI/4L². With k = sin(angle/2):
//
//	P/Pcr = 4K²/π²     X = 2E/K − 1     Y = 2k/K                                                (DESIGN.md, eq. 7)
//
// (S. P. Timoshenko, J. M. Gere, "Theory of Elastic Stability" (1961) art. 2.7, from memory.) Outside the range NaN.
func Buckled(angle float64) (force float64, tip Tip) {
	if !(angle > 0 && angle < math.Pi) {
		return math.NaN(), Tip{math.NaN(), math.NaN(), math.NaN()}
	}
	k := math.Sin(angle / 2)
	bigK, bigE := mathext.CompleteK(k*k), mathext.CompleteE(k*k)
	return 4 / (math.Pi * math.Pi) * bigK * bigK, Tip{angle, 2*bigE/bigK - 1, 2 * k / bigK}
}

// Arc returns the tip of a cantilever bent evenly to an angle (rad), by pressure or an end moment: a circular arc
// (R. J. Webster, B. A. Jones, IJRR 29 (2010), from memory),
//
//	X = sin θ/θ     Y = (1 − cos θ)/θ                                                           (DESIGN.md, eq. 8)
func Arc(angle float64) Tip {
	if math.Abs(angle) < 1e-4 {
		return Tip{angle, 1 - angle*angle/6, angle/2 - angle*angle*angle/24}
	}
	s := math.Sin(angle / 2)
	return Tip{angle, math.Sin(angle) / angle, 2 * s * s / angle}
}

// Chord returns the straight distance from root to tip, in shares of the length.
func (t Tip) Chord() float64 { return math.Hypot(t.X, t.Y) }

// CantileverLoads are loads on an inextensible cantilever of length L and bending stiffness EI, made dimensionless.
type CantileverLoads struct {
	Along, Across float64 // dead force at the tip × L²/EI; Across bends towards y, a negative Along presses
	Follower      float64 // force × L²/EI at the tip, always square to it, towards the hollow side for a positive value
	Uniform       float64 // dead load per length across × L³/EI
	Moment        float64 // at the tip × L/EI
	Curvature     float64 // of the unloaded shape × L, as pressure gives it
}

const shootingSteps = 500

// Bend integrates the elastica under the loads from the tip to the root by the classical fourth-order rule and returns the
// tip. It stands beside the closed forms for loads that have none. guess is the tip angle (rad) to search near: where
// several shapes are in balance, as after buckling, it picks one. An error says that no balance was found.
func (l CantileverLoads) Bend(guess float64) (Tip, error) {
	for _, v := range [...]float64{l.Along, l.Across, l.Follower, l.Uniform, l.Moment, l.Curvature, guess} {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return Tip{}, fmt.Errorf("a load or the guess is not a finite number: %+v, %g", l, guess)
		}
	}
	angle := guess
	turned, _ := l.shoot(angle)
	if l.Along == 0 && l.Across == 0 && l.Uniform == 0 {
		// Nothing has a fixed direction: any tip angle gives the same shape, turned.
		angle -= turned
	} else {
		const step = 1e-6
		for range 60 {
			ahead, _ := l.shoot(angle + step)
			slope := (ahead - turned) / step
			change := -turned / slope
			if !(math.Abs(slope) > 1e-12) {
				return Tip{}, fmt.Errorf("no tip angle near %g rad balances the loads %+v; try another guess", guess, l)
			}
			change = math.Max(-0.3, math.Min(0.3, change))
			angle += change
			turned, _ = l.shoot(angle)
			if math.Abs(turned) < 1e-11 {
				break
			}
		}
		if !(math.Abs(turned) < 1e-9) {
			return Tip{}, fmt.Errorf("no tip angle near %g rad balances the loads %+v; try another guess", guess, l)
		}
	}
	_, tip := l.shoot(angle)
	return tip, nil
}

// shoot starts at the tip with an angle and returns the angle left over at the root, which must be zero, and the tip.
func (l CantileverLoads) shoot(angle float64) (root float64, tip Tip) {
	const h = 1.0 / shootingSteps
	sin, cos := math.Sincos(angle)
	fx, fy := l.Along-l.Follower*sin, l.Across+l.Follower*cos
	// u is the distance from the tip; moving towards the root, curvature grows by the force across: dκ/du = t × F.
	stage := func(u, theta float64) (c, s, rate float64) {
		s, c = math.Sincos(theta)
		return c, s, c*(fy+l.Uniform*u) - s*fx
	}
	theta, bend, x, y := angle, l.Moment+l.Curvature, 0.0, 0.0
	for i := range shootingSteps {
		u := float64(i) * h
		t1 := bend
		c1, s1, k1 := stage(u, theta)
		t2 := bend + h/2*k1
		c2, s2, k2 := stage(u+h/2, theta-h/2*t1)
		t3 := bend + h/2*k2
		c3, s3, k3 := stage(u+h/2, theta-h/2*t2)
		t4 := bend + h*k3
		c4, s4, k4 := stage(u+h, theta-h*t3)
		theta -= h / 6 * (t1 + 2*t2 + 2*t3 + t4)
		bend += h / 6 * (k1 + 2*k2 + 2*k3 + k4)
		x += h / 6 * (c1 + 2*c2 + 2*c3 + c4)
		y += h / 6 * (s1 + 2*s2 + 2*s3 + s4)
	}
	return theta, Tip{angle, x, y}
}

// bisect returns where an increasing function crosses zero between lo and hi.
func bisect(f func(float64) float64, lo, hi float64) float64 {
	for range 200 {
		mid := lo + (hi-lo)/2
		if mid == lo || mid == hi {
			break
		}
		if f(mid) < 0 {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo + (hi-lo)/2
}
