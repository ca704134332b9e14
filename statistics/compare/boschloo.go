package compare

import (
	"math"
	"slices"
)

// Boschloo is Boschloo's exact unconditional test: Fisher's p-value as the statistic, and the largest chance, over the
// common success probability, of one as small (R. D. Boschloo, Statistica Neerlandica 24 (1970) 1). It is never less
// powerful than Fisher's. The two-sided value is twice the smaller one-sided one, at most 1.
func Boschloo(a Arms) (PValues, error) {
	if err := a.check(); err != nil {
		return PValues{}, err
	}
	p := PValues{Greater: boschlooGreater(a), Less: boschlooGreater(a.swapped())}
	p.TwoSided = math.Min(1, 2*math.Min(p.Greater, p.Less))
	return p, nil
}

// boschlooGreater tests whether A is better.
func boschlooGreater(a Arms) float64 {
	n, m := a.TrialsA, a.TrialsB
	seen := newHypergeometric(n, m, a.HeldA+a.HeldB).atLeast(a.HeldA) * equal
	// With more successes of A, or fewer of B, Fisher's value falls: the tables at least as extreme as the one seen are, for
	// each x of A, those with at most reach[x] successes of B, and reach rises with x. A staircase walk finds it.
	tails := newTails(n, m)
	reach := make([]int, n+1)
	y := -1
	for x := range reach {
		for y < m && tails.greater(x, y+1) <= seen {
			y++
		}
		reach[x] = y
	}
	if reach[n] < 0 {
		return 1 // the table seen is the least extreme of all; rounding only
	}
	chance := func(pi float64) float64 { return chanceBelow(reach, m, pi) }
	return largest(chance, n+m)
}

// tails gives Fisher's P(X ≥ x | x+y successes) for all tables of two sample sizes.
type tails struct {
	n, m int
	by   []*hypergeometric // by number of successes in all, made when asked for
}

func newTails(n, m int) *tails { return &tails{n, m, make([]*hypergeometric, n+m+1)} }

func (t *tails) greater(x, y int) float64 {
	h := t.by[x+y]
	if h == nil {
		made := newHypergeometric(t.n, t.m, x+y)
		// Kept as upper tails: each is asked for once or twice, and summing them in one pass costs nothing.
		for i := len(made.p) - 2; i >= 0; i-- {
			made.p[i] += made.p[i+1]
		}
		h = &made
		t.by[x+y] = h
	}
	return math.Min(1, h.p[x-h.first])
}

// chanceBelow is P(Y ≤ reach[X]) for independent binomials X of len(reach)−1 and Y of m trials, both with probability pi.
func chanceBelow(reach []int, m int, pi float64) float64 {
	n := len(reach) - 1
	if pi <= 0 || pi >= 1 {
		x := 0
		if pi >= 1 {
			x = n
		}
		if y := x / max(n, 1) * m; y <= reach[x] {
			return 1
		}
		return 0
	}
	px, from := binomialRow(n, pi)
	py, start := binomialRow(m, pi)
	sum, below, y := 0.0, 0.0, start
	for i, p := range px {
		for ; y-start < len(py) && y <= reach[from+i]; y++ {
			below += py[y-start]
		}
		sum += p * below
	}
	return math.Min(sum, 1)
}

// binomialRow returns the binomial probabilities of n trials that are not negligible, from their first number on.
func binomialRow(n int, p float64) (row []float64, first int) {
	odds := p / (1 - p)
	mode := min(int(float64(n+1)*p), n)
	row = make([]float64, n+1)
	row[mode] = 1
	lo, hi, sum := mode, mode, 1.0
	const negligible = 1e-18
	for x := mode; x < n && row[x] > negligible; x++ {
		row[x+1] = row[x] * float64(n-x) / float64(x+1) * odds
		sum += row[x+1]
		hi = x + 1
	}
	for x := mode; x > 0 && row[x] > negligible; x-- {
		row[x-1] = row[x] * float64(x) / (float64(n-x+1) * odds)
		sum += row[x-1]
		lo = x - 1
	}
	row = row[lo : hi+1]
	for i := range row {
		row[i] /= sum
	}
	return row, lo
}

// largest returns the largest value of a smooth function of a probability that may have several humps, each no narrower
// than the spread of a share of n: a scan even in the arc sine of its root, where that spread is the same everywhere, then
// golden sections in the best places.
func largest(f func(float64) float64, n int) float64 {
	steps := 24 + int(4*math.Sqrt(float64(n))*math.Pi/2)
	at := func(i float64) float64 {
		s := math.Sin(math.Pi / 2 * i / float64(steps))
		return s * s
	}
	value := make([]float64, steps+1)
	for i := range value {
		value[i] = f(at(float64(i)))
	}
	best := slices.Max(value)
	for i, v := range value {
		if v < 0.9*best || i > 0 && value[i-1] > v || i < steps && value[i+1] > v {
			continue
		}
		lo, hi := math.Max(float64(i)-1, 0), math.Min(float64(i)+1, float64(steps))
		best = math.Max(best, golden(func(x float64) float64 { return f(at(x)) }, lo, hi))
	}
	return best
}

// golden returns the largest value found of a function with one hump in [lo, hi].
func golden(f func(float64) float64, lo, hi float64) float64 {
	const share = 0.6180339887498949
	a, b := hi-share*(hi-lo), lo+share*(hi-lo)
	fa, fb := f(a), f(b)
	best := math.Max(fa, fb)
	for hi-lo > 1e-6 { // the function is flat at its top: its value is good to the square of this
		if fa > fb {
			hi, b, fb = b, a, fa
			a = hi - share*(hi-lo)
			fa = f(a)
		} else {
			lo, a, fa = a, b, fb
			b = lo + share*(hi-lo)
			fb = f(b)
		}
		best = math.Max(best, math.Max(fa, fb))
	}
	return best
}
