// Package numeric holds the numerics that everything else stands on: normal,
// beta, binomial, chi-square, Student and Fisher probabilities that stay right at
// their edges and in their tails, reproducible random streams, and low-discrepancy
// points.
//
// General-purpose libraries leave the edges out: a success probability of exactly
// 0 or 1, no trials, a tail of 1e-20. Those are everyday input here, so the
// functions of this package define them. Arguments outside a function's domain
// give NaN, never a panic.
package numeric
