package benchfit

import (
	"math"
	"testing"

	"holdfast/mechanics/hand"
	"holdfast/mechanics/trialsim"
	"holdfast/orient"
)

// The curves are those of the finger's own chain in balance; pushes so far that it is some per cent stiffer than at first.
func TestCurvesAreThoseOfTheChain(t *testing.T) {
	const moment, pressure, tension, force = 2e-6, 4e3, .05, .15
	for _, c := range []struct {
		name   string
		hand   *trialsim.Hand
		kind   Kind
		x      func(s *hand.State, tip hand.Vec) float64
		want   float64
		within float64
	}{
		{"air", airHand(t, 4, .002, .12, moment, .082), FreeBending, func(*hand.State, hand.Vec) float64 { return pressure }, 0, 1e-9},
		{"air", airHand(t, 4, .002, .12, moment, .082), PushClosing, func(_ *hand.State, tip hand.Vec) float64 { return -tip.X }, force, 1e-4},
		{"air", airHand(t, 4, .002, .12, moment, .082), PushSideways, func(_ *hand.State, tip hand.Vec) float64 { return tip.Y }, 5 * force, 1e-4},
		{"tendon", tendonHand(t), PushClosing, func(_ *hand.State, tip hand.Vec) float64 { return -tip.X }, force, 1e-4},
		{"tendon", tendonHand(t), PushSideways, func(_ *hand.State, tip hand.Vec) float64 { return tip.Y }, 5 * force, 1e-4},
		{"tendon", tendonHand(t), Tension, nil, tension, 1e-9},
	} {
		chain := c.hand.Fingers[0].Chain
		n := chain.Joints()
		s := upright(chain)
		_, rest, _ := s.Capsule(n - 1)
		drive, loads := make([]float64, n), []hand.Load{{Link: n - 1, Point: chain.Joint(n - 1).Link.To}}
		switch c.kind {
		case FreeBending:
			for j := range drive {
				drive[j] = c.hand.Chambers[0].Torque[j] * pressure
			}
		case Tension:
			for j := range drive {
				drive[j] = c.hand.Cords[0].Arms[j] * tension
			}
		case PushClosing:
			loads[0].Force = hand.Vec{X: -force}
		case PushSideways:
			loads[0].Force = hand.Vec{Y: c.want}
		}
		if err := s.Settle(drive, loads); err != nil {
			t.Fatal(err)
		}
		_, tip, _ := s.Capsule(n - 1)
		tip = hand.Vec{X: tip.X - rest.X, Y: tip.Y - rest.Y, Z: tip.Z - rest.Z}
		turned, x, want := 0.0, 0.0, c.want
		for j, q := range s.Q {
			turned -= q * chain.Joint(j).Axis.Y
		}
		switch c.kind {
		case FreeBending:
			x, want = pressure, turned
		case Tension:
			x = turned
		default:
			x = c.x(s, tip)
		}
		f, start, err := view(c.hand, 0)
		if err != nil {
			t.Fatal(err)
		}
		got := make([]float64, 1)
		curve := Curve{Kind: c.kind, X: []float64{x}}
		if err := f.bow(&curve); err != nil {
			t.Fatal(err)
		}
		f.predict(&curve, start, got)
		if !(x > 0) || math.Abs(got[0]-want) > c.within*want {
			t.Errorf("%s, %s at %g: %g, the chain in balance has %g", c.name, c.kind, x, got[0], want)
		}
	}
}

// A push sideways says nothing of twist, which stays as described.
func TestTwistStaysAsDescribed(t *testing.T) {
	rod := hand.Rod{Length: .08, BendX: .1, BendY: .002, Twist: .03, Mass: .03, Radius: .01}
	joints, _, err := rod.Segments(3)
	if err != nil {
		t.Fatal(err)
	}
	chain, err := hand.NewChain(joints)
	if err != nil {
		t.Fatal(err)
	}
	h := &trialsim.Hand{Name: "twisting", Fingers: []trialsim.Finger{{Chain: chain, Turn: orient.Identity}}}
	r, err := Fit(t.Context(), h, 0, measured(t, h, factors{1, 1, 1.5, 1, 0, 0}, noise{share: .001}, 0, 20, PushSideways), .95)
	if err != nil {
		t.Fatal(err)
	}
	for j := range chain.Joints() {
		was, now := chain.Joint(j), r.Hand.Fingers[0].Chain.Joint(j)
		want := map[bool]float64{true: 1.5, false: 1}[bendsOf(was) == sideways]
		if math.Abs(now.Stiffness/was.Stiffness-want) > .01 {
			t.Errorf("joint %d about %v: %g became %g", j+1, was.Axis, was.Stiffness, now.Stiffness)
		}
	}
}
