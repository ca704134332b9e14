package unknowns

import (
	"os"
	"reflect"
	"sync"
	"testing"

	"holdfast/mechanics/trialsim"
	"holdfast/numeric"
	"holdfast/orient"
	"holdfast/scenes"
)

// fresh runs an attempt at a bench of its own.
func fresh(t *testing.T, s trialsim.Scene, what []Quantity, values []float64, a trialsim.Attempt) trialsim.Result {
	t.Helper()
	for k := range what {
		if err := what[k].set(&s, values[k]); err != nil {
			t.Fatal(err)
		}
	}
	b, err := trialsim.NewBench(&s, 2e-3)
	if err != nil {
		t.Fatal(err)
	}
	r, err := b.Run(a, nil)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func attempts(n int) (list []trialsim.Attempt, values [][]float64) {
	rng := numeric.Stream(8, "attempts")
	for i := range n {
		list = append(list, trialsim.Attempt{Orientation: orient.RandomWithin(0.6, rng), Closing: 0.8, Seed: 3, Number: i, Offset: [2]float64{0.002 * rng.NormFloat64(), 0}})
		values = append(values, []float64{0.3 + rng.Float64(), 0.6 + rng.Float64(), 1 + 8*rng.Float64()})
	}
	return list, values
}

// A bench that many trials share gives what a new one for each trial gives, whoever asks first.
func TestSharedBenchesGiveWhatNewOnesGive(t *testing.T) {
	scene := small(t)
	list, values := attempts(12)
	for name, what := range map[string][]Quantity{"plans kept": {all[0], all[3], all[2]}, "plans made anew": {all[0], all[1], all[2]}} {
		trials, err := NewTrials(&scene, 2e-3, what)
		if err != nil {
			t.Fatal(err)
		}
		got := make([]trialsim.Result, len(list))
		errs := make([]error, len(list))
		var wg sync.WaitGroup
		for w := range 3 {
			wg.Go(func() {
				for i := w; i < len(list); i += 3 {
					got[i], errs[i] = trials.Run(values[i], list[i])
				}
			})
		}
		wg.Wait()
		for i, a := range list {
			if errs[i] != nil {
				t.Fatal(errs[i])
			}
			if want := fresh(t, scene, what, values[i], a); !reflect.DeepEqual(got[i], want) {
				t.Errorf("%s: trial %d ended %s with %g N after %d steps; at a bench of its own %s, %g N, %d",
					name, i, got[i].Outcome, got[i].PeakForce, got[i].Steps, want.Outcome, want.PeakForce, want.Steps)
			}
		}
		if name == "plans kept" && (len(trials.idle) == 0 || len(trials.idle) > 4) {
			t.Errorf("%d benches lie idle after trials of three workers", len(trials.idle))
		}
	}
}

func TestQuantitiesChangeWhatTheyName(t *testing.T) {
	scene := small(t)
	changed := map[string]func(a, b *trialsim.Scene) bool{
		"friction": func(a, b *trialsim.Scene) bool { return b.Hand.Skin.Friction == 2 },
		"joint-stiffness": func(a, b *trialsim.Scene) bool {
			return b.Hand.Fingers[0].Chain.Joint(0).Stiffness == 2*a.Hand.Fingers[0].Chain.Joint(0).Stiffness
		},
		PositionErrorName: func(a, b *trialsim.Scene) bool { return b.Error.X == 2e-3 && b.Error.Y == 2e-3 },
		"skin-stiffness-N-per-mm": func(a, b *trialsim.Scene) bool {
			return b.Hand.Skin.Stiffness == 2000 && b.Hand.Skin.Damping/a.Hand.Skin.Damping == 2000/a.Hand.Skin.Stiffness
		},
	}
	for _, q := range All() {
		other := scene
		if err := q.set(&other, 2); err != nil || !changed[q.Name](&scene, &other) {
			t.Errorf("%s: %v", q.Name, err)
		}
		if low, high := q.Range(&scene); !(0 < low && low < high) {
			t.Errorf("%s: usual range %g to %g", q.Name, low, high)
		}
	}
	rigid := scene
	rigid.Hand.Skin.Stiffness = 0
	if err := all[3].Settable(&rigid, 1); err == nil {
		t.Error("a rigid skin was given a stiffness")
	}
	if err := all[3].Settable(&scene, 1); err != nil || scene.Hand.Skin.Stiffness == 1000 {
		t.Errorf("asking changed the scene, or failed: %v", err)
	}
	scene.Strategy.Phases = nil
	if _, err := NewTrials(&scene, 0, Usual()); err == nil {
		t.Error("a scene without phases was taken")
	}
}

// small is the shipped scene of a roll on a table.
func small(t *testing.T) trialsim.Scene {
	t.Helper()
	s, err := scenes.ReadScene(os.DirFS("../../examples/scenes"), "roll-on-table.yaml")
	if err != nil {
		t.Fatal(err)
	}
	return s.Scene
}
