package propose

import (
	"context"
	"slices"

	"holdfast/numeric"
	"holdfast/statistics/decide"
	"holdfast/statistics/successmap"
)

// draws is the number of joint posterior draws that everything rests on. They come in antithetic pairs.
const draws = 400

// belief is what the trials say about one arm, as joint draws.
type belief struct {
	arm     *Arm
	trials  float64
	plain   [][]float64 // candidate, draw: success of a trial there
	blurred [][]float64 // candidate, draw: success on the line
	cores   [][]int     // candidate: members of the region centred there
	core    [][]float64 // candidate, draw: mean success on the line over that region
	lows    []float64   // candidate: lower bound of the same
}

// lowLevel is the quantile that ranks regions, as in decide.Best.
const lowLevel = 0.05

// believe fits an arm's map and draws from it. Without trials there is nothing to draw from, and only trials is set.
func (p *Problem) believe(ctx context.Context, index int) (*belief, error) {
	a := &p.Arms[index]
	b := &belief{arm: a, trials: a.trials()}
	if b.trials == 0 {
		return b, nil
	}
	m, err := successmap.Fit(ctx, a.Observations, successmap.Options{Symmetry: a.Symmetry, Workers: p.Workers})
	if err != nil {
		return nil, err
	}
	// Each arm has draws of its own: arms are fitted apart, so their errors have nothing to do with each other.
	seed := numeric.Stream(p.Seed, "draws of an arm", index).Uint64()
	if b.plain, b.blurred, err = m.JointDraws(draws, seed, a.Candidates, p.Blur); err != nil {
		return nil, err
	}
	n := len(a.Candidates)
	b.cores = decide.Cores(n, func(i, j int) float64 { return a.Symmetry.Distance(a.Candidates[i], a.Candidates[j]) },
		decide.Options{Spacing: a.Spacing, MinRadius: p.MinRadius})
	b.core, b.lows = make([][]float64, n), make([]float64, n)
	for i, members := range b.cores {
		b.core[i] = b.over(members)
		b.lows[i] = quantileOf(b.core[i], lowLevel)
	}
	return b, nil
}

// over returns the draws of the mean success on the line over candidates.
func (b *belief) over(members []int) []float64 {
	sum := make([]float64, draws)
	for _, j := range members {
		for d, v := range b.blurred[j] {
			sum[d] += v
		}
	}
	for d := range sum {
		sum[d] /= float64(len(members))
	}
	return sum
}

// best is the region that would be chosen of the arm: the one with the highest lower bound.
func (b *belief) best() int {
	best := 0
	for i, low := range b.lows {
		if low > b.lows[best] {
			best = i
		}
	}
	return best
}

// tops returns, draw by draw, the best region and its success.
func (b *belief) tops() (at []int, value []float64) {
	at, value = make([]int, draws), append([]float64(nil), b.core[0]...)
	for i, row := range b.core {
		for d, v := range row {
			if v > value[d] {
				value[d], at[d] = v, i
			}
		}
	}
	return at, value
}

func mean(xs []float64) float64 {
	s := 0.0
	for _, x := range xs {
		s += x
	}
	return s / float64(len(xs))
}

// quantileOf returns the q-quantile by linear interpolation between order statistics (R. J. Hyndman and Y. Fan, "Sample
// quantiles in statistical packages", Am. Stat. 50 (1996) 361, definition 7; from memory).
func quantileOf(xs []float64, q float64) float64 {
	sorted := slices.Clone(xs)
	slices.Sort(sorted)
	h := q * float64(len(sorted)-1)
	i := int(h)
	if i+1 >= len(sorted) {
		return sorted[len(sorted)-1]
	}
	return sorted[i] + (h-float64(i))*(sorted[i+1]-sorted[i])
}

// shareOf is the share of draws for which holds is true.
func shareOf(holds func(d int) bool) float64 {
	n := 0
	for d := range draws {
		if holds(d) {
			n++
		}
	}
	return float64(n) / draws
}
