package scenes

import (
	"fmt"
	"sort"
	"strconv"
	"strings"
	"unicode/utf8"

	"holdfast/domain"
)

// MaxFaults is how many faults an [Errors] keeps; the rest are counted.
const MaxFaults = 50

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
	b.WriteString(printable(f.File))
	if f.Line > 0 {
		fmt.Fprintf(&b, ":%d:%d", f.Line, f.Column)
	}
	b.WriteString(": ")
	if f.Field != "" {
		b.WriteString(printable(f.Field) + ": ")
	}
	b.WriteString(f.Reason)
	return b.String()
}

// Errors is all that is wrong with a file and those that it names. It unwraps to a [*domain.Error] of KindInvalid.
type Errors struct {
	File   string
	Faults []Fault // the first [MaxFaults], file by file in the order of their lines
	More   int     // how many further faults were only counted
}

// Error gives a summary and one line for each fault that was kept.
func (e *Errors) Error() string {
	var b strings.Builder
	n := "1 fault"
	if count := len(e.Faults) + e.More; count != 1 {
		n = fmt.Sprintf("%d faults", count)
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
		d.Fields = append(d.Fields, domain.FieldError{Field: strings.TrimSuffix(fmt.Sprintf("%s:%d:%d %s", f.File, f.Line, f.Column, f.Field), " "), Reason: f.Reason})
	}
	return d
}

func (e *Errors) add(f Fault) {
	if len(e.Faults) >= MaxFaults {
		e.More++
		return
	}
	f.Field = shorten(f.Field)
	e.Faults = append(e.Faults, f)
}

// orNil sorts the faults by line within each file, keeping the files in the order in which they were read.
func (e *Errors) orNil() error {
	if len(e.Faults) == 0 {
		return nil
	}
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
	return e
}

// shorten keeps what a person needs to recognise a text.
func shorten(s string) string {
	const most = 80
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
	p.src.errors.add(f)
}
