// Package additive estimates how everything that was varied in trials moves the chance of success: orientation, closing
// command, placement offset, item size, and the effects of strategy, hand, block, operator or item, each as one term
// of a Bayesian logistic model whose scales the trials choose; see DESIGN.md for the equations that the code cites.
//
// Beside it stand the classical logistic regressions (maximum likelihood, Firth) that its checks need. Angles are
// radians, lengths m, orientations follow package orient; other numbers keep the unit in which they are given.
package additive
