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
	tails := newTails(n, m)
	// Logarithms of factorials are good to ten digits and more: tables closer than that are as extreme.
	seen := tails.greater(a.HeldA, a.HeldB) * (1 + 1e-9)
	// With more successes of A, or fewer of B, Fisher's value falls: the tables at least as extreme as the one seen are, for
	// each x of A, those with at most reach[x] successes of B, and reach rises with x. A staircase walk finds it.
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
	var room [2][]float64
	return largest(func(pi float64) float64 { return chanceBelow(reach, m, pi, &room) }, n+m)
}

// tails gives Fisher's P(X ≥ x | x+y successes) for all tables of two sample sizes, each summed from where it is wanted
// outwards: whole distributions of all sums would take memory that grows with the square of the trials.
type tails struct {
	n, m       int
	logFactors []float64 // logarithms of factorials
}

func newTails(n, m int) *tails {
	t := &tails{n, m, make([]float64, n+m+1)}
	lost := 0.0 // Kahan's compensation: a hundred thousand terms must not cost digits
	for k := 2; k <= n+m; k++ {
		term := math.Log(float64(k)) - lost
		sum := t.logFactors[k-1] + term
		lost = (sum - t.logFactors[k-1]) - term
		t.logFactors[k] = sum
	}
	return t
}

func (t *tails) logChoose(n, k int) float64 {
	return t.logFactors[n] - t.logFactors[k] - t.logFactors[n-k]
}

func (t *tails) greater(x, y int) float64 {
	held := x + y
	lo, hi := max(0, held-t.m), min(held, t.n)
	if x <= lo {
		return 1
	}
	at := math.Exp(t.logChoose(t.n, x) + t.logChoose(t.m, y) - t.logChoose(t.n+t.m, held))
	ratio := func(x int) float64 { // p(x+1)/p(x)
		return float64(held-x) * float64(t.n-x) / (float64(x+1) * float64(t.m-held+x+1))
	}
	const negligible = 1e-17
	if x > int(float64(held)*float64(t.n)/float64(t.n+t.m)) {
		sum := at
		for k, p := x, at; k < hi && p > negligible*sum; k++ {
			p *= ratio(k)
			sum += p
		}
		return math.Min(sum, 1)
	}
	// The larger part: what is left of the smaller one.
	below := 0.0
	for k, p := x, at; k > lo && p > negligible*below; k-- {
		p /= ratio(k - 1)
		below += p
	}
	return math.Max(1-below, 0)
}

// chanceBelow is P(Y ≤ reach[X]) for independent binomials X of len(reach)−1 and Y of m trials, both with probability pi. It
// writes into the room that it is handed, which is asked for hundreds of times.
func chanceBelow(reach []int, m int, pi float64, room *[2][]float64) float64 {
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
	px, from := binomialRow(room[0], n, pi)
	py, start := binomialRow(room[1], m, pi)
	room[0], room[1] = px, py
	sum, below, y := 0.0, 0.0, start
	for i, p := range px {
		for ; y-start < len(py) && y <= reach[from+i]; y++ {
			below += py[y-start]
		}
		sum += p * below
	}
	return math.Min(sum, 1)
}

// binomialRow returns the binomial probabilities of n trials that are not negligible, from their first number on, in the
// room's memory where that is enough.
func binomialRow(room []float64, n int, p float64) (row []float64, first int) {
	odds := p / (1 - p)
	mode := min(int(float64(n+1)*p), n)
	const negligible = 1e-18
	// Downwards from the mode, turned round, then upwards: only as many as count are ever held.
	row = append(room[:0], 1)
	for x, v := mode, 1.0; x > 0 && v > negligible; x-- {
		v *= float64(x) / (float64(n-x+1) * odds)
		row = append(row, v)
	}
	slices.Reverse(row)
	first = mode - len(row) + 1
	for x, v := mode, 1.0; x < n && v > negligible; x++ {
		v *= float64(n-x) / float64(x+1) * odds
		row = append(row, v)
	}
	sum := 0.0
	for _, v := range row {
		sum += v
	}
	for i := range row {
		row[i] /= sum
	}
	return row, first
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
