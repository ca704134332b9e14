// Package value turns the success of a pick into money and throughput: what one item brings when a failed attempt may be
// repeated, and what an hour of the line earns.
//
// A chain of attempts is summed exactly ([Chain]); the uncertainty of success, of the failures' kinds and of the durations
// is carried through it draw by draw ([Assess]). See DESIGN.md for the equations and for what is assumed.
//
// Amounts of money are plain numbers in one currency that the caller names; nothing is converted. Times are seconds.
package value
