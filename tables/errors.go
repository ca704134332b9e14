package tables

import (
	"fmt"
	"strconv"
	"strings"

	"holdfast/domain"
	"holdfast/faults"
)

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
		b.WriteString(faults.Printable(f.Column))
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

// Entry gives the fault for an interface.
func (f Fault) Entry() domain.FieldError {
	where := f.Column
	if f.Row > 0 {
		where = strings.TrimSuffix(fmt.Sprintf("row %d, %s", f.Row, f.Column), ", ")
	}
	return domain.FieldError{Field: where, Value: f.Value, Reason: f.Reason}
}

// Errors is all that is wrong with a table; File is its name as given in [Source].
type Errors = faults.List[Fault]

const noRows = "the file has a header but no rows"

// NoRows says whether all that is wrong with a table is that there is no row: an empty record, which may be a fine place to begin.
func NoRows(e *Errors) bool { return e.Count() == 1 && e.Faults[0].Reason == noRows }

// add notes a fault, with what it quotes of the file kept short.
func add(e *Errors, f Fault) {
	f.Value, f.Column = shorten(f.Value), shorten(f.Column)
	e.Add(f)
}

func shorten(s string) string { return faults.Shorten(s, 60) }
