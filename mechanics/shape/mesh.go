package shape

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"holdfast/orient"
)

// Mesh is a surface of triangles whose corners run counterclockwise seen from outside.
type Mesh struct {
	Vertices  []orient.Vec3 // m
	Triangles [][3]int32
}

// MostTriangles bounds the meshes that are read and made solid.
const MostTriangles = 500_000

// weldShare is how near to each other (as a share of the mesh' diagonal) two vertices are one: exporters write the corner that
// triangles share once for each, with rounding.
const weldShare = 1e-7

// check says what is not a mesh at all.
func (m *Mesh) check() error {
	if len(m.Triangles) < 4 {
		return fmt.Errorf("the mesh has %d triangles; a closed one has at least 4", len(m.Triangles))
	}
	if len(m.Triangles) > MostTriangles {
		return fmt.Errorf("the mesh has %d triangles; at most %d are taken: make it coarser", len(m.Triangles), MostTriangles)
	}
	for i, v := range m.Vertices {
		for _, x := range v {
			if math.IsNaN(x) || math.Abs(x) > 1e6 {
				return fmt.Errorf("vertex %d of the mesh lies at %v m; coordinates must be numbers within a thousand kilometres", i+1, v)
			}
		}
	}
	for i, t := range m.Triangles {
		for _, c := range t {
			if c < 0 || int(c) >= len(m.Vertices) {
				return fmt.Errorf("triangle %d of the mesh has corner %d, and there are %d vertices", i+1, c+1, len(m.Vertices))
			}
		}
	}
	return nil
}

// bounds are the ends of the box around the vertices.
func bounds(vertices []orient.Vec3) (low, high orient.Vec3) {
	low, high = vertices[0], vertices[0]
	for _, v := range vertices {
		for i, x := range v {
			low[i], high[i] = min(low[i], x), max(high[i], x)
		}
	}
	return low, high
}

// welded returns the mesh with vertices that are one made one, without triangles that have become lines or lie back to back and
// without vertices that no triangle has. The first of those that are one stays where it is.
func (m *Mesh) welded() (w Mesh, vertices, triangles int) {
	low, high := bounds(m.Vertices)
	cell := max(weldShare*sub(high, low).Norm(), 1e-300)
	type key [3]int64
	cells := map[key][]int32{}
	stands := make([]int32, len(m.Vertices))
	used := make([]bool, len(m.Vertices))
	for _, t := range m.Triangles {
		for _, c := range t {
			used[c] = true
		}
	}
	for i, v := range m.Vertices {
		if !used[i] {
			continue
		}
		var k key
		for j, x := range v {
			k[j] = int64(math.Floor((x - low[j]) / cell))
		}
		at := int32(-1)
	search:
		for dx := int64(-1); dx <= 1; dx++ {
			for dy := int64(-1); dy <= 1; dy++ {
				for dz := int64(-1); dz <= 1; dz++ {
					for _, o := range cells[key{k[0] + dx, k[1] + dy, k[2] + dz}] {
						if sub(w.Vertices[o], v).Norm() <= cell {
							at = o
							break search
						}
					}
				}
			}
		}
		if at < 0 {
			at = int32(len(w.Vertices))
			w.Vertices = append(w.Vertices, v)
			cells[k] = append(cells[k], at)
		} else {
			vertices++
		}
		stands[i] = at
	}
	// Where small features have become flat, triangles lie back to back: nothing is between them.
	type corners [3]int32
	facing := map[corners]int{} // by the corners in rising order, the triangle's number from 1
	gone := map[int]bool{}
	for _, t := range m.Triangles {
		t = [3]int32{stands[t[0]], stands[t[1]], stands[t[2]]}
		if t[0] == t[1] || t[1] == t[2] || t[2] == t[0] {
			triangles++
			continue
		}
		sorted := corners{min(t[0], t[1], t[2]), 0, max(t[0], t[1], t[2])}
		sorted[1] = t[0] + t[1] + t[2] - sorted[0] - sorted[2]
		w.Triangles = append(w.Triangles, t)
		if o := facing[sorted]; o > 0 && vertices > 0 && runs(t, w.Triangles[o-1][1], w.Triangles[o-1][0]) {
			gone[o-1], gone[len(w.Triangles)-1] = true, true
			triangles += 2
			delete(facing, sorted)
			continue
		}
		facing[sorted] = len(w.Triangles)
	}
	if len(gone) > 0 {
		kept := w.Triangles[:0]
		for i, t := range w.Triangles {
			if !gone[i] {
				kept = append(kept, t)
			}
		}
		w.Triangles = kept
	}
	return w, vertices, triangles
}

