package propose

import (
	"fmt"
	"math"
)

// placing follows a batch: one ensemble for each arm with trials, and the gaps whose loss it should lower.
type placing struct {
	p        *Problem
	bs       []*belief
	gaps     []gap
	arms     []*ensemble // nil: no trials
	quantity [][]int     // arm, quantity of its ensemble: gap
}

func (p *Problem) newPlacing(bs []*belief, gaps []gap) *placing {
	s := &placing{p: p, bs: bs, gaps: gaps, arms: make([]*ensemble, len(bs)), quantity: make([][]int, len(bs))}
	rows := make([][][]float64, len(bs))
	for k, g := range gaps {
		for _, part := range g.parts {
			rows[part.arm] = append(rows[part.arm], part.rows)
			s.quantity[part.arm] = append(s.quantity[part.arm], k)
		}
	}
	for a, b := range bs {
		if len(rows[a]) == 0 {
			continue
		}
		s.arms[a] = newEnsemble(b.plain, rows[a])
		for _, r := range b.arm.Pending {
			at, _ := b.arm.Symmetry.Nearest(b.arm.Candidates, r)
			s.arms[a].observe(at)
		}
	}
	return s
}

// variances of the gaps as they stand.
func (s *placing) variances() []float64 {
	v := make([]float64, len(s.gaps))
	for a, e := range s.arms {
		for q, k := range s.quantity[a] {
			v[k] += e.variance(q)
		}
	}
	return v
}

// next takes the trial that is expected to lower the loss most, among the arms allowed, and counts it as made. ok is
// false when no trial lowers it.
func (s *placing) next(allowed func(arm int) bool) (t Trial, lowers float64, ok bool) {
	variance := s.variances()
	loss := make([]float64, len(s.gaps))
	for k, g := range s.gaps {
		loss[k] = g.weight * gain(g.mean, math.Sqrt(variance[k]))
	}
	bestGap, bestShare := 0, 0.0
	for a, e := range s.arms {
		if e == nil || !allowed(a) {
			continue
		}
		reductions := e.reductions()
		for x := range e.n {
			sum, most, mostAt, mostShare := 0.0, -1.0, 0, 0.0
			for q, k := range s.quantity[a] {
				v := reductions[q*e.n+x]
				g := &s.gaps[k]
				less := loss[k] - g.weight*gain(g.mean, math.Sqrt(math.Max(variance[k]-v, 0)))
				sum += less
				if less > most {
					most, mostAt, mostShare = less, k, v
				}
			}
			if sum > lowers {
				lowers, ok = sum, true
				t = Trial{Arm: a, Candidate: x}
				bestGap, bestShare = mostAt, mostShare
			}
		}
	}
	if !ok {
		return t, 0, false
	}
	less := 1 - math.Sqrt(math.Max(variance[bestGap]-bestShare, 0)/math.Max(variance[bestGap], 1e-300))
	t.Rotation = s.p.Arms[t.Arm].Candidates[t.Candidate]
	s.take(t)
	t.Why = fmt.Sprintf("Tells most about %s: this trial takes %.2g %% off the standard deviation of %s.", s.gaps[bestGap].why, 100*less, points(math.Sqrt(variance[bestGap])))
	return t, lowers, true
}

// take counts a trial as made.
func (s *placing) take(t Trial) {
	if e := s.arms[t.Arm]; e != nil {
		e.observe(t.Candidate)
	}
}

// settle places a batch in one set-up, and returns what it takes off the expected loss.
func (p *Problem) settle(bs []*belief, gaps []gap, setup string) (trials []Trial, lowers float64) {
	s := p.newPlacing(bs, gaps)
	gapsLeft := p.newGuard(setup)
	for len(trials) < p.Batch {
		if guard, ok := gapsLeft.next(); ok {
			trials = append(trials, guard)
			s.take(guard)
			continue
		}
		t, by, ok := s.next(func(arm int) bool { return p.Arms[arm].Setup == setup })
		if !ok {
			break
		}
		gapsLeft.put(t)
		trials = append(trials, t)
		lowers += by
	}
	return trials, lowers
}

// cover spreads a batch over the arms of one set-up that still lack their first cover, by turns.
func (p *Problem) cover(bs []*belief, setup string) []Trial {
	var arms []int
	spreads := map[int]*spread{}
	missing := map[int]int{}
	for a := range p.Arms {
		if left := p.uncovered(bs, a); left > 0 && p.Arms[a].Setup == setup {
			arms = append(arms, a)
			missing[a] = left
			spreads[a] = newSpread(&p.Arms[a], p.Seed)
		}
	}
	var trials []Trial
	for i := 0; len(trials) < p.Batch; i++ {
		a := arms[i%len(arms)]
		// What is left of a batch when all covers are complete goes on with them.
		if missing[a] <= 0 && anyLeft(missing) {
			continue
		}
		missing[a]--
		x, angle := spreads[a].take()
		t := Trial{Arm: a, Candidate: x, Rotation: p.Arms[a].Candidates[x], Cover: true}
		size := p.coverSize(a)
		what := fmt.Sprintf("First cover of %s (%d in all)", p.name(a), size)
		switch {
		case !math.IsInf(angle, 1):
			t.Why = fmt.Sprintf("%s: no candidate is farther from what was tried, the nearest trial is %.0f° away.", what, angle*180/math.Pi)
		case spreads[a].given == 1:
			t.Why = what + ": nothing was tried yet."
		default:
			t.Why = what + ": every candidate was tried, the next round begins."
		}
		trials = append(trials, t)
	}
	return trials
}

func anyLeft(missing map[int]int) bool {
	for _, n := range missing {
		if n > 0 {
			return true
		}
	}
	return false
}

func (p *Problem) coverSize(arm int) int {
	if p.FirstCover > 0 {
		return p.FirstCover
	}
	return DefaultCover(&p.Arms[arm], p.Seed)
}

// uncovered is how many trials an arm's first cover lacks, those that are planned counted as made.
func (p *Problem) uncovered(bs []*belief, arm int) int {
	return p.coverSize(arm) - int(math.Round(bs[arm].trials)) - len(p.Arms[arm].Pending)
}
