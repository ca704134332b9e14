package hand_test

import (
	"math"
	"testing"

	"holdfast/mechanics/hand"
)

// rod returns a chain of n segments with length, stiffness and mass of one unit each, bending about y.
func rod(t testing.TB, n int) *hand.State {
	t.Helper()
	joints, _, err := hand.Rod{Length: 1, BendY: 1, Mass: 1}.Segments(n)
	if err != nil {
		t.Fatal(err)
	}
	c, err := hand.NewChain(joints)
	if err != nil {
		t.Fatal(err)
	}
	return c.NewState()
}

func end(s *hand.State) hand.Tip {
	last := s.Chain().Joints() - 1
	p := s.Point(last, s.Chain().Joint(last).Link.To)
	angle := 0.0
	for _, q := range s.Q {
		angle += q
	}
	return hand.Tip{Angle: angle, X: p.Z, Y: p.X}
}

func tipLoad(s *hand.State, force hand.Vec, follower bool) []hand.Load {
	last := s.Chain().Joints() - 1
	return []hand.Load{{Link: last, Point: s.Chain().Joint(last).Link.To, Force: force, Follower: follower}}
}

// D21: small deflection of the chain, derived; joints at the starts of the parts are the worse choice and are built here.
func TestChainSmallDeflection(t *testing.T) {
	for _, c := range []struct {
		n             int
		start, middle float64
	}{{5, .44, .33}, {10, .385, .3325}, {20, .35875, .333125}, {40, .345938, .333281}} {
		n := float64(c.n)
		s := rod(t, c.n)
		const p = 1e-7
		if err := s.Settle(nil, tipLoad(s, hand.Vec{X: p}, false)); err != nil {
			t.Fatal(err)
		}
		close(t, "middle joints", end(s).Y/p, (1-1/(4*n*n))/3, 1e-9)
		near(t, "middle joints, table", end(s).Y/p, c.middle, 0.5e-6)

		joints := make([]hand.Joint, c.n)
		for i := range joints {
			joints[i] = hand.Joint{Axis: hand.Vec{Y: 1}, Stiffness: n, Link: hand.Link{To: hand.Vec{Z: 1 / n}, Mass: 1, Centre: hand.Vec{Z: 1 / n}}}
			if i > 0 {
				joints[i].Origin = hand.Vec{Z: 1 / n}
			}
		}
		chain, err := hand.NewChain(joints)
		if err != nil {
			t.Fatal(err)
		}
		s = chain.NewState()
		if err := s.Settle(nil, tipLoad(s, hand.Vec{X: p}, false)); err != nil {
			t.Fatal(err)
		}
		close(t, "joints at starts", end(s).Y/p, (n+1)*(2*n+1)/(6*n*n), 1e-9)
		near(t, "joints at starts, table", end(s).Y/p, c.start, 0.5e-6)
	}
}

// D22: error of the chain's deflection against P6, per cent; computed.
func TestChainLargeDeflection(t *testing.T) {
	cuts := []int{3, 5, 10, 20, 40}
	for _, c := range []struct {
		load    float64
		percent [5]float64
	}{
		{1, [5]float64{-3.05, -1.09, -.273, -.068, -.017}}, {5, [5]float64{-4.52, -1.59, -.394, -.098, -.025}},
		{10, [5]float64{-5.72, -2.01, -.491, -.122, -.030}},
	} {
		for i, n := range cuts {
			s := rod(t, n)
			if err := s.Settle(nil, tipLoad(s, hand.Vec{X: c.load}, false)); err != nil {
				t.Fatal(err)
			}
			near(t, "error, %", 100*(end(s).Y/hand.EndLoaded(c.load).Y-1), c.percent[i], 0.02)
		}
	}
}

// The chain against P7 (follower), P8 (spread) and P9 (after buckling): the error must fall with the square of the number of
// segments, by four from 20 to 40.
func TestChainConvergesToTheElastica(t *testing.T) {
	force, buckled := hand.Buckled(80 * degree)
	follower, err := hand.CantileverLoads{Follower: 5}.Bend(1)
	if err != nil {
		t.Fatal(err)
	}
	uniform, err := hand.CantileverLoads{Uniform: 10}.Bend(1)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name   string
		want   hand.Tip
		settle func(s *hand.State) error
	}{
		{"follower", follower, func(s *hand.State) error { return s.Settle(nil, tipLoad(s, hand.Vec{X: 5}, true)) }},
		{"spread", uniform, func(s *hand.State) error { s.Gravity = hand.Vec{X: 10}; return s.Settle(nil, nil) }},
		{"buckled", buckled, func(s *hand.State) error {
			for i := range s.Q {
				s.Q[i] = 1.5 / float64(len(s.Q))
			}
			return s.Settle(nil, tipLoad(s, hand.Vec{Z: -force * math.Pi * math.Pi / 4}, false))
		}},
	} {
		var out [2]float64
		for i, n := range []int{20, 40} {
			s := rod(t, n)
			if err := c.settle(s); err != nil {
				t.Fatal(c.name, err)
			}
			tip := end(s)
			out[i] = math.Hypot(tip.X-c.want.X, tip.Y-c.want.Y)
		}
		if ratio := out[0] / out[1]; out[1] > 2e-3 || ratio < 3.7 || ratio > 4.3 {
			t.Errorf("%s: off by %.3g and %.3g of the length, a ratio of %.3g where 4 is due", c.name, out[0], out[1], ratio)
		}
	}
}

// D11: small modes of two equal hanging pendulums, √(g(2 ∓ √2)/l); computed.
func TestModesOfTheDoublePendulum(t *testing.T) {
	w, err := pendulum(t, 2).Modes()
	if err != nil {
		t.Fatal(err)
	}
	near(t, "slow", w[0], 2.397199, 0.5e-6)
	near(t, "fast", w[1], 5.787351, 0.5e-6)
	s := pendulum(t, 2)
	s.Q[0] = math.Pi
	s.Update()
	if _, err := s.Modes(); err == nil {
		t.Error("a pendulum on its head counts as stable")
	}
}

// D23: bending modes of the chain, in √(EI/ρAL⁴); the beam has 3.516015, 22.034492, 61.697214. Computed.
func TestModesOfTheChain(t *testing.T) {
	for n, want := range map[int][3]float64{
		5: {3.548548, 22.755944, 64.833956}, 10: {3.524098, 22.211136, 62.501037}, 20: {3.518033, 22.078449, 61.898786},
	} {
		w, err := rod(t, n).Modes()
		if err != nil {
			t.Fatal(err)
		}
		for i := range want {
			near(t, "mode", w[i], want[i], 0.5e-6)
		}
	}
}
