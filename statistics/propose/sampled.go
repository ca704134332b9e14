package propose

import (
	"holdfast/numeric"
	"holdfast/numeric/dense"
)

// Rule says how trials are placed once the first covers are complete.
type Rule string

// The rules. The default did best on the tuning truths (DESIGN.md); the others remain as what it was held against, and
// answer the question Best only.
const (
	ByLoss Rule = ""        // where most of the expected loss goes
	ByDraw Rule = "draw"    // in the region that is best in a random draw (posterior sampling)
	TopTwo Rule = "top two" // half of the time in the leading region, else in the best of a draw in which that does not lead
)

// sampled places a batch by posterior sampling (W. R. Thompson, "On the likelihood that one unknown probability exceeds
// another in view of the evidence of two samples", Biometrika 25 (1933) 285) or its top-two form (D. Russo, "Simple
// Bayesian algorithms for best-arm identification", Oper. Res. 68 (2020) 1625); both from memory. Inside the region the
// least certain orientation is tried.
func (p *Problem) sampled(bs []*belief) []Trial {
	all := make([]int, len(bs))
	for a := range all {
		all[a] = a
	}
	lead := p.settleBest("", bs, all).choice
	rng := numeric.Stream(p.Seed, "placing trials")
	ensembles := make([]*ensemble, len(bs))
	type region struct{ arm, centre int }
	top, value := make([]region, draws), make([]float64, draws)
	for a, b := range bs {
		ensembles[a] = newEnsemble(b.plain, nil)
		at, success := b.tops()
		for d, s := range success {
			if a == 0 || s > value[d] {
				top[d], value[d] = region{a, at[d]}, s
			}
		}
	}
	var trials []Trial
	for range p.Batch {
		g := top[rng.IntN(draws)]
		if p.Rule == TopTwo {
			leading := region{lead.Arm, lead.Candidate}
			toLeader := rng.IntN(2) == 0
			for tries := 0; g == leading && tries < 50; tries++ {
				g = top[rng.IntN(draws)]
			}
			if toLeader {
				g = leading
			}
		}
		e := ensembles[g.arm]
		at, most := 0, -1.0
		for _, x := range bs[g.arm].cores[g.centre] {
			if v := dense.Dot(e.row(x), e.row(x)); v > most {
				at, most = x, v
			}
		}
		e.observe(at)
		trials = append(trials, Trial{Arm: g.arm, Candidate: at, Rotation: p.Arms[g.arm].Candidates[at], Why: "Lies in a region that was the best in a draw from what is believed."})
	}
	return trials
}
