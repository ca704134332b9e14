package shape

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"holdfast/orient"
)

// someSolids are named ways to draw a solid of every kind.
var someSolids = []struct {
	name   string
	convex bool
	draw   func(t *rapid.T) Solid
}{
	{"ellipsoid", true, func(t *rapid.T) Solid { return anEllipsoid(t) }},
	{"box", true, func(t *rapid.T) Solid { return aBox(t) }},
	{"superellipsoid", true, func(t *rapid.T) Solid {
		semi := orient.Vec3{number(t, "a", 0.005, 0.08), number(t, "b", 0.005, 0.08), number(t, "c", 0.005, 0.08)}
		return must(NewSuperellipsoid(semi, 0.1+0.9*share(t, "epsilon1"), 0.1+0.9*share(t, "epsilon2")))
	}},
	{"cylinder", true, func(t *rapid.T) Solid {
		r, h := number(t, "radius", 0.005, 0.08), number(t, "half", 0.005, 0.08)
		return must(NewCylinder(r, h, share(t, "rounding")*min(r, h)))
	}},
	{"frustum", true, func(t *rapid.T) Solid {
		return must(NewFrustum(number(t, "bottom", 0.01, 0.08), number(t, "top", 0.01, 0.08), number(t, "height", 0.02, 0.1), share(t, "rounding")*0.007))
	}},
	{"crescent", false, func(t *rapid.T) Solid { return aCrescent(t) }},
	{"weighted box", true, func(t *rapid.T) Solid { return weighted(t, aBox(t)) }},
	{"weighted polyhedron", false, func(t *rapid.T) Solid { return weighted(t, aPolyhedron(t)) }},
	{"polyhedron", false, func(t *rapid.T) Solid { return aPolyhedron(t) }},
	{"cone", true, func(t *rapid.T) Solid {
		r, h := number(t, "radius", 0.01, 0.08), number(t, "height", 0.02, 0.1)
		// The ball in the cone.
		most := r * h / (r + math.Hypot(r, h))
		ends := [2]float64{r, 0}
		if rapid.Bool().Draw(t, "tip down") {
			ends = [2]float64{0, r}
		}
		return must(NewFrustum(ends[0], ends[1], h, share(t, "rounding")*most))
	}},
}

// weighted fills a solid unevenly: its centre of mass lies somewhere on the way from the middle to the surface.
func weighted(t *rapid.T, s Solid) Solid {
	d := orient.Vec3{number(t, "x", -1, 1), number(t, "y", -1, 1), 0.1}
	return must(NewWeighted(s, s.Support(d).Scale(number(t, "out", 0, 0.9)), orient.Vec3{}))
}

func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

// share is a number from 0 to 1, often one of the ends.
func share(t *rapid.T, name string) float64 {
	if k := rapid.IntRange(0, 5).Draw(t, name+": an end"); k < 2 {
		return float64(k)
	}
	return number(t, name, 0, 1)
}

func aCrescent(t *rapid.T) *Crescent {
	ring := number(t, "ring", 0.02, 0.08)
	angle := number(t, "angle", 0.2, 2.3)
	thick := number(t, "thick", 0.1, 0.7) * ring
	tip := thick * max(0.2, 1-share(t, "taper")*min(1, 0.44*angle*ring/thick))
	return must(NewCrescent(ring, angle, thick, tip))
}

// aPolyhedron is a coarse mesh of another solid.
func aPolyhedron(t *rapid.T) *Polyhedron {
	var s Solid
	switch rapid.IntRange(0, 3).Draw(t, "of") {
	case 0:
		s = aBox(t)
	case 1:
		s = aCrescent(t)
	case 2:
		s = anEllipsoid(t)
	default:
		s = must(NewFrustum(number(t, "radius", 0.01, 0.05), 0, number(t, "height", 0.02, 0.1), 0))
	}
	p, _, err := NewPolyhedron(s.Outline(rapid.IntRange(1, 6).Draw(t, "detail")))
	return must(p, err)
}

