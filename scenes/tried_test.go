package scenes

import (
	"context"
	"runtime"
	"testing"

	"holdfast/domain"
	"holdfast/mechanics/trialsim"
	"holdfast/orient"
)

// heldOf counts how many of n trials are held when the item lies off (m, standard deviation along x and y); the hold is shortened to 0.3 s.
func heldOf(t *testing.T, c domain.Condition, off float64, n int, seed uint64, orientation func(k int) orient.Rotation) (held int) {
	t.Helper()
	s, err := ReadCondition(shipped, nil, c)
	if err != nil {
		t.Fatal(err)
	}
	for i := range s.Strategy.Phases {
		if p := &s.Strategy.Phases[i]; p.Do == trialsim.Hold {
			p.Seconds = 0.3
		}
	}
	s.Closing, s.Error = 1, trialsim.PlacementError{X: off, Y: off}
	b := trialsim.Batch{Scene: s, Step: 2e-3, Workers: runtime.NumCPU(), Count: n, Attempt: func(k int) trialsim.Attempt {
		return trialsim.Attempt{Orientation: orientation(k), Closing: 1, Seed: seed, Number: k}
	}}
	if err := b.Run(context.Background(), func(d *trialsim.Done) error {
		if d.Result.Outcome == trialsim.Held {
			held++
		}
		return nil
	}); err != nil {
		t.Fatal(err)
	}
	return held
}
