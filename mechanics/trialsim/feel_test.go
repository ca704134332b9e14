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

// A move goes by the direction of the touch no farther than it was learnt from, and not at all where none is told.
func TestMoveGoesByTheDirection(t *testing.T) {
	p := Phase{Adjustments: []Adjustment{{Finger: 0, Link: -1, Move: orient.Vec3{1e-3, 0, 0}, ByDirection: &ByDirection{
		PerX: orient.Vec3{0.01, 0, 0}, PerY: orient.Vec3{0, 0.02, 0}, At: [2]float64{0.2, 0}, Low: [2]float64{-0.5, -0.6}, High: [2]float64{0.8, 0.6},
	}}}}
	for direction, want := range map[[2]float64]orient.Vec3{
		{0, 0}:      {1e-3, 0, 0},
		{0.6, 0.8}:  {5e-3, 0.012, 0},
		{1, 0}:      {7e-3, 0, 0},
		{-0.6, 0.8}: {-6e-3, 0.012, 0},
	} {
		if m, _, ok := p.moveFor(&Touch{Direction: direction}); !ok || sub(m, want).Norm() > 1e-12 {
			t.Errorf("%v: %v, want %v", direction, m, want)
		}
	}
}

// What is touched lies inwards of the finger that touches it.
func TestTouchesTellTheDirection(t *testing.T) {
	for finger := range 3 {
		b, err := NewBench(feeler(t, Adjustment{Finger: 9}), 0)
		if err != nil {
			t.Fatal(err)
		}
		root := b.scene.Hand.Fingers[finger].Root
		way := straight.Mul(orient.RotX(math.Pi)).Apply(root.Scale(0.012 / root.Norm()))
		r, err := b.Run(Attempt{Orientation: straight, Closing: 1, Offset: [2]float64{way[0], way[1]}}, nil)
		if err != nil || r.Touch == nil {
			t.Fatalf("%+v %v", r, err)
		}
		d := r.Touch.Direction
		if inwards := -(d[0]*root[0] + d[1]*root[1]) / math.Hypot(root[0], root[1]); math.Abs(math.Hypot(d[0], d[1])-1) > 1e-9 || inwards < 0.8 {
			t.Errorf("finger %d, rooted at %v: the item lies in direction %v", finger, root, d)
		}
	}
}

func TestSenselessAdjustmentsAreRefused(t *testing.T) {
	for name, a := range map[string][]Adjustment{
		"none":              nil,
		"finger":            {{Finger: -2}},
		"far":               {{Move: orient.Vec3{1, 0, 0}}},
		"nan":               {{Move: orient.Vec3{math.NaN(), 0, 0}}},
		"turn":              {{Turn: 3}},
		"far by direction":  {{ByDirection: &ByDirection{PerY: orient.Vec3{0, 2, 0}}}},
		"directions beyond": {{ByDirection: &ByDirection{Low: [2]float64{-2, 0}}}},
		"mean outside":      {{ByDirection: &ByDirection{At: [2]float64{0.5, 0}, High: [2]float64{0.4, 0}}}},
		"commands":          {{Low: 0.6, High: 0.5}},
	} {
		if _, err := NewBench(feeler(t, a...), 0); err == nil {
			t.Errorf("%s was taken", name)
		}
	}
}
