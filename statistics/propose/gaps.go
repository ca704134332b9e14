package propose

import (
	"fmt"
	"math"
	"slices"
	"sort"

	"holdfast/numeric"
)

// gap is a difference whose sign decides between two answers, one of which would be given now.
type gap struct {
	mean   float64 // at most 0 where the answer that would be given is the likelier
	weight float64
	parts  []part
	// why says what a trial settles, in words that follow "tells most about".
	why string
}

// part is what an arm contributes to a gap, up to its sign: its variance counts. Arms are independent, so the variances
// of a gap's parts add.
type part struct {
	arm  int
	rows []float64 // draws
}

// gain is E max(0, G) for a normal G: what is lost, on average, by standing on the other side of a gap.
func gain(mean, sd float64) float64 {
	if !(sd > 0) {
		return math.Max(mean, 0)
	}
	z := mean / sd
	return sd*math.Exp(-z*z/2)/math.Sqrt(2*math.Pi) + mean*numeric.NormalCDF(z)
}

// verdict is what would be answered in one group, what that loses draw by draw, and the gaps that could overturn it.
type verdict struct {
	choice Choice
	loss   []float64
	gaps   []gap
}

// The number of gaps that are followed. Further ones matter less than the noise of the draws.
const (
	mostRivals = 64
	mostBorder = 150
)

// settleBest looks for the best region among the arms of a group.
func (p *Problem) settleBest(group string, bs []*belief, arms []int) verdict {
	lead := arms[0]
	for _, a := range arms {
		if low := bs[a].lows[bs[a].best()]; low > bs[lead].lows[bs[lead].best()] {
			lead = a
		}
	}
	centre := bs[lead].best()
	chosen := bs[lead].core[centre]
	v := verdict{choice: choiceOf(group, lead, centre, chosen), loss: make([]float64, draws)}
	type rival struct{ arm, centre int }
	share := map[rival]float64{} // of the expected loss
	top, value := make([]rival, draws), make([]float64, draws)
	for _, a := range arms {
		at, success := bs[a].tops()
		for d, s := range success {
			if a == arms[0] || s > value[d] {
				top[d], value[d] = rival{a, at[d]}, s
			}
		}
	}
	for d, r := range top {
		v.loss[d] = value[d] - chosen[d]
		share[r] += v.loss[d] / draws
	}
	var rivals []rival
	for r := range share {
		if r != (rival{lead, centre}) {
			rivals = append(rivals, r)
		}
	}
	sort.Slice(rivals, func(i, j int) bool {
		a, b := rivals[i], rivals[j]
		if share[a] != share[b] {
			return share[a] > share[b]
		}
		return a.arm < b.arm || a.arm == b.arm && a.centre < b.centre
	})
	for _, r := range rivals[:min(len(rivals), mostRivals)] {
		other := bs[r.arm].core[r.centre]
		difference := make([]float64, draws)
		for d, c := range chosen {
			difference[d] = other[d] - c
		}
		g := gap{mean: mean(difference), parts: []part{{lead, difference}}}
		if r.arm != lead {
			g.parts = []part{{lead, chosen}, {r.arm, other}}
		}
		// Rivals overlap, and many may stand for one peak; each counts by its own share of the loss.
		g.weight = share[r] / math.Max(gain(g.mean, deviation(difference)), 1e-300)
		better := shareOf(func(d int) bool { return other[d] > chosen[d] })
		g.why = fmt.Sprintf("whether the region around %s (expected %s) is beaten by the one around %s (expected %s, better with %s probability)",
			p.place(lead, centre), percent(mean(chosen)), p.place(r.arm, r.centre), percent(mean(other)), percent(better))
		v.gaps = append(v.gaps, g)
	}
	if len(rivals) == 0 {
		// Nothing beats the choice in any draw; its own success is what is left to learn.
		v.gaps = []gap{p.own(lead, centre, chosen)}
	}
	return v
}

// own is the uncertainty of a region's success itself.
func (p *Problem) own(arm, centre int, rows []float64) gap {
	sd := deviation(rows)
	return gap{weight: 1, parts: []part{{arm, rows}},
		why: fmt.Sprintf("the mean success of the region around %s (expected %s, standard deviation %s)", p.place(arm, centre), percent(mean(rows)), points(sd))}
}

