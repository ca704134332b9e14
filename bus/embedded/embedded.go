// Package embedded is a [domain.Bus] inside one process: events go from the use cases to the open pages of the same
// server. Why it is no message server yet is told in docs/decisions/0001-messages-in-one-process.md.
package embedded

import (
	"context"
	"sync"

	"holdfast/domain"
)

// Backlog is how many events a listener may fall behind before it loses the oldest.
const Backlog = 256

// Bus hands events to listeners. The zero value is ready; it is safe for concurrent use.
type Bus struct {
	mu        sync.Mutex
	listeners map[*listener]struct{}
}

type listener struct {
	out   chan domain.Event
	wake  chan struct{} // holds at most one token: there is something to send
	queue []domain.Event
}

// New returns a bus without listeners.
func New() *Bus { return &Bus{} }

// Publish hands the event to all present listeners without waiting for them.
func (b *Bus) Publish(e domain.Event) {
	b.mu.Lock()
	defer b.mu.Unlock()
	for l := range b.listeners {
		if len(l.queue) >= Backlog {
			// What is lost can not be told apart afterwards, so nothing older than the resync is worth keeping.
			l.queue = append(l.queue[:0], domain.Event{Topic: "resync"})
		}
		l.queue = append(l.queue, e)
		select {
		case l.wake <- struct{}{}:
		default:
		}
	}
}

// Listen returns a channel of events published from now on; it is closed when ctx ends. A listener that falls more
// than [Backlog] events behind loses the oldest and gets one with Topic "resync".
func (b *Bus) Listen(ctx context.Context) <-chan domain.Event {
	l := &listener{out: make(chan domain.Event), wake: make(chan struct{}, 1)}
	b.mu.Lock()
	if b.listeners == nil {
		b.listeners = map[*listener]struct{}{}
	}
	b.listeners[l] = struct{}{}
	b.mu.Unlock()
	go b.serve(ctx, l)
	return l.out
}

func (b *Bus) serve(ctx context.Context, l *listener) {
	defer close(l.out)
	defer func() {
		b.mu.Lock()
		delete(b.listeners, l)
		b.mu.Unlock()
	}()
	for {
		b.mu.Lock()
		var next domain.Event
		some := len(l.queue) > 0
		if some {
			next = l.queue[0]
			l.queue = append(l.queue[:0], l.queue[1:]...)
		}
		b.mu.Unlock()
		if !some {
			select {
			case <-l.wake:
				continue
			case <-ctx.Done():
				return
			}
		}
		select {
		case l.out <- next:
		case <-ctx.Done():
			return
		}
	}
}
