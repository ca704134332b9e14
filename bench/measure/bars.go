package measure

import (
	"fmt"
	"os"
)

// Bars counts the bars that were missed.
type Bars struct{ Missed int }

// AtMost prints whether the value is at most the limit.
func (b *Bars) AtMost(what string, value, limit float64) {
	b.tell(what, value, "at most", limit, value <= limit)
}

// AtLeast prints whether the value is at least the limit.
func (b *Bars) AtLeast(what string, value, limit float64) {
	b.tell(what, value, "at least", limit, value >= limit)
}

func (b *Bars) tell(what string, value float64, sign string, limit float64, met bool) {
	verdict := "met"
	if !met {
		verdict = "MISSED"
		b.Missed++
	}
	fmt.Printf("    bar: %-34s %8.3f, asked %s %g: %s\n", what, value, sign, limit, verdict)
}

// Exit ends the program with exit code 1 when a bar was missed.
func (b *Bars) Exit() {
	if b.Missed > 0 {
		fmt.Printf("\n%d bars missed\n", b.Missed)
		os.Exit(1)
	}
}
