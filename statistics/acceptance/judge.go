package acceptance

import (
	"math"

	"holdfast/domain"
	"holdfast/numeric"
)

// Verdict is where a run stands.
type Verdict string

// The verdicts.
const (
	GoOn     Verdict = "go on"
	Accepted Verdict = "accepted"
	Rejected Verdict = "rejected"
)

// State is a run so far. Trials after the decision are not part of it.
type State struct {
	Verdict  Verdict
	Trials   int // that counted towards the decision
	Failures int
	Beyond   int // trials that came after the decision and were left out
	// Estimate is the share of successes; Low and High bound the success probability with the level asked for, knowing how
	// the plan may stop: the interval of C. Jennison, B. W. Turnbull, Technometrics 25 (1983) 49 (method from memory).
	Estimate, Low, High float64
	Posterior           Beta // of the success probability, from the prior given
}

// Judge follows a run: outcomes in order, true where a trial succeeded. level is that of the central interval.
func (p *Plan) Judge(successes []bool, prior Beta, level float64) (State, error) {
	if err := p.validate(); err != nil {
		return State{}, err
	}
	if !(level > 0 && level < 1) {
		return State{}, domain.Errorf(domain.KindInvalid, "the level is %g; it must lie between 0 and 1", level)
	}
	s := State{Verdict: GoOn, Estimate: math.NaN(), Low: 0, High: 1}
	for _, ok := range successes {
		if s.Verdict != GoOn {
			break
		}
		s.Trials++
		if !ok {
			s.Failures++
		}
		switch {
		case s.Failures <= p.Accept[s.Trials-1]:
			s.Verdict = Accepted
		case s.Failures >= p.Reject[s.Trials-1]:
			s.Verdict = Rejected
		}
	}
	s.Beyond = len(successes) - s.Trials
	s.Posterior = prior.after(s.Trials, s.Failures)
	if s.Trials > 0 {
		s.Estimate = 1 - float64(s.Failures)/float64(s.Trials)
		low, high := p.interval(s, (1-level)/2)
		s.Low, s.High = 1-high, 1-low
	}
	return s, nil
}

// interval bounds the probability of failure. Where runs end is put in order from the best outcome (accepted soonest) to
// the worst (rejected soonest), with runs that go on between them; the bounds are where an outcome as bad as this, or as
// good, becomes as rare as the tail.
func (p *Plan) interval(s State, tail float64) (low, high float64) {
	cut := Plan{Accept: p.Accept[:s.Trials], Reject: p.Reject[:s.Trials]}
	asGood := func(f float64) (good, here float64) { // chance of a better outcome, and of this one
		ends, alive := cut.until(f)
		rank := func(e end) bool { return e.n == s.Trials && e.d == s.Failures }
		for _, e := range ends {
			if !e.accepted {
				break
			}
			if s.Verdict == Accepted && rank(e) {
				return good, e.weight
			}
			good += e.weight
		}
		for d, w := range alive {
			if s.Verdict == GoOn && d == s.Failures {
				return good, w
			}
			good += w
		}
		for _, e := range ends {
			if e.accepted {
				continue
			}
			if rank(e) {
				return good, e.weight
			}
			good += e.weight
		}
		return good, 0
	}
	// The chance of this outcome or a better one falls with p, that of this or a worse one rises.
	high = bisect(func(f float64) bool { good, here := asGood(f); return good+here > tail })
	low = bisect(func(f float64) bool { good, _ := asGood(f); return 1-good <= tail })
	if s.Failures == 0 && s.Verdict != Rejected {
		low = 0
	}
	if s.Failures == s.Trials {
		high = 1
	}
	return low, high
}

// until is walk for the first trials of a plan, with the undecided states by number of failures.
func (p *Plan) until(failure float64) (ends []end, alive []float64) {
	open := Plan{Accept: p.Accept, Reject: p.Reject}
	n := len(p.Accept)
	alive = make([]float64, n+1)
	if n == 0 {
		return nil, alive
	}
	// One more step that ends every run carries the undecided states out: without a failure in it, d stays what it was.
	open.Accept = append(append([]int(nil), p.Accept...), n+1)
	open.Reject = append(append([]int(nil), p.Reject...), n+2)
	for _, e := range open.walk(func(i, _ int) float64 {
		if i == n {
			return 0
		}
		return failure
	}) {
		if e.n > n {
			alive[min(e.d, n)] += e.weight
		} else {
			ends = append(ends, e)
		}
	}
	return ends, alive
}

// bisect returns the largest f in [0, 1] for which a falling condition holds.
func bisect(holds func(float64) bool) float64 {
	lo, hi := 0.0, 1.0
	for range 55 {
		if mid := (lo + hi) / 2; holds(mid) {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}

func (b Beta) after(n, failures int) Beta {
	return Beta{b.Successes + float64(n-failures), b.Failures + float64(failures)}
}

// Mean returns the expected probability of success.
func (b Beta) Mean() float64 { return b.Successes / (b.Successes + b.Failures) }

// Beyond returns the chance that the probability of success is larger than the target.
func (b Beta) Beyond(target float64) float64 {
	return numeric.BetaSurvival(b.Successes, b.Failures, target)
}

// Quantile returns the probability of success that is not exceeded with the chance given.
func (b Beta) Quantile(chance float64) float64 {
	return numeric.BetaQuantile(b.Successes, b.Failures, chance)
}

// NextAllSucceed returns the chance that k more trials all succeed, and with failures allowed, that at most so many fail.
func (b Beta) NextAllSucceed(k, failures int) float64 {
	p := undecided(k)
	p.Accept[k-1], p.Reject[k-1] = failures, failures+1
	return p.Assure(b, 0).Pass
}
