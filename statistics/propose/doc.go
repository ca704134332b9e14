// Package propose says which trials to make next, so that few trials settle a question, and what it would cost to choose
// now.
//
// # Rule
//
// Every question comes down to gaps whose sign decides: the best region's success less a rival's, the success on the line
// less the target, one arm's best region less another's. Choosing now loses what a gap turns out to be on the wrong side,
// on average over what is still believed. A trial is placed where it is expected to take most off the sum of these
// losses; the next trial of the batch is placed as if the first had been made, its outcome unknown. DESIGN.md has the
// equations, what else was tried, and what was measured.
//
// Before that an arm gets a first cover: each trial goes to the candidate farthest from all trials so far, since a map
// can only be wrong about a peak that nobody came near.
//
// # Stopping
//
// After every batch [Proposal] says what would be chosen now and how much that is expected to lose against the truth,
// with its 5 % and 95 % quantiles. When the upper one is below the tolerance it suggests stopping. It is a suggestion:
// the person decides, and a proof run fixed beforehand (package acceptance) is what shows a success rate.
package propose
