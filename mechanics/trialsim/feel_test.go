package trialsim

import (
	"math"
	"testing"

	"holdfast/orient"
)

// feeler is the peer scene with a strategy that feels before it grips.
func feeler(t testing.TB, adjustments ...Adjustment) *Scene {
	s := threeFingers(t)
	s.Strategy = Strategy{Name: "feel", Kind: "own", Clearance: 0.003, Standoff: 0.1, Phases: []Phase{
		{Do: Move, To: Above}, {Do: Move, To: Grasp, Command: -1}, {Do: Close, Seconds: 1, Command: 1, UntilTouch: true},
		{Do: Adjust, Speed: 0.1, Command: -1, Adjustments: adjustments}, {Do: Close, Seconds: 0.5, Command: 1}, {Do: Lift, Distance: 0.02, Command: -1},
	}}
	return s
}

// watched keeps where the palm was when the adjusting phase began and ended.
type watched struct {
	from, to   Flange
	seen, past bool
}

func (w *watched) Step(b *Bench) {
	switch phase, _ := b.Phase(); {
	case phase == 3 && !w.seen:
		w.from, w.seen = b.robot.from, true
	case phase == 4 && !w.past:
		w.to, w.past = b.robot.from, true
	}
}

var straight = orient.FromApproach(orient.Approach{})

// The finger that the item lies nearest to is touched first, and the palm then moves by what its entry says, in the palm's
// frame, without changing its height.
func TestPalmMovesByTheFirstTouch(t *testing.T) {
	for finger := range 3 {
		entry := Adjustment{Finger: finger, Link: -1, Move: orient.Vec3{0.004, -0.006, 0.05}, Turn: 0.2}
		other := Adjustment{Finger: (finger + 1) % 3, Link: -1, Move: orient.Vec3{0.02, 0, 0}}
		b, err := NewBench(feeler(t, other, entry), 0)
		if err != nil {
			t.Fatal(err)
		}
		// Towards the finger's root, in the world: the palm looks down.
		root := b.scene.Hand.Fingers[finger].Root
		turn := straight.Mul(orient.RotX(math.Pi))
		way := turn.Apply(root.Scale(0.012 / root.Norm()))
		var w watched
		r, err := b.Run(Attempt{Orientation: straight, Closing: 1, Offset: [2]float64{way[0], way[1]}}, &w)
		if err != nil {
			t.Fatal(err)
		}
		if r.Touch == nil || r.Touch.Finger != finger || r.Ended[2] != "touch" {
			t.Fatalf("finger %d: touched first %+v, phases ended by %v", finger, r.Touch, r.Ended)
		}
		want := turn.Apply(entry.Move)
		want[2] = 0
		moved := sub(w.to.Place, w.from.Place)
		if !w.past || sub(moved, want).Norm() > 1e-9 || math.Abs(w.from.Turn.AngleTo(w.to.Turn)-0.2) > 1e-9 {
			t.Errorf("finger %d: the palm moved by %v and %g rad, want %v and 0.2", finger, moved, w.from.Turn.AngleTo(w.to.Turn), want)
		}
	}
}

func TestEntryOfTheLinkGoesBeforeTheFingers(t *testing.T) {
	p := Phase{Adjustments: []Adjustment{
		{Finger: 1, Link: -1, Move: orient.Vec3{1e-3, 0, 0}},
		{Finger: 1, Link: 2, Move: orient.Vec3{2e-3, 0, 0}, PerCommand: orient.Vec3{0.01, 0, 0}, At: 0.5, Low: 0.3, High: 0.6},
	}}
	for _, c := range []struct {
		touch Touch
		want  float64
		ok    bool
	}{
		{Touch{Finger: 1, Link: 0, Command: 0.9}, 1e-3, true},
		{Touch{Finger: 1, Link: 2, Command: 0.5}, 2e-3, true},
		{Touch{Finger: 1, Link: 2, Command: 0.9}, 3e-3, true},
		{Touch{Finger: 1, Link: 2, Command: 0.1}, 0, true},
		{Touch{Finger: 0, Link: 2, Command: 0.1}, 0, false},
		{Touch{Finger: -1, Link: -1}, 0, false},
	} {
		if m, _, ok := p.moveFor(&c.touch); ok != c.ok || math.Abs(m[0]-c.want) > 1e-12 {
			t.Errorf("%+v: %v %v, want %g", c.touch, m, ok, c.want)
		}
	}
}

func TestSenselessAdjustmentsAreRefused(t *testing.T) {
	for name, a := range map[string][]Adjustment{
		"none":     nil,
		"finger":   {{Finger: -2}},
		"far":      {{Move: orient.Vec3{1, 0, 0}}},
		"nan":      {{Move: orient.Vec3{math.NaN(), 0, 0}}},
		"turn":     {{Turn: 3}},
		"commands": {{Low: 0.6, High: 0.5}},
	} {
		if _, err := NewBench(feeler(t, a...), 0); err == nil {
			t.Errorf("%s was taken", name)
		}
	}
}
