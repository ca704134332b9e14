// Package replay writes and reads films of simulated trials as documents of their own, so that a trial can be looked at again
// wherever its record lies. A document is JSON packed with gzip; lengths are in mm, angles in degrees, forces in N, times in s,
// pressures in kPa, each with its unit in the field's name. The same film gives the same bytes.
//
// docs/formats.md describes the document.
package replay
