package propose

import (
	"fmt"
	"math"
)

// guardEvery says how often a trial of a batch closes a gap in the cover instead of following the map.
const guardEvery = 4

// guard watches the gaps that the first cover left. What the map believes of places that nobody came near is mostly what
// it learnt elsewhere; on the tuning truths a rule that trusted it fully stayed with the wrong peak in one run of four.
// Gaps narrower than a region do not matter: a peak that fits into them does not make a region.
type guard struct {
	p       *Problem
	made    int // trials made, planned or placed, so that a robot that asks for one at a time gets its turn, too
	spreads map[int]*spread
	arms    []int
}

func (p *Problem) newGuard(setup string) *guard {
	g := &guard{p: p, spreads: map[int]*spread{}}
	if p.Question == Measure {
		return g
	}
	for a := range p.Arms {
		g.made += int(math.Round(p.Arms[a].trials())) + len(p.Arms[a].Pending)
		if p.Arms[a].Setup == setup {
			g.arms = append(g.arms, a)
			g.spreads[a] = newSpread(&p.Arms[a], p.Seed)
		}
	}
	return g
}

// next gives the trial that closes the widest gap, when it is its turn and the gap is wider than a region.
func (g *guard) next() (t Trial, ok bool) {
	g.made++
	if g.made%guardEvery != 0 {
		return t, false
	}
	widest, arm := 0.0, -1
	for _, a := range g.arms {
		if d := g.spreads[a].farthest(); d > widest && d > g.p.radius(a) {
			widest, arm = d, a
		}
	}
	if arm < 0 {
		return t, false
	}
	x, angle := g.spreads[arm].take()
	return Trial{Arm: arm, Candidate: x, Rotation: g.p.Arms[arm].Candidates[x], Cover: true,
		Why: fmt.Sprintf("Closes the widest gap in what was tried of %s: the nearest trial is %.0f° away, and a region as good as the best could hide there.", g.p.name(arm), angle*180/math.Pi)}, true
}

func (g *guard) put(t Trial) {
	if s := g.spreads[t.Arm]; s != nil {
		s.put(t.Rotation)
	}
}

// radius of an arm's regions.
func (p *Problem) radius(arm int) float64 {
	if p.MinRadius > 0 {
		return p.MinRadius
	}
	return 1.5 * p.Arms[arm].Spacing
}
