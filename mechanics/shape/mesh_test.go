package shape

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"holdfast/orient"
)

// textOf and binaryOf write a mesh (m) as STL in mm, objOf as OBJ.
func textOf(m Mesh) string {
	var b strings.Builder
	b.WriteString("solid roll of Fernhollow\n")
	for _, t := range m.Triangles {
		b.WriteString(" facet normal 0 0 0\n  outer loop\n")
		for _, c := range t {
			v := m.Vertices[c].Scale(1e3)
			fmt.Fprintf(&b, "   vertex %.9e %.9e %.9e\n", v[0], v[1], v[2])
		}
		b.WriteString("  endloop\n endfacet\n")
	}
	b.WriteString("endsolid roll of Fernhollow\n")
	return b.String()
}

func binaryOf(m Mesh) []byte {
	b := make([]byte, stlHeader)
	copy(b, "solid that is none")
	b = binary.LittleEndian.AppendUint32(b, uint32(len(m.Triangles)))
	for _, t := range m.Triangles {
		b = append(b, make([]byte, 12)...)
		for _, c := range t {
			for _, x := range m.Vertices[c] {
				b = binary.LittleEndian.AppendUint32(b, math.Float32bits(float32(x*1e3)))
			}
		}
		b = append(b, 0, 0)
	}
	return b
}

func objOf(m Mesh) string {
	var b strings.Builder
	b.WriteString("# a roll\no roll\n")
	for _, v := range m.Vertices {
		fmt.Fprintf(&b, "v %.12g %.12g %.12g\n", v[0]*1e3, v[1]*1e3, v[2]*1e3)
	}
	for _, t := range m.Triangles {
		fmt.Fprintf(&b, "f %d//1 %d/2 %d\n", t[0]+1, t[1]+1, t[2]+1)
	}
	return b.String()
}

// However a mesh comes, the same solid comes out.
func TestFilesGiveTheSolid(t *testing.T) {
	mesh := must(NewFrustum(0.02, 0.03, 0.05, 0.004)).Outline(6)
	want, _, err := NewPolyhedron(mesh)
	if err != nil {
		t.Fatal(err)
	}
	v, i := want.Moments()
	for name, read := range map[string]func() (Mesh, error){
		"text":   func() (Mesh, error) { return ReadSTL(strings.NewReader(textOf(mesh)), 1e-3) },
		"binary": func() (Mesh, error) { return ReadSTL(bytes.NewReader(binaryOf(mesh)), 1e-3) },
		"obj":    func() (Mesh, error) { return ReadOBJ(strings.NewReader(objOf(mesh)), 1e-3) },
		"obj in m": func() (Mesh, error) {
			m, err := ReadOBJ(strings.NewReader(objOf(mesh)), 1)
			for i := range m.Vertices {
				m.Vertices[i] = m.Vertices[i].Scale(1e-3)
			}
			return m, err
		},
	} {
		m, err := read()
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		p, fit, err := NewPolyhedron(m)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		w, j := p.Moments()
		if math.Abs(w/v-1) > 1e-6 || math.Abs(j[0]/i[0]-1) > 1e-6 || fit.Vertices != len(mesh.Vertices) || fit.Turned != 0 || fit.Parts != 1 {
			t.Errorf("%s: volume %g, want %g; %+v", name, w, v, fit)
		}
	}
}

func TestPolygonsOfOBJ(t *testing.T) {
	// An L-shaped prism, 1 thick, whose outline has an inward corner: six squares of 1 in all less three.
	var b strings.Builder
	outline := [][2]float64{{0, 0}, {2, 0}, {2, 1}, {1, 1}, {1, 2}, {0, 2}}
	for z := range 2 {
		for _, p := range outline {
			fmt.Fprintf(&b, "v %g %g \\\n %d 1.0\n", p[0], p[1], z)
		}
	}
	b.WriteString("f -1 -6 -5 -4 -3 -2\nf 6 5 4 3 2 1\n")
	for k := range 6 {
		n := (k + 1) % 6
		fmt.Fprintf(&b, "f %d %d %d %d\n", k+1, n+1, n+7, k+7)
	}
	m, err := ReadOBJ(strings.NewReader(b.String()), 0.01)
	if err != nil {
		t.Fatal(err)
	}
	p, _, err := NewPolyhedron(m)
	if err != nil {
		t.Fatal(err)
	}
	if v, _ := p.Moments(); math.Abs(v/3e-6-1) > 1e-12 {
		t.Errorf("volume %g m³, want 3 cm³", v)
	}
	// The inward corner is the whole L's nearest place of what lies in its crook: 0.5 from both inner faces.
	fit := orient.Vec3{0.015, 0.015, 0.005}
	_, at, _ := NewPolyhedron(m)
	if d := p.Point(at.Turn.Inverse().Apply(sub(fit, at.Origin))).Distance; math.Abs(d-0.005) > 1e-12 {
		t.Errorf("%g m from the crook's faces, want 5 mm", d)
	}
}

