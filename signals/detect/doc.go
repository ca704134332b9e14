// Package detect says when a touch signal has changed, and how far to trust that:
// cumulative sums with the run length they have by an integral equation, a
// likelihood ratio for changes of unknown size, an energy detector, and the area
// under a receiver operating characteristic with its interval.
//
// Where in a clip that is known to hold a touch it began is told by the onset pickers
// of holdfast/signals.
//
// Thresholds come from a stated rate of false alarms, never from taste. Detections
// inform; they are no safety function, and nothing that protects people may hang
// on them.
package detect
