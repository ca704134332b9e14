package benchfit

import (
	"fmt"
	"strings"

	"holdfast/mechanics/hand"
	"holdfast/mechanics/trialsim"
)

// apply makes the fitted hand.
func apply(h *trialsim.Hand, p, start factors, told told) (*trialsim.Hand, error) {
	out := *h
	out.Fingers = append([]trialsim.Finger(nil), h.Fingers...)
	out.Cords, out.Chambers = append([]trialsim.Cord(nil), h.Cords...), append([]trialsim.Chamber(nil), h.Chambers...)
	var turns []bends
	for i := range out.Fingers {
		var joints []hand.Joint
		for j := range h.Fingers[i].Chain.Joints() {
			joint := h.Fingers[i].Chain.Joint(j)
			turn := bendsOf(joint)
			joint.Stiffness *= p.of(turn)
			joint.Damping *= p.of(turn) // a finger's loss stays the same share
			joints, turns = append(joints, joint), append(turns, turn)
		}
		chain, err := hand.NewChain(joints)
		if err != nil {
			return nil, fmt.Errorf("finger %s with the fitted numbers: %w", out.Fingers[i].Name, err)
		}
		out.Fingers[i].Chain = chain
	}
	for i := range out.Chambers {
		out.Chambers[i].Torque = times(out.Chambers[i].Torque, p.moment, turns)
	}
	for i := range out.Cords {
		c := &out.Cords[i]
		if !closesFinger(c, turns) {
			continue
		}
		c.Arms = times(c.Arms, p.arms, turns)
		if p.stretch != start.stretch {
			c.Stiffness = 1 / p.stretch
		}
		if told.on[pFriction] {
			c.Friction = p.friction
			if !rubs(c.Wraps) {
				c.Wraps = sheathed(h, c, turns)
			}
		}
	}
	out.Note = strings.TrimSpace(h.Note + " Its numbers were brought to bench records.")
	return &out, nil
}

func closesFinger(c *trialsim.Cord, turns []bends) bool {
	for j, a := range c.Arms {
		if a != 0 && turns[j] == closes {
			return true
		}
	}
	return false
}

// sheathed puts a sheath before the first joint of each finger that a cord closes.
func sheathed(h *trialsim.Hand, c *trialsim.Cord, turns []bends) []float64 {
	wraps := make([]float64, len(c.Arms))
	first := 0
	for i := range h.Fingers {
		n := h.Fingers[i].Chain.Joints()
		for j := first; j < first+n; j++ {
			if c.Arms[j] != 0 && turns[j] == closes {
				wraps[j] = sheath
				break
			}
		}
		first += n
	}
	return wraps
}

// times multiplies, in a copy, the entries of joints that close or give sideways.
func times(list []float64, factor float64, turns []bends) []float64 {
	out := append([]float64(nil), list...)
	for i := range out {
		if turns[i] != neither {
			out[i] *= factor
		}
	}
	return out
}
