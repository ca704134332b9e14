// Package tolerance says how much error of placement and orientation a pick stands: the success that is left when both
// errors grow, with its interval, and the largest errors at which it surely stays above a target.
//
// Whoever asks hands in posterior draws of the log-odds ([Model]) and what was tried ([Tried]); poses that were not tried
// count as failures in every claim. DESIGN.md holds the equations that the code cites. Metres and radians throughout.
package tolerance
