package shape

import (
	"fmt"
	"math"

	"holdfast/orient"
)

// Box is a rounded box about the origin along the coordinate axes: a smaller box with everything within the rounding of it.
// With no rounding its edges are sharp. [NewBox] checks the measures.
type Box struct {
	Half     orient.Vec3 // m, positive half lengths, rounding included
	Rounding float64     // m, radius of edges and corners: from 0 to the smallest half length
}

var _ Solid = Box{}

// NewBox returns the box of the half lengths (m) whose edges and corners are rounded with the radius (m).
func NewBox(half orient.Vec3, rounding float64) (Box, error) {
	for i, h := range half {
		if !(h > 0) || math.IsInf(h, 0) {
			return Box{}, fmt.Errorf("the box' half lengths are %v m; number %d must be positive", half, i+1)
		}
	}
	if least := min(half[0], half[1], half[2]); !(rounding >= 0 && rounding <= least) {
		return Box{}, fmt.Errorf("a rounding of %g m does not fit a box whose smallest half length is %g m", rounding, least)
	}
	return Box{half, rounding}, nil
}

// Point is exact: outside of the inner box the way leads to the nearest of its points, inside to the nearest face.
func (b Box) Point(p orient.Vec3) Near {
	x, y, z := math.Abs(p[0])-(b.Half[0]-b.Rounding), math.Abs(p[1])-(b.Half[1]-b.Rounding), math.Abs(p[2])-(b.Half[2]-b.Rounding)
	n := orient.Vec3{max(x, 0), max(y, 0), max(z, 0)}
	square := n[0]*n[0] + n[1]*n[1] + n[2]*n[2]
	var distance float64
	switch {
	case square > 1e-250: // below, its digits are lost
		distance = math.Sqrt(square)
		back := 1 / distance
		n[0], n[1], n[2] = n[0]*back, n[1]*back, n[2]*back
	case x >= y && x >= z:
		n[0], distance = 1, x
	case y >= z:
		n[1], distance = 1, y
	default:
		n[2], distance = 1, z
	}
	n[0], n[1], n[2] = math.Copysign(n[0], p[0]), math.Copysign(n[1], p[1]), math.Copysign(n[2], p[2])
	distance -= b.Rounding
	return Near{Point: orient.Vec3{p[0] - distance*n[0], p[1] - distance*n[1], p[2] - distance*n[2]}, Normal: n, Distance: distance}
}

// Apart asks the plane that touches the box under the segment's middle.
func (b Box) Apart(from, to orient.Vec3) float64 {
	return parted(b, from, to, middle(from, to, b.Half))
}

// Segment returns where the segment is nearest to the surface, or deepest inside. Where all of a stretch is as near, its place
// nearest to the box' middle is tried first.
func (b Box) Segment(from, to orient.Vec3) Near {
	return descend(b, from, to, middle(from, to, b.Half), b.Half[0], flatTolerance)
}

func (b Box) again(p, _ orient.Vec3) Near { return b.Point(p) }

func (b Box) probe(p, way, _ orient.Vec3) (distance, slope, bend float64, _ orient.Vec3) {
	square, turn := 0.0, 0.0
	for i, v := range p {
		if x := math.Abs(v) - (b.Half[i] - b.Rounding); x > 0 {
			square += x * x
			slope += math.Copysign(x, v) * way[i]
			turn += way[i] * way[i]
		}
	}
	if square <= 1e-250 {
		return 0, 0, 0, orient.Vec3{}
	}
	distance = math.Sqrt(square)
	slope /= distance
	return distance, slope, (turn - slope*slope) / distance, orient.Vec3{}
}

func (b Box) height(d orient.Vec3) float64 {
	return (b.Half[0]-b.Rounding)*math.Abs(d[0]) + (b.Half[1]-b.Rounding)*math.Abs(d[1]) + (b.Half[2]-b.Rounding)*math.Abs(d[2]) + b.Rounding
}

// Support returns a farthest point along the direction: a corner's, where a whole edge or face is as far.
func (b Box) Support(direction orient.Vec3) orient.Vec3 {
	way := direction.Scale(b.Rounding / direction.Norm())
	for i, d := range direction {
		way[i] += math.Copysign(b.Half[i]-b.Rounding, d)
	}
	return way
}

// Reach returns the way to the middle of a corner's rounding.
func (b Box) Reach() float64 {
	return orient.Vec3{b.Half[0] - b.Rounding, b.Half[1] - b.Rounding, b.Half[2] - b.Rounding}.Norm() + b.Rounding
}

// Footing appends up to eight feet: each corner's rounding bears with its point that lies farthest along the direction. The
// bits of its ID say on which side of x (1), y (2) and z (4) the corner is.
func (b Box) Footing(direction orient.Vec3, depth float64, dst []Foot) []Foot {
	low := b.height(direction) - depth
	for id := range 8 {
		var corner, n orient.Vec3
		for i := range corner {
			side := float64(id>>i&1*2 - 1)
			corner[i] = side * (b.Half[i] - b.Rounding)
			// Only as far as the corner's rounding goes; beyond lie the box' edges and faces.
			if n[i] = direction[i]; n[i]*side < 0 {
				n[i] = 0
			}
		}
		norm := n.Norm()
		if norm < 1e-100 { // it faces away, or its digits are lost
			continue
		}
		if foot := corner.Add(n.Scale(b.Rounding / norm)); foot.Dot(direction) >= low-1e-12 {
			dst = append(dst, Foot{ID: id, Point: foot})
		}
	}
	return dst
}

