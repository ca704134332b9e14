package hand

import (
	"fmt"
	"math"
)

// Phalanges is a planar underactuated finger that touches an item with one point of each phalanx, without friction.
type Phalanges struct {
	Lengths  []float64 // m, of all phalanges but the last, whose length plays no part
	Contacts []float64 // m, from each phalanx's joint to its contact
	Angles   []float64 // rad, of each phalanx against the one before; the first plays no part
}

// CordTorques returns the torques (N m) at the joints of one tendon running over pulleys, from the torque at the first.
func CordTorques(first float64, radii []float64) []float64 {
	torques := make([]float64, len(radii))
	for i, r := range radii {
		torques[i] = first * r / radii[0]
	}
	return torques
}

// LinkageRatio returns the ratio of distal to proximal torque of a four-bar linkage, h/(h + l), with h the signed distance
// from the distal joint to where the coupler's line cuts the proximal phalanx of length l (L. Birglen, C. M. Gosselin,
// IEEE TRA 20 (2004), from memory).
func LinkageRatio(h, l float64) float64 { return h / (h + l) }

// jacobian holds how fast contact i moves into the item as joint j turns, row by row.
func (p *Phalanges) jacobian() ([]float64, error) {
	n := len(p.Contacts)
	if n == 0 || len(p.Lengths) != n-1 || len(p.Angles) != n {
		return nil, fmt.Errorf("%d contacts need %d lengths and %d angles, got %d and %d", n, n-1, n, len(p.Lengths), len(p.Angles))
	}
	for i, k := range p.Contacts {
		if !(k > 0) || math.IsInf(k, 0) || math.IsNaN(p.Angles[i]) || math.IsInf(p.Angles[i], 0) {
			return nil, fmt.Errorf("phalanx %d: contact at %g m, angle %g rad; a contact must lie beyond its joint", i+1, k, p.Angles[i])
		}
	}
	for i, l := range p.Lengths {
		if !(l > 0) || math.IsInf(l, 0) {
			return nil, fmt.Errorf("phalanx %d: length is %g m; it must be above 0", i+1, l)
		}
	}
	jac := make([]float64, n*n)
	for i := range n {
		arm, angle := p.Contacts[i], 0.0
		for j := i; ; j-- {
			jac[i*n+j] = arm
			if j == 0 {
				break
			}
			angle += p.Angles[j]
			arm += p.Lengths[j-1] * math.Cos(angle)
		}
	}
	return jac, nil
}

// Forces returns the contact forces (N) that balance joint torques (N m) when every phalanx touches: Jᵀ·f = τ, solved from
// the tip back (L. Birglen, C. M. Gosselin, IEEE TRA 20 (2004), form from memory, re-derived by virtual work; DESIGN.md,
// eq. 15). A negative force means that the contact cannot be kept; see [Phalanges.Opening].
func (p *Phalanges) Forces(torques []float64) ([]float64, error) {
	jac, err := p.jacobian()
	if err != nil {
		return nil, err
	}
	n := len(p.Contacts)
	if len(torques) != n {
		return nil, fmt.Errorf("%d torques for %d joints", len(torques), n)
	}
	f := make([]float64, n)
	for j := n - 1; j >= 0; j-- {
		f[j] = torques[j]
		for i := j + 1; i < n; i++ {
			f[j] -= jac[i*n+j] * f[i]
		}
		f[j] /= jac[j*n+j]
	}
	return f, nil
}

// Opening returns what happens next under joint torques (N m): the forces (N) on the contacts that stay and the speeds
// (m/s) at which the others leave the item, when the joints move against dampers (N m s/rad, one a joint). Where
// [Phalanges.Forces] are all positive nothing moves and the forces are the same. Otherwise there is no balance at these
// angles, forces hang on the dampers, and which contacts open is the answer (DESIGN.md, eq. 16):
//
//	f ≥ 0,   v = −J·q̇ ≥ 0,   f·v = 0,   D·q̇ = τ − Jᵀ·f
func (p *Phalanges) Opening(torques, dampers []float64) (forces, speeds []float64, err error) {
	jac, err := p.jacobian()
	if err != nil {
		return nil, nil, err
	}
	n := len(p.Contacts)
	if len(torques) != n || len(dampers) != n {
		return nil, nil, fmt.Errorf("%d torques and %d dampers for %d joints", len(torques), len(dampers), n)
	}
	matrix, offset := make([]float64, n*n), make([]float64, n)
	for j, d := range dampers {
		if !(d > 0) || math.IsInf(d, 0) {
			return nil, nil, fmt.Errorf("joint %d: damper is %g; it must be above 0", j+1, d)
		}
		for i := range n {
			offset[i] -= jac[i*n+j] * torques[j] / d
			for k := range n {
				matrix[i*n+k] += jac[i*n+j] * jac[k*n+j] / d
			}
		}
	}
	forces, err = complementarity(matrix, offset)
	if err != nil {
		return nil, nil, err
	}
	speeds = make([]float64, n)
	for i := range n {
		if forces[i] > 0 {
			continue
		}
		speeds[i] = offset[i]
		for k := range n {
			speeds[i] += matrix[i*n+k] * forces[k]
		}
		speeds[i] = math.Max(0, speeds[i])
	}
	return forces, speeds, nil
}

// RollingContact returns where on the distal phalanx (m from its joint) a single contact is in balance: R·l·cos θ/(1 − R)
// for a finger of two phalanges, ratio R of distal to proximal torque below 1, proximal length l, distal angle θ. With the
// contact nearer to the joint the proximal phalanx leaves the item and the finger rolls towards letting go (L. Birglen, T.
// Laliberté, C. M. Gosselin, "Underactuated Robotic Hands" (2008), from memory).
func RollingContact(ratio, proximal, angle float64) float64 {
	return ratio * proximal * math.Cos(angle) / (1 - ratio)
}

// HoldingShare returns the share of contacts (distal angle even over 0 … 90°, contact even over the distal phalanx) at which
// the proximal phalanx keeps touching, of a finger of two phalanges.
func HoldingShare(ratio, proximal, distal float64) float64 {
	reach := RollingContact(ratio, proximal, 0) / distal
	if reach <= 1 {
		return 1 - reach*2/math.Pi
	}
	// Up to the angle where the balance point is at the tip every contact is lost.
	all := math.Acos(1 / reach)
	return 1 - 2/math.Pi*(all+reach*(1-math.Sin(all)))
}