func aBox(t *rapid.T) Box {
	half := orient.Vec3{number(t, "a", 0.005, 0.08), number(t, "b", 0.005, 0.08), number(t, "c", 0.005, 0.08)}
	return must(NewBox(half, share(t, "rounding")*min(half[0], half[1], half[2])))
}

func aDirection(t *rapid.T) orient.Vec3 {
	for {
		v := place(t, "direction", 1)
		for i := range v {
			if rapid.IntRange(0, 4).Draw(t, "along an axis' plane") == 0 {
				v[i] = 0
			}
		}
		if n := v.Norm(); n > 1e-2 {
			return v.Scale(1 / n)
		}
	}
}

// everySolid checks a property of all kinds.
func everySolid(t *testing.T, check func(t *rapid.T, s Solid, convex bool)) {
	for _, k := range someSolids {
		t.Run(k.name, func(t *testing.T) {
			rapid.Check(t, func(t *rapid.T) { check(t, k.draw(t), k.convex) })
		})
	}
}

// The foot of a point is on the surface, the way to it is along the normal and no longer than told, and the distance of
// points changes no faster than they move.
func TestDistances(t *testing.T) {
	everySolid(t, func(t *rapid.T, s Solid, convex bool) {
		p := place(t, "p", 1.5*s.Reach())
		n := s.Point(p)
		if math.Abs(n.Normal.Norm()-1) > 1e-9 {
			t.Fatalf("normal %v", n.Normal)
		}
		if at := s.Point(n.Point); math.Abs(at.Distance) > 1e-8*s.Reach() {
			t.Fatalf("%v: the foot %v lies %g from the surface", p, n.Point, at.Distance)
		}
		// Where the surface is bent as a ball around p nearly, the foot is only known to the root of the rounding.
		if off := sub(sub(p, n.Point), n.Normal.Scale(n.Distance)).Norm(); off > 1e-5*s.Reach() {
			t.Fatalf("%v: from the foot %v along the normal %v by %g misses by %g", p, n.Point, n.Normal, n.Distance, off)
		}
		q := place(t, "q", 1.5*s.Reach())
		if m := s.Point(q); math.Abs(m.Distance-n.Distance) > sub(p, q).Norm()*(1+1e-9)+2e-9*s.Reach() {
			t.Fatalf("%v is %g away, %v %g", p, n.Distance, q, m.Distance)
		}
		d := aDirection(t)
		far := s.Support(d)
		if at := s.Point(far); math.Abs(at.Distance) > 1e-8*s.Reach() && convex {
			t.Fatalf("the support %v lies %g from the surface", far, at.Distance)
		}
		if n.Point.Dot(d) > far.Dot(d)+1e-8*s.Reach() {
			t.Fatalf("%v lies farther along %v than %v", n.Point, d, far)
		}
		if convex && n.Distance < d.Dot(p)-d.Dot(far)-1e-8*s.Reach() {
			t.Fatalf("%v is told to be %g away, but is %g beyond a plane that holds the solid", p, n.Distance, d.Dot(p)-d.Dot(far))
		}
		if far.Norm() > s.Reach()*(1+1e-9) {
			t.Fatalf("%v is beyond the reach %g", far, s.Reach())
		}
	})
}

// Moving along the normal changes the distance by as much.
func TestDistanceGrowsAlongTheNormal(t *testing.T) {
	everySolid(t, func(t *rapid.T, s Solid, convex bool) {
		p := place(t, "p", 1.5*s.Reach())
		n := s.Point(p)
		if n.Distance < 1e-3*s.Reach() {
			return
		}
		h := 1e-6 * s.Reach()
		up, down := s.Point(p.Add(n.Normal.Scale(h))), s.Point(p.Add(n.Normal.Scale(-h)))
		if !convex && sub(up.Point, down.Point).Norm() > 1e-4*s.Reach() {
			return // between two feet
		}
		if g := (up.Distance - down.Distance) / (2 * h); math.Abs(g-1) > 1e-3 {
			t.Fatalf("%v: the distance grows by %g", p, g)
		}
	})
}

