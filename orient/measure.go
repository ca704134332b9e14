package orient

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
)

// measure fills in the covering radius, the separation and the number of probes of c.
func (reg *region) measure(c *Covering, seed uint64) {
	points := reg.embedAll(c.Points)
	c.Separation = reg.separation(c.Points)
	t := reg.newTree(points)
	c.Probes = max(20000, 64*len(points))
	rng := rand.New(rand.NewPCG(seed, 0x70726f6265))
	c.CoveringRadius = reg.deepest(t, reg.probes(c.Probes, c.Probes/8, rng), 100, rng)
}

func (reg *region) embedAll(list []Rotation) []vec4 {
	points := make([]vec4, len(list))
	for i, r := range list {
		points[i] = reg.embed(r)
	}
	return points
}

// separation returns the least distance (rad) between two of the list; π if there are fewer.
func (reg *region) separation(list []Rotation) float64 {
	t, least := reg.newTree(reg.embedAll(list)), math.Pi
	for i, v := range t.points {
		if j, _ := t.nearest(reg.space, v, i, 4); j >= 0 {
			least = math.Min(least, reg.sym.Distance(list[i], list[j]))
		}
	}
	return least
}

type hole struct {
	at     vec4
	depth2 float64
}

// newTree returns a tree of the points moved into the canonical range, where few images of a question come near it.
func (reg *region) newTree(points []vec4) *tree {
	near := make([]vec4, len(points))
	for i, v := range points {
		near[i] = reg.embed(reg.sym.Canonical(reg.lift(v)))
	}
	return newTree(near)
}

// deepest returns the depth (rad) of the deepest hole that can be reached uphill from the climbs deepest probes.
func (reg *region) deepest(t *tree, probes []vec4, climbs int, rng *rand.Rand) float64 {
	holes := make([]hole, len(probes))
	for i, v := range probes {
		_, d := t.nearest(reg.space, v, -1, 4)
		holes[i] = hole{v, d}
	}
	slices.SortStableFunc(holes, func(a, b hole) int { return cmp.Compare(b.depth2, a.depth2) })
	best := 0.0
	// The spacing of the probes, in the space's own angle.
	reach := math.Sqrt(holes[0].depth2) * math.Cbrt(float64(len(t.points))/float64(len(probes)))
	for _, h := range holes[:min(len(holes), climbs)] {
		best = math.Max(best, reg.climb(t, h, reach, rng).depth2)
	}
	return reg.angle(best)
}

// climb looks for deeper places around a hole in ever smaller steps.
func (reg *region) climb(t *tree, h hole, reach float64, rng *rand.Rand) hole {
	for range 14 {
		from := h.at
		for range 24 {
			v := from
			for a := range v {
				if !reg.axial || a > 0 {
					v[a] += reach * (2*rng.Float64() - 1)
				}
			}
			u, ok := v.unit()
			if !ok {
				continue
			}
			u = reg.clamp(u, reg.maxTilt)
			if _, d := t.nearest(reg.space, u, -1, 4); d > h.depth2 {
				h = hole{u, d}
			}
		}
		reach *= 0.6
	}
	return h
}

func sortByApproach(points []Rotation) {
	key := func(r Rotation) [3]float64 {
		a := r.Approach()
		return [3]float64{math.Round(a.Tilt * 1e9), math.Round(a.Azimuth * 1e9), math.Round(a.Roll * 1e9)}
	}
	slices.SortStableFunc(points, func(a, b Rotation) int {
		ka, kb := key(a), key(b)
		return slices.Compare(ka[:], kb[:])
	})
}
