package decide

import (
	"math"

	"holdfast/orient"
)

// How many candidates a region is searched among: so many that each stands for the orientations within about 10° of it,
// unless that takes too many.
const (
	candidatesOfAll = 9000 // over all orientations; measured: 12,000 would be 9.1° apart
	leastCandidates = 60
	mostCandidates  = 400
)

// CandidateCount returns how many even orientations of tilt up to tiltMax (rad) to search a region among. Where only turns
// about the vertical are left, or nothing, there are fewer.
func CandidateCount(tiltMax float64, sym orient.Symmetry) int {
	// Share of all orientations that is left to tell apart: the cap of directions, over the symmetry.
	share := math.Pow(math.Sin(math.Min(tiltMax, math.Pi)/2), 2) / float64(sym.Order())
	if sym.Axial() {
		share = math.Cbrt(share * share) // two dimensions are left of three
	}
	if tiltMax >= 1e-6 {
		return min(max(int(candidatesOfAll*share), leastCandidates), mostCandidates)
	}
	if sym.Axial() {
		return 1
	}
	return 36
}
