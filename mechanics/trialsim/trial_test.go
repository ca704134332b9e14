package trialsim

import (
	"math"
	"testing"

	"holdfast/orient"
)

// free is a strategy that touches nothing but the item.
func free() Strategy {
	return Strategy{
		Kind: "free", Clearance: -0.005, Standoff: 0.1, Nearest: 0.05, Farthest: 0.095,
		Phases: []Phase{
			{Do: Move, To: Above}, {Do: Move, To: Grasp, Speed: 0.47, MostForce: 300}, {Do: Close, Seconds: 0.5, Command: 1},
			{Do: Lift, Distance: 0.15, Speed: 0.56, Command: -1}, {Do: Hold, Seconds: 0.5, Command: -1},
			{Do: Shake, Distance: 0.01, Hertz: 2, Seconds: 1, Command: -1},
		},
	}
}

func leaning(tilt float64, k int) Attempt {
	return Attempt{Orientation: orient.FromApproach(orient.Approach{Tilt: tilt * degree, Azimuth: 2 * math.Pi * float64(k) / 20, Roll: float64(k)}), Closing: 1, Seed: 1, Number: k}
}

// From straight above the hand holds the item through lifting, holding and shaking; leaning by 60° it never does. Each trial
// says why it ended so.
func TestFreeTrials(t *testing.T) {
	s := threeFingers(t)
	s.Strategy = free()
	b, err := NewBench(s, 0)
	if err != nil {
		t.Fatal(err)
	}
	for tilt, want := range map[float64]int{0: 20, 60: 0} {
		held := 0
		for k := range 20 {
			r, err := b.Run(leaning(tilt, k), nil)
			if err != nil {
				t.Fatal(err)
			}
			if r.Reason == "" || len(r.Ended) == 0 {
				t.Errorf("tilt %g: %s without a reason", tilt, r.Outcome)
			}
			if r.Outcome == Held {
				held++
				if r.Grip < 5 || len(r.Contacts) < 3 || r.PeakForce <= 0 {
					t.Errorf("tilt %g: held with %g N at %d contacts, at most %g N", tilt, r.Grip, len(r.Contacts), r.PeakForce)
				}
			}
		}
		if held != want {
			t.Errorf("tilt %g: %d of 20 held, want %d", tilt, held, want)
		}
	}
}
