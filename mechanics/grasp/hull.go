package grasp

import (
	"errors"
	"math"
)

// hull is a convex polytope in 3 to 6 dimensions that grows inside a convex body, by corners where the body reaches
// farthest across the facet whose plane is lowest over the origin (DESIGN.md, eqs. 6 to 8). The lowest facet bounds the
// depth of the body from below, the body's reach across any facet bounds it from above.
type hull struct {
	d      int
	reach  func(u, at *[6]float64) float64
	polish func(u [6]float64) ([6]float64, float64) // nil, or walks a direction to the smallest reach nearby
	size   float64                                  // of the body: what rounding is measured by
	shake  float64                                  // disturbance of corners that parts coplanar ones
	noise  uint64
	points [][6]float64
	tags   []uint64
	facets []facet
	queue  []int32 // heap of the living by height
	free   []int32 // places of dead facets
	made   int     // facets, dead ones included

	visible, fresh []int32
	table          []ridge // open ridges by tag, hashed; of this round only
	round          uint32
}

// facet is a simplex of d corners.
type facet struct {
	normal [6]float64
	height float64 // of the plane over the origin
	corner [6]int32
	across [6]int32 // the facet beyond the ridge without corner k
	tag    uint64   // of its corners together
	place  int32    // in the queue
	dead   bool
}

// ridge is a side that waits for the facet on its other side.
type ridge struct {
	tag   uint64
	facet int32
	k     int32
	round uint32
	taken bool
}

var errTangled = errors.New("facets tangled by rounding")

// levelShare, of the body's size, is the height up to which a corner counts as lying in a plane.
const levelShare = 1e-13

func newHull(d int, reach func(u, at *[6]float64) float64) *hull {
	return &hull{d: d, reach: reach}
}

// start spans a first simplex. It returns false, and a direction across, when the body is flat.
func (h *hull) start() (across [6]float64, ok bool) {
	h.points, h.tags, h.facets, h.queue, h.free = h.points[:0], h.tags[:0], h.facets[:0], h.queue[:0], h.free[:0]
	var basis [6][6]float64
	var far [2][6]float64
	for k := range h.d {
		for s, sign := range [2]float64{1, -1} {
			u := [6]float64{}
			u[k] = sign
			h.reach(&u, &far[s])
			for r := range h.d {
				h.size = math.Max(h.size, math.Abs(far[s][r]))
			}
		}
	}
	h.add(far[0])
	for dim := range h.d {
		// The direction square to what is spanned: of the axes, the one that loses least, so that it is well determined.
		var best [6]float64
		most := 0.0
		for k := range h.d {
			u := [6]float64{}
			u[k] = 1
			for pass := 0; pass < 2; pass++ {
				for j := range dim {
					along := dot6(&u, &basis[j])
					for r := range u {
						u[r] -= along * basis[j][r]
					}
				}
			}
			if n := dot6(&u, &u); n > most {
				most, best = n, u
			}
		}
		scale(&best, 1/math.Sqrt(most))
		base := dot6(&best, &h.points[0])
		up := h.reach(&best, &far[0]) - base
		scale(&best, -1)
		down := h.reach(&best, &far[1]) + base
		p := far[0]
		if down > up {
			up, p = down, far[1]
		}
		if up <= rankTolerance*h.size {
			return best, false
		}
		h.add(p)
		var step [6]float64
		for r := range step {
			step[r] = h.points[dim+1][r] - h.points[0][r]
		}
		for pass := 0; pass < 2; pass++ {
			for j := range dim {
				along := dot6(&step, &basis[j])
				for r := range step {
					step[r] -= along * basis[j][r]
				}
			}
		}
		scale(&step, 1/math.Sqrt(dot6(&step, &step)))
		basis[dim] = step
	}
	for k := range h.d + 1 {
		f := facet{}
		n := 0
		for j := range h.d + 1 {
			if j != k {
				f.corner[n], f.across[n] = int32(j), int32(j)
				f.tag ^= h.tags[j]
				n++
			}
		}
		f.normal, f.height = h.plane(&f)
		if dot6(&f.normal, &h.points[k]) > f.height {
			scale(&f.normal, -1)
			f.height = -f.height
		}
		h.facets = append(h.facets, f)
		h.push(int32(k))
	}
	return across, true
}

