package trialsim

import (
	"testing"

	"holdfast/orient"
)

// ways keeps where the palm was and what the hand was told, step by step, and when the hand first touched the item.
type ways struct {
	palm    []Flange
	touched int // steps; 0: not yet
}

func (w *ways) Step(b *Bench) {
	place, turn := b.Stage.Palm()
	w.palm = append(w.palm, Flange{place, turn, b.Flange().Command})
	if w.touched == 0 && (b.Stage.Grip > 0 || b.Stage.OnItem != orient.Vec3{}) {
		w.touched = len(w.palm)
	}
}

// The robot knows where the item is believed to lie, not where it lies: until it is touched, the palm goes the same way to the
// bit wherever it has been put. What is felt then may change it.
func TestPalmDoesNotKnowWhereTheItemReallyLies(t *testing.T) {
	pressing := free()
	pressing.Phases = append([]Phase{{Do: Move, To: Above}, {Do: Press, Distance: 0.2, Speed: 0.1, UntilForce: 2, KeepForce: 1}}, pressing.Phases[2:]...)
	for name, c := range map[string]struct {
		strategy Strategy
		wrist    Wrist
		parts    bool // what is felt changes the way
	}{
		"free":        {strategy: free()},
		"feels first": {strategy: feeler(t, Adjustment{Finger: -1, Link: -1}, Adjustment{Finger: 0, Link: -1, Move: orient.Vec3{0.002, 0, 0}}).Strategy, parts: true},
		"presses":     {strategy: pressing, parts: true},
		"gives":       {strategy: free(), wrist: Wrist{Stiffness: orient.Vec3{800, 800, 1500}, Turning: orient.Vec3{5, 5, 5}, Mass: 0.8}, parts: true},
	} {
		s := threeFingers(t)
		s.Strategy, s.Hand.Wrist = c.strategy, c.wrist
		s.Error = PlacementError{X: 0.002, Y: 0.002, Angle: 0.02}
		b, err := NewBench(s, 0)
		if err != nil {
			t.Fatal(name, err)
		}
		parted := false
		for _, tilt := range []float64{0, 25} {
			var first ways
			for k, offset := range [][2]float64{{}, {0.011, 0}, {0, -0.011}} {
				a := leaning(tilt, 3)
				a.Offset = offset
				var w ways
				if r, err := b.Run(a, &w); err != nil || r.Outcome == Void || w.touched == 0 {
					t.Fatalf("%s, %g°: %s, %s, %v; touched after %d steps", name, tilt, r.Outcome, r.Reason, err, w.touched)
				}
				if k == 0 {
					first = w
					continue
				}
				// The palm of the step in which it is touched already feels it, if its wrist gives.
				blind := min(w.touched, first.touched) - 1
				if blind < 100 {
					t.Fatalf("%s, %g°: touched after %d steps", name, tilt, blind)
				}
				for i := range blind {
					if w.palm[i] != first.palm[i] {
						t.Errorf("%s, %g°, off by %v m: step %d of %d that touched nothing had the palm at %v, not %v", name, tilt, offset, i+1, blind, w.palm[i], first.palm[i])
						break
					}
				}
				for i := range min(len(w.palm), len(first.palm)) {
					parted = parted || w.palm[i] != first.palm[i]
				}
			}
		}
		if parted != c.parts {
			t.Errorf("%s: that the ways part after the touch is %v", name, parted)
		}
	}
}
