package tolerance

import (
	"math"
	"slices"

	"holdfast/orient"
)

// Tried is the part of all poses near which trials were made. Nothing is claimed beyond it.
type Tried struct {
	hull  [][2]float64 // corners of the tried placement offsets, counter-clockwise; m
	index *orient.Index
	reach float64 // rad
}

// The reach around a tried orientation is twice the median gap between tried ones and their nearest other: of random
// orientations scattered as densely, 1 in 250 lies in a hole wider than that (with gaps r, a share 1 − e^{−cr³} of them is
// below r). It stays within these bounds (rad): trials closer than the least are repeats, and beyond the most no trial
// vouches for a pose.
const (
	leastReach = 5 * math.Pi / 180
	mostReach  = 30 * math.Pi / 180
)

// slack (m) lets a pose at the hull's very rim count as inside.
const slack = 1e-9

// NewTried takes the poses of the trials. Offsets count as tried inside their convex hull, orientations within a reach
// of a tried one that follows from how densely they were tried.
func NewTried(poses []Pose, symmetry orient.Symmetry) *Tried {
	rotations := make([]orient.Rotation, len(poses))
	offsets := make([][2]float64, len(poses))
	for i, p := range poses {
		rotations[i], offsets[i] = p.R, [2]float64{p.X, p.Y}
	}
	distinct, _ := symmetry.Distinct(rotations)
	t := &Tried{hull: hullOf(offsets), reach: leastReach}
	if len(distinct) == 0 {
		return t
	}
	t.index = orient.NewIndex(distinct, symmetry)
	if gap := gapOf(distinct, symmetry); gap > 0 {
		t.reach = math.Min(math.Max(gap, leastReach), mostReach)
	}
	return t
}

// mostProbed bounds the orientations whose gap to the nearest other is looked at.
const mostProbed = 400

// gapOf returns twice the median distance (rad) of an orientation to its nearest other.
func gapOf(points []orient.Rotation, symmetry orient.Symmetry) float64 {
	if len(points) < 2 {
		return 0
	}
	probe := points
	if len(probe) > mostProbed {
		probe = make([]orient.Rotation, mostProbed)
		for i := range probe {
			probe[i] = points[i*len(points)/mostProbed]
		}
	}
	gaps := make([]float64, 0, len(probe))
	for _, p := range probe {
		gap := math.Inf(1)
		for _, q := range points {
			if d := symmetry.Distance(p, q); d > 1e-6 {
				gap = math.Min(gap, d)
			}
		}
		if !math.IsInf(gap, 1) {
			gaps = append(gaps, gap)
		}
	}
	if len(gaps) == 0 {
		return 0
	}
	slices.Sort(gaps)
	return 2 * gaps[(len(gaps)-1)/2]
}

// Reach returns how far (rad) from a tried orientation an orientation still counts as tried.
func (t *Tried) Reach() float64 { return t.reach }

// Orientation says whether trials were made near r.
func (t *Tried) Orientation(r orient.Rotation) bool {
	if t.index == nil {
		return false
	}
	_, d := t.index.Nearest(r)
	return d <= t.reach
}

// Offset says whether the placement offset (m) lies among those tried.
func (t *Tried) Offset(x, y float64) bool {
	switch len(t.hull) {
	case 0:
		return false
	case 1:
		return math.Hypot(x-t.hull[0][0], y-t.hull[0][1]) <= slack
	case 2:
		return onSegment(t.hull[0], t.hull[1], [2]float64{x, y})
	}
	for i, a := range t.hull {
		b := t.hull[(i+1)%len(t.hull)]
		if turn(a, b, [2]float64{x, y}) < -slack*math.Hypot(b[0]-a[0], b[1]-a[1]) {
			return false
		}
	}
	return true
}

// OffsetReach returns the largest distance (m) of a tried offset from the point (x, y).
func (t *Tried) OffsetReach(x, y float64) float64 {
	far := 0.0
	for _, c := range t.hull {
		far = math.Max(far, math.Hypot(c[0]-x, c[1]-y))
	}
	return far
}

func onSegment(a, b, p [2]float64) bool {
	dx, dy := b[0]-a[0], b[1]-a[1]
	along := ((p[0]-a[0])*dx + (p[1]-a[1])*dy) / (dx*dx + dy*dy)
	along = math.Min(math.Max(along, 0), 1)
	return math.Hypot(p[0]-a[0]-along*dx, p[1]-a[1]-along*dy) <= slack
}

func turn(a, b, c [2]float64) float64 { return (b[0]-a[0])*(c[1]-a[1]) - (b[1]-a[1])*(c[0]-a[0]) }

// hullOf returns the corners of the convex hull, counter-clockwise (A. M. Andrew, "Another efficient algorithm for
// convex hulls in two dimensions", Inf. Process. Lett. 9 (1979) 216; from memory). Fewer than three remain of offsets
// on a line.
func hullOf(points [][2]float64) [][2]float64 {
	points = slices.Clone(points)
	slices.SortFunc(points, func(a, b [2]float64) int { return slices.Compare(a[:], b[:]) })
	points = slices.Compact(points)
	if len(points) < 3 {
		return points
	}
	chain := func(next func(int) [2]float64) [][2]float64 {
		var c [][2]float64
		for i := range points {
			p := next(i)
			for len(c) >= 2 && turn(c[len(c)-2], c[len(c)-1], p) <= 0 {
				c = c[:len(c)-1]
			}
			c = append(c, p)
		}
		return c[:len(c)-1]
	}
	lower := chain(func(i int) [2]float64 { return points[i] })
	upper := chain(func(i int) [2]float64 { return points[len(points)-1-i] })
	return append(lower, upper...)
}
