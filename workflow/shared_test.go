package workflow

import (
	"context"
	"errors"
	"sync/atomic"
	"testing"
	"time"
)

func TestSharedComputesOnceForAll(t *testing.T) {
	s := newShared[int, string](2)
	var computed atomic.Int32
	release := make(chan struct{})
	got := make(chan string, 3)
	for range 3 {
		go func() {
			v, err := s.do(t.Context(), 1, func(context.Context) (string, error) {
				computed.Add(1)
				<-release
				return "one", nil
			})
			if err != nil {
				t.Error(err)
			}
			got <- v
		}()
	}
	waitFor(t, func() bool { s.mu.Lock(); defer s.mu.Unlock(); return s.running[1] != nil && s.running[1].waiting == 3 })
	close(release)
	for range 3 {
		if v := <-got; v != "one" {
			t.Errorf("got %q", v)
		}
	}
	if n := computed.Load(); n != 1 {
		t.Errorf("computed %d times", n)
	}
}

func TestSharedStopsWhenAllHaveLeft(t *testing.T) {
	s := newShared[int, string](2)
	stopped := make(chan struct{})
	compute := func(ctx context.Context) (string, error) {
		<-ctx.Done()
		close(stopped)
		return "", ctx.Err()
	}
	first, leaveFirst := context.WithCancel(t.Context())
	second, leaveSecond := context.WithCancel(t.Context())
	ended := make(chan error, 2)
	for _, ctx := range []context.Context{first, second} {
		go func() { _, err := s.do(ctx, 1, compute); ended <- err }()
	}
	waitFor(t, func() bool { s.mu.Lock(); defer s.mu.Unlock(); return s.running[1] != nil && s.running[1].waiting == 2 })
	leaveFirst()
	if err := <-ended; !errors.Is(err, context.Canceled) {
		t.Errorf("the one who left got %v", err)
	}
	select {
	case <-stopped:
		t.Fatal("stopped while somebody still waits")
	case <-time.After(20 * time.Millisecond):
	}
	leaveSecond()
	<-ended
	select {
	case <-stopped:
	case <-time.After(10 * time.Second):
		t.Fatal("goes on for nobody")
	}
	// Whoever asks now gets a fresh computation, not the stopped one.
	if v, err := s.do(t.Context(), 1, func(context.Context) (string, error) { return "again", nil }); v != "again" || err != nil {
		t.Errorf("got %q, %v", v, err)
	}
}

func TestSharedKeepsTheLastUsedAndNoErrors(t *testing.T) {
	s := newShared[int, int](2)
	computed := 0
	ask := func(key int) {
		if v, err := s.do(t.Context(), key, func(context.Context) (int, error) { computed++; return 10 * key, nil }); v != 10*key || err != nil {
			t.Fatalf("key %d: %d, %v", key, v, err)
		}
	}
	ask(1)
	ask(2)
	ask(1) // now 2 was used least recently
	ask(3)
	ask(1)
	if computed != 3 {
		t.Errorf("computed %d times, want 3", computed)
	}
	if ask(2); computed != 4 {
		t.Errorf("the least recently used result was kept")
	}
	fail := errors.New("no")
	if _, err := s.do(t.Context(), 9, func(context.Context) (int, error) { return 0, fail }); !errors.Is(err, fail) {
		t.Errorf("got %v", err)
	}
	if ask(9); computed != 5 {
		t.Error("an error was kept")
	}
}

func waitFor(t *testing.T, what func() bool) {
	t.Helper()
	for end := time.Now().Add(10 * time.Second); !what(); time.Sleep(time.Millisecond) {
		if time.Now().After(end) {
			t.Fatal("it does not come")
		}
	}
}
