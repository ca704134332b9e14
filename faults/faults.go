// Package faults gathers what is wrong with a file, so that a person learns all of it at once: the first fifty faults in full, the rest
// counted. What a fault is and where it lies is the reader's own.
package faults

import (
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"

	"holdfast/domain"
)

// Most is how many faults a [List] keeps; the rest are counted.
const Most = 50

// Fault is one thing that is wrong with a file.
type Fault interface {
	String() string           // in one line: where, what, and what to do
	Entry() domain.FieldError // the same for an interface
}

// List is all that is wrong with a file and those that it names. It unwraps to a [*domain.Error] of KindInvalid.
type List[F Fault] struct {
	File   string
	Faults []F // the first [Most]
	More   int // how many further faults were only counted
}

// Add keeps a fault, or counts it when enough are kept.
func (l *List[F]) Add(f F) {
	if len(l.Faults) >= Most {
		l.More++
		return
	}
	l.Faults = append(l.Faults, f)
}

// Count is the number of faults found.
func (l *List[F]) Count() int { return len(l.Faults) + l.More }

// OrNil gives the list as an error, nil when nothing is wrong.
func (l *List[F]) OrNil() error {
	if l.Count() == 0 {
		return nil
	}
	return l
}

// Error gives a summary and one line for each fault that was kept.
func (l *List[F]) Error() string {
	var b strings.Builder
	n := "1 fault"
	if l.Count() != 1 {
		n = fmt.Sprintf("%d faults", l.Count())
	}
	fmt.Fprintf(&b, "%s: %s, so nothing was taken from it", Printable(l.File), n)
	for _, f := range l.Faults {
		b.WriteString("\n  " + f.String())
	}
	if l.More > 0 {
		fmt.Fprintf(&b, "\n  and %d more", l.More)
	}
	return b.String()
}

// Unwrap gives the same as a [*domain.Error], so that callers can decide by kind.
func (l *List[F]) Unwrap() error {
	d := domain.Errorf(domain.KindInvalid, "%s has faults, so nothing was taken from it; mend them and read it again", l.File)
	for _, f := range l.Faults {
		d.Fields = append(d.Fields, f.Entry())
	}
	return d
}

// Shorten keeps at most so many bytes of a text, whole characters, and marks the cut.
func Shorten(s string, most int) string {
	if len(s) <= most {
		return s
	}
	cut := most
	for cut > most-utf8.UTFMax && !utf8.RuneStart(s[cut]) {
		cut--
	}
	return s[:cut] + "…"
}

// Printable keeps control characters of a foreign file out of the terminal.
func Printable(s string) string {
	q := strconv.Quote(s)
	if q[1:len(q)-1] == s {
		return s
	}
	return q
}
