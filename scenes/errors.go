package scenes

import (
	"fmt"
	"sort"
	"strconv"
	"strings"

	"holdfast/domain"
	"holdfast/faults"
)

// Fault is one thing that is wrong with a file.
type Fault struct {
	File         string
	Line, Column int    // from 1; 0: the file as a whole
	Field        string // as fingers.2.joints.1.axis, entries of lists counted from 1; empty: the file as a whole
	Reason       string // what is wrong and what to do
}

// String gives the fault in one line.
func (f Fault) String() string {
	var b strings.Builder
	b.WriteString(faults.Printable(f.File))
	if f.Line > 0 {
		fmt.Fprintf(&b, ":%d:%d", f.Line, f.Column)
	}
	b.WriteString(": ")
	if f.Field != "" {
		b.WriteString(faults.Printable(f.Field) + ": ")
	}
	b.WriteString(f.Reason)
	return b.String()
}

// Entry gives the fault for an interface.
func (f Fault) Entry() domain.FieldError {
	return domain.FieldError{Field: strings.TrimSuffix(fmt.Sprintf("%s:%d:%d %s", f.File, f.Line, f.Column, f.Field), " "), Reason: f.Reason}
}

// Errors is all that is wrong with a file and those that it names, file by file in the order of their lines.
type Errors = faults.List[Fault]

// inOrder gives the faults sorted by line within each file, the files in the order in which they were read; nil when there are none.
func inOrder(e *Errors) error {
	order := map[string]int{}
	for _, f := range e.Faults {
		if _, known := order[f.File]; !known {
			order[f.File] = len(order)
		}
	}
	sort.SliceStable(e.Faults, func(i, j int) bool {
		a, b := &e.Faults[i], &e.Faults[j]
		if a.File != b.File {
			return order[a.File] < order[b.File]
		}
		if a.Line != b.Line {
			return a.Line < b.Line
		}
		return a.Column < b.Column
	})
	return e.OrNil()
}

func shorten(s string) string { return faults.Shorten(s, 80) }

func quoted(s string) string { return strconv.Quote(shorten(s)) }

// source is a text being read, with where its parts stand.
type source struct {
	file   string
	at     map[string]position // by path
	errors *Errors
}

type position struct{ line, column int }

// spot is a part of a source.
type spot struct {
	src  *source
	path string
}

func (p spot) in(field string) spot {
	if p.path == "" {
		return spot{p.src, field}
	}
	return spot{p.src, p.path + "." + field}
}

// nth is entry i of a list, counted from 0 here and from 1 in what people read.
func (p spot) nth(i int) spot { return p.in(strconv.Itoa(i + 1)) }

// fault notes what is wrong there; the position is that of the part, or of the nearest part around it that the text has.
func (p spot) fault(format string, args ...any) {
	f := Fault{File: p.src.file, Field: p.path, Reason: fmt.Sprintf(format, args...)}
	for path := p.path; ; {
		if at, ok := p.src.at[path]; ok {
			f.Line, f.Column = at.line, at.column
			break
		}
		if path == "" {
			break
		}
		cut := strings.LastIndexByte(path, '.')
		path = path[:max(cut, 0)]
	}
	f.Field = shorten(f.Field)
	p.src.errors.Add(f)
}
