package shape

import (
	"math"
	"sort"

	"holdfast/orient"
)

// node is a box around some triangles. A branch's first child comes right after it, its second one lies at far; a leaf has the
// triangles from first on, count of them.
type node struct {
	low, high    orient.Vec3
	first, count int32
	far          int32
}

const (
	leafMost = 4
	// stackMost is twice what a tree of the most triangles is deep, halved at each level.
	stackMost = 48
)

// grown builds the tree over triangles given by their corners: each box is split at the middle of its triangles' centres along the
// longest way between them. order is how the triangles lie in the leaves.
func grown(corners [][3]orient.Vec3) (nodes []node, order []int32) {
	order = make([]int32, len(corners))
	centres := make([]orient.Vec3, len(corners))
	for i, c := range corners {
		order[i] = int32(i)
		centres[i] = c[0].Add(c[1]).Add(c[2])
	}
	var split func(first, count int)
	split = func(first, count int) {
		at := len(nodes)
		list := order[first : first+count]
		n := node{first: int32(first), low: corners[list[0]][0], high: corners[list[0]][0]}
		low, high := centres[list[0]], centres[list[0]]
		for _, i := range list {
			for k := range 3 {
				for _, c := range corners[i] {
					n.low[k], n.high[k] = min(n.low[k], c[k]), max(n.high[k], c[k])
				}
				low[k], high[k] = min(low[k], centres[i][k]), max(high[k], centres[i][k])
			}
		}
		if count <= leafMost {
			n.count = int32(count)
			nodes = append(nodes, n)
			return
		}
		axis := largest(sub(high, low))
		sort.Slice(list, func(a, b int) bool {
			x, y := centres[list[a]][axis], centres[list[b]][axis]
			return x < y || x == y && list[a] < list[b]
		})
		nodes = append(nodes, n)
		split(first, count/2)
		nodes[at].far = int32(len(nodes))
		split(first+count/2, count-count/2)
	}
	split(0, len(corners))
	return nodes, order
}

// from is the square of the distance of a point from the box.
func (n *node) from(p *orient.Vec3) float64 {
	sum := 0.0
	for i, v := range p {
		if d := max(n.low[i]-v, v-n.high[i]); d > 0 {
			sum += d * d
		}
	}
	return sum
}

// between is no more than the square of the distance of a segment (its box and its middle, half its length from the ends) from
// the box.
func (n *node) between(low, high, a, way *orient.Vec3, long float64) float64 {
	sum := 0.0
	var off orient.Vec3
	radius := 0.0
	for i := range low {
		if d := max(n.low[i]-high[i], low[i]-n.high[i]); d > 0 {
			sum += d * d
		}
		off[i] = (n.low[i]+n.high[i])/2 - a[i]
		h := (n.high[i] - n.low[i]) / 2
		radius += h * h
	}
	t := 0.0
	if long > 0 {
		t = clamp((off[0]*way[0] + off[1]*way[1] + off[2]*way[2]) / long)
	}
	round := 0.0
	for i := range off {
		d := off[i] - t*way[i]
		round += d * d
	}
	// (|off| − radius)² where the ball around the box is clear.
	if round > radius && round > sum {
		d := math.Sqrt(round) - math.Sqrt(radius)
		sum = max(sum, d*d)
	}
	return sum
}

// reaches is how far the box reaches along the direction.
func (n *node) reaches(d *orient.Vec3) float64 {
	sum := 0.0
	for i, v := range d {
		if v > 0 {
			sum += v * n.high[i]
		} else {
			sum += v * n.low[i]
		}
	}
	return sum
}

// Where on a triangle a place is: on its face, on the edge from corner k to the next, or at corner k.
const (
	onFace   = int8(0)
	onEdge   = int8(1) // + k
	onCorner = int8(4) // + k
)

// rim is how small a place's share of a corner is (of one) when it counts as on the opposite edge.
const rim = 1e-10

// onTriangle is the triangle's place nearest to p and what it lies on (C. Ericson, "Real-time collision detection", 2005, §5.1.5: the
// corner's, edge's and face's regions by scalar products; from memory).
func onTriangle(p orient.Vec3, c *[3]orient.Vec3) (orient.Vec3, int8) {
	ab, ac, ap := sub(c[1], c[0]), sub(c[2], c[0]), sub(p, c[0])
	d1, d2 := ab.Dot(ap), ac.Dot(ap)
	if d1 <= 0 && d2 <= 0 {
		return c[0], onCorner
	}
	bp := sub(p, c[1])
	d3, d4 := ab.Dot(bp), ac.Dot(bp)
	if d3 >= 0 && d4 <= d3 {
		return c[1], onCorner + 1
	}
	vc := d1*d4 - d3*d2
	if vc <= 0 && d1 >= 0 && d3 <= 0 {
		return c[0].Add(ab.Scale(d1 / (d1 - d3))), onEdge
	}
	cp := sub(p, c[2])
	d5, d6 := ab.Dot(cp), ac.Dot(cp)
	if d6 >= 0 && d5 <= d6 {
		return c[2], onCorner + 2
	}
	vb := d5*d2 - d1*d6
	if vb <= 0 && d2 >= 0 && d6 <= 0 {
		return c[0].Add(ac.Scale(d2 / (d2 - d6))), onEdge + 2
	}
	va := d3*d6 - d5*d4
	if va <= 0 && d4-d3 >= 0 && d5-d6 >= 0 {
		return c[1].Add(sub(c[2], c[1]).Scale((d4 - d3) / ((d4 - d3) + (d5 - d6)))), onEdge + 1
	}
	all := va + vb + vc
	if !(all > 0) {
		// A triangle without area whose regions rounding left open.
		return c[0], onCorner
	}
	v, w := vb/all, vc/all
	on := onFace
	switch {
	case w < rim:
		on = onEdge
	case v < rim:
		on = onEdge + 2
	case 1-v-w < rim:
		on = onEdge + 1
	}
	return c[0].Add(ab.Scale(v)).Add(ac.Scale(w)), on
}
