package compare

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"
)

// common is the conditional model of a log odds ratio ψ that blocks have in common: in each, the number of A's successes
// has probability ∝ h(x)·e^{ψx}, with h hypergeometric, given the block's successes in all. What is needed of all blocks
// together follows from their moment-generating functions, so neither a great effect nor a hundred thousand trials run out
// of range.
type common struct {
	margins []margin
	index   map[[3]int]int
	seen    int // A's successes
	lo, hi  int // smallest and largest possible number
}

// margin is the distribution of A's successes in blocks that have sizes and successes in common.
type margin struct {
	first int
	log   []float64 // log h from there
	times int       // how many blocks there are
}

func (c *common) add(b Arms) {
	if c.index == nil {
		c.index = map[[3]int]int{}
	}
	key := [3]int{b.TrialsA, b.TrialsB, b.HeldA + b.HeldB}
	i, known := c.index[key]
	if !known {
		i = len(c.margins)
		c.index[key] = i
		c.margins = append(c.margins, newMargin(b.TrialsA, b.TrialsB, b.HeldA+b.HeldB))
	}
	m := &c.margins[i]
	m.times++
	c.seen += b.HeldA
	c.lo += m.first
	c.hi += m.first + len(m.log) - 1
}

func newMargin(trialsA, trialsB, held int) margin {
	lo, hi := max(0, held-trialsB), min(held, trialsA)
	m := margin{first: lo, log: make([]float64, hi-lo+1)}
	for x := lo; x < hi; x++ {
		m.log[x+1-lo] = m.log[x-lo] + math.Log(float64(held-x)*float64(trialsA-x)/(float64(x+1)*float64(trialsB-held+x+1)))
	}
	norm := m.logMoment(0)
	for i := range m.log {
		m.log[i] -= norm
	}
	return m
}

// logMoment is log Σ h(x)·e^{ψ(x−first)}.
func (m *margin) logMoment(psi float64) float64 {
	top := math.Inf(-1)
	for i, l := range m.log {
		top = math.Max(top, l+psi*float64(i))
	}
	sum := 0.0
	for i, l := range m.log {
		if d := l + psi*float64(i) - top; d > -45 {
			sum += math.Exp(d)
		}
	}
	return top + math.Log(sum)
}

// mean is the expected number of A's successes beyond the first, under ψ.
func (m *margin) mean(psi float64) float64 {
	norm, mean := m.logMoment(psi), 0.0
	for i, l := range m.log {
		if d := l + psi*float64(i) - norm; d > -45 {
			mean += float64(i) * math.Exp(d)
		}
	}
	return mean
}

// logMoment is the same over all blocks, of the number of A's successes beyond c.lo.
func (c *common) logMoment(psi float64) (sum float64) {
	for i := range c.margins {
		sum += float64(c.margins[i].times) * c.margins[i].logMoment(psi)
	}
	return sum
}

func (c *common) mean(psi float64) float64 {
	sum := float64(c.lo)
	for i := range c.margins {
		sum += float64(c.margins[i].times) * c.margins[i].mean(psi)
	}
	return sum
}

// steepest bounds ψ: odds a hundred billion times as good are as good as infinitely better.
const steepest = 25.0

// tilt is the ψ under which the number seen is the one expected.
func (c *common) tilt() float64 {
	lo, hi := -steepest, steepest
	for range 60 {
		if mid := (lo + hi) / 2; c.mean(mid) < float64(c.seen) {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}

// test is the exact test of ψ = 0, two-sided by doubling. The distribution under ψ = 0 is computed under the tilt that puts
// what was seen in its middle, and turned back: tails far out keep all their digits.
func (c *common) test() PValues {
	theta := c.tilt()
	p, first := []float64{1}, c.lo
	for i := range c.margins {
		m := &c.margins[i]
		norm := m.logMoment(theta)
		one := make([]float64, len(m.log))
		for k, l := range m.log {
			one[k] = math.Exp(l + theta*float64(k) - norm)
		}
		for range m.times {
			var cut int
			p, cut = trimmed(convolve(p, one))
			first += cut
		}
	}
	back := func(x int) float64 { // P(x) under ψ = 0, relative to the scale below
		if x < first || x-first >= len(p) {
			return 0
		}
		return p[x-first] * math.Exp(-theta*float64(x-c.seen))
	}
	scale := math.Exp(c.logMoment(theta) - theta*float64(c.seen-c.lo))
	tail, step := 0.0, 1
	if theta < 0 {
		step = -1
	}
	for x := c.seen; x >= first && x-first < len(p); x += step {
		tail += back(x)
	}
	small := math.Min(1, tail*scale)
	large := math.Min(1, math.Max(0, 1-small+back(c.seen)*scale))
	r := PValues{Greater: small, Less: large}
	if theta < 0 {
		r = PValues{Greater: large, Less: small}
	}
	r.TwoSided = math.Min(1, 2*math.Min(r.Greater, r.Less))
	return r
}

// convolve returns the distribution of a sum of two independent counts.
func convolve(a, b []float64) []float64 {
	c := make([]float64, len(a)+len(b)-1)
	for i, x := range a {
		for j, y := range b {
			c[i+j] += x * y
		}
	}
	return c
}

// trimmed leaves out what is negligible at both ends, and says how many at the first.
func trimmed(p []float64) (kept []float64, cut int) {
	const negligible = 1e-40
	for len(p) > 1 && p[len(p)-1] < negligible {
		p = p[:len(p)-1]
	}
	for cut < len(p)-1 && p[cut] < negligible {
		cut++
	}
	return p[cut:], cut
}

// positiveOdds is the posterior probability that ψ is positive, under the prior N(0, 2²).
func (c *common) positiveOdds() float64 {
	const spread = 2.0
	x := float64(c.seen - c.lo)
	log := func(psi float64) float64 { return psi*x - c.logMoment(psi) - psi*psi/(2*spread*spread) }
	// The logarithm of the posterior density is concave: its slope tells the way to its top.
	lo, hi := -steepest, steepest
	for range 60 {
		if mid := (lo + hi) / 2; float64(c.seen)-c.mean(mid)-mid/(spread*spread) > 0 {
			lo = mid
		} else {
			hi = mid
		}
	}
	top := (lo + hi) / 2
	peak := log(top)
	// Beyond the edges the density has fallen by e^−60.
	edge := func(way float64) float64 {
		step := 1e-6
		for peak-log(top+way*step) < 60 {
			step *= 1.5
		}
		return top + way*step
	}
	from, to := edge(-1), edge(1)
	mass := func(from, to float64) (sum float64) {
		if !(to > from) {
			return 0
		}
		const pieces = 12
		width := (to - from) / pieces
		for i := range pieces {
			a := from + width*float64(i)
			sum += quad.Fixed(func(psi float64) float64 { return math.Exp(log(psi) - peak) }, a, a+width, 16, nil, 0)
		}
		return sum
	}
	below, above := mass(from, math.Min(to, 0)), mass(math.Max(from, 0), to)
	return above / (above + below)
}
