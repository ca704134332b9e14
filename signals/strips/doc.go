// Package strips tells the shape of a finger from flex or strain strips along it: each strip's signal is read backwards by its own
// calibration as the curvature of its stretch, and the stretches are followed from the finger's base.
//
// The finger bends in one plane: z runs straight out of the base, x across. Lengths are in metres inside, mm in files and reports.
package strips
