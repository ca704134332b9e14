package trialsim

import (
	"math"
	"testing"

	"holdfast/orient"
)

// A finger that closes on nothing comes down on the palm and stays on it: no end of a link lies deeper in it than the skin yields,
// and the robot feels nothing of it.
func TestFingerComesDownOnThePalm(t *testing.T) {
	for _, wrist := range []Wrist{{}, {Stiffness: orient.Vec3{4000, 4000, 8000}, Turning: orient.Vec3{6, 6, 6}, Mass: 0.5}} {
		s := threeFingers(t)
		s.Hand.Wrist = wrist
		// One finger alone, so that it meets no other first.
		s.Hand.Fingers, s.Hand.Cords[0].Arms, s.Hand.PalmRadius = s.Hand.Fingers[:1], s.Hand.Cords[0].Arms[:4], 0.06
		s.Gravity = 0
		g := sure(t, s)
		at := Flange{Place: orient.Vec3{0, 0, 2}, Turn: orient.RotX(0.4)}
		g.Begin(at, []Sample{s.Item.Average(orient.Vec3{3, 0, 1}, orient.Identity)})
		for g.Time < 1.5 {
			at.Command = math.Min(1, g.Time)
			g.Advance(at, 1e-3)
		}
		place, turn := g.Palm()
		load, deepest := 0.0, math.Inf(1)
		for i := range g.pairs {
			if p := &g.pairs[i]; p.from.Kind == Palm && p.to.Kind == Link {
				load += p.load
			}
		}
		for i := range g.fingers {
			f := &g.fingers[i]
			f.state.Update()
			f.place()
			for j := range f.n {
				arm := turn.Inverse().Apply(sub(f.to[j], place))
				if math.Hypot(arm[0], arm[1]) < s.Hand.PalmRadius {
					deepest = math.Min(deepest, arm[2]-f.radius[j])
				}
			}
		}
		if !(load > 0.5) || deepest < -load/s.Hand.Skin.Stiffness-1e-5 {
			t.Errorf("wrist of %g N/m: fingers push the palm with %.3f N, the deepest lies %.3f mm in it", wrist.Stiffness[0], load, -deepest*1e3)
		}
		if felt := g.Felt.Norm(); felt > 1e-9 {
			t.Errorf("wrist of %g N/m: the hand feels %g N of itself", wrist.Stiffness[0], felt)
		}
	}
}
