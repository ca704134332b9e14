// Package design says how many trials a question needs, draws up which trials to
// run in what order, and watches the reference trials for drift.
//
// # How many
//
// [SuccessRun] and its neighbours prove a success rate, [TrialsForExpectedHalfWidth]
// and its neighbours buy an interval this narrow, [ExactTest] and [TwoProportions]
// tell one rate from another. Exact answers are saw-toothed in the number of
// trials, because counts come in whole numbers: one more trial can make a test
// weaker. A [Size] therefore gives both the first number of trials that does and
// the number from which on every number does.
//
// # Which, in what order
//
// [Draw] turns a [Spec] into runs. Factors that are slow to change are set up once
// for a whole plot; a whole plot is cut into blocks; order is random inside a
// block. Everything random comes from the spec's seed, so [Verify] can tell years
// later whether a stored plan is the one that the seed gives.
//
// Runs inside a whole plot share one set-up of hand, item or setting. An analysis
// that compares those factors must judge them against the spread between whole
// plots: treating each run as independent makes chance look like an effect.
package design