func scale(v *[6]float64, s float64) {
	for r := range v {
		v[r] *= s
	}
}

// add remembers a corner and gives it a random-looking tag; tags of different sets of corners differ.
func (h *hull) add(p [6]float64) int32 {
	if h.shake > 0 {
		for r := range h.d {
			p[r] += h.shake * h.size * (float64(h.next()>>11)/(1<<53) - 0.5)
		}
	}
	h.points = append(h.points, p)
	h.tags = append(h.tags, h.next())
	return int32(len(h.points) - 1)
}

// next is SplitMix64 (G. L. Steele, D. Lea, C. H. Flood 2014; from memory).
func (h *hull) next() uint64 {
	h.noise += 0x9e3779b97f4a7c15
	z := h.noise
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

// plane returns the unit normal and height of the plane through a facet's corners, up to sign: elimination with full
// pivoting on the differences of corners.
func (h *hull) plane(f *facet) (normal [6]float64, height float64) {
	d := h.d
	var m [5][6]float64
	p0 := &h.points[f.corner[0]]
	for i := range d - 1 {
		p := &h.points[f.corner[i+1]]
		for r := range d {
			m[i][r] = p[r] - p0[r]
		}
	}
	column := [6]int{0, 1, 2, 3, 4, 5}
	for i := range d - 1 {
		pr, pc := i, i
		for r := i; r < d-1; r++ {
			for c := i; c < d; c++ {
				if math.Abs(m[r][column[c]]) > math.Abs(m[pr][column[pc]]) {
					pr, pc = r, c
				}
			}
		}
		m[i], m[pr] = m[pr], m[i]
		column[i], column[pc] = column[pc], column[i]
		if m[i][column[i]] == 0 {
			continue
		}
		for r := i + 1; r < d-1; r++ {
			t := m[r][column[i]] / m[i][column[i]]
			if t == 0 {
				continue
			}
			for c := i; c < d; c++ {
				m[r][column[c]] -= t * m[i][column[c]]
			}
		}
	}
	normal[column[d-1]] = 1
	for i := d - 2; i >= 0; i-- {
		if m[i][column[i]] == 0 {
			continue
		}
		s := 0.0
		for c := i + 1; c < d; c++ {
			s += m[i][column[c]] * normal[column[c]]
		}
		normal[column[i]] = -s / m[i][column[i]]
	}
	scale(&normal, 1/math.Sqrt(dot6(&normal, &normal)))
	for i := range d {
		height += dot6(&normal, &h.points[f.corner[i]])
	}
	return normal, height / float64(d)
}

// lowest returns the living facet of the lowest plane.
func (h *hull) lowest() int32 { return h.queue[0] }

// grow takes a new corner in that stands out of facet f.
func (h *hull) grow(f int32, at [6]float64) error {
	p := h.add(at)
	at = h.points[p]
	level := levelShare * h.size
	h.visible, h.fresh = append(h.visible[:0], f), h.fresh[:0]
	h.facets[f].dead = true
	for i := 0; i < len(h.visible); i++ {
		v := h.visible[i]
		over := dot6(&h.facets[v].normal, &at) - h.facets[v].height
		for k := range h.d {
			next := h.facets[v].across[k]
			n := &h.facets[next]
			if n.dead {
				continue
			}
			under := dot6(&n.normal, &at) - n.height
			if under > level {
				n.dead = true
				h.visible = append(h.visible, next)
				continue
			}
			h.cap(v, k, next, p, over, math.Min(under, 0))
		}
	}
	if err := h.join(p); err != nil {
		return err
	}
	for _, v := range h.visible {
		h.remove(h.facets[v].place)
		h.free = append(h.free, v)
	}
	return nil
}

// cap spans a facet from the ridge of facet v without corner k to the corner p, which stands over v and under n. Its
// plane is of the pencil through the ridge, so it follows from the two planes there.
func (h *hull) cap(v int32, k int, n, p int32, over, under float64) {
	below, from := &h.facets[v], &h.facets[n]
	f := facet{corner: below.corner, across: below.across, tag: below.tag ^ h.tags[below.corner[k]] ^ h.tags[p]}
	f.corner[k], f.across[k] = p, n
	for r := range f.normal {
		f.normal[r] = over*from.normal[r] - under*below.normal[r]
	}
	s := 1 / math.Sqrt(dot6(&f.normal, &f.normal))
	scale(&f.normal, s)
	f.height = s * (over*from.height - under*below.height)
	id, last := int32(len(h.facets)), len(h.free)-1
	if last >= 0 {
		id, h.free = h.free[last], h.free[:last]
	}
	for j := range h.d {
		if from.across[j] == v {
			from.across[j] = id
		}
	}
	if last >= 0 {
		h.facets[id] = f
	} else {
		h.facets = append(h.facets, f)
	}
	h.made++
	h.fresh = append(h.fresh, id)
}

// join links the fresh facets around corner p to one another.
func (h *hull) join(p int32) error {
	need := 4 * len(h.fresh) * h.d
	if len(h.table) < need {
		size := 256
		for size < need {
			size *= 2
		}
		h.table = make([]ridge, size)
	}
	h.round++
	mask := uint64(len(h.table) - 1)
	open := 0
	for _, id := range h.fresh {
		f := &h.facets[id]
		for k := range h.d {
			if f.corner[k] == p {
				continue
			}
			tag := f.tag ^ h.tags[f.corner[k]]
			slot := tag & mask
			for h.table[slot].round == h.round && h.table[slot].tag != tag {
				slot = (slot + 1) & mask
			}
			other := &h.table[slot]
			switch {
			case other.round != h.round:
				*other = ridge{tag: tag, facet: id, k: int32(k), round: h.round}
				open++
			case other.taken:
				return errTangled
			default:
				other.taken = true
				f.across[k] = other.facet
				h.facets[other.facet].across[other.k] = id
				open--
			}
		}
	}
	if open > 0 || len(h.fresh) == 0 {
		return errTangled
	}
	for _, id := range h.fresh {
		if math.IsNaN(h.facets[id].height) {
			return errTangled
		}
		h.push(id)
	}
	return nil
}

func (h *hull) push(id int32) {
	h.queue = append(h.queue, id)
	h.rise(len(h.queue) - 1)
}

// remove takes out what stands at a place of the queue.
func (h *hull) remove(place int32) {
	last := len(h.queue) - 1
	moved := h.queue[last]
	h.queue = h.queue[:last]
	if int(place) == last {
		return
	}
	h.put(int(place), moved)
	h.sink(int(place))
	h.rise(int(h.facets[moved].place))
}

func (h *hull) put(place int, id int32) {
	h.queue[place] = id
	h.facets[id].place = int32(place)
}

func (h *hull) rise(i int) {
	id := h.queue[i]
	height := h.facets[id].height
	for i > 0 {
		up := (i - 1) / 2
		if h.facets[h.queue[up]].height <= height {
			break
		}
		h.put(i, h.queue[up])
		i = up
	}
	h.put(i, id)
}

func (h *hull) sink(i int) {
	id := h.queue[i]
	height := h.facets[id].height
	for {
		c := 2*i + 1
		if c >= len(h.queue) {
			break
		}
		if c+1 < len(h.queue) && h.facets[h.queue[c+1]].height < h.facets[h.queue[c]].height {
			c++
		}
		if h.facets[h.queue[c]].height >= height {
			break
		}
		h.put(i, h.queue[c])
		i = c
	}
	h.put(i, id)
}
