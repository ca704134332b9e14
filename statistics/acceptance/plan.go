// Package acceptance plans and judges proof runs: trials whose number and risks are fixed before the first of them, so
// that passing means what it says.
//
// Every plan, whatever its kind, is a lattice: after n trials with d failures it is accepted, rejected or goes on. One
// recursion over that lattice gives the chance of passing, the expected length and an interval that knows how the run
// may stop, all exactly; see DESIGN.md. Probabilities of failure are called p, of success 1 − p.
package acceptance

import (
	"holdfast/domain"
)

// Plan is a proof run's rule. Accept and Reject have one entry a trial, entry n−1 for the state after n trials.
type Plan struct {
	// Accept[n−1]: accepted with so many failures or fewer; −1: not at this point.
	Accept []int
	// Reject[n−1]: rejected with so many failures or more; n+1 or more: not at this point.
	Reject []int
}

// Longest returns the number of trials after which every run is decided.
func (p *Plan) Longest() int { return len(p.Accept) }

// longestPlan bounds a plan: nobody runs more trials, and the lattice stays small.
const longestPlan = 20_000

// validate says whether the lattice is one: every run ends, and no state is both accepted and rejected.
func (p *Plan) validate() error {
	n := len(p.Accept)
	if n == 0 || n > longestPlan || len(p.Reject) != n {
		return domain.Errorf(domain.KindInvalid, "the plan has %d steps for acceptance and %d for rejection; both must be equal and from 1 to %d", n, len(p.Reject), longestPlan)
	}
	for i := range n {
		if p.Accept[i] >= p.Reject[i] {
			return domain.Errorf(domain.KindInvalid, "the plan accepts and rejects %d failures after %d trials", p.Reject[i], i+1)
		}
	}
	if p.Reject[n-1] != p.Accept[n-1]+1 {
		return domain.Errorf(domain.KindInvalid, "the plan decides nothing for %d failures at its end", p.Accept[n-1]+1)
	}
	return nil
}

// undecided builds a lattice of n trials on which nothing is decided yet.
func undecided(n int) Plan {
	p := Plan{Accept: make([]int, n), Reject: make([]int, n)}
	for i := range n {
		p.Accept[i], p.Reject[i] = -1, i+2
	}
	return p
}

// stopEarly ends a run as soon as nothing that may still come could change the outcome. The chance of passing stays
// what it was; only the length falls. It goes backwards from the end: a state is decided when both its successors are.
func (p *Plan) stopEarly() {
	for n := len(p.Accept) - 1; n >= 1; n-- {
		i := n - 1
		// After n trials with d failures one more leads to (n+1, d) or (n+1, d+1).
		if a := min(p.Accept[n]-1, p.Reject[i]-1); a > p.Accept[i] {
			p.Accept[i] = a
		}
		if r := p.Reject[n]; r < p.Reject[i] {
			p.Reject[i] = max(r, p.Accept[i]+1)
		}
	}
}

// Fixed returns the plan of exactly n trials that is accepted with at most c failures. With early stopping a run ends as
// soon as its outcome is certain.
func Fixed(n, c int, early bool) (Plan, error) {
	if n < 1 || n > longestPlan {
		return Plan{}, domain.Errorf(domain.KindInvalid, "%d trials are not a proof run; take 1 to %d", n, longestPlan)
	}
	if c < 0 || c >= n {
		return Plan{}, domain.Errorf(domain.KindInvalid, "%d failures can not be allowed in %d trials; take 0 to %d", c, n, n-1)
	}
	p := undecided(n)
	p.Accept[n-1], p.Reject[n-1] = c, c+1
	if early {
		p.stopEarly()
	}
	return p, nil
}

// Double returns the plan that is accepted after n1 trials with at most c1 failures, rejected with r1 or more, and
// otherwise accepted after n1+n2 trials with at most c2 failures in all.
func Double(n1, c1, r1, n2, c2 int, early bool) (Plan, error) {
	switch {
	case n1 < 1 || n2 < 1 || n1+n2 > longestPlan:
		return Plan{}, domain.Errorf(domain.KindInvalid, "samples of %d and %d trials are not a double plan; both must be positive and not exceed %d together", n1, n2, longestPlan)
	case c1 < 0 || r1 <= c1+1 || r1 > n1+1:
		return Plan{}, domain.Errorf(domain.KindInvalid, "the first sample accepts at %d and rejects at %d failures; there must be room between them and within its %d trials", c1, r1, n1)
	case c2 < c1 || c2 >= n1+n2:
		return Plan{}, domain.Errorf(domain.KindInvalid, "%d failures in both samples can not be the limit after %d in the first", c2, c1)
	}
	p := undecided(n1 + n2)
	p.Accept[n1-1], p.Reject[n1-1] = c1, r1
	p.Accept[n1+n2-1], p.Reject[n1+n2-1] = c2, c2+1
	if early {
		p.stopEarly()
	}
	return p, p.validate()
}