// edge is two vertices, the lower number first.
type edge [2]int32

func edgeOf(a, b int32) edge { return edge{min(a, b), max(a, b)} }

// SeamError says that a mesh is not watertight: which edges are not shared by exactly two triangles.
type SeamError struct {
	Open    int              // edges of one triangle only: holes
	Crowded int              // edges of more than two triangles
	First   [][2]orient.Vec3 // m, the ends of the first few of both
}

func (e *SeamError) Error() string {
	var b strings.Builder
	fmt.Fprintf(&b, "the mesh is not watertight: %d edges belong to one triangle only and %d to more than two", e.Open, e.Crowded)
	for i, f := range e.First {
		mm := func(v orient.Vec3) string { return fmt.Sprintf("(%.4g, %.4g, %.4g)", v[0]*1e3, v[1]*1e3, v[2]*1e3) }
		if i == 0 {
			b.WriteString("; among them, in mm, ")
		} else {
			b.WriteString(", ")
		}
		fmt.Fprintf(&b, "%s–%s", mm(f[0]), mm(f[1]))
	}
	return b.String()
}

// firstSeams is how many bad edges are told one by one.
const firstSeams = 5

// neighbours returns for each triangle which one lies beyond each of its edges 0–1, 1–2, 2–0.
func (m *Mesh) neighbours() ([][3]int32, error) {
	type pair struct {
		first, second int32 // triangle·3 + edge; −1 is none
		more          bool
	}
	edges := make(map[edge]pair, len(m.Triangles)*3/2)
	bad := &SeamError{}
	var order []edge
	for i, t := range m.Triangles {
		for k := range 3 {
			e := edgeOf(t[k], t[(k+1)%3])
			p, ok := edges[e]
			switch at := int32(3*i + k); {
			case !ok:
				p = pair{at, -1, false}
				order = append(order, e)
			case p.second < 0:
				p.second = at
			default:
				p.more = true
			}
			edges[e] = p
		}
	}
	across := make([][3]int32, len(m.Triangles))
	for _, e := range order {
		p := edges[e]
		switch {
		case p.more:
			bad.Crowded++
		case p.second < 0:
			bad.Open++
		default:
			across[p.first/3][p.first%3], across[p.second/3][p.second%3] = p.second/3, p.first/3
			continue
		}
		if len(bad.First) < firstSeams {
			bad.First = append(bad.First, [2]orient.Vec3{m.Vertices[e[0]], m.Vertices[e[1]]})
		}
	}
	if bad.Open+bad.Crowded > 0 {
		return nil, bad
	}
	return across, nil
}

