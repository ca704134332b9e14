// Package successmap estimates the probability of success over all orientations of a hand, with its uncertainty, from
// trials that were or were not held.
//
// The log-odds are a sum of orthonormal functions on the rotation group (orient.Harmonics) with a Gaussian prior whose
// amplitude, length scale and direction/roll anisotropy the trials decide; see DESIGN.md for the equations that the
// code cites. Angles are radians, orientations follow package orient.
package successmap
