package compare

import (
	"math"

	"holdfast/domain"
	"holdfast/numeric"
	"holdfast/statistics/proportion"
)

// Blocked is what two samples say that were run in the same blocks: days, batches, specimens. A block's own ease or
// difficulty drops out.
type Blocked struct {
	Blocks     int                 // blocks with trials of both
	Left       int                 // trials in blocks with one of them only, which say nothing here
	Difference float64             // Mantel and Haenszel's weighted difference of shares held
	Interval   proportion.Interval // of it, with Sato's variance, at Level
	Level      float64
	Better     float64 // posterior probability that A is better: exact conditional likelihood of a common odds ratio
	Exact      PValues // exact conditional test of a common odds ratio of 1
}

// PerBlock compares two samples block by block. The difference is that of N. Mantel and W. Haenszel with the variance of
// T. Sato, Biometrics 45 (1989) 1323 (formulas from memory), which holds for few large and for many small blocks. The
// test and the posterior condition on each block's number of successes, so a block's own level can not bias them; the
// log odds ratio has a normal prior of standard deviation 2.
func PerBlock(blocks []Arms, level float64) (Blocked, error) {
	r := Blocked{Level: level}
	if !(level > 0 && level < 1) {
		return r, domain.Errorf(domain.KindInvalid, "the level is %g; it must lie between 0 and 1", level)
	}
	var weight, sum, p, q float64
	var all common
	for _, b := range blocks {
		if b.TrialsA < 1 || b.TrialsB < 1 {
			r.Left += b.TrialsA + b.TrialsB
			continue
		}
		if err := b.check(); err != nil {
			return r, err
		}
		r.Blocks++
		n, m, x, y := float64(b.TrialsA), float64(b.TrialsB), float64(b.HeldA), float64(b.HeldB)
		all.add(b)
		weight += n * m / (n + m)
		sum += (x*m - y*n) / (n + m)
		p += (n*n*y - m*m*x + n*m*(m-n)/2) / ((n + m) * (n + m))
		q += (x*(m-y) + y*(n-x)) / (2 * (n + m))
	}
	if r.Blocks == 0 {
		return r, domain.Errorf(domain.KindInvalid, "no block has trials of both; a comparison by block needs some")
	}
	r.Difference = sum / weight
	z := numeric.NormalQuantile((1 + level) / 2)
	half := z * math.Sqrt(math.Max(0, r.Difference*p+q)) / weight
	r.Interval = proportion.Interval{Low: math.Max(-1, r.Difference-half), High: math.Min(1, r.Difference+half)}
	r.Exact = all.test()
	r.Better = all.positiveOdds()
	return r, nil
}

// Sentence says what the blocks found.
func (r *Blocked) Sentence(a, b string) string {
	return sentence(a, b, r.Difference, r.Interval, r.Level, r.Better)
}
