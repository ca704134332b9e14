package touch

import (
	"context"
	"errors"
	"sync/atomic"
	"testing"
)

// asked is a context that counts how often it is asked, and has ended after a number of times.
type asked struct {
	context.Context
	times, last atomic.Int64 // last 0: it never ends
}

func (a *asked) Err() error {
	if n := a.times.Add(1); a.last.Load() > 0 && n > a.last.Load() {
		return context.Canceled
	}
	return nil
}

// A training is stopped wherever it is, says so and nothing else, and does hardly any more; each of its steps asks.
func TestTrainingIsStoppedWithinItsSteps(t *testing.T) {
	recipe := smallRecipe()
	d, clips := taps(t, 4, recipe)
	d.Varied = []Varied{{"object", relabel(d, "roll", "steel")}}
	plan := DefaultPlan()
	plan.Noise = Noise{RatiosDB: []float64{20}, Clip: func(i int) ([]float64, error) { return clips[i], nil }}
	whole := &asked{Context: t.Context()}
	before, which := int64(0), "beginning"
	plan.Step = func(what string, _, _ int) error {
		now := whole.times.Load()
		if asks := now - before; asks < 1 && which != "beginning" {
			t.Errorf("%s: asked %d times whether to stop", which, asks)
		}
		before, which = now, what
		return nil
	}
	if _, _, err := Train(whole, recipe, d, plan); err != nil {
		t.Fatal(err)
	}
	plan.Step = nil
	all := whole.times.Load()
	if all < 1000 {
		t.Fatalf("asked %d times in all", all)
	}
	for k := range int64(60) {
		ended := &asked{Context: t.Context()}
		ended.last.Store(1 + k*(all-2)/60)
		m, e, err := Train(ended, recipe, d, plan)
		if !errors.Is(err, context.Canceled) || m != nil || e != nil {
			t.Fatalf("ended after %d of %d asks: %v, model %v", ended.last.Load(), all, err, m != nil)
		}
		// Parts that have not begun ask once each and are left out.
		if more := ended.times.Load() - ended.last.Load(); more > 250 {
			t.Errorf("ended after %d of %d asks, and %d more", ended.last.Load(), all, more)
		}
	}
}
