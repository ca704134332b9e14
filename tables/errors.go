package tables

import (
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"

	"holdfast/domain"
)

// MaxFaults is how many faults an [Errors] keeps; the rest are counted.
const MaxFaults = 50

// Fault is one thing that is wrong with a file.
type Fault struct {
	Row    int    // data row, from 1; 0: the header or the file as a whole
	Line   int    // line of the file on which the row starts, from 1; 0: the file has no lines (Parquet)
	Column string // column name as the file writes it; empty: the row as a whole
	Value  string // the offending value, shortened; empty when absent
	Reason string // what is wrong and what to do
}

// String gives the fault in one line.
func (f Fault) String() string {
	var b strings.Builder
	switch {
	case f.Row > 0 && f.Line > 0:
		fmt.Fprintf(&b, "row %d (line %d)", f.Row, f.Line)
	case f.Row > 0:
		fmt.Fprintf(&b, "row %d", f.Row)
	case f.Line > 0:
		fmt.Fprintf(&b, "line %d", f.Line)
	}
	if f.Column != "" {
		if b.Len() > 0 {
			b.WriteString(", column ")
		}
		b.WriteString(printable(f.Column))
	}
	if b.Len() > 0 {
		b.WriteString(": ")
	}
	if f.Value != "" {
		b.WriteString(strconv.Quote(f.Value) + " ")
	}
	b.WriteString(f.Reason)
	return b.String()
}

// Errors is all that is wrong with a file. It unwraps to a [*domain.Error] of KindInvalid.
type Errors struct {
	File   string  // name as given in [Source]
	Faults []Fault // the first [MaxFaults]
	More   int     // how many further faults were only counted
}

// Count is the number of faults found.
func (e *Errors) Count() int { return len(e.Faults) + e.More }

const noRows = "the file has a header but no rows"

// NoRows says whether all that is wrong is that there is no row: an empty record, which may be a fine place to begin.
func (e *Errors) NoRows() bool { return e.Count() == 1 && e.Faults[0].Reason == noRows }

// Error gives a summary and one line for each fault that was kept.
func (e *Errors) Error() string {
	var b strings.Builder
	n := "1 fault"
	if e.Count() != 1 {
		n = fmt.Sprintf("%d faults", e.Count())
	}
	fmt.Fprintf(&b, "%s: %s, so nothing was taken from it", printable(e.File), n)
	for _, f := range e.Faults {
		b.WriteString("\n  " + f.String())
	}
	if e.More > 0 {
		fmt.Fprintf(&b, "\n  and %d more", e.More)
	}
	return b.String()
}

// Unwrap gives the same as a [*domain.Error], so that callers can decide by kind.
func (e *Errors) Unwrap() error {
	d := domain.Errorf(domain.KindInvalid, "%s has faults, so nothing was taken from it; mend them and read it again", e.File)
	for _, f := range e.Faults {
		where := f.Column
		if f.Row > 0 {
			where = strings.TrimSuffix(fmt.Sprintf("row %d, %s", f.Row, f.Column), ", ")
		}
		d.Fields = append(d.Fields, domain.FieldError{Field: where, Value: f.Value, Reason: f.Reason})
	}
	return d
}

func (e *Errors) add(f Fault) {
	if len(e.Faults) >= MaxFaults {
		e.More++
		return
	}
	f.Value = shorten(f.Value)
	f.Column = shorten(f.Column)
	e.Faults = append(e.Faults, f)
}

func (e *Errors) orNil() error {
	if e.Count() == 0 {
		return nil
	}
	return e
}

// shorten keeps what a person needs to recognise a value.
func shorten(s string) string {
	const most = 60
	if len(s) <= most {
		return s
	}
	cut := most
	for cut > most-utf8.UTFMax && !utf8.RuneStart(s[cut]) {
		cut--
	}
	return s[:cut] + "…"
}

// printable keeps control characters of a foreign file out of the terminal.
func printable(s string) string {
	q := strconv.Quote(s)
	if q[1:len(q)-1] == s {
		return s
	}
	return q
}
