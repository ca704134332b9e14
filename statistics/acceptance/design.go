package acceptance

import (
	"math"

	"holdfast/domain"
	"holdfast/numeric"
)

func wrong(format string, args ...any) error {
	return domain.Errorf(domain.KindInvalid, format, args...)
}

func inside(name string, v float64) error {
	if !(v > 0 && v < 1) {
		return wrong("%s is %g; it must lie between 0 and 1", name, v)
	}
	return nil
}

func firstOf(errs ...error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

// SuccessRun returns the smallest number of trials that shows a success probability of at least reliability with the
// confidence, when at most so many of them fail: the smallest n with P(at most f failures | 1−R) ≤ 1−C. Without a failure
// that is ln(1−C)/ln R, rounded up.
func SuccessRun(reliability, confidence float64, failures int) (int, error) {
	if err := firstOf(inside("the success to show", reliability), inside("the confidence", confidence)); err != nil {
		return 0, err
	}
	if failures < 0 {
		return 0, wrong("%d failures can not be allowed; take 0 or more", failures)
	}
	n := searchInt(failures+1, longestPlan, func(n int) bool {
		return numeric.BinomialCDF(failures, n, 1-reliability) <= 1-confidence
	})
	if n > longestPlan {
		return 0, wrong("showing %g with confidence %g and %d failures takes more than %d trials; ask for less", reliability, confidence, failures, longestPlan)
	}
	return n, nil
}

// BayesRun returns the smallest number of trials after which, with at most so many failures, the posterior of the success
// probability lies beyond the reliability with the confidence, from the prior.
func BayesRun(reliability, confidence float64, failures int, prior Beta) (int, error) {
	if err := firstOf(inside("the success to show", reliability), inside("the confidence", confidence), prior.check()); err != nil {
		return 0, err
	}
	if failures < 0 {
		return 0, wrong("%d failures can not be allowed; take 0 or more", failures)
	}
	n := searchInt(failures, longestPlan, func(n int) bool { return prior.after(n, failures).Beyond(reliability) >= confidence })
	if n > longestPlan {
		return 0, wrong("showing %g with confidence %g and %d failures takes more than %d trials; ask for less", reliability, confidence, failures, longestPlan)
	}
	return n, nil
}

func (b Beta) check() error {
	if !(b.Successes > 0 && b.Failures > 0) || math.IsInf(b.Successes+b.Failures, 1) {
		return wrong("the prior counts %g successes and %g failures; both must be positive", b.Successes, b.Failures)
	}
	return nil
}

// searchInt returns the smallest n in [lo, hi] for which a rising condition holds, hi+1 if none.
func searchInt(lo, hi int, holds func(int) bool) int {
	for lo <= hi {
		if mid := (lo + hi) / 2; holds(mid) {
			hi = mid - 1
		} else {
			lo = mid + 1
		}
	}
	return lo
}

// Risks are the two points that a plan has to keep.
type Risks struct {
	Good     float64 // probability of failure that should pass
	Bad      float64 // probability of failure that should not
	Producer float64 // largest chance that Good is rejected (α)
	Consumer float64 // largest chance that Bad is accepted (β)
}

func (r Risks) check() error {
	err := firstOf(inside("the good share of failures", r.Good), inside("the bad share of failures", r.Bad),
		inside("the producer's risk", r.Producer), inside("the consumer's risk", r.Consumer))
	if err == nil && r.Good >= r.Bad {
		err = wrong("the good share of failures, %g, must be smaller than the bad one, %g", r.Good, r.Bad)
	}
	if err == nil && r.Producer+r.Consumer >= 1 {
		err = wrong("risks of %g and %g together leave nothing to decide; their sum must be below 1", r.Producer, r.Consumer)
	}
	return err
}

// TwoPoint returns the fixed plan with the smallest number of allowed failures, and then of trials, that keeps both risks.
func TwoPoint(r Risks) (n, c int, err error) {
	if err := r.check(); err != nil {
		return 0, 0, err
	}
	for c = 0; c < longestPlan; c++ {
		// The consumer's risk falls with n, the producer's rises: the smallest n for the one must suit the other.
		n = searchInt(c+1, longestPlan, func(n int) bool { return numeric.BinomialCDF(c, n, r.Bad) <= r.Consumer })
		if n > longestPlan {
			break
		}
		if numeric.BinomialCDF(c, n, r.Good) >= 1-r.Producer {
			return n, c, nil
		}
	}
	return 0, 0, wrong("telling %g from %g takes more than %d trials; move them apart or allow larger risks", r.Good, r.Bad, longestPlan)
}

// Lines are the boundaries of Wald's sequential test on a probability of failure: after n trials with d failures it
// accepts when d ≤ −H1 + S·n and rejects when d ≥ H2 + S·n (A. Wald, "Sequential Analysis" (1947) ch. 5; from memory).
type Lines struct{ K, H1, H2, S float64 }

// Wald returns the lines for two risks: with k = ln(p₂(1−p₁)/(p₁(1−p₂))), h₁ = ln((1−α)/β)/k, h₂ = ln((1−β)/α)/k and
// s = ln((1−p₁)/(1−p₂))/k.
func Wald(r Risks) (Lines, error) {
	if err := r.check(); err != nil {
		return Lines{}, err
	}
	k := math.Log(r.Bad * (1 - r.Good) / (r.Good * (1 - r.Bad)))
	return Lines{
		K: k, H1: math.Log((1-r.Producer)/r.Consumer) / k, H2: math.Log((1-r.Consumer)/r.Producer) / k,
		S: math.Log((1-r.Good)/(1-r.Bad)) / k,
	}, nil
}

// Approximate returns Wald's own approximation to the chance of acceptance and the expected length at one of the five
// points where it is closed: p = 0, Good, S, Bad and 1. It leaves out how far a run oversteps the lines, so its lengths
// come out too short, by a quarter at times; [Plan.At] is exact.
func (l Lines) Approximate(r Risks, p float64) (Characteristics, error) {
	c := Characteristics{P: p}
	switch p {
	case 0:
		c.Accept, c.Length = 1, l.H1/l.S
	case r.Good:
		c.Accept = 1 - r.Producer
		c.Length = (c.Accept*(l.H1+l.H2) - l.H2) / (l.S - p)
	case l.S:
		c.Accept, c.Length = l.H2/(l.H1+l.H2), l.H1*l.H2/(l.S*(1-l.S))
	case r.Bad:
		c.Accept = r.Consumer
		c.Length = (c.Accept*(l.H1+l.H2) - l.H2) / (l.S - p)
	case 1:
		c.Accept, c.Length = 0, l.H2/(1-l.S)
	default:
		return c, wrong("Wald's approximation is closed at 0, %g, %g, %g and 1 only, not at %g", r.Good, l.S, r.Bad, p)
	}
	return c, nil
}

// Sequential returns the lattice of the lines, cut off after longest trials, where at most allowed failures are accepted.
// allowed < 0 takes ⌊S·longest⌋. With early stopping a run also ends where the cut has made its outcome certain.
func (l Lines) Sequential(longest, allowed int, early bool) (Plan, error) {
	if longest < 1 || longest > longestPlan {
		return Plan{}, wrong("a sequential run can not be cut off after %d trials; take 1 to %d", longest, longestPlan)
	}
	if allowed < 0 {
		allowed = int(l.S * float64(longest))
	}
	if allowed >= longest {
		return Plan{}, wrong("%d failures can not be allowed in %d trials", allowed, longest)
	}
	p := undecided(longest)
	for i := range longest {
		n := float64(i + 1)
		// A boundary met exactly decides; the slack is for rounding alone.
		p.Accept[i] = max(-1, int(math.Floor(l.S*n-l.H1+1e-12)))
		p.Reject[i] = min(i+2, int(math.Ceil(l.S*n+l.H2-1e-12)))
	}
	p.Accept[longest-1], p.Reject[longest-1] = allowed, allowed+1
	if early {
		p.stopEarly()
	}
	return p, p.validate()
}

// LongestSequential returns the usual cut-off of a sequential run: one and a half times the fixed plan with the same risks
// (the factor of ISO 8422:1991, from memory).
func LongestSequential(r Risks) (int, error) {
	n, _, err := TwoPoint(r)
	return int(math.Ceil(1.5 * float64(n))), err
}