func TestSegmentsOfSolids(t *testing.T) {
	everySolid(t, func(t *rapid.T, s Solid, convex bool) {
		r := s.Reach()
		a, b := place(t, "a", 1.5*r), place(t, "b", 1.5*r)
		if rapid.IntRange(0, 9).Draw(t, "a point") == 0 {
			b = a
		}
		n := s.Segment(a, b)
		if !(n.Along >= 0 && n.Along <= 1) {
			t.Fatalf("%+v", n)
		}
		if at := s.Point(a.Add(sub(b, a).Scale(n.Along))); math.Abs(at.Distance-n.Distance) > 1e-6*r {
			t.Fatalf("%+v, but that point is %g away", n, at.Distance)
		}
		if gap := s.Apart(a, b); gap > 0 && n.Distance < gap-1e-9*r {
			t.Fatalf("%g away, and said to be at least %g", n.Distance, gap)
		}
		for k := range 41 {
			p := a.Add(sub(b, a).Scale(float64(k) / 40))
			if d := s.Point(p).Distance; d < n.Distance-1e-6*r {
				t.Fatalf("%g at %g, but %g at %g", n.Distance, n.Along, d, float64(k)/40)
			}
		}
	})
}

func TestFooting(t *testing.T) {
	everySolid(t, func(t *rapid.T, s Solid, _ bool) {
		d, depth := aDirection(t), number(t, "depth", 0, 0.2)*s.Reach()
		high := s.Support(d).Dot(d)
		feet := s.Footing(d, depth, nil)
		if len(feet) == 0 || len(feet) > FootingMost {
			t.Fatalf("%d feet", len(feet))
		}
		top, seen := math.Inf(-1), map[int]bool{}
		for _, f := range feet {
			if seen[f.ID] {
				t.Fatalf("foot %d comes twice", f.ID)
			}
			seen[f.ID] = true
			if at := s.Point(f.Point); math.Abs(at.Distance) > 1e-8*s.Reach() {
				t.Fatalf("foot %d at %v lies %g from the surface", f.ID, f.Point, at.Distance)
			}
			h := f.Point.Dot(d)
			if h < high-depth-1e-8*s.Reach() || h > high+1e-8*s.Reach() {
				t.Fatalf("foot %d at %v is %g above the support plane at depth %g", f.ID, f.Point, h-high, depth)
			}
			top = max(top, h)
		}
		if _, ok := s.(*Turned); top < high-1e-8*s.Reach() && !(ok && top > high-2.4e-5*s.Reach()) { // see upright
			t.Fatalf("no foot reaches the support plane: %g below", high-top)
		}
	})
}

func TestScaledSolids(t *testing.T) {
	everySolid(t, func(t *rapid.T, s Solid, _ bool) {
		f := number(t, "factor", 0.2, 5)
		big := s.Scaled(f)
		near := func(what string, got, want, size float64) {
			if !(math.Abs(got-want) <= 1e-7*size) {
				t.Fatalf("%s: %g, want %g", what, got, want)
			}
		}
		p, d := place(t, "p", 1.5*s.Reach()), aDirection(t)
		near("distance", big.Point(p.Scale(f)).Distance, f*s.Point(p).Distance, f*s.Reach())
		near("support", big.Support(d).Dot(d), f*s.Support(d).Dot(d), f*s.Reach())
		near("reach", big.Reach(), f*s.Reach(), f*s.Reach())
		v, i := s.Moments()
		w, j := big.Moments()
		near("volume", w, v*f*f*f, w)
		for k := range 3 {
			near("inertia", j[k], i[k]*f*f*f*f*f, j[k])
			near("extents", big.Extents()[k], f*s.Extents()[k], f*s.Reach())
		}
	})
}

