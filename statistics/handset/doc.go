// Package handset chooses which few hands serve a whole catalogue of items: the set of at most so many hands whose net value
// is greatest, with every item that is automated meeting its target with a stated confidence.
//
// # The value of a set
//
// Item i handled with hand h is worth v(i, h) an hour, linear in the success probability. A hand may take an item only
// when the posterior probability that its success reaches the item's target is at least the confidence; else, or when
// that is worth more, a person handles it, worth w(i). A set S of hands costs c(h) an hour each and, from two on, the
// time to change to each of them once in a production cycle, t(h):
//
//	F(S) = Σ_i max(w(i), max over h in S that may take i of v(i, h)) − Σ_{h in S} c(h) − [|S| > 1]·Σ_{h in S} t(h)     (1)
//
// Lots are run hand by hand, so each hand of the set is put on once a cycle; one hand alone is never changed.
//
// # Why the answer is the best one
//
// Sets are built hand by hand. The first sum of (1) is submodular: what another hand adds never grows as the set grows. So
// from a set on, no more can be won than the largest single gains, less costs, that still fit; branches that can not reach
// what is in hand are left out, all others are evaluated. With 20 hands there are 1,048,576 sets at most, few enough to
// evaluate even if no branch could be left out. The answer carries both numbers.
package handset
