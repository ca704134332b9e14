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
	x := max(n.low[0]-p[0], p[0]-n.high[0], 0)
	y := max(n.low[1]-p[1], p[1]-n.high[1], 0)
	z := max(n.low[2]-p[2], p[2]-n.high[2], 0)
	return x*x + y*y + z*z
}

// between is no more than the square of the distance of a segment (its box and its middle, half its length from the ends) from
// the box.
func (n *node) between(low, high, a, way *orient.Vec3, long float64) float64 {
	x := max(n.low[0]-high[0], low[0]-n.high[0], 0)
	y := max(n.low[1]-high[1], low[1]-n.high[1], 0)
	z := max(n.low[2]-high[2], low[2]-n.high[2], 0)
	sum := x*x + y*y + z*z
	hx, hy, hz := (n.high[0]-n.low[0])/2, (n.high[1]-n.low[1])/2, (n.high[2]-n.low[2])/2
	x, y, z = n.low[0]+hx-a[0], n.low[1]+hy-a[1], n.low[2]+hz-a[2]
	t := clamp((x*way[0] + y*way[1] + z*way[2]) / long)
	x, y, z = x-t*way[0], y-t*way[1], z-t*way[2]
	radius, round := hx*hx+hy*hy+hz*hz, x*x+y*y+z*z
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
func onTriangle(p *orient.Vec3, c *[3]orient.Vec3) (x, y, z float64, on int8) {
	// In single numbers: the compiler keeps those in registers.
	ax, ay, az := c[0][0], c[0][1], c[0][2]
	ux, uy, uz := c[1][0]-ax, c[1][1]-ay, c[1][2]-az
	vx, vy, vz := c[2][0]-ax, c[2][1]-ay, c[2][2]-az
	px, py, pz := p[0]-ax, p[1]-ay, p[2]-az
	uu, uv, vv := ux*ux+uy*uy+uz*uz, ux*vx+uy*vy+uz*vz, vx*vx+vy*vy+vz*vz
	d1, d2 := ux*px+uy*py+uz*pz, vx*px+vy*py+vz*pz
	if d1 <= 0 && d2 <= 0 {
		return ax, ay, az, onCorner
	}
	d3, d4 := d1-uu, d2-uv
	if d3 >= 0 && d4 <= d3 {
		return c[1][0], c[1][1], c[1][2], onCorner + 1
	}
	vc := d1*d4 - d3*d2
	if vc <= 0 && d1 >= 0 && d3 <= 0 {
		t := d1 / uu
		return ax + t*ux, ay + t*uy, az + t*uz, onEdge
	}
	d5, d6 := d1-uv, d2-vv
	if d6 >= 0 && d5 <= d6 {
		return c[2][0], c[2][1], c[2][2], onCorner + 2
	}
	vb := d5*d2 - d1*d6
	if vb <= 0 && d2 >= 0 && d6 <= 0 {
		t := d2 / vv
		return ax + t*vx, ay + t*vy, az + t*vz, onEdge + 2
	}
	va := d3*d6 - d5*d4
	if va <= 0 && d4-d3 >= 0 && d5-d6 >= 0 {
		t := (d4 - d3) / ((d4 - d3) + (d5 - d6))
		return c[1][0] + t*(vx-ux), c[1][1] + t*(vy-uy), c[1][2] + t*(vz-uz), onEdge + 1
	}
	all := va + vb + vc
	if !(all > 0) {
		// A triangle without area whose regions rounding left open.
		return ax, ay, az, onCorner
	}
	v, w := vb/all, vc/all
	on = onFace
	switch {
	case w < rim:
		on = onEdge
	case v < rim:
		on = onEdge + 2
	case 1-v-w < rim:
		on = onEdge + 1
	}
	return ax + v*ux + w*vx, ay + v*uy + w*vy, az + v*uz + w*vz, on
}
