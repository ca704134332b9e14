package trialsim

import (
	"context"
	"errors"
	"math"
	"testing"

	"holdfast/mechanics/hand"
	"holdfast/mechanics/motion"
	"holdfast/mechanics/shape"
	"holdfast/orient"
)

// oneJoint is a hand of one finger of one hinge at its root, on one cord.
func oneJoint(t testing.TB, stiffness float64) *Hand {
	t.Helper()
	chain, err := hand.NewChain([]hand.Joint{{
		Axis: hand.Vec{Y: -1}, Stiffness: stiffness, Damping: 0.01, Link: hand.SolidCapsule(hand.Vec{}, hand.Vec{Z: 0.06}, 0.006, 0.01),
	}})
	if err != nil {
		t.Fatal(err)
	}
	return &Hand{
		Fingers: []Finger{{Chain: chain, Turn: orient.Identity, Root: orient.Vec3{0.03, 0, 0}}}, PalmRadius: 0.03,
		Motors: []Motor{{Travel: 0.01, Stiffness: 1000, MostForce: 30}}, Cords: []Cord{{Arms: []float64{0.01}}},
		Skin: motion.Surface{Friction: 0.5, Stiffness: 10000, Damping: 10, Shear: 8000},
	}
}

// Free closing of one hinge has a closed form: k·q = r·T with T = K·(c·L − r·q), so q = r·K·c·L/(k + r²·K).
func TestFreeClosingOfOneHinge(t *testing.T) {
	h := oneJoint(t, 0.2)
	c, err := CloseFreely(context.Background(), h, 20)
	if err != nil {
		t.Fatal(err)
	}
	if len(c.Steps) != 21 || len(c.Links) != 1 {
		t.Fatalf("%d steps of %d links", len(c.Steps), len(c.Links))
	}
	for _, s := range c.Steps {
		want := 0.01 * 1000 * s.Command * 0.01 / (0.2 + 0.01*0.01*1000)
		if !s.Rest || math.Abs(s.Joints[0]-want) > 2e-3*want+1e-6 || math.Abs(s.Bent[0]-want) > 2e-3*want+1e-6 {
			t.Errorf("at %g: joint %g, bent %g, want %g rad; at rest %v", s.Command, s.Joints[0], s.Bent[0], want, s.Rest)
		}
		if tension := 0.2 * want / 0.01; math.Abs(s.Tensions[0]-tension) > 3e-3*tension+1e-4 || math.Abs(s.Drawn[0]-0.01*s.Joints[0]) > 1e-12 {
			t.Errorf("at %g: tension %g, want %g N, drawn %g m", s.Command, s.Tensions[0], tension, s.Drawn[0])
		}
		if s.Grip != 0 || len(s.Contacts) != 0 {
			t.Errorf("at %g: a grip of %g N on nothing", s.Command, s.Grip)
		}
		if tip := s.Tips[0]; math.Abs(tip[0]-0.03+0.06*math.Sin(s.Joints[0])) > 1e-9 || math.Abs(tip[2]-0.06*math.Cos(s.Joints[0])) > 1e-9 {
			t.Errorf("at %g: the tip is at %v", s.Command, tip)
		}
	}
}

// A finger that a fixed ball holds at a known angle presses with what the cord's torque leaves of the spring's: with the
// contact at a lever a, N·a = r·T − k·q.
func TestClosingAgainstAFixedBall(t *testing.T) {
	h := oneJoint(t, 0.05)
	c, err := CloseAround(context.Background(), h, shape.Ellipsoid{Semi: orient.Vec3{0.02, 0.02, 0.02}}, 0.045, 1, 20)
	if err != nil {
		t.Fatal(err)
	}
	last := &c.Steps[len(c.Steps)-1]
	if len(last.Contacts) != 1 || last.Contacts[0].From != (Part{Kind: Link}) {
		t.Fatalf("contacts %+v", last.Contacts)
	}
	at, normal := last.Contacts[0].Point, last.Contacts[0].Normal
	root := orient.Vec3{0.03, 0, 0}
	lever := sub(at, root).Cross(normal)
	// The axis is −y: a force on the ball along the normal is one on the finger against it. Friction has no part while it does
	// not slide further, but it carries what it carried when it stuck; its force is in the contact.
	torque := sub(at, root).Cross(last.Contacts[0].Force)
	got := -torque[1]
	want := 0.01*last.Tensions[0] - 0.05*last.Joints[0]
	if math.Abs(got-want) > 0.01*want || lever.Norm() < 0.02 {
		t.Errorf("the contact turns the finger by %g N·m, cord and spring by %g", got, want)
	}
	if math.Abs(last.Fingers[0]-last.Grip) > 1e-12 || last.Grip < 1 || last.OnPalm != 0 {
		t.Errorf("grip %g N, of the finger %g", last.Grip, last.Fingers[0])
	}
	// More command, more grip; none before it touches.
	for i := range c.Steps[1:] {
		if c.Steps[i+1].Grip < c.Steps[i].Grip-1e-3 {
			t.Errorf("grip falls from %g to %g N at %g", c.Steps[i].Grip, c.Steps[i+1].Grip, c.Steps[i+1].Command)
		}
	}
	if c.Steps[0].Grip != 0 {
		t.Error("grips before it closes")
	}
}

