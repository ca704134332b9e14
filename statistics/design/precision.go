package design

import (
	"math"

	"holdfast/domain"
	"holdfast/numeric"
	"holdfast/statistics/proportion"
)

// WaldTrials returns the real-valued number of trials z²·p(1−p)/h² for which the
// textbook interval at the level has half-width h when the success probability is
// p. It is the quick figure; it says nothing near p = 0 or 1.
func WaldTrials(p, halfWidth, level float64) (float64, error) {
	if err := inside("p", p, "half_width", halfWidth, "level", level); err != nil {
		return 0, err
	}
	z := -numeric.NormalQuantile((1 - level) / 2)
	return z * z * p * (1 - p) / (halfWidth * halfWidth), nil
}

// HoeffdingTrials returns the real-valued number of trials ln(2/δ)/(2ε²) after
// which the observed share errs by more than ε with probability at most δ whatever
// the truth (W. Hoeffding, "Probability inequalities for sums of bounded random
// variables", JASA 58 (1963) 13; from memory).
func HoeffdingTrials(epsilon, delta float64) (float64, error) {
	if err := inside("epsilon", epsilon, "delta", delta); err != nil {
		return 0, err
	}
	return math.Log(2/delta) / (2 * epsilon * epsilon), nil
}

// ExpectedHalfWidth returns the mean half-width of the method's interval at the
// level over the counts that trials with success probability p will give.
func ExpectedHalfWidth(m proportion.Method, p float64, trials int, level float64) (float64, error) {
	if !(p >= 0 && p <= 1) {
		return 0, invalid("the half-width can not be computed", []domain.FieldError{fieldError("p", p, "must be between 0 and 1")})
	}
	mean := float64(trials) * p
	reach := 10*math.Sqrt(mean*(1-p)) + 40 // what lies beyond has less than 1e-18 of the probability
	from, to := max(0, int(mean-reach)), min(trials, int(mean+reach))
	sum := 0.0
	for x := from; x <= to; x++ {
		i, err := m.Interval(x, trials, level)
		if err != nil {
			return 0, err
		}
		sum += numeric.BinomialPMF(x, trials, p) * i.HalfWidth()
	}
	return sum, nil
}

// WorstHalfWidth returns the largest half-width that the method's interval at the
// level can have after the trials; it belongs to as many successes as failures.
func WorstHalfWidth(m proportion.Method, trials int, level float64) (float64, error) {
	i, err := m.Interval(trials/2, trials, level)
	return i.HalfWidth(), err
}

// TrialsForExpectedHalfWidth returns how many trials bring the expected half-width
// down to the one asked for, when the success probability is p.
func TrialsForExpectedHalfWidth(m proportion.Method, p, halfWidth, level float64) (Size, error) {
	if err := inside("half_width", halfWidth, "level", level); err != nil {
		return Size{}, err
	}
	return trialsFor(halfWidth, func(n int) (float64, error) { return ExpectedHalfWidth(m, p, n, level) })
}

// TrialsForWorstHalfWidth returns how many trials bring the half-width down to the
// one asked for whatever the outcomes will be.
func TrialsForWorstHalfWidth(m proportion.Method, halfWidth, level float64) (Size, error) {
	if err := inside("half_width", halfWidth, "level", level); err != nil {
		return Size{}, err
	}
	return trialsFor(halfWidth, func(n int) (float64, error) { return WorstHalfWidth(m, n, level) })
}

func trialsFor(halfWidth float64, width func(trials int) (float64, error)) (Size, error) {
	if _, err := width(1); err != nil {
		return Size{}, err
	}
	return bisect(func(n int) bool {
		w, err := width(n)
		return err == nil && w <= halfWidth
	})
}
