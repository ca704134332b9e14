package trialsim

import (
	"math"
	"testing"

	"holdfast/mechanics/contact"
	"holdfast/mechanics/shape"
	"holdfast/orient"
)

// fingertip is a stage with a ball and a skin, the last link of its first finger and that link's direction.
func fingertip(t *testing.T, modulus, ball float64) (s *Scene, g *Stage, tip int, along orient.Vec3) {
	t.Helper()
	s = threeFingers(t)
	s.Hand.SkinModulus = modulus
	s.Item.Shape = shape.Ellipsoid{Semi: orient.Vec3{ball, ball, ball}}
	g = sure(t, s)
	g.Start(peerPath(0, 0, 0), orient.Vec3{0, 0, 0.028}, orient.Identity)
	half := g.fingers[0].half
	tip = len(half) - 1
	return s, g, tip, half[tip].Scale(1 / half[tip].Norm())
}

// The pressure that decides damage is Hertz': exact under a round end on a ball, and on the safe side under the side of a link, which
// touches in an ellipse (K. L. Johnson, Contact Mechanics, 1985, eq. 4.24 and 4.28; from memory, with the check values
// of mechanics/contact).
func TestPressureUnderLinksIsHertz(t *testing.T) {
	const load, modulus, ball, radius = 5.0, 2e5, 0.03, 0.008
	_, g, tip, along := fingertip(t, modulus, ball)
	f := &g.fingers[0]
	aside := orient.Vec3{-along[1], along[0], 0}
	aside = aside.Scale(1 / aside.Norm())
	under := func(p orient.Vec3, feature int) float64 {
		return g.pressureUnder(&pair{from: Part{Kind: Link, Index: 0, Link: tip}, to: Part{Kind: Thing}, point: p, load: load, feature: feature})
	}
	round := contact.Hertz{Radius: contact.EffectiveRadius(ball, radius), Modulus: modulus}.PeakPressure(load)
	for _, angle := range []float64{0, 0.5, 1.2} {
		way := along.Scale(math.Cos(angle)).Add(aside.Scale(math.Sin(angle)))
		if got := under(f.to[tip].Add(way.Scale(radius)), 0); math.Abs(got-round) > 1e-9*round {
			t.Errorf("the round end %g rad off its axis presses with %.1f Pa, Hertz says %.1f", angle, got, round)
		}
	}
	middle := f.middle[tip].Add(aside.Scale(radius))
	for _, r := range []float64{0.005, 0.008, 0.012} {
		f.radius[tip] = r
		side := contact.NewHertzEllipse(ball, contact.EffectiveRadius(ball, r), modulus).PeakPressure(load)
		if got := under(middle, 0); got < side || got > 1.2*side {
			t.Errorf("the side of a link of %g m presses with %.1f Pa, the ellipse says %.1f", r, got, side)
		}
	}
	// Where a link lies along a flat side, its ends' places are those of a line.
	if got, line := under(f.to[tip].Add(along.Scale(1e-6)).Add(aside.Scale(radius)), 1), under(middle, 0); got != line {
		t.Errorf("the end of a line presses with %g Pa, its middle with %g", got, line)
	}
}

// A layer of thickness t on a hard ball presses as an elastic bed once it is thin: a press P of a ball sinks in by δ with
// P = π·r·(E/t)·δ² and p = (E/t)·δ (Johnson 1985, section 4.3; from memory). A thick one is Hertz'.
func TestPressureUnderThinSkin(t *testing.T) {
	const load, modulus, ball, radius = 5.0, 2e5, 0.03, 0.008
	s, g, tip, along := fingertip(t, modulus, ball)
	f := &g.fingers[0]
	p := &pair{from: Part{Kind: Link, Index: 0, Link: tip}, to: Part{Kind: Thing}, point: f.to[tip].Add(along.Scale(radius)), load: load}
	r := contact.EffectiveRadius(ball, radius)
	hertz := contact.Hertz{Radius: r, Modulus: modulus}
	for thick, thin := range map[float64]bool{0.0005: true, 0.001: true, 0.05: false} {
		s.Hand.SkinThickness = thick
		want := hertz.PeakPressure(load)
		if thin {
			sunk := math.Sqrt(load * thick / (math.Pi * r * modulus))
			want = modulus / thick * sunk
			if wide := hertz.ContactRadius(load); thick > wide {
				t.Fatalf("a skin of %g m is not thin against a contact of %g m", thick, wide)
			}
		}
		if got := g.pressureUnder(p); math.Abs(got-want) > 1e-9*want {
			t.Errorf("a skin of %g mm presses with %.0f Pa, want %.0f", thick*1e3, got, want)
		}
	}
}
