package proportion

import (
	"fmt"
	"math"

	"holdfast/domain"
	"holdfast/numeric"
)

// Interval is a range of probabilities, or of differences of two probabilities.
type Interval struct{ Low, High float64 }

// HalfWidth returns half of the interval's width.
func (i Interval) HalfWidth() float64 { return (i.High - i.Low) / 2 }

// Contains tells whether p lies in the interval, ends included.
func (i Interval) Contains(p float64) bool { return i.Low <= p && p <= i.High }

// Method is a way to put an interval around a success probability.
type Method string

// The methods. Formulas: L. D. Brown, T. T. Cai, A. DasGupta, "Interval estimation
// for a binomial proportion", Statistical Science 16 (2001) 101, eq. 4–9 (from
// memory); the mid-p bound is common practice, no source.
const (
	// ClopperPearson inverts the exact binomial tails: it never covers less than promised.
	ClopperPearson Method = "clopper-pearson"
	// Wilson inverts the score test.
	Wilson Method = "wilson"
	// AgrestiCoull is Wald's recipe after adding z²/2 successes and failures.
	AgrestiCoull Method = "agresti-coull"
	// Jeffreys takes quantiles of the posterior under the Beta(½, ½) prior.
	Jeffreys Method = "jeffreys"
	// MidP counts the observed outcome half in the exact tails: shorter than ClopperPearson, no guarantee.
	MidP Method = "mid-p"
)

// Methods lists every method, the guaranteed one first.
func Methods() []Method { return []Method{ClopperPearson, Wilson, AgrestiCoull, Jeffreys, MidP} }

// Interval returns the two-sided interval with confidence level in (0, 1) for
// successes out of trials. Each side misses with half the rest. No trials give the
// whole range 0…1.
func (m Method) Interval(successes, trials int, level float64) (Interval, error) {
	if !(level > 0 && level < 1) {
		return Interval{}, domain.Errorf(domain.KindInvalid, "a confidence level must lie between 0 and 1, such as 0.95; got %g", level)
	}
	if err := m.check(successes, trials); err != nil {
		return Interval{}, err
	}
	tail := (1 - level) / 2
	return Interval{m.lower(successes, trials, tail), m.upper(successes, trials, tail)}, nil
}

// LowerBound returns the one-sided lower bound: with the confidence, in [0.5, 1),
// the success probability is at least this. It is 0 without trials or successes.
func (m Method) LowerBound(successes, trials int, confidence float64) (float64, error) {
	if err := m.checkOneSided(successes, trials, confidence); err != nil {
		return 0, err
	}
	return m.lower(successes, trials, 1-confidence), nil
}

// UpperBound returns the one-sided upper bound: with the confidence, in [0.5, 1),
// the success probability is at most this. It is 1 without trials or failures.
func (m Method) UpperBound(successes, trials int, confidence float64) (float64, error) {
	if err := m.checkOneSided(successes, trials, confidence); err != nil {
		return 0, err
	}
	return m.upper(successes, trials, 1-confidence), nil
}

func (m Method) checkOneSided(successes, trials int, confidence float64) error {
	if !(confidence >= 0.5 && confidence < 1) {
		return domain.Errorf(domain.KindInvalid, "a one-sided confidence must be at least 0.5 and less than 1, such as 0.95; got %g", confidence)
	}
	return m.check(successes, trials)
}

func (m Method) check(successes, trials int) error {
	switch m {
	case ClopperPearson, Wilson, AgrestiCoull, Jeffreys, MidP:
	default:
		return domain.Errorf(domain.KindInvalid, "there is no interval method %q; choose one of %v", string(m), Methods())
	}
	return checkCounts(successes, trials)
}

func checkCounts(successes, trials int) error {
	if trials < 0 || successes < 0 || successes > trials {
		return domain.Errorf(domain.KindInvalid, "%d successes of %d trials cannot be; successes must be 0 up to the number of trials", successes, trials)
	}
	return nil
}

// upper mirrors lower, so that x of n and n−x of n always have mirrored intervals.
func (m Method) upper(x, n int, tail float64) float64 {
	switch m {
	case ClopperPearson, Jeffreys:
		// Straight from the upper tail: 1 − lower would lose the digits of a small bound.
		if x == n {
			return 1
		}
		if m == Jeffreys {
			return numeric.BetaUpperQuantile(float64(x)+0.5, float64(n-x)+0.5, tail)
		}
		return numeric.BetaUpperQuantile(float64(x)+1, float64(n-x), tail)
	case Wilson:
		_, high := wilson(x, n, tail)
		return high
	default:
		return 1 - m.lower(n-x, n, tail)
	}
}

