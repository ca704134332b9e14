package hand_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"holdfast/mechanics/hand"
)

// The tangent must be the slope of the unbalanced torques, in space, with dead and follower forces; without followers it
// is symmetric.
func TestTangentIsTheSlope(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := moving(t, anyJoints(t, 5))
		n := len(s.Q)
		loads := []hand.Load{
			{Link: rapid.IntRange(0, n-1).Draw(t, "link"), Point: vector(t, "point"), Force: vector(t, "force"), Follower: rapid.Bool().Draw(t, "follower")},
			{Link: n - 1, Point: vector(t, "point"), Force: vector(t, "force")},
		}
		tangent, up, down := make([]float64, n*n), make([]float64, n), make([]float64, n)
		s.Tangent(tangent, loads)
		const h = 1e-5
		for k := range n {
			q := s.Q[k]
			s.Q[k] = q + h
			s.Update()
			s.Unbalanced(up, nil, loads)
			s.Q[k] = q - h
			s.Update()
			s.Unbalanced(down, nil, loads)
			s.Q[k] = q
			for i := range n {
				same(t, "slope", tangent[i*n+k], (down[i]-up[i])/(2*h), 1e-4)
				if !loads[0].Follower {
					same(t, "symmetry", tangent[i*n+k], tangent[k*n+i], 1e-12)
				}
			}
		}
	})
}

// A finger with soft joints in space, loaded by anything moderate, must come to rest where nothing is left over.
func TestSettleBalances(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		joints, per, err := hand.Rod{Length: 0.1, BendX: 3e-3, BendY: 2e-3, Twist: 5e-3, Mass: 0.02, Radius: 0.01}.Segments(rapid.IntRange(2, 8).Draw(t, "segments"))
		if err != nil || per != 3 {
			t.Fatal(per, err)
		}
		c, err := hand.NewChain(joints)
		if err != nil {
			t.Fatal(err)
		}
		s := c.NewState()
		s.Gravity = hand.Vec{Z: -9.81}
		n := len(s.Q)
		loads := []hand.Load{{Link: n - 1, Point: hand.Vec{Z: 0.005}, Force: vector(t, "force"), Follower: rapid.Bool().Draw(t, "follower")}}
		drive, left := make([]float64, n), make([]float64, n)
		for i := range drive {
			drive[i] = 0.02 * component.Draw(t, "drive")
		}
		if err := s.Settle(drive, loads); err != nil {
			t.Fatal(err)
		}
		s.Unbalanced(left, drive, loads)
		for i := range left {
			same(t, "left over", left[i], 0, 1e-9)
		}
		point := c.Joint(n - 1).Link.To
		direction := hand.Vec{X: 1}
		at := 0.02 * component.Draw(t, "block")
		clear(s.Q)
		s.Update()
		force, err := s.SettleBlocked(drive, nil, hand.Block{Link: n - 1, Point: point, Direction: direction, Position: at})
		if err != nil {
			t.Fatal(err)
		}
		same(t, "held at the block", s.Point(n-1, point).Dot(direction), at, 1e-9)
		pushed := append([]float64(nil), drive...)
		s.Push(pushed, n-1, s.Point(n-1, point), direction.Scale(force))
		s.Unbalanced(left, pushed, nil)
		for i := range left {
			same(t, "left over, blocked", left[i], 0, 1e-9)
		}
	})
}

func TestSettleSaysWhatIsWrong(t *testing.T) {
	s := rod(t, 3)
	if err := s.Settle([]float64{1}, nil); err == nil {
		t.Error("one drive torque for three joints passes")
	}
	if err := s.Settle(nil, []hand.Load{{Link: 3}}); err == nil {
		t.Error("a load on a link that is not there passes")
	}
	if err := s.Settle([]float64{math.NaN(), 0, 0}, nil); err == nil {
		t.Error("a drive torque that is no number passes")
	}
	if _, err := s.SettleBlocked(nil, nil, hand.Block{Direction: hand.Vec{X: 2}}); err == nil {
		t.Error("a direction of length 2 passes")
	}
	free := pendulum(t, 2)
	free.Gravity = hand.Vec{}
	if err := free.Settle([]float64{1, 0}, nil); err == nil {
		t.Error("a chain that nothing holds comes to rest")
	}
	for _, r := range []hand.Rod{{}, {Length: 1, Mass: 1}, {Length: 1, Mass: 1, BendX: -1}} {
		if _, _, err := r.Segments(3); err == nil {
			t.Errorf("%+v passes", r)
		}
	}
	if _, _, err := (hand.Rod{Length: 1, Mass: 1, BendX: 1}).Segments(0); err == nil {
		t.Error("no segments pass")
	}
}
