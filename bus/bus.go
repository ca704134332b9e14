// Package bus holds what every implementation of [holdfast/domain.Bus] must do, as tests that each of them runs.
package bus

import (
	"context"
	"fmt"
	"testing"
	"time"

	"holdfast/domain"
)

// soon is how long a test waits for what must come; only a failing test waits this long.
const soon = 10 * time.Second

// TestConformance checks a bus that open makes anew for each rule. backlog is how many events a listener may fall
// behind before it loses some.
func TestConformance(t *testing.T, backlog int, open func(t *testing.T) domain.Bus) {
	t.Run("every listener gets every event in order", func(t *testing.T) {
		b := open(t)
		first, second := b.Listen(t.Context()), b.Listen(t.Context())
		for i := range 5 {
			b.Publish(domain.Event{Topic: "trials", Study: "s", ID: fmt.Sprint(i)})
		}
		for _, ch := range []<-chan domain.Event{first, second} {
			for i := range 5 {
				if got, want := next(t, ch), (domain.Event{Topic: "trials", Study: "s", ID: fmt.Sprint(i)}); got != want {
					t.Fatalf("got %v, want %v", got, want)
				}
			}
		}
	})
	t.Run("nothing from before listening", func(t *testing.T) {
		b := open(t)
		b.Publish(domain.Event{Topic: "hand", ID: "old"})
		ch := b.Listen(t.Context())
		b.Publish(domain.Event{Topic: "hand", ID: "new"})
		if got := next(t, ch); got.ID != "new" {
			t.Fatalf("got %v", got)
		}
	})
	t.Run("the channel closes when the context ends", func(t *testing.T) {
		b := open(t)
		ctx, stop := context.WithCancel(t.Context())
		ch := b.Listen(ctx)
		stop()
		select {
		case _, open := <-ch:
			if open {
				t.Fatal("an event came from nowhere")
			}
		case <-time.After(soon):
			t.Fatal("the channel stays open")
		}
		b.Publish(domain.Event{Topic: "hand"}) // must not block or panic
	})
	t.Run("a slow listener never holds the publisher up, and is told to look again", func(t *testing.T) {
		b := open(t)
		ch := b.Listen(t.Context())
		published := make(chan struct{})
		last := fmt.Sprint(3*backlog - 1)
		go func() {
			defer close(published)
			for i := range 3 * backlog {
				b.Publish(domain.Event{Topic: "trials", ID: fmt.Sprint(i)})
			}
		}()
		select {
		case <-published:
		case <-time.After(soon):
			t.Fatal("publishing waits for the listener")
		}
		resync, count := false, 0
		for {
			e := next(t, ch)
			resync = resync || e.Topic == "resync"
			count++
			if e.ID == last {
				break
			}
		}
		if !resync {
			t.Error("events were lost without a resync")
		}
		if count > 2*backlog {
			t.Errorf("%d events were kept for a listener that may fall %d behind", count, backlog)
		}
	})
}

func next(t *testing.T, ch <-chan domain.Event) domain.Event {
	t.Helper()
	select {
	case e, open := <-ch:
		if !open {
			t.Fatal("the channel is closed")
		}
		return e
	case <-time.After(soon):
		t.Fatal("no event came")
	}
	return domain.Event{}
}
