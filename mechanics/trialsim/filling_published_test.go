package trialsim

import (
	"math"
	"testing"

	"holdfast/mechanics/shape"
	"holdfast/orient"
)

// A box that is heavier at one end stands on another while its centre of mass is over it, and not its middle (statics: the vertical
// through the centre of mass has to meet the base).
func TestFilledBoxesTipByTheirCentreOfMass(t *testing.T) {
	far := pathFunc(func(float64) Flange { return Flange{Place: orient.Vec3{5, 5, 1}, Turn: facingDown} })
	half := orient.Vec3{0.04, 0.03, 0.015}
	for _, c := range []struct {
		centre orient.Vec3 // m, of mass, from the box' middle
		over   float64     // m, of the upper one's centre of mass from the lower one's middle, which reaches 40 mm
		stands bool
	}{
		{orient.Vec3{0.015, 0, 0}, 0.02, true}, {orient.Vec3{0.015, 0, 0}, 0.036, true}, {orient.Vec3{0.015, 0, 0}, 0.044, false},
		{orient.Vec3{-0.015, 0, 0.005}, 0.036, true}, {orient.Vec3{-0.015, 0, 0.005}, 0.044, false},
	} {
		s := &Scene{Hand: plate(t, 0.01, stiff(0.5)), Gravity: 9.81, Setting: Setting{Support: stiff(0.6), Neighbours: [][2]float64{{0, 0}}},
			Item: Item{Shape: box(t, half), Mass: 0.1, Friction: 1, Rest: orient.Identity, Centre: c.centre}}
		g := sure(t, s)
		lower, upper := orient.Vec3{c.centre[0], 0, half[2] + c.centre[2]}, orient.Vec3{c.over, 0, 3*half[2] + c.centre[2]}
		g.Begin(Flange{Place: orient.Vec3{5, 5, 1}, Turn: facingDown}, []Sample{s.Item.Average(lower, orient.Identity), s.Item.Average(upper, orient.Identity)})
		for g.Time < 1.5 {
			g.Step(far, 1e-3)
		}
		b := &g.items[1]
		up := b.Turn.Apply(orient.Vec3{0, 0, 1})
		if stood := up[2] > 0.9999 && sub(b.Position, upper).Norm() < 5e-4 && b.Spin.Norm() < 0.01; stood != c.stands {
			t.Errorf("centre of mass %.0f mm from the middle below: it leans by %.2f°, moved %.2f mm", c.over*1e3, math.Acos(math.Min(1, up[2]))/degree, sub(b.Position, upper).Norm()*1e3)
		}
	}
}

// A ball that slides at first ends rolling at v₀/(1 + k²/r²): 5/7 of it when it is solid, 3/5 when it is a thin shell (angular momentum
// about the point of contact; the textbook's 5/7, and k² = 2r²/3 of a shell).
func TestFilledBallsRollByTheirInertia(t *testing.T) {
	const r, v0 = 0.03, 1.0
	far := pathFunc(func(float64) Flange { return Flange{Place: orient.Vec3{5, 5, 1}, Turn: facingDown} })
	for share, square := range map[float64]float64{5.0 / 7: 0.4, 3.0 / 5: 2.0 / 3, 10.0 / 13: 0.3} {
		k := r * math.Sqrt(square)
		s := &Scene{Hand: plate(t, 0.01, stiff(0.5)), Gravity: 9.81, Setting: Setting{Support: stiff(0.4)},
			Item: Item{Shape: shape.Ellipsoid{Semi: orient.Vec3{r, r, r}}, Mass: 0.1, Friction: 1, Rest: orient.Identity, Gyration: orient.Vec3{k, k, k}}}
		g := sure(t, s)
		g.Begin(Flange{Place: orient.Vec3{5, 5, 1}, Turn: facingDown}, []Sample{s.Item.Average(orient.Vec3{0, 0, r}, orient.Identity)})
		g.Item.Velocity = orient.Vec3{v0, 0, 0}
		for g.Time < 0.6 {
			g.Step(far, 1e-3)
		}
		if got := g.Item.Velocity[0] / v0; math.Abs(got-share) > 0.005*share {
			t.Errorf("k²/r² = %.3f: it ends at %.4f of its speed, want %.4f", square, got, share)
		}
	}
}

// The planner goes for the shape that is seen; where its weight lies shows only when it is lifted.
func TestFillingIsNotSeen(t *testing.T) {
	s := threeFingers(t)
	s.Item.Shape = box(t, orient.Vec3{0.03, 0.03, 0.02})
	s.Strategy = Strategy{Kind: "free", Standoff: 0.1, Phases: []Phase{{Do: Move, To: Above}, {Do: Close, Seconds: 0.5}, {Do: Lift, Distance: 0.1, Command: -1}}}
	places := [2]orient.Vec3{}
	for i, out := range []float64{0, 0.01} {
		s.Item.Centre = orient.Vec3{out, 0, 0.004}
		if out == 0 {
			s.Item.Centre = orient.Vec3{}
		}
		b, err := NewBench(s, 0)
		if err != nil {
			t.Fatal(err)
		}
		plan, err := b.planner.Plan(orient.Identity, 1, 0, 0)
		if err != nil {
			t.Fatal(err)
		}
		places[i] = plan.Start.Place
		b.draw(&Attempt{Orientation: orient.Identity, Seed: 3})
		// The shape's middle lies where it was asked for, the box on the table.
		sample := &b.samples[0]
		middle := sub(sample.Place, sample.Turn.Apply(s.Item.Centre))
		if want := (orient.Vec3{0, 0, 0.02}); sub(middle, want).Norm() > 1e-9 {
			t.Errorf("the middle lies at %v, want %v", middle, want)
		}
	}
	if places[0] != places[1] {
		t.Errorf("planned to %v and %v", places[0], places[1])
	}
}