// settleBorder asks for every candidate of an arm whether its success on the line reaches the target.
func (p *Problem) settleBorder(b *belief, arm int) verdict {
	n := len(b.blurred)
	v := verdict{choice: Choice{Group: b.arm.Group, Arm: arm, Candidate: -1}, loss: make([]float64, draws)}
	type doubt struct {
		gap
		loss float64
	}
	doubts := make([]doubt, n)
	reach := make([]float64, draws)
	for i, row := range b.blurred {
		m := mean(row)
		above := shareOf(func(d int) bool { return row[d] >= p.Target })
		inside := above >= 0.5
		if inside {
			v.choice.Share += 1 / float64(n)
		}
		for d, s := range row {
			if (s >= p.Target) != inside {
				v.loss[d] += 1 / float64(n)
			}
			if s >= p.Target {
				reach[d] += 1 / float64(n)
			}
		}
		g := gap{mean: -math.Abs(m - p.Target), weight: 1 / float64(n), parts: []part{{arm, row}},
			why: fmt.Sprintf("whether %s reaches the target of %s (expected %s, reached with %s probability)", p.place(arm, i), percent(p.Target), percent(m), percent(above))}
		doubts[i] = doubt{g, gain(g.mean, deviation(row))}
	}
	v.choice.Success, v.choice.Low, v.choice.High = mean(reach), quantileOf(reach, lowLevel), quantileOf(reach, 1-lowLevel)
	sort.SliceStable(doubts, func(i, j int) bool { return doubts[i].loss > doubts[j].loss })
	for _, d := range doubts[:min(n, mostBorder)] {
		v.gaps = append(v.gaps, d.gap)
	}
	return v
}

// settleRank puts the arms of a group in the order of their best regions. An order loses, for each pair that stands the
// wrong way round, what the lower one is better by; the mean over pairs counts.
func (p *Problem) settleRank(group string, bs []*belief, arms []int) verdict {
	value := make(map[int][]float64, len(arms))
	for _, a := range arms {
		_, value[a] = bs[a].tops()
	}
	order := slices.Clone(arms)
	sort.SliceStable(order, func(i, j int) bool { return mean(value[order[i]]) > mean(value[order[j]]) })
	lead := order[0]
	centre := bs[lead].best()
	v := verdict{choice: choiceOf(group, lead, centre, bs[lead].core[centre]), loss: make([]float64, draws)}
	v.choice.Order = order
	for _, a := range order {
		v.choice.Tops = append(v.choice.Tops, mean(value[a]))
	}
	pairs := float64(len(order) * (len(order) - 1) / 2)
	for i, a := range order {
		for _, b := range order[i+1:] {
			wrong := 0
			for d := range draws {
				if diff := value[b][d] - value[a][d]; diff > 0 {
					v.loss[d] += diff / pairs
					wrong++
				}
			}
			v.gaps = append(v.gaps, gap{
				mean: mean(value[b]) - mean(value[a]), weight: 1 / pairs, parts: []part{{a, value[a]}, {b, value[b]}},
				why: fmt.Sprintf("whether %s (best region expected %s) stands before %s (%s; the other way round with %s probability)",
					p.name(a), percent(mean(value[a])), p.name(b), percent(mean(value[b])), percent(float64(wrong)/draws)),
			})
		}
	}
	return v
}

// settleMeasure takes the mean success over one region; what it loses is how far off it is.
func (p *Problem) settleMeasure(group string, bs []*belief, arms []int) verdict {
	arm, rows, centre := p.Measured, []float64(nil), 0
	if len(p.Region) > 0 {
		rows, centre = bs[arm].over(p.Region), p.middle()
	} else {
		v := p.settleBest(group, bs, arms)
		arm, centre = v.choice.Arm, v.choice.Candidate
		rows = bs[arm].core[centre]
	}
	v := verdict{choice: choiceOf(group, arm, centre, rows), loss: make([]float64, draws), gaps: []gap{p.own(arm, centre, rows)}}
	m := mean(rows)
	for d, s := range rows {
		v.loss[d] = math.Abs(s - m)
	}
	return v
}

// middle is the region's member nearest to all others.
func (p *Problem) middle() int {
	a := &p.Arms[p.Measured]
	best, least := p.Region[0], math.Inf(1)
	for _, i := range p.Region {
		sum := 0.0
		for _, j := range p.Region {
			sum += a.Symmetry.Distance(a.Candidates[i], a.Candidates[j])
		}
		if sum < least {
			best, least = i, sum
		}
	}
	return best
}

func choiceOf(group string, arm, centre int, rows []float64) Choice {
	return Choice{Group: group, Arm: arm, Candidate: centre, Success: mean(rows), Low: quantileOf(rows, lowLevel), High: quantileOf(rows, 1-lowLevel)}
}

func deviation(xs []float64) float64 {
	m, s := mean(xs), 0.0
	for _, x := range xs {
		s += (x - m) * (x - m)
	}
	return math.Sqrt(s / float64(len(xs)))
}
