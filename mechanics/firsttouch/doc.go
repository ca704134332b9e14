// Package firsttouch lets a hand feel first: it closes until a pad is touched, and the wrist then moves by what was touched.
// The rule is learnt from simulated trials, in which it is known where the item lay, or from others that know the right move; it
// becomes a phase of a strategy, and what it gains is tried on items that lie elsewhere than believed. It does no I/O.
package firsttouch