// The box of the extents is as wide as the solid along each of its axes.
func TestExtents(t *testing.T) {
	everySolid(t, func(t *rapid.T, s Solid, _ bool) {
		for k, e := range s.Extents() {
			var d orient.Vec3
			d[k] = 1
			if wide := (s.Support(d)[k] - s.Support(d.Scale(-1))[k]) / 2; math.Abs(wide-e) > 1e-9*s.Reach() {
				t.Fatalf("axis %d: %g, want %g", k, e, wide)
			}
		}
	})
}

// Every edge of an outline is shared by two triangles in opposite sense, its corners lie on the surface, and its volume
// comes near the solid's.
func TestOutlines(t *testing.T) {
	everySolid(t, func(t *rapid.T, s Solid, _ bool) {
		detail := rapid.IntRange(1, 12).Draw(t, "detail")
		mesh := s.Outline(detail)
		edges := map[[2]int32]int{}
		sum := 0.0
		for _, tri := range mesh.Triangles {
			for k := range 3 {
				edges[[2]int32{tri[k], tri[(k+1)%3]}]++
			}
			sum += mesh.Vertices[tri[0]].Dot(mesh.Vertices[tri[1]].Cross(mesh.Vertices[tri[2]])) / 6
		}
		for e, n := range edges {
			if n != 1 || edges[[2]int32{e[1], e[0]}] != 1 {
				t.Fatalf("edge %v comes %d times, back %d times", e, n, edges[[2]int32{e[1], e[0]}])
			}
		}
		for _, v := range mesh.Vertices {
			if at := s.Point(v); math.Abs(at.Distance) > 1e-8*s.Reach() {
				t.Fatalf("corner %v lies %g from the surface", v, at.Distance)
			}
		}
		volume, _ := s.Moments()
		if !(sum > 0) || math.Abs(sum/volume-1) > 1.2/float64(detail) {
			t.Fatalf("the outline of detail %d holds %g, the solid %g", detail, sum, volume)
		}
	})
}

func TestNothingIsAllocatedByQuestions(t *testing.T) {
	p, q, d := orient.Vec3{0.05, -0.01, 0.02}, orient.Vec3{0.04, 0.02, -0.03}, orient.Vec3{0.6, 0, 0.8}
	for _, k := range someSolids {
		s := rapid.Custom(k.draw).Example(1)
		feet := make([]Foot, 0, FootingMost)
		if n := testing.AllocsPerRun(20, func() {
			s.Point(p)
			s.Segment(p, q)
			s.Apart(p, q)
			s.Support(d)
			s.Curvature(p)
			s.Moments()
			s.Extents()
			feet = s.Footing(d, 0.002, feet[:0])
		}); n != 0 {
			t.Errorf("%s: %g allocations", k.name, n)
		}
	}
}

// At the tip of the semi-axis a the curvatures are a/b² and a/c².
func TestEllipsoidCurvature(t *testing.T) {
	e := Ellipsoid{orient.Vec3{0.05, 0.03, 0.02}}
	for _, c := range []struct {
		p      orient.Vec3
		k1, k2 float64
	}{
		{orient.Vec3{0.08, 0, 0}, 0.05 / (0.02 * 0.02), 0.05 / (0.03 * 0.03)},
		{orient.Vec3{0, 0, -0.04}, 0.02 / (0.03 * 0.03), 0.02 / (0.05 * 0.05)},
	} {
		if k1, k2 := e.Curvature(c.p); math.Abs(k1/c.k1-1) > 1e-9 || math.Abs(k2/c.k2-1) > 1e-9 {
			t.Errorf("%v: %g and %g, want %g and %g", c.p, k1, k2, c.k1, c.k2)
		}
	}
}