// oriented turns triangles round until all run the same way, and then all outward. It returns how many were turned and how many
// parts there are that do not touch.
func (m *Mesh) oriented(across [][3]int32) (turned, parts int, err error) {
	flip := make([]bool, len(m.Triangles))
	seen := make([]bool, len(m.Triangles))
	var queue []int32
	for start := range m.Triangles {
		if seen[start] {
			continue
		}
		parts++
		seen[start] = true
		queue = append(queue[:0], int32(start))
		mixed := false
		for at := 0; at < len(queue); at++ {
			i := queue[at]
			t := m.Triangles[i]
			for k := range 3 {
				o := across[i][k]
				same := runs(m.Triangles[o], t[k], t[(k+1)%3]) // the same way along the edge: one of them is wrong
				want := flip[i] != same
				if !seen[o] {
					seen[o], flip[o] = true, want
					mixed = mixed || same
					queue = append(queue, o)
				} else if flip[o] != want {
					return 0, 0, errors.New("the mesh has only one side, as a Möbius band has: no way of running around its triangles tells inside from outside")
				}
			}
		}
		if mixed {
			// Which way is outward is then for the volume to say.
			six := 0.0
			for _, i := range queue {
				six += m.six(m.Triangles[i], flip[i], m.Vertices[m.Triangles[start][0]])
			}
			if six < 0 {
				for _, i := range queue {
					flip[i] = !flip[i]
				}
			}
		}
	}
	six, size := 0.0, 0.0
	low, high := bounds(m.Vertices)
	for i, t := range m.Triangles {
		six += m.six(t, flip[i], low)
	}
	size = sub(high, low).Norm()
	if math.Abs(six) <= 1e-9*size*size*size {
		return 0, 0, errors.New("the mesh encloses no volume")
	}
	for i := range m.Triangles {
		if flip[i] != (six < 0) {
			turned++
			m.Triangles[i][1], m.Triangles[i][2] = m.Triangles[i][2], m.Triangles[i][1]
		}
	}
	return turned, parts, nil
}

// runs says that the triangle has the edge from a to b in that sense.
func runs(t [3]int32, a, b int32) bool {
	return t[0] == a && t[1] == b || t[1] == a && t[2] == b || t[2] == a && t[0] == b
}

// six is six times the volume between the triangle and the point.
func (m *Mesh) six(t [3]int32, flipped bool, from orient.Vec3) float64 {
	v := sub(m.Vertices[t[0]], from).Dot(sub(m.Vertices[t[1]], from).Cross(sub(m.Vertices[t[2]], from)))
	if flipped {
		return -v
	}
	return v
}

// mass returns volume, centre of mass and the inertia (m⁵, by unit of density, about that centre) of what a closed mesh encloses,
// as a sum over the tetrahedra between its triangles and a point: the divergence theorem for polynomials (as in D. Eberly,
// "Polyhedral mass properties (revisited)", 2002; the tetrahedron's moments from memory). For a tetrahedron 0, a, b, c
//
//	∫ xx′ dV = det(a, b, c)/120 · (ss′ + aa′ + bb′ + cc′),  s = a + b + c                                          (7)
func (m *Mesh) mass() (volume float64, centre orient.Vec3, inertia [3][3]float64) {
	low, high := bounds(m.Vertices)
	from := low.Add(high).Scale(0.5)
	var second [3][3]float64
	for _, t := range m.Triangles {
		a, b, c := sub(m.Vertices[t[0]], from), sub(m.Vertices[t[1]], from), sub(m.Vertices[t[2]], from)
		det := a.Dot(b.Cross(c))
		s := a.Add(b).Add(c)
		volume += det / 6
		centre = centre.Add(s.Scale(det / 24))
		for i := range 3 {
			for j := range i + 1 {
				second[i][j] += det / 120 * (s[i]*s[j] + a[i]*a[j] + b[i]*b[j] + c[i]*c[j])
			}
		}
	}
	centre = centre.Scale(1 / volume)
	for i := range 3 {
		for j := range i + 1 {
			second[i][j] -= volume * centre[i] * centre[j]
			second[j][i] = second[i][j]
		}
	}
	trace := second[0][0] + second[1][1] + second[2][2]
	for i := range 3 {
		for j := range 3 {
			inertia[i][j] = -second[i][j]
		}
		inertia[i][i] += trace
	}
	return volume, centre.Add(from), inertia
}

// alike is how near (as a share of the largest) two principal moments are one, so that any axes between theirs are principal.
const alike = 1e-6

