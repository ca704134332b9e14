package shape

import (
	"math"

	"holdfast/orient"
)

// settle fills in what the questions need.
func (f *facets) settle(triangles [][3]int32) {
	corners := make([][3]orient.Vec3, len(triangles))
	for i, t := range triangles {
		corners[i] = [3]orient.Vec3{f.vertices[t[0]], f.vertices[t[1]], f.vertices[t[2]]}
	}
	nodes, order := grown(corners)
	f.nodes = nodes
	f.triangles, f.corners = make([][3]int32, len(order)), make([][3]orient.Vec3, len(order))
	for k, i := range order {
		f.triangles[k], f.corners[k] = triangles[i], corners[i]
	}
	low, high := bounds(f.vertices)
	f.half, f.box = sub(high, low).Scale(0.5), high.Add(low).Scale(0.5)
	for _, v := range f.vertices {
		f.reach = max(f.reach, v.Norm())
	}
	f.normals()
	f.bend()
	f.standOut()
}

// normals finds those that tell inside from outside at faces, edges (the sum of both faces') and vertices (the sum of the faces',
// weighted with the angle they take up there): J. A. Bærentzen and H. Aanæs, "Signed distance computation using the angle weighted
// pseudonormal", 2005.
func (f *facets) normals() {
	f.faceNormals = make([]orient.Vec3, len(f.triangles))
	f.edgeNormals = make([][3]orient.Vec3, len(f.triangles))
	f.vertexNormals = make([]orient.Vec3, len(f.vertices))
	edges := make(map[edge]orient.Vec3, len(f.triangles)*3/2)
	for i, t := range f.triangles {
		c := &f.corners[i]
		n := sub(c[1], c[0]).Cross(sub(c[2], c[0]))
		size := n.Norm()
		if size == 0 {
			continue // A triangle without area has no say.
		}
		n = n.Scale(1 / size)
		f.faceNormals[i] = n
		for k := range 3 {
			u, v := sub(c[(k+1)%3], c[k]), sub(c[(k+2)%3], c[k])
			angle := math.Atan2(u.Cross(v).Norm(), u.Dot(v))
			f.vertexNormals[t[k]] = f.vertexNormals[t[k]].Add(n.Scale(angle))
			e := edgeOf(t[k], t[(k+1)%3])
			edges[e] = edges[e].Add(n)
		}
	}
	for i, t := range f.triangles {
		for k := range 3 {
			f.edgeNormals[i][k] = edges[edgeOf(t[k], t[(k+1)%3])]
		}
	}
}

// bend estimates the curvature at the vertices: along the edge to each neighbour that of the circle through both with the vertex'
// normal, −2n·e/|e|², and of all directions the quadratic form that fits these best.
func (f *facets) bend() {
	f.bends = make([][2]float64, len(f.vertices))
	type sums struct{ m, r [6]float64 } // the normal equations' upper half and right side (three numbers of it)
	all := make([]sums, len(f.vertices))
	frames := make([][2]orient.Vec3, len(f.vertices))
	for i, n := range f.vertexNormals {
		if size := n.Norm(); size > 0 {
			frames[i][0], frames[i][1] = tangents(n.Scale(1 / size))
		}
	}
	for _, t := range f.triangles {
		for k := range 3 {
			// Every edge comes once in this sense, and its vertex is met from each neighbour once.
			i, j := t[k], t[(k+1)%3]
			size := f.vertexNormals[i].Norm()
			e := sub(f.vertices[j], f.vertices[i])
			x, y := e.Dot(frames[i][0]), e.Dot(frames[i][1])
			flat := x*x + y*y
			if size == 0 || flat == 0 {
				continue
			}
			kappa := -2 * f.vertexNormals[i].Dot(e) / (size * e.Dot(e))
			row := [3]float64{x * x / flat, 2 * x * y / flat, y * y / flat}
			s := &all[i]
			s.m[0] += row[0] * row[0]
			s.m[1] += row[0] * row[1]
			s.m[2] += row[0] * row[2]
			s.m[3] += row[1] * row[1]
			s.m[4] += row[1] * row[2]
			s.m[5] += row[2] * row[2]
			for q := range 3 {
				s.r[q] += row[q] * kappa
			}
		}
	}
	for i := range all {
		a, b, c := fitForm(&all[i].m, [3]float64{all[i].r[0], all[i].r[1], all[i].r[2]})
		mean, apart := (a+c)/2, math.Hypot((a-c)/2, b)
		f.bends[i] = [2]float64{mean + apart, mean - apart}
	}
}

// fitForm solves the three normal equations, held up a little where the neighbours lie in too few directions.
func fitForm(m *[6]float64, r [3]float64) (a, b, c float64) {
	hold := 1e-9 * (m[0] + m[3] + m[5])
	if hold == 0 {
		return 0, 0, 0
	}
	xx, yy, zz := m[0]+hold, m[3]+hold, m[5]+hold
	l11 := math.Sqrt(xx)
	l21, l31 := m[1]/l11, m[2]/l11
	l22 := math.Sqrt(max(yy-l21*l21, hold))
	l32 := (m[4] - l31*l21) / l22
	l33 := math.Sqrt(max(zz-l31*l31-l32*l32, hold))
	y1 := r[0] / l11
	y2 := (r[1] - l21*y1) / l22
	y3 := (r[2] - l31*y1 - l32*y2) / l33
	c = y3 / l33
	b = (y2 - l32*c) / l22
	a = (y1 - l21*b - l31*c) / l11
	return a, b, c
}

// glances is how fine the directions are, at most, in which vertices are looked for that stand out: 4·24² + 2 of them, some 4°
// apart.
const glances = 24

// standOut finds the vertices that lie farthest in one of many directions, which are corners and rims, and of smooth surfaces a fine
// choice. They are put in an order in which each is as far from those before as can be, so that the first of those that bear
// are well spread and stay the same as the solid turns.
func (f *facets) standOut() {
	// No direction along an axis: a flat face would answer with any of its vertices.
	askew := orient.AboutAxis(orient.Vec3{0.36, 0.48, 0.8}, 0.61803)
	taken := make([]bool, len(f.vertices))
	var list []int32
	for _, d := range ball(min(6+int(math.Sqrt(float64(len(f.vertices)))/2), glances)).Vertices {
		if i := f.farthest(askew.Apply(d)); !taken[i] {
			taken[i] = true
			list = append(list, i)
		}
	}
	away := make([]float64, len(list))
	at := 0
	for k, i := range list {
		away[k] = math.Inf(1)
		if f.vertices[i].Norm() > f.vertices[list[at]].Norm() {
			at = k
		}
	}
	for range list {
		i := list[at]
		f.prominent = append(f.prominent, i)
		away[at] = -1
		next := at
		for k, j := range list {
			if away[k] >= 0 {
				away[k] = min(away[k], sub(f.vertices[i], f.vertices[j]).Norm())
			}
			if away[k] > away[next] {
				next = k
			}
		}
		at = next
	}
}
