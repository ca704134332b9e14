// Package calibrate turns the signal of a strain or flex sensor into curvature or
// angle: a polynomial with its prediction interval and inverse, a monotone curve
// where no polynomial fits, the figures that a data sheet states about a sensor
// (linearity, hysteresis, repeatability), and a finger's shape from several strips.
//
// The reference is what was set and is taken as exact; the signal is what was
// read. Reading a value off later is the inverse, and has the inverse's interval.
// Units are the caller's, except for shapes, which are in metres and radians.
package calibrate