// principal returns right-handed principal axes (the columns' vectors) of a symmetric inertia and the moments. Each axis is the one
// that lies nearest to its axis of the given frame, pointing the same way; where moments are alike, the given frame's axes are
// kept as far as they can be. So what is already along its axes stays as it is, and the same body always gets the same axes.
func principal(inertia [3][3]float64) (axes [3]orient.Vec3, moments orient.Vec3) {
	// Jacobi's turns.
	a := inertia
	v := [3][3]float64{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}} // columns are axes
	for range 60 {
		p, q := 0, 1
		if math.Abs(a[0][2]) > math.Abs(a[p][q]) {
			p, q = 0, 2
		}
		if math.Abs(a[1][2]) > math.Abs(a[p][q]) {
			p, q = 1, 2
		}
		if math.Abs(a[p][q]) <= 1e-16*(a[0][0]+a[1][1]+a[2][2]) {
			break
		}
		tau := (a[q][q] - a[p][p]) / (2 * a[p][q])
		t := math.Copysign(1, tau) / (math.Abs(tau) + math.Hypot(1, tau))
		c := 1 / math.Hypot(1, t)
		s := t * c
		for k := range 3 {
			a[k][p], a[k][q] = c*a[k][p]-s*a[k][q], s*a[k][p]+c*a[k][q]
		}
		for k := range 3 {
			a[p][k], a[q][k] = c*a[p][k]-s*a[q][k], s*a[p][k]+c*a[q][k]
		}
		for k := range 3 {
			v[k][p], v[k][q] = c*v[k][p]-s*v[k][q], s*v[k][p]+c*v[k][q]
		}
	}
	var found [3]orient.Vec3
	for k := range 3 {
		found[k] = orient.Vec3{v[0][k], v[1][k], v[2][k]}
	}
	least := alike * max(a[0][0], a[1][1], a[2][2])
	same := func(i, j int) bool { return math.Abs(a[i][i]-a[j][j]) <= least }
	lone := -1 // the axis whose moment stands apart from two alike
	switch {
	case same(0, 1) && same(1, 2) && same(0, 2):
		found = [3]orient.Vec3{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}
	case same(0, 1):
		lone = 2
	case same(1, 2):
		lone = 0
	case same(0, 2):
		lone = 1
	}
	if lone >= 0 {
		axis := found[lone]
		at := largest(axis)
		axis = axis.Scale(math.Copysign(1, axis[at]))
		var next orient.Vec3
		next[(at+1)%3] = 1
		next = next.Add(axis.Scale(-axis.Dot(next)))
		next = next.Scale(1 / next.Norm())
		found[at], found[(at+1)%3], found[(at+2)%3] = axis, next, axis.Cross(next)
	}
	// Of the six ways to name them, the one nearest to the given frame.
	best, most := [3]int{0, 1, 2}, math.Inf(-1)
	for _, order := range [][3]int{{0, 1, 2}, {1, 2, 0}, {2, 0, 1}, {1, 0, 2}, {0, 2, 1}, {2, 1, 0}} {
		if sum := math.Abs(found[order[0]][0]) + math.Abs(found[order[1]][1]) + math.Abs(found[order[2]][2]); sum > most+1e-12 {
			best, most = order, sum
		}
	}
	for k := range 3 {
		axes[k] = found[best[k]]
		axes[k] = axes[k].Scale(math.Copysign(1, axes[k][k]))
	}
	// Right-handed: the axis that is least like its own gives way.
	if axes[0].Cross(axes[1]).Dot(axes[2]) < 0 {
		least := 0
		for k := range 3 {
			if axes[k][k] < axes[least][least] {
				least = k
			}
		}
		axes[least] = axes[least].Scale(-1)
	}
	for k, e := range axes {
		for i := range 3 {
			for j := range 3 {
				moments[k] += e[i] * inertia[i][j] * e[j]
			}
		}
	}
	return axes, moments
}

// largest is the component that is largest without its sign.
func largest(v orient.Vec3) int {
	at := 0
	for i := range v {
		if math.Abs(v[i]) > math.Abs(v[at]) {
			at = i
		}
	}
	return at
}
