package orient

import (
	"cmp"
	"maps"
	"math"
	"math/rand/v2"
	"slices"
)

// relaxation moves points of a region until they cover it evenly. Every probe is kept in the frame of the point that
// owns it: where a neighbour's image comes nearer, the probe moves there by the isometry that takes that image to the
// neighbour itself. So no fundamental domain has to be cut out, and there are no seams.
type relaxation struct {
	*region
	points     []vec4
	probes     []vec4
	owner      []int32
	neighbours [][]neighbour
	worst      float64 // largest squared chord from a probe to its owner
	best       []vec4  // the points when worst was least
	bestWorst  float64
}

type neighbour struct {
	at       vec4 // the image near the list's owner
	apart2   float64
	point    int32
	image    int32 // the isometry that takes a probe near at to the frame of point
	backward linear4
}

// stage is a run of iterations with weights distance^power.
type stage struct {
	iterations int
	power      int // even
}

// Few iterations tell promising starts from poor ones; the later powers come ever nearer to counting only the
// farthest orientation of each cell.
var (
	roughStages = []stage{{14, 0}, {8, 4}, {8, 12}}
	fineStages  = []stage{{16, 8}, {24, 16}, {30, 32}}
)

// newRelaxation begins with points, which it takes over, and about probes probes in all.
func (reg *region) newRelaxation(points []vec4, probes int, rng *rand.Rand) *relaxation {
	r := &relaxation{region: reg, points: points, probes: reg.probes(probes, probes/8, rng)}
	r.assign()
	r.keepBest()
	return r
}

// run goes through the stages; best holds the best points of all runs.
func (r *relaxation) run(stages []stage) {
	iteration := 0
	for _, st := range stages {
		for range st.iterations {
			r.move(st.power)
			if iteration%6 == 0 {
				r.link()
			}
			iteration++
			r.refresh()
			r.follow()
			r.keepBest()
		}
	}
}

func (r *relaxation) keepBest() {
	if r.best == nil || r.worst < r.bestWorst {
		r.best, r.bestWorst = append(r.best[:0], r.points...), r.worst
	}
}

// relocate moves one of every two points that crowd each other into one of the deepest holes, which no gliding would
// bring it to.
func (r *relaxation) relocate() {
	r.link()
	r.refresh()
	kept := make([]bool, len(r.points))
	var crowded []int
	for i := range r.points {
		for _, nb := range r.neighbours[i] {
			// In even patterns neighbours are at least 1.5 covering radii apart.
			if int(nb.point) != i && !kept[i] && nb.apart2 < 0.8*r.worst {
				kept[nb.point] = true
				crowded = append(crowded, i)
				break
			}
		}
	}
	if len(crowded) == 0 {
		return
	}
	deepest := make(map[int32]int) // by owner
	depth := func(k int) float64 { return r.probes[k].chord2(r.points[r.owner[k]]) }
	for k, i := range r.owner {
		if at, seen := deepest[i]; !seen || depth(k) > depth(at) {
			deepest[i] = k
		}
	}
	holes := slices.SortedFunc(maps.Values(deepest), func(a, b int) int {
		return cmp.Or(cmp.Compare(depth(b), depth(a)), cmp.Compare(a, b))
	})
	for m, i := range crowded[:min(len(crowded), len(holes))] {
		r.points[i] = r.probes[holes[m]]
	}
	r.assign()
}

// probes returns n points spread evenly over the region, a few of them at tilt 0 and the last
// atLimit at the tilt limit if there is one.
func (reg *region) probes(n, atLimit int, rng *rand.Rand) []vec4 {
	// Steps of the Kronecker sequences of the roots of x³ = x + 1 in two and x⁴ = x + 1 in three dimensions (common
	// practice, no source). The latter's projection on two is uneven.
	steps := [3]float64{1 / 1.2207440846057596, math.Pow(1.2207440846057596, -2), math.Pow(1.2207440846057596, -3)}
	if reg.axial {
		steps = [3]float64{1 / 1.3247179572447460, 0, math.Pow(1.3247179572447460, -2)}
	}
	h, u, v := rng.Float64(), rng.Float64(), rng.Float64()
	points := make([]vec4, n)
	rim, poles := n, 1
	if !reg.axial {
		poles = int(math.Cbrt(float64(n)))
	}
	if reg.maxTilt < math.Pi {
		rim -= atLimit
	}
	for i := range points {
		h, u, v = frac(h+steps[0]), frac(u+steps[1]), frac(v+steps[2])
		switch {
		case i < poles:
			// Symmetry leaves so little of a hole around straight down that chance may miss it.
			points[i] = reg.at(0, u, v)
		case i < rim:
			points[i] = reg.at(h, u, v)
		default:
			points[i] = reg.at(1, u, v)
		}
	}
	return points
}

