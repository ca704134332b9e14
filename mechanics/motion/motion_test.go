package motion

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"holdfast/orient"
)

func vec(t *rapid.T, name string, most float64) orient.Vec3 {
	return orient.Vec3{rapid.Float64Range(-most, most).Draw(t, name), rapid.Float64Range(-most, most).Draw(t, name), rapid.Float64Range(-most, most).Draw(t, name)}
}

// Whatever the block and the slack: no pull, inside the cone, the normal complementary, and what slides is braked straight
// against its slip.
func TestOneContactKeepsItsLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := SolidEllipsoid(rapid.Float64Range(0.01, 2).Draw(t, "mass"), orient.Vec3{0.03, 0.02, 0.05})
		n := vec(t, "normal", 1)
		if n.Norm() < 0.1 {
			t.Skip("too short to be a direction")
		}
		n = n.Scale(1 / n.Norm())
		t1, t2 := Tangents(n)
		frame := [3]orient.Vec3{n, t1, t2}
		c := Contact{Friction: rapid.Float64Range(0, 0.9).Draw(t, "friction")}
		mobility := b.Mobility()
		c.Sides[0].J, c.Sides[0].B = make([]float64, 18), make([]float64, 18)
		b.Side(&c.Sides[0], 0, vec(t, "point", 0.03), &frame, 1, &mobility)
		if rapid.Bool().Draw(t, "soft") {
			c.Normal, c.Shear = Spring(1e-3, 5000, 3, -1e-4), Spring(1e-3, 4000, 0, 2e-5)
		}
		v := make([]float64, 6)
		b.Velocity, b.Spin = vec(t, "velocity", 1), vec(t, "spin", 10)
		b.Put(v, 0)
		contacts := []Contact{c}
		sweeps, change := Solver{MostSweeps: 3000, Tolerance: 1e-12}.Solve(v, contacts, nil)
		g := contacts[0].slack(v)
		p := contacts[0].Impulse
		held, most := math.Hypot(p[1], p[2]), c.Friction*p[0]
		const eps = 1e-8
		if p[0] < 0 || g[0] < -eps || p[0]*g[0] > eps || held > most+eps {
			t.Fatalf("impulse %v, slack %v after %d sweeps (%g)", p, g, sweeps, change)
		}
		if slip := math.Hypot(g[1], g[2]); p[0] > 0 && slip > 1e-6 {
			if held < most-eps || p[1]*g[1]+p[2]*g[2] > -held*slip*(1-1e-4)+eps {
				t.Fatalf("slides by %v against the impulse %v of at most %g", g, p, most)
			}
		}
	})
}

// A step that friction and soft touches act in never adds energy beyond what gravity and the stretched springs gave.
func TestStepsAddNoEnergy(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := Surface{Friction: rapid.Float64Range(0, 1).Draw(t, "friction")}
		if rapid.Bool().Draw(t, "soft") {
			s.Stiffness, s.Damping, s.Shear = rapid.Float64Range(100, 1e6).Draw(t, "stiffness"), rapid.Float64Range(0, 100).Draw(t, "damping"), rapid.Float64Range(100, 1e6).Draw(t, "shear")
		}
		w := boxOn(orient.Vec3{0.03, 0.02, 0.05}, 0.2, 0, s)
		turn, ok := orient.Rotation{W: 1, X: rapid.Float64Range(-1, 1).Draw(t, "x"), Y: rapid.Float64Range(-1, 1).Draw(t, "y"), Z: rapid.Float64Range(-1, 1).Draw(t, "z")}.Normalized()
		if !ok {
			t.Skip("no rotation")
		}
		w.Thing.Turn = turn
		w.Thing.Position = orient.Vec3{0, 0, 0.08}
		w.Thing.Velocity, w.Thing.Spin = vec(t, "velocity", 1), vec(t, "spin", 20)
		h := rapid.SampledFrom([]float64{2e-3, 1e-3, 2.5e-4}).Draw(t, "step")
		total := func() float64 { return w.Thing.Energy() + 0.2*g*w.Thing.Position[2] }
		start := total()
		for range int(0.5 / h) {
			if err := w.Step(h); err != nil {
				t.Fatal(err)
			}
			// Rigid corners that contradict each other stay unsolved, but never by much.
			if w.Change > 0.05 || s.Stiffness > 0 && w.Change > 1e-4 {
				t.Fatalf("the last of %d sweeps still changed a velocity by %g m/s", w.Sweeps, w.Change)
			}
			if e := total(); !(e <= start*(1+1e-3)+1e-4) {
				t.Fatalf("%g J, began with %g", e, start)
			}
		}
	})
}

