package orient

import (
	"cmp"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
)

// pattern is a regularity that a covering may be given beyond its symmetry: it then consists of copies of fewer points.
// Regular coverings have fewer faults than what relaxation finds from nothing, and are quicker to find; the best known
// coverings of the rotations are of this kind (C. F. F. Karney, "Quaternions in molecular modeling", J. Mol. Graph.
// Model. 25 (2007) 595).
type pattern struct {
	left, right []Rotation // copies l·R·r of each point
	region      *region    // in which the copies count as one
	attempt     uint64     // tells starts with the same pattern apart

	relaxation *relaxation
	depth      float64    // covering radius, rad
	copied     []Rotation // all points
	crowded    bool       // some of them nearly coincide
}

func (p *pattern) copies() int { return len(p.left) * len(p.right) }

// maxPatternFold is the largest extra fold that is tried.
const maxPatternFold = 12

// patterns lists what to try for n points.
func (reg *region) patterns(n int) []*pattern {
	var list []*pattern
	s := reg.sym
	around, hand := s.Around(), s.Hand()
	for a := 1; a <= maxPatternFold; a++ {
		for h := 1; h <= maxPatternFold; h++ {
			if n%(a*h) != 0 || a > 1 && s.Axial() || a*h > n/4 && a*h > 1 {
				continue
			}
			t := s
			t.Surroundings.Fold, t.HandFold = around*a, hand*h
			starts := 1
			if a*h == 1 {
				starts = max(1, min(3, 300/n))
			}
			for k := range starts {
				list = append(list, &pattern{left: cosets(around, a), right: cosets(hand, h), region: newRegion(reg.maxTilt, t), attempt: uint64(k)})
			}
		}
	}
	if reg.maxTilt < math.Pi || s.Mirror() {
		return list
	}
	for _, group := range polyhedral() {
		k := len(group)
		one := []Rotation{Identity}
		switch {
		case n%k != 0:
		case s.Axial() && hand == 1:
			sp := newSpaceOf(one, group, true, false)
			list = append(list, &pattern{left: one, right: group, region: &region{sp, s, reg.maxTilt}})
		case !s.Axial() && around == 1:
			sp := newSpaceOf(group, turns(hand), false, false)
			list = append(list, &pattern{left: group, right: one, region: &region{sp, s, reg.maxTilt}})
		}
	}
	return list
}

// cosets returns the turns about z that make an n·k-fold symmetry out of an n-fold one.
func cosets(n, k int) []Rotation { return turns(n * k)[:k] }

// polyhedral returns the rotation groups of the tetrahedron (12), the cube (24) and the icosahedron (60), identity
// first.
func polyhedral() [][]Rotation {
	third := AboutAxis(Vec3{1, 1, 1}, 2*math.Pi/3)
	return [][]Rotation{
		generate(RotZ(math.Pi), third),
		generate(RotZ(math.Pi/2), third),
		generate(RotZ(math.Pi), third, AboutAxis(Vec3{0, 1, math.Phi}, 2*math.Pi/5)),
	}
}

// generate returns the group that the generators make.
func generate(generators ...Rotation) []Rotation {
	group := []Rotation{Identity}
	for at := 0; at < len(group); at++ {
		for _, g := range generators {
			next := g.Mul(group[at])
			if _, d := (Symmetry{}).Nearest(group, next); d > 1e-6 {
				group = append(group, next)
			}
		}
	}
	return group
}

// relocations is how often crowded points are moved before a finalist is relaxed to the end.
const relocations = 2

// finalists returns how many patterns are relaxed to the end: more where it costs little.
func finalists(n int) int { return min(8, max(3, 4000/n)) }

// cover relaxes a start for every pattern a little, the most promising ones to the end, and returns the points of the
// one with the smallest covering radius. The work is spread over the processors; its result does not depend on how
// many there are.
func (reg *region) cover(n int, seed uint64) []Rotation {
	list := reg.patterns(n)
	inParallel(len(list), runtime.GOMAXPROCS(0), func(i int) { list[i].begin(n, seed) })
	slices.SortStableFunc(list, func(a, b *pattern) int { return cmp.Compare(a.relaxation.bestWorst, b.relaxation.bestWorst) })
	// The best start without a pattern always goes on: copies of a point on an axis of the pattern coincide.
	plain := slices.IndexFunc(list, func(p *pattern) bool { return p.copies() == 1 })
	last := min(len(list), finalists(n))
	if plain >= last {
		list[last-1] = list[plain]
	}
	list = list[:last]
	inParallel(len(list), runtime.GOMAXPROCS(0), func(i int) {
		list[i].finish(seed)
		list[i].expand(n)
		list[i].crowded = reg.separation(list[i].copied) < crowding*list[i].depth
	})
	return slices.MinFunc(list, func(a, b *pattern) int {
		if a.crowded != b.crowded {
			if a.crowded {
				return 1
			}
			return -1
		}
		return cmp.Compare(a.depth, b.depth)
	}).copied
}

// crowding is the share of the covering radius below which two points are too near to be worth two trials. In even
// coverings neighbours are at least 1.5 covering radii apart.
const crowding = 0.4

func (p *pattern) begin(n int, seed uint64) {
	rng := rand.New(rand.NewPCG(seed, p.attempt))
	points := p.region.spread(n/p.copies(), rng)
	// As many probes for each point in every pattern, or their figures could not be compared.
	perPoint := min(400, max(48, 6000/n))
	p.relaxation = p.region.newRelaxation(points, max(1500, perPoint*len(points)), rng)
	p.relaxation.run(roughStages)
}

func (p *pattern) finish(seed uint64) {
	for range relocations {
		p.relaxation.relocate()
		p.relaxation.run(roughStages[1:])
	}
	p.relaxation.run(fineStages)
	rng := rand.New(rand.NewPCG(seed, p.attempt))
	points := p.relaxation.best
	p.depth = p.region.deepest(p.region.newTree(points), p.region.probes(max(4000, 64*len(points)), max(500, 8*len(points)), rng), 30, rng)
}

// expand makes the n copies of the points.
func (p *pattern) expand(n int) {
	p.copied = make([]Rotation, 0, n)
	for _, v := range p.relaxation.best {
		r := p.region.lift(v)
		for _, l := range p.left {
			for _, h := range p.right {
				p.copied = append(p.copied, l.Mul(r).Mul(h))
			}
		}
	}
}
