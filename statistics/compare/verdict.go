package compare

import (
	"fmt"
	"math"
	"slices"

	"holdfast/domain"
	"holdfast/statistics/proportion"
)

// Comparison is what two independent samples say.
type Comparison struct {
	Arms
	Difference float64             // share held of A minus that of B
	Interval   proportion.Interval // Newcombe's hybrid score interval at Level
	Level      float64
	Better     float64 // posterior probability that A is better, uniform priors
	Mean       float64 // posterior mean of the difference
	Credible   proportion.Interval
	Boschloo   PValues
	Fisher     PValues
}

// Proportions compares two independent samples at the interval level.
func Proportions(a Arms, level float64) (Comparison, error) {
	c := Comparison{Arms: a, Level: level}
	p, err := NewPosterior(a, Uniform)
	if err != nil {
		return c, err
	}
	if c.Difference, c.Interval, err = proportion.Difference(proportion.Counts{Successes: a.HeldA, Trials: a.TrialsA}, proportion.Counts{Successes: a.HeldB, Trials: a.TrialsB}, level); err != nil {
		return c, err
	}
	c.Better, c.Mean = p.BetterBy(0), p.Mean()
	c.Credible = proportion.Interval{Low: p.Quantile((1 - level) / 2), High: p.Quantile((1 + level) / 2)}
	if c.Boschloo, err = Boschloo(a); err != nil {
		return c, err
	}
	c.Fisher, err = Fisher(a)
	return c, err
}

// NoWorse is an answer to "is A no worse than B by more than the margin?".
type NoWorse struct {
	Margin    float64
	Posterior float64 // probability that A is no worse by more than the margin
	Bound     float64 // lower bound of the difference, one-sided at Confidence (Newcombe)
	Shown     bool    // the bound lies above −margin
	// Equal is the posterior probability that the difference is smaller than the margin either way; ShownEqual says that
	// both one-sided tests at 1 − Confidence pass (two one-sided tests, D. J. Schuirmann 1987, from memory).
	Equal      float64
	ShownEqual bool
	Confidence float64
}

// Equivalence asks whether A is no worse, or as good, within the margin (0 < margin < 1).
func Equivalence(a Arms, margin, confidence float64) (NoWorse, error) {
	e := NoWorse{Margin: margin, Confidence: confidence}
	if !(margin > 0 && margin < 1) {
		return e, domain.Errorf(domain.KindInvalid, "the margin is %g; it must lie between 0 and 1", margin)
	}
	if !(confidence > 0.5 && confidence < 1) {
		return e, domain.Errorf(domain.KindInvalid, "the confidence is %g; it must lie between 0.5 and 1", confidence)
	}
	p, err := NewPosterior(a, Uniform)
	if err != nil {
		return e, err
	}
	// A one-sided bound at C is an end of the two-sided interval at 2C − 1.
	_, i, err := proportion.Difference(proportion.Counts{Successes: a.HeldA, Trials: a.TrialsA}, proportion.Counts{Successes: a.HeldB, Trials: a.TrialsB}, 2*confidence-1)
	if err != nil {
		return e, err
	}
	e.Posterior, e.Equal = p.BetterBy(-margin), p.Within(-margin, margin)
	e.Bound = i.Low
	e.Shown = i.Low > -margin
	e.ShownEqual = e.Shown && i.High < margin
	return e, nil
}

// Holm returns p-values adjusted for asking many questions at once, in the order given: with all that are at most α
// rejected, the chance of any false one is at most α (S. Holm, Scand. J. Stat. 6 (1979) 65).
func Holm(p []float64) []float64 {
	order := make([]int, len(p))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int {
		switch {
		case p[i] < p[j]:
			return -1
		case p[i] > p[j]:
			return 1
		}
		return 0
	})
	adjusted := make([]float64, len(p))
	last := 0.0
	for rank, i := range order {
		last = math.Min(1, math.Max(last, float64(len(p)-rank)*p[i]))
		adjusted[i] = last
	}
	return adjusted
}

// Sentence says what the comparison found, in points of 100, for the names given.
func (c *Comparison) Sentence(a, b string) string {
	return sentence(a, b, c.Difference, c.Interval, c.Level, c.Better)
}

func sentence(a, b string, difference float64, i proportion.Interval, level, better float64) string {
	points := fmt.Sprintf("%+.3g points, %.3g %% interval %+.3g to %+.3g", 100*difference, 100*level, 100*i.Low, 100*i.High)
	switch {
	case i.Low > 0:
		return fmt.Sprintf("%s holds more often than %s: %s; chance that it is better %s.", a, b, points, chance(better))
	case i.High < 0:
		return fmt.Sprintf("%s holds less often than %s: %s; chance that it is better %s.", a, b, points, chance(better))
	}
	return fmt.Sprintf("It is not clear whether %s or %s holds more often: %s; chance that %s is better %s.", a, b, points, a, chance(better))
}

// chance writes a probability without claiming certainty.
func chance(p float64) string {
	switch {
	case p > 0.9995:
		return "above 0.999"
	case p < 0.0005:
		return "below 0.001"
	}
	return fmt.Sprintf("%.3f", p)
}
