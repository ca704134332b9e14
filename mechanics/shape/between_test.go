package shape

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"holdfast/orient"
)

func aPose(t *rapid.T, name string, most float64) Pose {
	return Pose{orient.AboutAxis(aDirection(t), number(t, name+": turn", -3, 3)), place(t, name, most)}
}

// separation is how far the planes square to n that touch the solids are apart.
func separation(a, b Solid, at, bt Pose, n orient.Vec3) float64 {
	p := at.Turn.Apply(a.Support(at.Turn.Inverse().Apply(n))).Add(at.Position)
	q := bt.Turn.Apply(b.Support(bt.Turn.Inverse().Apply(n.Scale(-1)))).Add(bt.Position)
	return sub(q, p).Dot(n)
}

var convexKinds = func() (list []func(t *rapid.T) Solid) {
	for _, k := range someSolids {
		if k.convex {
			list = append(list, k.draw)
		}
	}
	return list
}()

// The gap is what the normal's planes leave, and no direction tried parts the solids by more: none at all where they are apart,
// none nearby where they overlap.
func TestBetweenConvexSolids(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := rapid.SampledFrom(convexKinds).Draw(t, "a")(t), rapid.SampledFrom(convexKinds).Draw(t, "b")(t)
		at, bt := aPose(t, "at", 0.02), aPose(t, "bt", 0.1)
		m, ok := Between(a, b, at, bt, orient.Vec3{}, 1)
		if !ok || math.Abs(m.Normal.Norm()-1) > 1e-9 {
			t.Fatalf("%+v", m)
		}
		size := a.Reach() + b.Reach()
		if s := separation(a, b, at, bt, m.Normal); math.Abs(s-m.Gap) > 1e-6*size {
			t.Fatalf("%+v, but the planes are %g apart", m, s)
		}
		thin := math.Inf(1)
		for k := range 3 {
			thin = min(thin, a.Extents()[k], b.Extents()[k])
		}
		for range 20 {
			if m.Gap < -thin/2 {
				break // a way out, but not the shortest one nearby
			}
			n := m.Normal.Add(place(t, "aside", 1).Scale(math.Pow(10, -number(t, "by", 0, 5))))
			if m.Gap < 0 {
				n = m.Normal.Add(sub(n, m.Normal).Scale(1e-2))
			}
			n = n.Scale(1 / n.Norm())
			if s := separation(a, b, at, bt, n); s > m.Gap+1e-6*size {
				t.Fatalf("%+v, but along %v they are %g apart", m, n, s)
			}
		}
		// In the middle between both surfaces.
		p := a.Point(at.Turn.Inverse().Apply(sub(m.Point, at.Position))).Distance
		q := b.Point(bt.Turn.Inverse().Apply(sub(m.Point, bt.Position))).Distance
		if m.Gap > 0 && (math.Abs(p-m.Gap/2) > 1e-5*size || math.Abs(q-m.Gap/2) > 1e-5*size) {
			t.Fatalf("%+v lies %g and %g from the surfaces", m, p, q)
		}
		// The solids' own places are half the overlap away, and within.
		if m.Gap < 0 && m.Gap > -thin/2 && max(p, q) > -m.Gap/2+1e-6*size {
			t.Fatalf("%+v lies %g and %g from the surfaces", m, p, q)
		}
		// Seen from the other side, and with the normal known.
		o, _ := Between(b, a, bt, at, m.Normal.Scale(-1), 1)
		if m.Gap > -thin/2 && math.Abs(o.Gap-m.Gap) > 1e-6*size {
			t.Fatalf("%+v, and the other way round %+v", m, o)
		}
		if _, ok := Between(a, b, at, bt, orient.Vec3{}, m.Gap-1e-6*size-1e-9); ok {
			t.Fatalf("%+v is told to be nearer than it is", m)
		}
	})
}

// Between balls it is the way between the centres; and what a crescent's ball is to a ball.
func TestBetweenBalls(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r, s := number(t, "r", 0.01, 0.05), number(t, "s", 0.01, 0.05)
		a, b := Ellipsoid{orient.Vec3{r, r, r}}, must(NewBox(orient.Vec3{s, s, s}, s))
		at, bt := aPose(t, "at", 0.05), aPose(t, "bt", 0.1)
		d := sub(bt.Position, at.Position)
		if d.Norm() < 1e-3 {
			return
		}
		m, _ := Between(a, b, at, bt, orient.Vec3{}, 1)
		if math.Abs(m.Gap-(d.Norm()-r-s)) > 1e-8 || sub(m.Normal, d.Scale(1/d.Norm())).Norm() > 2e-4 {
			t.Fatalf("%+v, want a gap of %g along %v", m, d.Norm()-r-s, d.Scale(1/d.Norm()))
		}
	})
}

// A crescent's distance from a ball is that of the ball's centre less its radius, and both orders give the same; two crescents keep
// the distance that samples of one's arc have from the other.
func TestBetweenCrescents(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c, o := aCrescent(t), aCrescent(t)
		r := number(t, "r", 0.01, 0.05)
		ball := Ellipsoid{orient.Vec3{r, r, r}}
		at, bt := aPose(t, "at", 0.02), aPose(t, "bt", 0.15)
		m, _ := Between(c, ball, at, bt, orient.Vec3{}, 1)
		n, _ := Between(ball, c, bt, at, orient.Vec3{}, 1)
		want := c.Point(at.Turn.Inverse().Apply(sub(bt.Position, at.Position))).Distance - r
		if math.Abs(m.Gap-want) > 1e-7 || math.Abs(n.Gap-want) > 1e-7 || m.Normal.Dot(n.Normal) > -1+1e-6 {
			t.Fatalf("%+v and %+v, want %g", m, n, want)
		}
		m, _ = Between(c, o, at, bt, orient.Vec3{}, 1)
		n, _ = Between(o, c, bt, at, orient.Vec3{}, 1)
		// Pressed deep into each other they have dips that lie closer than is looked for.
		if thin := min(c.Extents()[2], o.Extents()[2]); m.Gap > -thin/2 && math.Abs(m.Gap-n.Gap) > 1e-6 {
			t.Fatalf("%+v, and the other way round %+v", m, n)
		}
	})
}

func TestBetweenAllocatesNothing(t *testing.T) {
	at := Pose{Turn: orient.AboutAxis(orient.Vec3{1, 2, 3}, 0.7)}
	bt := Pose{Turn: orient.AboutAxis(orient.Vec3{-1, 2, 0}, 1.1), Position: orient.Vec3{0.055, 0.01, 0.02}}
	for _, a := range benched {
		for _, b := range benched {
			if n := testing.AllocsPerRun(5, func() { Between(a.s, b.s, at, bt, orient.Vec3{}, 0.1) }); n != 0 {
				t.Errorf("%s and %s: %g allocations", a.name, b.name, n)
			}
		}
	}
}

func BenchmarkBetween(b *testing.B) {
	at := Pose{Turn: orient.AboutAxis(orient.Vec3{1, 2, 3}, 0.7)}
	bt := Pose{Turn: orient.AboutAxis(orient.Vec3{-1, 2, 0}, 1.1), Position: orient.Vec3{0.055, 0.01, 0.02}}
	for _, k := range benched {
		b.Run(k.name, func(b *testing.B) {
			b.ReportAllocs()
			hint := orient.Vec3{}
			for b.Loop() {
				m, _ := Between(k.s, k.s, at, bt, hint, 0.1)
				hint = m.Normal
			}
		})
	}
}
