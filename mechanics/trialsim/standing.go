package trialsim

import (
	"holdfast/mechanics/motion"
	"holdfast/orient"
)

// face is a flat side of what stands: at one place along an axis, within bounds along the other two.
type face struct {
	axis      int
	at, sign  float64 // the outward normal is sign along the axis
	low, high orient.Vec3
	deep      float64 // m, within which something counts as behind the face
	part      Part
	surface   *motion.Surface
}

// edge is where two faces meet.
type edge struct {
	a, b    orient.Vec3
	part    Part
	surface *motion.Surface
}

// wide is how far the support goes where it has no edge.
const wide = 100.0

func surroundings(s *Setting) (faces []face, edges []edge) {
	table := face{axis: 2, sign: 1, low: orient.Vec3{-wide, -wide, 0}, high: orient.Vec3{wide, wide, 0}, deep: 0.05, surface: &s.Support}
	if s.Edge {
		table.high[0] = s.EdgeAt
		edges = append(edges, edge{a: orient.Vec3{s.EdgeAt, -1, 0}, b: orient.Vec3{s.EdgeAt, 1, 0}, part: Part{Kind: Edge}, surface: &s.Support})
		side := face{axis: 0, sign: 1, at: s.EdgeAt, low: orient.Vec3{0, -wide, -wide}, high: orient.Vec3{0, wide, -1e-9}, deep: 0.05, part: Part{Kind: Edge}, surface: &s.Support}
		faces = append(faces, table, side)
	} else {
		faces = append(faces, table)
	}
	for i := range s.Blocks {
		b := &s.Blocks[i]
		part := Part{Kind: Standing, Index: i}
		for axis := range 3 {
			for _, sign := range []float64{-1, 1} {
				if axis == 2 && sign < 0 {
					continue
				}
				at := b.High[axis]
				if sign < 0 {
					at = b.Low[axis]
				}
				faces = append(faces, face{axis: axis, at: at, sign: sign, low: b.Low, high: b.High, deep: (b.High[axis] - b.Low[axis]) / 2, part: part, surface: &b.Surface})
			}
		}
		corner := func(x, y, z int) (v orient.Vec3) {
			for k, high := range [3]int{x, y, z} {
				v[k] = b.Low[k]
				if high == 1 {
					v[k] = b.High[k]
				}
			}
			return v
		}
		for _, e := range [][2]orient.Vec3{
			{corner(0, 0, 1), corner(1, 0, 1)}, {corner(0, 1, 1), corner(1, 1, 1)}, {corner(0, 0, 1), corner(0, 1, 1)}, {corner(1, 0, 1), corner(1, 1, 1)},
			{corner(0, 0, 0), corner(0, 0, 1)}, {corner(1, 0, 0), corner(1, 0, 1)}, {corner(0, 1, 0), corner(0, 1, 1)}, {corner(1, 1, 0), corner(1, 1, 1)},
		} {
			edges = append(edges, edge{a: e[0], b: e[1], part: part, surface: &b.Surface})
		}
	}
	return faces, edges
}

func (f *face) normal() (n orient.Vec3) {
	n[f.axis] = f.sign
	return n
}

func (f *face) gap(p orient.Vec3) float64 { return f.sign * (p[f.axis] - f.at) }

// over says that the point is above or below the face's own rectangle.
func (f *face) over(p orient.Vec3) bool {
	for k := range 3 {
		if k != f.axis && (p[k] < f.low[k] || p[k] > f.high[k]) {
			return false
		}
	}
	return true
}