func TestBadFilesSayWhere(t *testing.T) {
	cube := must(NewBox(orient.Vec3{0.01, 0.01, 0.01}, 0)).Outline(1)
	text, bin, obj := textOf(cube), string(binaryOf(cube)), objOf(cube)
	nan := []byte(bin)
	binary.LittleEndian.PutUint32(nan[stlHeader+4+50+12+4:], math.Float32bits(float32(math.NaN())))
	for _, c := range []struct {
		obj        bool
		file, want string
	}{
		{false, "", "byte 0: 0 bytes are neither"},
		{false, bin[:len(bin)-7], "byte 80: the header counts"},
		{false, string(nan), "byte 150: a coordinate of triangle 2 is NaN"},
		{false, "solid x\nendsolid x\n", "no triangles"},
		{false, strings.Replace(text, "endloop", "endlop", 1), "line 7: \"endlop\" where \"endloop\" should be"},
		{false, strings.Replace(text, "vertex", "vertex nan", 1), "line 4: \"nan\" where a coordinate should be"},
		{false, text[:len(text)/2], "line "},
		{false, "solid a\nsolid b\n", "line 2: \"solid\" within"},
		{false, "solid a\nendsolid\nfacet", "line 3: a facet outside"},
		{true, "", "no polygons"},
		{true, "v 1 2\n", "line 1: a vertex has three coordinates, not 2"},
		{true, "v 1 2 x\n", "line 1: \"x\" where a coordinate should be"},
		{true, obj + "f 1 2 99\n", "vertex 99, and there are"},
		{true, obj + "f 1 2 0\n", "vertex 0, and there are"},
		{true, obj + "f 1 2\n", "a polygon of 2 corners"},
		{true, "v 0 0 0\ncurv 0 1 1 2\n", "line 2: \"curv\" belongs to free-form"},
		{true, "v 0 0 0\nwhat 1\n", "line 2: \"what\" is nothing"},
	} {
		var err error
		if c.obj {
			_, err = ReadOBJ(strings.NewReader(c.file), 1e-3)
		} else {
			_, err = ReadSTL(strings.NewReader(c.file), 1e-3)
		}
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%.30q: %v, want %q", c.file, err, c.want)
		}
	}
	if _, err := ReadSTL(strings.NewReader(text), 0); err == nil {
		t.Error("a unit of nothing was taken")
	}
}

func TestMeshesThatAreNoSolids(t *testing.T) {
	cube := func() Mesh { return must(NewBox(orient.Vec3{0.01, 0.02, 0.03}, 0)).Outline(1) }
	hole := cube()
	hole.Triangles = hole.Triangles[1:]
	_, _, err := NewPolyhedron(hole)
	var seams *SeamError
	if !errors.As(err, &seams) || seams.Open != 3 || seams.Crowded != 0 || len(seams.First) != 3 {
		t.Errorf("a hole: %v", err)
	}
	double := cube()
	double.Triangles = append(double.Triangles, double.Triangles[0])
	if _, _, err = NewPolyhedron(double); !errors.As(err, &seams) || seams.Crowded != 3 {
		t.Errorf("a triangle twice: %v", err)
	}
	flat := Mesh{Vertices: []orient.Vec3{{0, 0, 0}, {1, 0, 0}, {0, 1, 0}, {1, 1, 0}}, Triangles: [][3]int32{{0, 1, 2}, {0, 2, 3}, {0, 3, 1}, {1, 3, 2}}}
	if _, _, err := NewPolyhedron(flat); err == nil || !strings.Contains(err.Error(), "no volume") {
		t.Errorf("flat: %v", err)
	}
	far := cube()
	far.Triangles[2][1] = 99
	if _, _, err := NewPolyhedron(far); err == nil || !strings.Contains(err.Error(), "triangle 3") {
		t.Errorf("a corner that is not there: %v", err)
	}
	nan := cube()
	nan.Vertices[3][1] = math.NaN()
	if _, _, err := NewPolyhedron(nan); err == nil || !strings.Contains(err.Error(), "vertex 4") {
		t.Errorf("not a number: %v", err)
	}
	// The projective plane of six vertices: closed, every edge in two triangles, and with one side only.
	plane := Mesh{Triangles: [][3]int32{{0, 1, 4}, {0, 4, 3}, {0, 3, 5}, {0, 5, 2}, {0, 2, 1}, {1, 2, 3}, {1, 3, 5}, {1, 5, 4}, {2, 3, 4}, {2, 4, 5}}}
	for i := range 6 {
		x := float64(i)
		plane.Vertices = append(plane.Vertices, orient.Vec3{math.Cos(x), math.Sin(2 * x), x * x})
	}
	if _, _, err := NewPolyhedron(plane); err == nil || !strings.Contains(err.Error(), "one side") {
		t.Errorf("a surface of one side: %v", err)
	}
}

