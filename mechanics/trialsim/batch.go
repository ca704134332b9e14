package trialsim

import (
	"context"
	"fmt"
	"sync"
)

// Batch is many trials of one scene.
type Batch struct {
	Scene   *Scene
	Step    float64 // s; 0 stands for [DefaultStep]
	Workers int     // at least 1
	First   int     // number of the first trial
	Count   int     // how many
	Attempt func(number int) Attempt
	// FilmRate is the number of frames a second of the trials that Filmed picks; a nil Filmed films none.
	FilmRate float64
	Filmed   func(number int) bool
}

// Done is a trial of a batch that is through.
type Done struct {
	Number  int
	Attempt Attempt
	Result  Result
	Film    *Film // nil: not filmed, or the planner refused it and nothing moved
}

// Run carries the batch out and hands the trials to emit one by one in their order, whatever the number of workers. It ends
// with the first error of emit, with that of an attempt, or with ctx's when it is cancelled; what was emitted is whole.
func (b *Batch) Run(ctx context.Context, emit func(*Done) error) error {
	if b.Workers < 1 || b.Count < 0 {
		return fmt.Errorf("%d workers for %d trials", b.Workers, b.Count)
	}
	workers := min(b.Workers, max(b.Count, 1))
	ctx, cancel := context.WithCancelCause(ctx)
	defer cancel(nil)
	type slot struct {
		done Done
		err  error
	}
	// Each slot of the ring serves one trial at a time, so workers run ahead of the slowest by no more than the ring.
	ring := make([]chan slot, 4*workers)
	for i := range ring {
		ring[i] = make(chan slot, 1)
	}
	numbers := make(chan int)
	var wg sync.WaitGroup
	for range workers {
		bench, err := NewBench(b.Scene, b.Step)
		if err != nil {
			cancel(err)
			close(numbers)
			wg.Wait()
			return err
		}
		wg.Go(func() {
			for n := range numbers {
				s := slot{done: Done{Number: n, Attempt: b.Attempt(n)}}
				var watch Observer
				var camera *Camera
				if b.Filmed != nil && b.Filmed(n) {
					camera = NewCamera(b.FilmRate)
					watch = camera
				}
				s.done.Result, s.err = bench.Run(s.done.Attempt, watch)
				if camera != nil && len(camera.Film.Frames) > 0 {
					s.done.Film = &camera.Film
				}
				ring[n%len(ring)] <- s
			}
		})
	}
	free := make(chan struct{}, len(ring))
	for range len(ring) {
		free <- struct{}{}
	}
	go func() {
		defer close(numbers)
		for n := b.First; n < b.First+b.Count; n++ {
			select {
			case <-free:
			case <-ctx.Done():
				return
			}
			select {
			case numbers <- n:
			case <-ctx.Done():
				return
			}
		}
	}()
	var failed error
	for n := b.First; n < b.First+b.Count && failed == nil; n++ {
		if ctx.Err() != nil { // results that are there already are not told after a stop
			failed = context.Cause(ctx)
			break
		}
		select {
		case s := <-ring[n%len(ring)]:
			if failed = s.err; failed == nil {
				failed = emit(&s.done)
			}
			free <- struct{}{}
		case <-ctx.Done():
			failed = context.Cause(ctx)
		}
	}
	cancel(failed)
	// Workers never wait for a slot: no more trials are under way than there are slots.
	wg.Wait()
	return failed
}