// Bending by pressure: k·q = t·p, at once, for the closing is slow.
func TestBendingAgainstPressure(t *testing.T) {
	h := oneJoint(t, 0.1)
	h.Motors, h.Cords = nil, nil
	h.Chambers = []Chamber{{Pressure: 80e3, Torque: []float64{1e-6}, Filling: 0.3, Venting: 0.3}}
	c, err := CloseFreely(context.Background(), h, 8)
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range c.Steps {
		if want := 1e-6 * s.Pressures[0] / 0.1; s.Pressures[0] != s.Command*80e3 || math.Abs(s.Bent[0]-want) > 2e-3*want+1e-6 {
			t.Errorf("at %g Pa: bent %g, want %g", s.Pressures[0], s.Bent[0], want)
		}
	}
}

func ball(r float64) shape.Solid { return shape.Ellipsoid{Semi: orient.Vec3{r, r, r}} }

func TestGripMapOfThreeFingers(t *testing.T) {
	h := &threeFingers(t).Hand
	balls := []shape.Solid{ball(0.015), ball(0.024), ball(0.03)}
	m, err := MapGrip(context.Background(), h, balls, 1, 10)
	if err != nil {
		t.Fatal(err)
	}
	if len(m.Grip) != 3 || len(m.Commands) != 11 || m.Commands[10] != 1 {
		t.Fatalf("%d sizes, commands %v", len(m.Grip), m.Commands)
	}
	for i := range balls {
		if m.Grip[i][0] != 0 || m.Grip[i][10] < 2 || m.Fingers[i][10] != 3 {
			t.Errorf("ball %d: grip %.2f N by %d fingers", i, m.Grip[i], m.Fingers[i][10])
		}
	}
	again, err := MapGrip(context.Background(), h, balls, 1, 10)
	if err != nil || again.Grip[2][7] != m.Grip[2][7] {
		t.Errorf("another answer the second time: %v", err)
	}
}

func TestWhatCanNotBeClosed(t *testing.T) {
	ctx, h := context.Background(), oneJoint(t, 0.1)
	stopped, stop := context.WithCancel(ctx)
	stop()
	if _, err := CloseFreely(stopped, h, 10); !errors.Is(err, context.Canceled) {
		t.Errorf("stopped: %v", err)
	}
	for name, f := range map[string]func() error{
		"no steps":    func() error { _, err := CloseFreely(ctx, h, 0); return err },
		"too many":    func() error { _, err := CloseFreely(ctx, h, 1e6); return err },
		"no fingers":  func() error { _, err := CloseFreely(ctx, &Hand{}, 10); return err },
		"no item":     func() error { _, err := CloseAround(ctx, h, nil, 0.1, 1, 10); return err },
		"inside":      func() error { _, err := CloseAround(ctx, h, ball(0.02), 0.01, 1, 10); return err },
		"nowhere":     func() error { _, err := CloseAround(ctx, h, ball(0.02), math.NaN(), 1, 10); return err },
		"no friction": func() error { _, err := CloseAround(ctx, h, ball(0.02), 0.05, math.NaN(), 10); return err },
		"no items":    func() error { _, err := MapGrip(ctx, h, nil, 1, 10); return err },
		"one is none": func() error { _, err := MapGrip(ctx, h, []shape.Solid{nil}, 1, 10); return err },
	} {
		if f() == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

func BenchmarkMapGrip(b *testing.B) {
	h := &threeFingers(b).Hand
	for b.Loop() {
		if _, err := MapGrip(context.Background(), h, []shape.Solid{ball(0.015), ball(0.02), ball(0.025), ball(0.03), ball(0.035), ball(0.04), ball(0.045), ball(0.05)}, 1, 20); err != nil {
			b.Fatal(err)
		}
	}
}

// What sticks to a fixed item does not creep: the grip on a ball stays within 10⁻⁴ for five seconds.
func TestGripAroundAFixedBallStays(t *testing.T) {
	c, err := newCloser(&threeFingers(t).Hand, shape.Ellipsoid{Semi: orient.Vec3{0.03, 0.03, 0.03}}, 0.07, 1)
	if err != nil {
		t.Fatal(err)
	}
	g := c.stage
	g.Begin(c.at, []Sample{c.sample})
	early := 0.0
	for g.Time < 6 {
		next := c.at
		next.Command = math.Min(1, g.Time/0.5)
		g.Advance(next, closingStep)
		if g.Time <= 1 {
			early = g.Grip
		}
	}
	if !(early > 10) || math.Abs(g.Grip-early) > 1e-4*early {
		t.Errorf("grip %.4f N after 1 s, %.4f N after 6 s", early, g.Grip)
	}
}