// Curvature is nothing on faces, 1/rounding across edges and both ways on corners.
func (b Box) Curvature(p orient.Vec3) (k1, k2 float64) {
	rounded := 0
	for i, v := range p {
		// A sharp edge is met by rounding only.
		if from := b.Half[i] - b.Rounding; math.Abs(v) > from || b.Rounding == 0 && math.Abs(v) > from*(1-1e-9) {
			rounded++
		}
	}
	switch {
	case rounded > 2:
		return 1 / b.Rounding, 1 / b.Rounding
	case rounded == 2:
		return 1 / b.Rounding, 0
	}
	return 0, 0
}

// Moments adds up the inner box, six slabs, twelve quarters of cylinders and eight eighths of a ball.
func (b Box) Moments() (volume float64, perDensity orient.Vec3) {
	r := b.Rounding
	// Of the rounding beyond the inner box: area or volume, first and second moment from where it starts.
	quarter := [3]float64{math.Pi * r * r / 4, r * r * r / 3, math.Pi * r * r * r * r / 16}
	eighth := [3]float64{math.Pi * r * r * r / 6, math.Pi * r * r * r * r / 16, math.Pi * r * r * r * r * r / 30}
	slab := [3]float64{r, r * r / 2, r * r * r / 3}
	c := orient.Vec3{b.Half[0] - r, b.Half[1] - r, b.Half[2] - r}
	volume = 8 * (c[0]*c[1]*c[2] + r*(c[0]*c[1]+c[0]*c[2]+c[1]*c[2]) + quarter[0]*(c[0]+c[1]+c[2]) + eighth[0])
	var second orient.Vec3 // ∫x² dV and so on
	for i := range 3 {
		h, j, k := c[i], c[(i+1)%3], c[(i+2)%3]
		// ∫(h + u)² over a piece that starts at h.
		past := func(m [3]float64) float64 { return h*h*m[0] + 2*h*m[1] + m[2] }
		second[i] = 8 * (h*h*h/3*(j*k+r*(j+k)+quarter[0]) + j*k*past(slab) + (j+k)*past(quarter) + past(eighth))
	}
	return volume, orient.Vec3{second[1] + second[2], second[0] + second[2], second[0] + second[1]}
}

// Extents returns the half lengths.
func (b Box) Extents() orient.Vec3 { return b.Half }

// Scaled returns the box with its half lengths and rounding multiplied by the factor.
func (b Box) Scaled(factor float64) Solid { return Box{b.Half.Scale(factor), b.Rounding * factor} }

// Outline draws the roundings with detail edges to a quarter turn, the faces with four triangles.
func (b Box) Outline(detail int) Mesh {
	n := min(max(detail, 1), mostDetail)
	if b.Rounding <= 1e-9*b.Reach() {
		b.Rounding, n = 0, 1
	}
	c := orient.Vec3{b.Half[0] - b.Rounding, b.Half[1] - b.Rounding, b.Half[2] - b.Rounding}
	var rows [][]orient.Vec3
	row := func(turn, up int, side float64) {
		s, z := quarterSincos(turn, up, n)
		var list []orient.Vec3
		for q := range 4 {
			for j := range n + 1 {
				y, x := quarterSincos(q, j, n)
				corner := orient.Vec3{c[0], c[1], side * c[2]}
				if q == 1 || q == 2 {
					corner[0] = -c[0]
				}
				if q >= 2 {
					corner[1] = -c[1]
				}
				list = append(list, corner.Add(orient.Vec3{x * s, y * s, z}.Scale(b.Rounding)))
			}
		}
		rows = append(rows, list)
	}
	lid := func(z float64) {
		if c[0] == 0 || c[1] == 0 {
			return // The face is a line.
		}
		list := make([]orient.Vec3, 4*(n+1))
		for i := range list {
			list[i] = orient.Vec3{0, 0, z}
		}
		rows = append(rows, list)
	}
	lid(b.Half[2])
	for i := range n + 1 {
		row(0, i, 1)
	}
	for i := range n + 1 {
		row(1, i, -1)
	}
	lid(-b.Half[2])
	return rings(rows)
}

// quarterSincos returns sine and cosine of the angle that is j n-ths of a quarter turn beyond q quarters, exact at the quarters.
func quarterSincos(q, j, n int) (sin, cos float64) {
	q, j = (q+j/n)%4, j%n
	if j > 0 {
		sin, cos = math.Sincos(math.Pi / 2 * float64(j) / float64(n))
	} else {
		sin, cos = 0, 1
	}
	for range q {
		sin, cos = cos, -sin
	}
	return sin, cos
}

// rings joins closed rings of equally many points, each running counterclockwise seen from where the list begins. Points that
// coincide become one corner, and triangles without area are left out.
func rings(rows [][]orient.Vec3) Mesh {
	var mesh Mesh
	known := map[orient.Vec3]int32{}
	at := func(v orient.Vec3) int32 {
		i, ok := known[v]
		if !ok {
			i = int32(len(mesh.Vertices))
			known[v] = i
			mesh.Vertices = append(mesh.Vertices, v)
		}
		return i
	}
	add := func(a, b, c int32) {
		if a != b && b != c && c != a {
			mesh.Triangles = append(mesh.Triangles, [3]int32{a, b, c})
		}
	}
	for i := range len(rows) - 1 {
		up, down := rows[i], rows[i+1]
		for j := range up {
			k := (j + 1) % len(up)
			a, b, c, d := at(up[j]), at(down[j]), at(down[k]), at(up[k])
			add(a, b, c)
			add(a, c, d)
		}
	}
	return mesh
}
