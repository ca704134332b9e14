package trialsim

import (
	"context"
	"errors"
	"reflect"
	"testing"
)

func aBatch(t *testing.T, workers int) *Batch {
	t.Helper()
	s := threeFingers(t)
	s.Strategy = free()
	s.Item.SizeSpread, s.Item.MassSpread, s.Item.Heading, s.Error = 0.05, 0.1, 1, PlacementError{X: 0.003, Y: 0.003, Angle: 0.03}
	return &Batch{Scene: s, Workers: workers, First: 5, Count: 17, Step: 2e-3, FilmRate: 20, Filmed: func(n int) bool { return n == 6 },
		Attempt: func(n int) Attempt { a := leaning(float64(3*n), n); a.Seed = 9; return a }}
}

// The same trials come out in the same order with the same digits on any number of workers, and from any trial on.
func TestBatchIsTheSameOnAnyWorkers(t *testing.T) {
	run := func(b *Batch) (all []Done) {
		t.Helper()
		if err := b.Run(t.Context(), func(d *Done) error { all = append(all, *d); return nil }); err != nil {
			t.Fatal(err)
		}
		return all
	}
	one, three := run(aBatch(t, 1)), run(aBatch(t, 3))
	if !reflect.DeepEqual(one, three) {
		t.Error("one worker and three give different trials")
	}
	if len(one) != 17 || one[1].Film == nil || len(one[1].Film.Frames) < 10 || one[2].Film != nil {
		t.Errorf("%d trials, filmed wrongly", len(one))
	}
	rest := aBatch(t, 2)
	rest.First, rest.Count = 15, 7
	if later := run(rest); !reflect.DeepEqual(one[10:], later) {
		t.Error("trials from the fifteenth on differ")
	}
}

func TestBatchStops(t *testing.T) {
	b := aBatch(t, 2)
	full := errors.New("disk full")
	n := 0
	if err := b.Run(t.Context(), func(*Done) error { n++; return full }); !errors.Is(err, full) || n != 1 {
		t.Errorf("after %d trials: %v", n, err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	n = 0
	err := b.Run(ctx, func(*Done) error {
		if n++; n == 3 {
			cancel()
		}
		return nil
	})
	if !errors.Is(err, context.Canceled) || n != 3 {
		t.Errorf("after %d trials: %v", n, err)
	}
}
