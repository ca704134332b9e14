package main

import (
	"fmt"
	"io"
	"time"
)

// spaced returns what writes a line saying how far long work is, at most one in each two seconds, so that short work says nothing.
func spaced(w io.Writer, now func() time.Time) func(format string, args ...any) {
	last := now()
	return func(format string, args ...any) {
		if at := now(); at.Sub(last) >= 2*time.Second {
			last = at
			fmt.Fprintf(w, format+"\n", args...)
		}
	}
}
