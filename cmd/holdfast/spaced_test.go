package main

import (
	"strings"
	"testing"
	"time"
)

func TestSpaced(t *testing.T) {
	var b strings.Builder
	at := time.Unix(0, 0)
	tell := spaced(&b, func() time.Time { return at })
	for n := range 10 {
		tell("%d of 10", n)
		at = at.Add(700 * time.Millisecond)
	}
	if got, want := b.String(), "3 of 10\n6 of 10\n9 of 10\n"; got != want {
		t.Errorf("told %q, want %q", got, want)
	}
}
