package orient

import (
	"fmt"
	"math"
)

// RingSpec is an orientation plan as drawn on paper: rings of equal tilt, evenly spaced azimuths on each, and the same
// rolls at every place.
type RingSpec struct {
	Tilts    []float64 // rad, 0…π, one per ring
	Azimuths []int     // how many azimuths on each ring, or a single count for all rings
	Rolls    []float64 // rad; empty means roll 0
	Start    float64   // rad, azimuth of each ring's first place
}

// maxRingPoints keeps a mistyped count from filling memory.
const maxRingPoints = 100000

// Rings returns the orientations of the plan: ring by ring, azimuth by azimuth, roll by roll. At tilt 0 and 180° the
// azimuths collapse to one, 0. Orientations equivalent under s to an earlier one are left out; folded says how many
// places of the plan that took away, those at collapsed azimuths included. Points are as drawn, not canonical.
//
// It fails on tilts outside 0…180°, on counts below 1 and on counts that do not match the rings.
func Rings(spec RingSpec, s Symmetry) (points []Rotation, folded int, err error) {
	if len(spec.Tilts) == 0 {
		return nil, 0, fmt.Errorf("rings: at least one tilt is needed")
	}
	if len(spec.Azimuths) != 1 && len(spec.Azimuths) != len(spec.Tilts) {
		return nil, 0, fmt.Errorf("rings: %d azimuth counts for %d tilts; give one count for all rings or one for each", len(spec.Azimuths), len(spec.Tilts))
	}
	rolls := spec.Rolls
	if len(rolls) == 0 {
		rolls = []float64{0}
	}
	total := 0
	for i, tilt := range spec.Tilts {
		if !(tilt >= 0 && tilt <= math.Pi+1e-12) {
			return nil, 0, fmt.Errorf("rings: tilt %d is %g°; it must lie between 0° and 180°", i+1, tilt*180/math.Pi)
		}
		n := spec.azimuths(i)
		if n < 1 || n > maxRingPoints {
			return nil, 0, fmt.Errorf("rings: azimuth count %d is %d; it must lie between 1 and %d", i+1, n, maxRingPoints)
		}
		if total += n * len(rolls); total > maxRingPoints {
			return nil, 0, fmt.Errorf("rings: the plan has more than %d orientations", maxRingPoints)
		}
	}
	for i, roll := range append([]float64{spec.Start}, rolls...) {
		if math.IsNaN(roll) || math.IsInf(roll, 0) {
			return nil, 0, fmt.Errorf("rings: angle %d of start and rolls is not a number", i+1)
		}
	}
	seen := newSeen(s)
	for i, tilt := range spec.Tilts {
		n, steps := spec.azimuths(i), spec.azimuths(i)
		if pole(tilt) {
			steps = 1
		}
		for j := range steps {
			azimuth := 0.0
			if !pole(tilt) {
				azimuth = spec.Start + 2*math.Pi*float64(j)/float64(n)
			}
			for _, roll := range rolls {
				r := FromApproach(Approach{Tilt: tilt, Azimuth: azimuth, Roll: roll})
				if seen.add(r) {
					points = append(points, r)
				}
			}
		}
	}
	return points, total - len(points), nil
}

func (spec *RingSpec) azimuths(ring int) int {
	if len(spec.Azimuths) == 1 {
		return spec.Azimuths[0]
	}
	return spec.Azimuths[ring]
}

// same is the distance (rad) within which two planned orientations are one.
const same = 1e-6

func pole(tilt float64) bool { return tilt < same || tilt > math.Pi-same }

// Distinct returns the points without those that are equivalent under s (within 1e-6 rad) to an earlier one, and for
// every point the index in distinct of the one that stands for it.
func (s Symmetry) Distinct(points []Rotation) (distinct []Rotation, stands []int) {
	seen := newSeen(s)
	stands = make([]int, len(points))
	for i, r := range points {
		before := len(seen.points)
		seen.add(r)
		stands[i] = seen.last
		if len(seen.points) > before {
			distinct = append(distinct, r)
		}
	}
	return distinct, stands
}

// seenSet remembers orientations by rounded coordinates of their canonical form, looked up with the neighbouring cells.
type seenSet struct {
	sym    Symmetry
	sp     *space
	points []Rotation
	cells  map[[4]int32][]int
	last   int // index of the point that the last add found or made
}

func newSeen(s Symmetry) *seenSet {
	return &seenSet{sym: s, sp: newSpace(s), cells: map[[4]int32][]int{}}
}

// add reports whether no equivalent orientation was added before.
func (set *seenSet) add(r Rotation) bool {
	const cell = 1e-3
	v := set.sp.embed(set.sym.Canonical(r))
	for g := range set.sp.images {
		u := set.sp.images[g].apply(v)
		var low, high [4]int32
		for a := range u {
			low[a] = int32(math.Floor((u[a] - 2*same) / cell))
			high[a] = int32(math.Floor((u[a] + 2*same) / cell))
		}
		var key [4]int32
	corners:
		for corner := range 16 {
			for a := range key {
				key[a] = low[a]
				if corner>>a&1 == 1 {
					if low[a] == high[a] {
						continue corners
					}
					key[a] = high[a]
				}
			}
			for _, i := range set.cells[key] {
				if set.sym.Distance(set.points[i], r) <= same {
					set.last = i
					return false
				}
			}
		}
	}
	var key [4]int32
	for a := range v {
		key[a] = int32(math.Floor(v[a] / cell))
	}
	set.last = len(set.points)
	set.cells[key] = append(set.cells[key], set.last)
	set.points = append(set.points, r)
	return true
}
