// Package orient holds the geometry of hand orientations: unit quaternions and rotation matrices, approach tilt,
// azimuth and roll, symmetry, even coverings of the rotations, and smooth functions on the rotation group.
//
// # Frames and conventions
//
// The setting frame has x and y on the support and z up. In the reference pose the palm points straight down and the
// fingers' opening lies along the setting's x. A [Rotation] turns the hand from the reference pose into its pose, in
// setting coordinates, so the identity is "straight down, opening along x".
//
// Approach angles compose as
//
//	R = Rz(azimuth) · Ry(−tilt) · Rz(roll)
//
// Roll acts first (right factor, about the vertical of the reference pose, counter-clockwise seen from above), then
// tilt leans the approach direction from straight down towards the azimuth:
//
//	approach direction = R·(0,0,−1) = (sin tilt·cos azimuth, sin tilt·sin azimuth, −cos tilt)
//
// At tilt 0 only azimuth + roll counts, at tilt 180° only azimuth − roll. The sum azimuth + roll is called the
// heading; direction and heading together are a chart without a seam at straight down, because
//
//	R = Swing(direction) · Rz(heading)
//
// where Swing is the smallest turn from straight down to the direction.
//
// Symmetry of the hand acts on the right (R·S), symmetry of item and setting on the left (S·R).
//
// All angles are radians inside this package; degrees exist only at the program's edges.
package orient