// A mesh inside out, with some triangles turned round or moved and turned as a whole gives the solid all the same.
func TestMeshesAreMended(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := Box{Half: orient.Vec3{0.03, 0.02, 0.01}, Rounding: 0.004}
		mesh := b.Outline(3)
		turned := 0
		all := rapid.Bool().Draw(t, "inside out")
		some := rapid.Bool().Draw(t, "some")
		for i := range mesh.Triangles {
			if all != (some && rapid.IntRange(0, 3).Draw(t, "turned") == 0) {
				mesh.Triangles[i][0], mesh.Triangles[i][1] = mesh.Triangles[i][1], mesh.Triangles[i][0]
				turned++
			}
		}
		origin := place(t, "origin", 0.1)
		turn := orient.AboutAxis(aDirection(t), number(t, "turn", -3, 3))
		for i, v := range mesh.Vertices {
			mesh.Vertices[i] = turn.Apply(v).Add(origin)
		}
		p, fit, err := NewPolyhedron(mesh)
		if err != nil {
			t.Fatal(err)
		}
		if fit.Turned != turned || fit.Parts != 1 || sub(fit.Origin, origin).Norm() > 1e-9 {
			t.Fatalf("%+v, turned %d, origin %v", fit, turned, origin)
		}
		// Asked in the mesh' own frame, it is as far as the box.
		at := place(t, "at", 0.06)
		d := p.Point(fit.Turn.Inverse().Apply(sub(turn.Apply(at).Add(origin), fit.Origin))).Distance
		if want := b.Point(at).Distance; math.Abs(d-want) > 4e-4 {
			t.Fatalf("%v: %g, want %g", at, d, want)
		}
		// Each axis points as the mesh' own does; one may have to give way to the right hand.
		same := 0
		for k, axis := range []orient.Vec3{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}} {
			if fit.Turn.Apply(axis)[k] > 0 {
				same++
			}
		}
		if same < 2 {
			t.Fatalf("the axes are turned by %v", fit.Turn)
		}
		_, i := p.Moments()
		if i[0] <= 0 || i[1] <= 0 || i[2] <= 0 {
			t.Fatalf("moments %v", i)
		}
	})
}

// A hollow stays a hollow: a box with a smaller one inside, which runs the other way.
func TestHollows(t *testing.T) {
	outer, inner := must(NewBox(orient.Vec3{0.03, 0.03, 0.03}, 0)).Outline(1), must(NewBox(orient.Vec3{0.02, 0.02, 0.02}, 0)).Outline(1)
	n := int32(len(outer.Vertices))
	outer.Vertices = append(outer.Vertices, inner.Vertices...)
	for _, t := range inner.Triangles {
		outer.Triangles = append(outer.Triangles, [3]int32{t[0] + n, t[2] + n, t[1] + n})
	}
	p, fit, err := NewPolyhedron(outer)
	if err != nil {
		t.Fatal(err)
	}
	if v, _ := p.Moments(); fit.Parts != 2 || math.Abs(v/(8*(27-8)*1e-6)-1) > 1e-12 {
		t.Errorf("%+v, volume %g", fit, v)
	}
	if d := p.Point(orient.Vec3{0.001, 0, 0}).Distance; math.Abs(d-0.019) > 1e-12 {
		t.Errorf("in the hollow: %g, want 19 mm", d)
	}
	if d := p.Point(orient.Vec3{0.026, 0, 0}).Distance; math.Abs(d+0.004) > 1e-12 {
		t.Errorf("in the wall: %g, want −4 mm", d)
	}
}

