// Package report draws what people print, file and hand over: success map figures (SVG, PNG, PDF), run sheets (PDF) and
// pick cards (JSON and PDF). Everything is a function of its input: the same values give the same bytes, on any day.
//
// Figures are drawn once into a [Scene] of vector operations, which is then written in each format.
package report
