package acceptance

import "math"

// end is a state in which runs end.
type end struct {
	n, d     int
	accepted bool
	weight   float64 // probability of ending there
}

// negligible is a probability that no sum of this package would show.
const negligible = 1e-40

// walk sends probability through the lattice: fail gives the chance that the next trial fails after n trials with d
// failures. It returns the states in which runs end, acceptances in order of n and d, then rejections in order of n
// descending and d: from the best outcome to the worst.
func (p *Plan) walk(fail func(n, d int) float64) []end {
	var accepted, rejected []end
	alive := []float64{1} // alive[d]: probability of d failures, undecided; index 0 is failure count first
	first := 0
	for i := range p.Accept {
		n := i + 1
		next := make([]float64, len(alive)+1)
		for k, w := range alive {
			if w == 0 {
				continue
			}
			q := fail(i, first+k)
			next[k] += w * (1 - q)
			next[k+1] += w * q
		}
		// What is decided leaves at both ends.
		lo, hi := 0, len(next)
		for lo < hi && first+lo <= p.Accept[i] {
			accepted = append(accepted, end{n, first + lo, true, next[lo]})
			lo++
		}
		for hi > lo && first+hi-1 >= p.Reject[i] {
			rejected = append(rejected, end{n, first + hi - 1, false, next[hi-1]})
			hi--
		}
		// States that are practically never reached are let go, so that long plans stay narrow.
		for lo < hi && next[lo] < negligible {
			lo++
		}
		for hi > lo && next[hi-1] < negligible {
			hi--
		}
		alive, first = next[lo:hi], first+lo
	}
	// Rejections were met in order of n ascending and d descending.
	for l, r := 0, len(rejected)-1; l < r; l, r = l+1, r-1 {
		rejected[l], rejected[r] = rejected[r], rejected[l]
	}
	return append(accepted, rejected...)
}

// Characteristics is what a plan does when the true probability of failure is P.
type Characteristics struct {
	P      float64 // probability of failure
	Accept float64 // chance that the run is accepted
	Length float64 // expected number of trials
}

// At returns the plan's characteristics at a probability of failure, exactly.
func (p *Plan) At(failure float64) Characteristics {
	c := Characteristics{P: failure}
	for _, e := range p.walk(func(int, int) float64 { return failure }) {
		c.Length += float64(e.n) * e.weight
		if e.accepted {
			c.Accept += e.weight
		}
	}
	return c
}

// Curve returns the operating characteristic and the expected length at points probabilities of failure from 0 to the
// largest.
func (p *Plan) Curve(largest float64, points int) []Characteristics {
	list := make([]Characteristics, points)
	for i := range list {
		list[i] = p.At(largest * float64(i) / float64(max(points-1, 1)))
	}
	return list
}

// Quantile returns the probability of failure at which the plan is accepted with the chance given, 0 < chance < 1: the
// plan's quality levels. Plans accept the less the more fails, so bisection finds it.
func (p *Plan) Quantile(chance float64) float64 {
	lo, hi := 0.0, 1.0
	for range 60 {
		if mid := (lo + hi) / 2; p.At(mid).Accept > chance {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}

// Beta is a beta distribution of the probability of success: a prior, or what became of it.
type Beta struct{ Successes, Failures float64 }

// Assurance is what a plan promises a person with a prior.
type Assurance struct {
	Pass      float64 // chance that the run is accepted, all doubt about p counted
	GoodGiven float64 // chance that the success probability reaches the target, given that the run is accepted
	Length    float64 // expected number of trials
}

// Assure returns the chance to pass under a prior, and what passing would prove (A. O'Hagan, J. W. Stevens, M. J.
// Campbell, Pharm. Stat. 4 (2005); idea from memory). Under a beta prior the next trial fails with probability
// (b+d)/(a+b+n), so the same walk serves.
func (p *Plan) Assure(prior Beta, target float64) Assurance {
	var a Assurance
	good := 0.0
	ends := p.walk(func(n, d int) float64 {
		return (prior.Failures + float64(d)) / (prior.Successes + prior.Failures + float64(n))
	})
	for _, e := range ends {
		a.Length += float64(e.n) * e.weight
		if e.accepted {
			a.Pass += e.weight
			good += e.weight * prior.after(e.n, e.d).Beyond(target)
		}
	}
	a.GoodGiven = good / a.Pass
	if a.Pass == 0 {
		a.GoodGiven = math.NaN()
	}
	return a
}