// With the edges halved, a mesh' error falls to a quarter: distance, volume, inertia and curvature.
func TestMeshesConverge(t *testing.T) {
	for _, c := range []struct {
		name string
		s    Solid
		p    []orient.Vec3
	}{
		{"ellipsoid", Ellipsoid{orient.Vec3{0.035, 0.03, 0.025}}, []orient.Vec3{{0.05, 0.02, 0.01}, {0.01, -0.02, 0.04}, {0.02, 0.01, -0.005}}},
		{"superellipsoid", must(NewSuperellipsoid(orient.Vec3{0.035, 0.03, 0.025}, 0.7, 0.8)), []orient.Vec3{{0.05, 0.02, 0.01}, {0.01, -0.02, 0.04}}},
		{"crescent", must(NewCrescent(0.045, 1.2, 0.02, 0.01)), []orient.Vec3{{0.04, 0.02, 0.02}, {-0.03, 0.01, 0.005}, {-0.01, 0.05, 0.01}}},
		{"cone", must(NewFrustum(0.03, 0.01, 0.06, 0.005)), []orient.Vec3{{0.05, 0.02, 0.01}, {0.01, -0.02, 0.04}}},
	} {
		volume, inertia := c.s.Moments()
		errorsOf := func(detail int) (distance, mass float64) {
			p, fit, err := NewPolyhedron(c.s.Outline(detail))
			if err != nil {
				t.Fatal(err)
			}
			for _, at := range c.p {
				d := p.Point(fit.Turn.Inverse().Apply(sub(at, fit.Origin))).Distance
				distance = max(distance, math.Abs(d-c.s.Point(at).Distance))
			}
			v, i := p.Moments()
			mass = math.Abs(v/volume - 1)
			for k := range i {
				mass = max(mass, math.Abs(i[k]/inertia[k]-1))
			}
			return distance, mass
		}
		d1, m1 := errorsOf(10)
		d2, m2 := errorsOf(40)
		t.Logf("%s: distance off by %.2g and %.2g m, mass by %.2g and %.2g", c.name, d1, d2, m1, m2)
		// Sixteen times; a single place may do better or worse as edges shift across it. The middle of a chord of 1.6 mm lies 2e-5 m
		// below a circle of 16 mm.
		if !(d2 < d1/6 && d2 < 2e-5) || !(m2 < m1/12) {
			t.Errorf("%s: distance off by %g, then %g m; mass by %g, then %g", c.name, d1, d2, m1, m2)
		}
	}
}

func FuzzReadSTL(f *testing.F) {
	cube := must(NewBox(orient.Vec3{0.01, 0.01, 0.01}, 0)).Outline(1)
	f.Add([]byte(textOf(cube)))
	f.Add(binaryOf(cube))
	f.Add([]byte("solid\nfacet normal 0 0 0 outer loop vertex 1 2 3"))
	f.Fuzz(func(t *testing.T, data []byte) {
		m, err := ReadSTL(bytes.NewReader(data), 1e-3)
		solidOrError(t, m, err)
	})
}

func FuzzReadOBJ(f *testing.F) {
	cube := must(NewBox(orient.Vec3{0.01, 0.01, 0.01}, 0)).Outline(1)
	f.Add([]byte(objOf(cube)))
	f.Add([]byte("v 0 0 0\nv 1 0 0\nv 0 1 0\nv 0 0 1\nf 1 2 3\nf -1 -2 -3 -4\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		m, err := ReadOBJ(bytes.NewReader(data), 1e-3)
		solidOrError(t, m, err)
	})
}

// solidOrError asks a solid of whatever was read a few questions.
func solidOrError(t *testing.T, m Mesh, err error) {
	if err != nil || len(m.Triangles) > 2000 {
		return
	}
	p, _, err := NewPolyhedron(m)
	if err != nil {
		return
	}
	a, b := orient.Vec3{0.01, 0.02, 0.03}.Scale(p.Reach()*20), orient.Vec3{-0.3, 0.1, 0}.Scale(p.Reach())
	p.Segment(a, b)
	p.Curvature(b)
	if n := len(p.Footing(orient.Vec3{0, 0, -1}, p.Reach(), nil)); n < 1 || n > FootingMost {
		t.Errorf("%d feet", n)
	}
}
