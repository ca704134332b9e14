package shape

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"holdfast/orient"
)

func number(t *rapid.T, name string, low, high float64) float64 {
	return rapid.Float64Range(low, high).Draw(t, name)
}

func place(t *rapid.T, name string, most float64) orient.Vec3 {
	return orient.Vec3{number(t, name, -most, most), number(t, name, -most, most), number(t, name, -most, most)}
}

func anEllipsoid(t *rapid.T) Ellipsoid {
	if rapid.Bool().Draw(t, "round") {
		a, b := number(t, "a", 0.005, 0.08), number(t, "b", 0.005, 0.08)
		return rapid.SampledFrom([]Ellipsoid{{orient.Vec3{a, a, b}}, {orient.Vec3{a, b, a}}, {orient.Vec3{a, a, a}}}).Draw(t, "axes")
	}
	return Ellipsoid{orient.Vec3{number(t, "a", 0.005, 0.08), number(t, "b", 0.005, 0.08), number(t, "c", 0.005, 0.08)}}
}

// on is how far a point is from satisfying the surface's equation.
func (e Ellipsoid) on(x orient.Vec3) float64 {
	sum := -1.0
	for i, v := range x {
		sum += v * v / (e.Semi[i] * e.Semi[i])
	}
	return sum
}

// The foot lies on the surface, the way to it is along the normal, and no other point of the surface is nearer.
func TestNearestPointOfAnEllipsoid(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := anEllipsoid(t)
		p := place(t, "p", 0.12)
		for i := range p {
			if rapid.IntRange(0, 3).Draw(t, "on a plane of symmetry") == 0 {
				p[i] = 0
			}
		}
		n := e.Point(p)
		if off := e.on(n.Point); !(math.Abs(off) < 1e-9) {
			t.Fatalf("%v: foot %v is off the surface by %g", p, n.Point, off)
		}
		way := sub(p, n.Point)
		if aside := way.Cross(n.Normal).Norm(); aside > 1e-7 {
			t.Fatalf("%v: the way to %v misses the normal by %g", p, n.Point, aside)
		}
		if inside := e.on(p) < 0; inside != (n.Distance < 0) && math.Abs(n.Distance) > 1e-12 {
			t.Fatalf("%v: distance %g", p, n.Distance)
		}
		other := e.Support(place(t, "direction", 1).Add(orient.Vec3{1e-3, 0, 0}))
		if d := sub(p, other).Norm(); d < math.Abs(n.Distance)-1e-9 {
			t.Fatalf("%v: %v is %g away, nearer than %v at %g", p, other, d, n.Point, n.Distance)
		}
	})
}

// Spheres have closed forms, inside and out; at the centre any direction will do.
func TestSphere(t *testing.T) {
	e := Ellipsoid{orient.Vec3{0.03, 0.03, 0.03}}
	for _, c := range []struct {
		p    orient.Vec3
		want float64
	}{{orient.Vec3{0.05, 0, 0}, 0.02}, {orient.Vec3{0.01, 0.01, 0.01}, math.Sqrt(3)*0.01 - 0.03}, {orient.Vec3{}, -0.03}, {orient.Vec3{0, 0, -0.03}, 0}} {
		if n := e.Point(c.p); math.Abs(n.Distance-c.want) > 1e-12 || math.Abs(n.Normal.Norm()-1) > 1e-12 {
			t.Errorf("%v: %+v, want a distance of %g", c.p, n, c.want)
		}
	}
}

// A segment's place is where samples of it are nearest.
func TestNearestPlaceOfASegment(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := anEllipsoid(t)
		a, b := place(t, "a", 0.12), place(t, "b", 0.12)
		n := e.Segment(a, b)
		if n.Along < 0 || n.Along > 1 || math.Abs(e.on(n.Point)) > 1e-9 {
			t.Fatalf("%+v", n)
		}
		if gap := e.Apart(a, b); gap > 0 && n.Distance < gap-1e-12 {
			t.Fatalf("%g away, and said to be at least %g", n.Distance, gap)
		}
		for k := range 101 {
			p := a.Add(sub(b, a).Scale(float64(k) / 100))
			if d := e.Point(p).Distance; d < n.Distance-1e-9 {
				t.Fatalf("%g at %g, but %g at %g", n.Distance, n.Along, d, float64(k)/100)
			}
		}
	})
}

func TestSegmentsAreNearestWhereSamplesAre(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a0, a1, b0 := place(t, "a0", 1), place(t, "a1", 1), place(t, "b0", 1)
		b1 := place(t, "b1", 1)
		switch rapid.IntRange(0, 5).Draw(t, "special") {
		case 0:
			b1 = b0.Add(sub(a1, a0).Scale(number(t, "parallel", -2, 2)))
		case 1:
			b1 = b0
		case 2:
			a1 = a0
		}
		p := Segments(a0, a1, b0, b1)
		if d := sub(a0.Add(sub(a1, a0).Scale(p.Along)), p.First).Norm() + sub(b0.Add(sub(b1, b0).Scale(p.Beside)), p.Second).Norm(); d > 1e-12 {
			t.Fatalf("%+v is not on the segments", p)
		}
		for i := range 41 {
			for j := range 41 {
				x, y := a0.Add(sub(a1, a0).Scale(float64(i)/40)), b0.Add(sub(b1, b0).Scale(float64(j)/40))
				if d := sub(x, y).Norm(); d < p.Distance-1e-6 {
					t.Fatalf("%+v, but %v and %v are %g apart", p, x, y, d)
				}
			}
		}
	})
}

func TestParallelSegmentsMeetInTheMiddle(t *testing.T) {
	p := Segments(orient.Vec3{0, 0, 0}, orient.Vec3{1, 0, 0}, orient.Vec3{0.5, 1, 0}, orient.Vec3{2, 1, 0})
	if p.Distance != 1 || p.Along != 0.75 || math.Abs(p.Beside-1./6) > 1e-12 {
		t.Errorf("%+v", p)
	}
}

func BenchmarkSegmentAgainstEllipsoid(b *testing.B) {
	e := Ellipsoid{orient.Vec3{0.035, 0.030, 0.028}}
	p, q := orient.Vec3{0.045, -0.01, 0.02}, orient.Vec3{0.04, 0.02, -0.015}
	b.ReportAllocs()
	for b.Loop() {
		e.Segment(p, q)
	}
}

func BenchmarkSegments(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		Segments(orient.Vec3{0, 0, 0}, orient.Vec3{1, 0, 0}, orient.Vec3{0.5, 1, 0}, orient.Vec3{2, 1, 0.3})
	}
}

// Inside a long ellipsoid the slope jumps where the nearest point changes sides, and Newton's steps point from one end of the
// segment to the other and back; the search must end all the same, at what samples find.
func TestSearchThroughTheMiddleEnds(t *testing.T) {
	bits := math.Float64frombits
	e := Ellipsoid{orient.Vec3{bits(0x3f9a548000000000), bits(0x3fb3ad575593dba8), bits(0x3f9a548000000000)}}
	a := orient.Vec3{bits(0xbf89f88000000000), bits(0x3fa5081400000000), bits(0x3e6e06a600000000)}
	b := orient.Vec3{bits(0x3f4308416007a911), bits(0x3f9c98e780000000), bits(0x3de5500000000000)}
	n := e.Segment(a, b)
	for k := range 1001 {
		if d := e.Point(a.Add(sub(b, a).Scale(float64(k) / 1000))).Distance; d < n.Distance-1e-9 {
			t.Fatalf("%g at %g, but %g at %g", n.Distance, n.Along, d, float64(k)/1000)
		}
	}
}
