package trialsim

import (
	"math"
	"testing"

	"holdfast/mechanics/hand"
	"holdfast/orient"
)

// A cord that rubs leaves exp(−μφ) of its tension behind a curve while it is drawn in and exp(μφ) while it pays out (Euler and
// Eytelwein; U11, U12): two fingers on one cord, each with a curve of 90° before its one joint, come to rest where the spring
// carries r·T·exp(∓μφ). The second finger's branch does not rub on the first's curve.
func TestCordThatRubs(t *testing.T) {
	const r, stiffness, mu, phi = 0.01, 0.2, 0.2, math.Pi / 2
	s := threeFingers(t)
	s.Gravity = 0
	s.Hand.Fingers = s.Hand.Fingers[:0]
	for i := range 2 {
		chain, err := hand.NewChain([]hand.Joint{{Axis: hand.Vec{Y: -1}, Stiffness: stiffness, Damping: 0.02, Link: hand.SolidCapsule(hand.Vec{}, hand.Vec{Z: 0.04}, 0.006, 0.01)}})
		if err != nil {
			t.Fatal(err)
		}
		side := orient.RotZ(math.Pi * float64(i))
		s.Hand.Fingers = append(s.Hand.Fingers, Finger{Chain: chain, Turn: side, Root: side.Apply(orient.Vec3{0.06, 0, 0})})
	}
	s.Hand.Cords = []Cord{{Arms: []float64{r, r}, Wraps: []float64{phi, phi}, Friction: mu}}
	g := sure(t, s)
	most := 0.0
	path := pathFunc(func(t float64) Flange {
		return Flange{Place: orient.Vec3{0, 0, 1}, Turn: facingDown, Command: most*blend(t) - (most-0.05)*blend(t-2)}
	})
	most = 0.1
	far(g, path)
	for _, c := range []struct{ until, sign float64 }{{2, -1}, {4, 1}} {
		for g.Time < c.until-1e-9 {
			g.Step(path, 1e-3)
		}
		want := r * g.Tension * math.Exp(c.sign*mu*phi) / stiffness
		for i := range 2 {
			if q := g.Angle(i, 0); math.Abs(q-want) > 1e-3*want {
				t.Errorf("at %g s finger %d is at %.6f rad, want %.6f by %.4f N", c.until, i+1, q, want, g.Tension)
			}
		}
	}
}

// A gear that rubs takes its friction f off the motor's force F while it draws in, and holds what it drew until the cord pulls with f
// more than the motor does (statics with Coulomb's friction): on a joint with spring k at radius r it stalls at k·q = r·(F − f), stays
// while the motor's force falls to F − 2f, and is driven back to where k·q/r = K·(x − r·q) + f, for a motor of stiffness K told to
// stand at x.
func TestOneCordWithAGearThatRubs(t *testing.T) {
	const r, k, most, rub, stiff = 0.01, 0.2, 10.0, 3.0, 2000.0
	s := threeFingers(t)
	s.Gravity = 0
	chain, err := hand.NewChain([]hand.Joint{{Axis: hand.Vec{Y: -1}, Stiffness: k, Damping: 0.02, Link: hand.SolidCapsule(hand.Vec{}, hand.Vec{Z: 0.04}, 0.006, 0.01)}})
	if err != nil {
		t.Fatal(err)
	}
	s.Hand.Fingers = []Finger{{Chain: chain, Turn: orient.Identity, Root: orient.Vec3{0.06, 0, 0}}}
	s.Hand.Cords = []Cord{{Arms: []float64{r}}}
	s.Hand.Motors = []Motor{{Travel: 0.02, Stiffness: stiff, MostForce: most, Friction: rub}}
	if err := s.Check(); err == nil {
		t.Error("a motor that rubs and has no inertia was taken")
	}
	s.Hand.Motors[0].Inertia = 0.05
	g := sure(t, s)
	stalled := r * (most - rub) / k
	// Told positions (m) at the ends of seconds 1, 3, 5, ...: between them the command moves, after them it stands.
	told := []float64{0.02, r*stalled + 0.004, r*stalled + 0.0025, r*stalled + 0.001}
	want := []float64{stalled, stalled, stalled, (stiff*told[3] + rub) / (k/r + stiff*r)}
	path := pathFunc(func(t float64) Flange {
		at := told[0] * blend(t)
		for i := range told[1:] {
			at += (told[i+1] - told[i]) * blend(t-2*float64(i+1))
		}
		return Flange{Place: orient.Vec3{0, 0, 1}, Turn: facingDown, Command: at / s.Hand.Motors[0].Travel}
	})
	far(g, path)
	for i, q := range want {
		for g.Time < 2*float64(i+1)-1e-9 {
			g.Step(path, 1e-3)
		}
		if got := g.Angle(0, 0); math.Abs(got-q) > 2e-3*q {
			t.Errorf("told to stand at %.1f mm the joint is at %.5f rad, want %.5f", told[i]*1e3, got, q)
		}
	}
}