// The curvatures told are those that the normals show: beside a point of the surface the normal turns as they say.
func TestCurvatureIsHowTheNormalTurns(t *testing.T) {
	everySolid(t, func(t *rapid.T, s Solid, _ bool) {
		body, _ := surfaceOf(s, Pose{Turn: orient.Identity})
		if _, ok := body.(*Polyhedron); ok {
			return // flat between its edges; see TestMeshesConverge
		}
		n := s.Point(place(t, "p", 2*s.Reach()))
		k1, k2 := s.Curvature(n.Point)
		if math.IsInf(k1, 0) || k1 > 300 {
			return // bent more than the step below can see
		}
		if !(k1 >= k2) {
			t.Fatalf("%g before %g", k1, k2)
		}
		h := 1e-6 * s.Reach()
		u, v := tangents(n.Normal)
		turn := func(d orient.Vec3) orient.Vec3 {
			up, down := s.Point(n.Point.Add(d.Scale(h))), s.Point(n.Point.Add(d.Scale(-h)))
			return sub(up.Normal, down.Normal).Scale(1 / (2 * h))
		}
		du, dv := turn(u), turn(v)
		uu, vv, uv := du.Dot(u), dv.Dot(v), (du.Dot(v)+dv.Dot(u))/2
		mean, apart := (uu+vv)/2, math.Hypot((uu-vv)/2, uv)
		if h*math.Hypot(du.Norm(), dv.Norm()) > 0.05 {
			return // across a sharp edge
		}
		// Where a face meets a rounding the normal turns on one side only.
		for _, d := range []orient.Vec3{u, v, u.Scale(-1), v.Scale(-1)} {
			if a, b := s.Curvature(n.Point.Add(d.Scale(3 * h))); math.Abs(a-k1)+math.Abs(b-k2) > 0.01*k1+0.03 {
				return
			}
		}
		// Normals are known to some 1e-9, which over so short a way is a few hundredths of 1/m.
		if size := math.Abs(k1) + math.Abs(k2) + 5; math.Abs(mean+apart-k1) > 0.02*size || math.Abs(mean-apart-k2) > 0.02*size {
			t.Fatalf("%v: %g and %g, but the normals turn by %g and %g a metre", n.Point, k1, k2, mean+apart, mean-apart)
		}
	})
}

// Questions that are none are answered, if by nothing that is a number.
func TestNonsenseComesToAnEnd(t *testing.T) {
	odd := []float64{math.NaN(), math.Inf(1), math.Inf(-1), 1e300, -1e300, 1e-300, 0, 0.01}
	for _, k := range benched {
		for i := range 200 {
			v := func(n int) orient.Vec3 {
				return orient.Vec3{odd[(i*7+n)%8], odd[(i*3+n*5)%8], odd[(i/8+n*2)%8]}
			}
			a, b := v(i), v(i/3+1)
			k.s.Point(a)
			k.s.Segment(a, b)
			k.s.Apart(a, b)
			k.s.Support(a)
			k.s.Curvature(a)
			if n := len(k.s.Footing(b, 0.01, nil)); n > FootingMost {
				t.Errorf("%s: %d feet", k.name, n)
			}
			Between(k.s, benched[i%len(benched)].s, Pose{orient.Identity, a}, Pose{orient.Identity, b}, b, math.Inf(1))
		}
	}
}

// Outside, a place of the surface is as far as the plane that touches there only when it is the foot: no guess survives that.
func TestFeetOnSuperellipsoids(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	within := func(low, high float64) float64 { return low + (high-low)*rng.Float64() }
	for range 20000 {
		exponents := [2]float64{within(0.1, 1), within(0.1, 1)}
		for i := range exponents {
			if k := rng.IntN(4); k < 2 {
				exponents[i] = [2]float64{0.1, 1}[k]
			}
		}
		s := must(NewSuperellipsoid(orient.Vec3{within(0.005, 0.08), within(0.005, 0.08), within(0.005, 0.08)}, exponents[0], exponents[1]))
		p := orient.Vec3{rng.NormFloat64(), rng.NormFloat64(), rng.NormFloat64()}.Scale(0.06)
		n := s.Point(p)
		if off := sub(p, n.Point).Norm() - n.Distance; n.Distance > 0 && !(off < 1e-12) {
			t.Errorf("%v of %v, exponents %v: %g is short by %g", p, s.semi, exponents, n.Distance, off)
		}
	}
}