func frac(x float64) float64 { return x - math.Floor(x) }

// assign finds every probe's owner from scratch.
func (r *relaxation) assign() {
	t := newTree(r.points)
	r.owner = make([]int32, len(r.probes))
	r.worst = 0
	for k, v := range r.probes {
		best, best2, image := int32(-1), 5.0, 0
		for g := range r.images {
			u := r.images[g].apply(v)
			before := best2
			if t.nodes[0].distance2(u) < best2 {
				t.descend(0, u, -1, &best, &best2)
			}
			if best2 < before {
				image = g
			}
		}
		r.owner[k] = best
		r.probes[k] = r.images[image].apply(v)
		r.worst = math.Max(r.worst, best2)
	}
}

// link lists each point's neighbours: every image within twice the covering radius, so that a probe's nearest point is
// always among its owner's neighbours, with some room for points to move before the next call.
func (r *relaxation) link() {
	t := newTree(r.points)
	limit := 4 * r.worst * 1.1
	if r.neighbours == nil {
		r.neighbours = make([][]neighbour, len(r.points))
	}
	for i, x := range r.points {
		list := r.neighbours[i][:0]
		t.within(r.space, x, limit, func(j, g int32) {
			if int(j) != i || g != 0 {
				list = append(list, neighbour{point: j, image: g, backward: r.images[g].inverse()})
			}
		})
		r.neighbours[i] = list
	}
}

// refresh brings the neighbours' images up to date after a move.
func (r *relaxation) refresh() {
	for i, x := range r.points {
		list := r.neighbours[i]
		for k := range list {
			nb := &list[k]
			nb.at = nb.backward.apply(r.points[nb.point])
			nb.apart2 = x.chord2(nb.at)
		}
	}
}

// rounding is well above the rounding error of a squared chord.
const rounding = 1e-13

// follow hands every probe on until its owner is the nearest point.
func (r *relaxation) follow() {
	r.worst = 0
	for k, v := range r.probes {
		i := r.owner[k]
		d := v.chord2(r.points[i])
		for {
			// A gain within rounding must not count, or a probe on an axis of symmetry would be passed round for ever.
			better, least := -1, d-rounding
			list := r.neighbours[i]
			for m := range list {
				nb := &list[m]
				if nb.apart2 >= 4*d {
					continue // by the triangle inequality it cannot be nearer
				}
				if e := v.chord2(nb.at); e < least {
					least, better = e, m
				}
			}
			if better < 0 {
				break
			}
			v = r.images[list[better].image].apply(v)
			i = list[better].point
			d = v.chord2(r.points[i])
		}
		r.probes[k], r.owner[k] = v, i
		r.worst = math.Max(r.worst, d)
	}
}

// move takes every point to the weighted mean of its probes.
func (r *relaxation) move(power int) {
	sums := make([]vec4, len(r.points))
	for k, v := range r.probes {
		i := r.owner[k]
		w := 1.0
		if power > 0 {
			w = integerPower(v.chord2(r.points[i])/r.worst, power/2)
		}
		sum := &sums[i]
		for a := range v {
			sum[a] += w * v[a]
		}
	}
	// Beyond power 0 the weights follow the point as it moves; the whole way to the mean would overshoot. This is the
	// Newton step for the sum of distance^(power+2) in an isotropic cell of the region's dimension.
	step := 1 / (1 + float64(power)/r.dimension())
	for i, sum := range sums {
		mean, ok := sum.unit()
		if !ok {
			continue
		}
		x := r.points[i]
		for a := range x {
			x[a] += step * (mean[a] - x[a])
		}
		if u, ok := x.unit(); ok {
			r.points[i] = r.clamp(u, r.maxTilt)
		}
	}
}

func integerPower(x float64, n int) float64 {
	result := 1.0
	for ; n > 0; n >>= 1 {
		if n&1 == 1 {
			result *= x
		}
		x *= x
	}
	return result
}
