package compare

import (
	"math"

	"holdfast/domain"
)

// Arms are the counts of two independent samples.
type Arms struct {
	HeldA, TrialsA int
	HeldB, TrialsB int
}

func (a Arms) check() error {
	if a.TrialsA < 1 || a.TrialsB < 1 || a.HeldA < 0 || a.HeldA > a.TrialsA || a.HeldB < 0 || a.HeldB > a.TrialsB {
		return domain.Errorf(domain.KindInvalid, "%d of %d and %d of %d are not the counts of two samples; each needs a trial, and no more held than tried",
			a.HeldA, a.TrialsA, a.HeldB, a.TrialsB)
	}
	return nil
}

// swapped exchanges the samples.
func (a Arms) swapped() Arms { return Arms{a.HeldB, a.TrialsB, a.HeldA, a.TrialsA} }

// PValues are a test's tail probabilities.
type PValues struct {
	Greater  float64 // if A were not better
	Less     float64 // if A were not worse
	TwoSided float64 // if they were equal; how it is made is said at the test
}

// hypergeometric is the distribution of A's successes when the sum of successes is given and both succeed equally often.
type hypergeometric struct {
	first int       // smallest possible number
	p     []float64 // probabilities from there
}

func newHypergeometric(trialsA, trialsB, held int) hypergeometric {
	lo, hi := max(0, held-trialsB), min(held, trialsA)
	h := hypergeometric{first: lo, p: make([]float64, hi-lo+1)}
	// From the mode outwards by ratios, then normalised: no factorial, no loss.
	ratio := func(x int) float64 { // p(x+1)/p(x)
		return float64(held-x) * float64(trialsA-x) / (float64(x+1) * float64(trialsB-held+x+1))
	}
	mode := min(max((held+1)*(trialsA+1)/(trialsA+trialsB+2), lo), hi)
	h.p[mode-lo] = 1
	sum := 1.0
	for x := mode; x < hi; x++ {
		h.p[x+1-lo] = h.p[x-lo] * ratio(x)
		sum += h.p[x+1-lo]
	}
	for x := mode; x > lo; x-- {
		h.p[x-1-lo] = h.p[x-lo] / ratio(x-1)
		sum += h.p[x-1-lo]
	}
	for i := range h.p {
		h.p[i] /= sum
	}
	return h
}

// atLeast is P(X ≥ x), atMost P(X ≤ x); small ones are summed, not subtracted.
func (h hypergeometric) atLeast(x int) (s float64) {
	for i := len(h.p) - 1; i >= max(0, x-h.first); i-- {
		s += h.p[i]
	}
	return math.Min(s, 1)
}

func (h hypergeometric) atMost(x int) (s float64) {
	for i := 0; i <= min(len(h.p)-1, x-h.first); i++ {
		s += h.p[i]
	}
	return math.Min(s, 1)
}

// equal says that two probabilities are the same but for rounding.
const equal = 1 + 1e-12

// Fisher is Fisher's exact test; its two-sided value sums the tables that are no likelier than the one seen
// (R. A. Fisher, "The Design of Experiments" (1935) ch. 2).
func Fisher(a Arms) (PValues, error) {
	if err := a.check(); err != nil {
		return PValues{}, err
	}
	h := newHypergeometric(a.TrialsA, a.TrialsB, a.HeldA+a.HeldB)
	p := PValues{Greater: h.atLeast(a.HeldA), Less: h.atMost(a.HeldA)}
	seen := h.p[a.HeldA-h.first] * equal
	for _, v := range h.p {
		if v <= seen {
			p.TwoSided += v
		}
	}
	p.TwoSided = math.Min(p.TwoSided, 1)
	return p, nil
}
