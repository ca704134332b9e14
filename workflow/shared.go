package workflow

import (
	"context"
	"sync"
)

// shared keeps results of long computations and lets callers that ask for the same thing at the same time wait for one
// computation. It goes on as long as somebody waits, and stops when all have left.
type shared[K comparable, V any] struct {
	most int // how many results are kept

	mu      sync.Mutex
	running map[K]*flight[V]
	kept    map[K]V
	order   []K // of kept, least recently used first
}

type flight[V any] struct {
	done    chan struct{}
	stop    context.CancelFunc
	waiting int
	value   V
	err     error
}

func newShared[K comparable, V any](most int) *shared[K, V] {
	return &shared[K, V]{most: most, running: map[K]*flight[V]{}, kept: map[K]V{}}
}

// do returns the kept result for the key, or computes it. The computation gets a context that ends when all callers
// have left; errors are not kept.
func (s *shared[K, V]) do(ctx context.Context, key K, compute func(context.Context) (V, error)) (V, error) {
	s.mu.Lock()
	if v, ok := s.kept[key]; ok {
		s.touch(key)
		s.mu.Unlock()
		return v, nil
	}
	f := s.running[key]
	if f == nil {
		work, stop := context.WithCancel(context.WithoutCancel(ctx))
		f = &flight[V]{done: make(chan struct{}), stop: stop}
		s.running[key] = f
		go s.fly(work, key, f, compute)
	}
	f.waiting++
	s.mu.Unlock()

	select {
	case <-f.done:
		return f.value, f.err
	case <-ctx.Done():
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if f.waiting--; f.waiting == 0 {
		f.stop()
		// Whoever asks next must not join a computation that is being stopped.
		if s.running[key] == f {
			delete(s.running, key)
		}
	}
	var none V
	return none, context.Cause(ctx)
}

func (s *shared[K, V]) fly(ctx context.Context, key K, f *flight[V], compute func(context.Context) (V, error)) {
	defer f.stop()
	f.value, f.err = compute(ctx)
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.running[key] == f {
		delete(s.running, key)
	}
	if f.err == nil {
		s.kept[key] = f.value
		s.touch(key)
		for len(s.order) > s.most {
			delete(s.kept, s.order[0])
			s.order = s.order[1:]
		}
	}
	close(f.done)
}

// touch marks the key as used last.
func (s *shared[K, V]) touch(key K) {
	for i, k := range s.order {
		if k == key {
			s.order = append(append(s.order[:i:i], s.order[i+1:]...), key)
			return
		}
	}
	s.order = append(s.order, key)
}