func (m Method) lower(x, n int, tail float64) float64 {
	if n == 0 {
		return 0
	}
	switch m {
	case ClopperPearson:
		if x == 0 {
			return 0
		}
		return numeric.BetaQuantile(float64(x), float64(n-x)+1, tail)
	case Jeffreys:
		if x == 0 {
			return 0
		}
		return numeric.BetaQuantile(float64(x)+0.5, float64(n-x)+0.5, tail)
	case Wilson:
		low, _ := wilson(x, n, tail)
		return low
	case AgrestiCoull:
		z := -numeric.NormalQuantile(tail)
		total := float64(n) + z*z
		p := (float64(x) + z*z/2) / total
		return math.Max(0, p-z*math.Sqrt(p*(1-p)/total))
	default:
		return midPLower(x, n, tail)
	}
}

// wilson returns both roots of the score equation, (x + z²/2 ± z·√(x(n−x)/n + z²/4))/(n + z²),
// the smaller one from the product of the roots so that it does not cancel.
func wilson(x, n int, tail float64) (low, high float64) {
	if n == 0 {
		return 0, 1
	}
	if 2*x > n {
		lowFailure, highFailure := wilson(n-x, n, tail)
		return 1 - highFailure, 1 - lowFailure
	}
	z := -numeric.NormalQuantile(tail)
	k, total := float64(x), float64(n)
	high = (k + z*z/2 + z*math.Sqrt(k*(total-k)/total+z*z/4)) / (total + z*z)
	return k * k / (total * (total + z*z) * high), high
}

// midPLower solves P(X > x) + ½·P(X = x) = tail for the success probability. The
// left side grows with the probability, so halving finds the only root.
func midPLower(x, n int, tail float64) float64 {
	if x == 0 {
		return 0
	}
	low, high := 0.0, 1.0
	for range 200 {
		p := (low + high) / 2
		if p == low || p == high {
			break
		}
		if numeric.BinomialSurvival(x, n, p)+numeric.BinomialPMF(x, n, p)/2 < tail {
			low = p
		} else {
			high = p
		}
	}
	return (low + high) / 2
}

// ZeroFailureLimit returns the largest failure probability that trials without a
// single failure leave possible at the one-sided confidence: 1 − (1−C)^(1/n), which
// is near 3/n at 95 % (J. A. Hanley, A. Lippman-Hand, "If nothing goes wrong, is
// everything all right?", JAMA 249 (1983) 1743; from memory). It is 1 without trials.
func ZeroFailureLimit(trials int, confidence float64) (float64, error) {
	if trials < 0 {
		return 0, domain.Errorf(domain.KindInvalid, "the number of trials cannot be negative; got %d", trials)
	}
	if !(confidence > 0 && confidence < 1) {
		return 0, domain.Errorf(domain.KindInvalid, "a confidence must lie between 0 and 1, such as 0.95; got %g", confidence)
	}
	return -math.Expm1(math.Log1p(-confidence) / float64(trials)), nil
}

// PosteriorMean returns the mean of the success probability after the counts under
// a Beta(priorSuccess, priorFailure) prior, both positive; (1, 1) is Laplace's rule
// of succession (x+1)/(n+2).
func PosteriorMean(successes, trials int, priorSuccess, priorFailure float64) (float64, error) {
	if !(priorSuccess > 0 && priorFailure > 0) {
		return 0, domain.Errorf(domain.KindInvalid, "both numbers of a beta prior must be positive; got %g and %g", priorSuccess, priorFailure)
	}
	if err := checkCounts(successes, trials); err != nil {
		return 0, err
	}
	return (float64(successes) + priorSuccess) / (float64(trials) + priorSuccess + priorFailure), nil
}

// Counts is the outcome of one group of trials.
type Counts struct{ Successes, Trials int }

// String writes the counts as "x of n".
func (c Counts) String() string { return fmt.Sprintf("%d of %d", c.Successes, c.Trials) }

// Difference returns the difference of two success proportions, first minus
// second, and its interval at the level by squaring and adding the Wilson limits
// (R. G. Newcombe, "Interval estimation for the difference between independent
// proportions", Statistics in Medicine 17 (1998) 873, method 10; from memory).
// Both groups need at least one trial.
func Difference(first, second Counts, level float64) (float64, Interval, error) {
	if first.Trials == 0 || second.Trials == 0 {
		return 0, Interval{}, domain.Errorf(domain.KindInvalid, "a difference needs at least one trial in each group; got %s and %s", first, second)
	}
	one, err := Wilson.Interval(first.Successes, first.Trials, level)
	if err != nil {
		return 0, Interval{}, err
	}
	two, err := Wilson.Interval(second.Successes, second.Trials, level)
	if err != nil {
		return 0, Interval{}, err
	}
	p := float64(first.Successes) / float64(first.Trials)
	q := float64(second.Successes) / float64(second.Trials)
	d := p - q
	return d, Interval{
		Low:  math.Max(-1, d-math.Hypot(p-one.Low, two.High-q)),
		High: math.Min(1, d+math.Hypot(one.High-p, q-two.Low)),
	}, nil
}
