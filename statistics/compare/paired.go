package compare

import (
	"math"

	"holdfast/domain"
	"holdfast/numeric"
	"holdfast/statistics/proportion"
)

// Pairs are the counts of runs that were tried under both A and B: same item, orientation and placement.
type Pairs struct{ Both, OnlyA, OnlyB, Neither int }

// N returns the number of pairs.
func (p Pairs) N() int { return p.Both + p.OnlyA + p.OnlyB + p.Neither }

// Paired is what pairs say. Only pairs that differ tell A and B apart.
type Paired struct {
	Pairs
	Difference float64             // share held of A minus that of B
	Interval   proportion.Interval // Newcombe's square-and-add interval for pairs, at Level
	Level      float64
	Better     float64 // posterior probability that A is better, uniform over the four outcomes of a pair
	McNemar    PValues // exact, on the pairs that differ
}

// Matched compares pairs. The test is the exact one of Q. McNemar (Psychometrika 12 (1947) 153): a binomial with ½ on the
// pairs that differ. The interval is method 10 of R. G. Newcombe, Statistics in Medicine 17 (1998) 2635, from memory.
func Matched(p Pairs, level float64) (Paired, error) {
	r := Paired{Pairs: p, Level: level}
	n := p.N()
	if n < 1 || min(p.Both, p.OnlyA, p.OnlyB, p.Neither) < 0 {
		return r, domain.Errorf(domain.KindInvalid, "%d pairs can not be compared; there must be one at least, and no count below 0", n)
	}
	a, err := proportion.Wilson.Interval(p.Both+p.OnlyA, n, level)
	if err != nil {
		return r, err
	}
	b, err := proportion.Wilson.Interval(p.Both+p.OnlyB, n, level)
	if err != nil {
		return r, err
	}
	shareA, shareB := float64(p.Both+p.OnlyA)/float64(n), float64(p.Both+p.OnlyB)/float64(n)
	r.Difference = shareA - shareB
	phi := p.phi()
	down := rootSum(shareA-a.Low, b.High-shareB, phi)
	up := rootSum(a.High-shareA, shareB-b.Low, phi)
	r.Interval = proportion.Interval{Low: math.Max(-1, r.Difference-down), High: math.Min(1, r.Difference+up)}

	differ := p.OnlyA + p.OnlyB
	r.McNemar = PValues{
		Greater: numeric.BinomialSurvival(p.OnlyA-1, differ, 0.5), Less: numeric.BinomialCDF(p.OnlyA, differ, 0.5),
	}
	r.McNemar.TwoSided = math.Min(1, 2*math.Min(r.McNemar.Greater, r.McNemar.Less))
	// Under a uniform prior on the four shares, OnlyA's part of the two that differ is beta distributed.
	r.Better = numeric.BetaSurvival(float64(p.OnlyA+1), float64(p.OnlyB+1), 0.5)
	return r, nil
}

func rootSum(x, y, phi float64) float64 { return math.Sqrt(math.Max(0, x*x-2*phi*x*y+y*y)) }

// phi is the correlation of the two outcomes of a pair, with Newcombe's continuity correction.
func (p Pairs) phi() float64 {
	e, f, g, h := float64(p.Both), float64(p.OnlyA), float64(p.OnlyB), float64(p.Neither)
	margins := (e + f) * (g + h) * (e + g) * (f + h)
	if margins == 0 {
		return 0
	}
	d := e*h - f*g
	if half := (e + f + g + h) / 2; d > half {
		d -= half
	} else if d > 0 {
		d = 0
	}
	return d / math.Sqrt(margins)
}

// Sentence says what the pairs found.
func (r *Paired) Sentence(a, b string) string {
	return sentence(a, b, r.Difference, r.Interval, r.Level, r.Better)
}
