// Package domain holds the nouns of the job and the rules that hold for them wherever they are kept or shown: hands,
// items, settings, strategies, studies, planned runs, trials, inspections and pick cards; their validation; the kinds of
// error; and the ports (Store, Bus, Clock) that outer rooms implement. It knows nothing of storage or screens.
//
// Quantities are SI: lengths in metres, forces in newtons, masses in kilograms, times in seconds, angles in radians.
// Frames and the orientation convention are those of package orient.
package domain
