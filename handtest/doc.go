// Package handtest turns bench records of a compliant hand into its own numbers:
// closing, finger strength, grip strength against size, payload, touch sensitivity,
// stiffness and loss by direction, relaxation, repeatability, wear, life and cost.
//
// Each test is a table with named columns. A report has figures, each with an
// interval and the method behind it, and the data of a plot. Lengths are in mm,
// forces in N, times in s and shares from 0 to 1, as bench records have them; the
// unit stands in every column's name.
//
// Testing a hand can pinch and strike: cut motion and air before reaching in, wear
// eye protection in pull-out tests. The figures describe a hand; they are no proof
// of safety.
package handtest