func TestNonsenseIsRefused(t *testing.T) {
	w := boxOn(orient.Vec3{0.03, 0.02, 0.05}, 0.2, 0, Surface{Friction: 0.3, Stiffness: 3000})
	w.Thing.Mass = math.NaN()
	before := w.Thing.Position
	if err := w.Step(1e-3); err == nil || w.Thing.Position != before {
		t.Errorf("%v, %+v", err, w.Thing.Body)
	}
}

func TestStepsAreTheSameEveryTimeAndAllocateNothing(t *testing.T) {
	make := func() *World {
		w := boxOn(orient.Vec3{0.03, 0.02, 0.05}, 0.2, 0.2, Surface{Friction: 0.3, Stiffness: 3000, Damping: 5, Shear: 2000})
		w.Thing.Spin = orient.Vec3{3, 1, 7}
		return w
	}
	a, b := make(), make()
	run(t, a, 1e-3, 0.5)
	run(t, b, 1e-3, 0.5)
	if a.Thing.Body != b.Thing.Body {
		t.Errorf("%+v and %+v", a.Thing.Body, b.Thing.Body)
	}
	if n := testing.AllocsPerRun(200, func() { _ = a.Step(1e-3) }); n != 0 {
		t.Errorf("a step allocates %g times", n)
	}
}

// A row with bounds: a motor that pulls a sledge against a spring stops at its force.
func TestRowStaysWithinItsBounds(t *testing.T) {
	v := []float64{0}
	rows := []Row{{Law: Compliance{Bias: -1}, Low: 0, High: 0.3, Sides: []Side{{N: 1, J: []float64{1}, B: []float64{2}}}}}
	if _, change := (Solver{}).Solve(v, nil, rows); change > 1e-9 || rows[0].Impulse != 0.3 || v[0] != 0.6 {
		t.Errorf("impulse %g, velocity %g, change %g", rows[0].Impulse, v[0], change)
	}
	v[0], rows[0].High, rows[0].Impulse = 0, 10, 0
	if _, change := (Solver{}).Solve(v, nil, rows); change > 1e-9 || rows[0].Impulse != 0.5 || v[0] != 1 {
		t.Errorf("impulse %g, velocity %g, change %g", rows[0].Impulse, v[0], change)
	}
}

func BenchmarkStepBoxAtRest(b *testing.B) {
	w := boxOn(orient.Vec3{0.05, 0.04, 0.01}, 0.2, 0.2, Surface{Friction: 0.5, Stiffness: 20000, Damping: 60, Shear: 15000})
	run(b, w, 1e-3, 1)
	b.ReportAllocs()
	for b.Loop() {
		if err := w.Step(1e-3); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(w.Sweeps), "sweeps")
}

func BenchmarkStepBoxTumbles(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		w := boxOn(orient.Vec3{0.05, 0.04, 0.03}, 0.2, 0, Surface{Friction: 0.5, Stiffness: 20000, Damping: 60, Shear: 15000})
		w.Thing.Spin, w.Thing.Velocity = orient.Vec3{10, 5, 3}, orient.Vec3{0.5, 0.2, 1}
		run(b, w, 1e-3, 1)
	}
}
