package readings

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
)

// Column is a column of a table.
type Column struct {
	Name     string   `json:"name"`
	Meaning  string   `json:"meaning"`
	Words    []string `json:"words,omitempty"` // the words allowed; empty for any
	Text     bool     `json:"text"`            // a name instead of a number
	Optional bool     `json:"optional"`
	Positive bool     `json:"positive"` // numbers must be above 0
	Natural  bool     `json:"natural"`  // numbers must not be below 0
	AnyUnit  bool     `json:"any_unit"` // the header may carry a unit behind the name, as value_N
}

// Table is the rows of a record, by column.
type Table struct {
	Rows    int
	Numbers map[string][]float64
	Texts   map[string][]string
	Unit    string // behind the name of the column that takes any; empty: none
}

// mostRows bounds a record.
const mostRows = 2_000_000

// Read reads CSV with a header that names the columns in any order; columns
// not asked for are passed over. Every fault names its row (the header is row 1)
// and column; nothing is returned with an error.
func Read(in io.Reader, columns []Column) (*Table, error) {
	return read(in, columns, "", nil)
}

// read reads the columns, and with a prefix those that are numbered behind it; found is set to how many there are.
func read(in io.Reader, columns []Column, prefix string, found *int) (*Table, error) {
	r := csv.NewReader(in)
	r.FieldsPerRecord = -1
	r.TrimLeadingSpace = true
	header, err := r.Read()
	if err != nil {
		return nil, fmt.Errorf("the table has no header; its first row must name the columns %s", names(columns))
	}
	t := &Table{Numbers: map[string][]float64{}, Texts: map[string][]string{}}
	place := map[string]int{}
	for i, h := range header {
		h = strings.TrimSpace(strings.TrimPrefix(h, "\uFEFF"))
		for _, c := range columns {
			if n := len(c.Name) + 1; c.AnyUnit && len(h) > n && strings.EqualFold(h[:n], c.Name+"_") {
				h, t.Unit = c.Name, h[n:]
			}
		}
		h = strings.ToLower(h)
		if _, twice := place[h]; twice && h != "" {
			return nil, fmt.Errorf("row 1: the column %s is there twice", h)
		}
		place[h] = i
	}
	if found != nil {
		if *found, err = numbered(place, prefix); err != nil {
			return nil, err
		}
		columns = slices.Clone(columns)
		for n := range *found {
			columns = append(columns, Column{Name: prefix + strconv.Itoa(n+1), Meaning: "a reading"})
		}
	}
	var used []Column
	for _, c := range columns {
		if _, there := place[strings.ToLower(c.Name)]; there {
			used = append(used, c)
		} else if !c.Optional {
			return nil, fmt.Errorf("row 1: there is no column %s (%s); the test needs %s", c.Name, c.Meaning, names(columns))
		}
	}
	var faults Faults
	for row := 2; ; row++ {
		cells, err := r.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, fmt.Errorf("row %d: %w", row, err)
		}
		if t.Rows++; t.Rows > mostRows {
			return nil, fmt.Errorf("the table has more than %d rows; leave out what lies between", mostRows)
		}
		for _, c := range used {
			cell := ""
			if i := place[strings.ToLower(c.Name)]; i < len(cells) {
				cell = strings.TrimSpace(cells[i])
			}
			fault := ""
			if c.Text {
				if fault = c.word(cell); fault == "" {
					t.Texts[c.Name] = append(t.Texts[c.Name], cell)
				}
			} else {
				var v float64
				if v, fault = c.number(cell); fault == "" {
					t.Numbers[c.Name] = append(t.Numbers[c.Name], v)
				}
			}
			if fault != "" {
				if faults.Add(row, c.Name, "%s (got %q)", fault, cell); len(faults) == mostFaults {
					return nil, faults.Err()
				}
			}
		}
	}
	if err := faults.Err(); err != nil {
		return nil, err
	}
	if t.Rows == 0 {
		return nil, fmt.Errorf("the table has a header and no rows")
	}
	return t, nil
}

func (c Column) word(cell string) string {
	if cell == "" {
		return "must not be empty"
	}
	for _, w := range c.Words {
		if cell == w {
			return ""
		}
	}
	if len(c.Words) > 0 {
		return "must be " + strings.Join(c.Words, " or ")
	}
	return ""
}

func (c Column) number(cell string) (float64, string) {
	v, err := strconv.ParseFloat(cell, 64)
	switch {
	case err != nil || math.IsNaN(v) || math.Abs(v) > 1e15:
		return 0, "must be a number with a decimal point"
	case c.Positive && !(v > 0):
		return 0, "must be above 0"
	case c.Natural && v < 0:
		return 0, "must not be below 0"
	}
	return v, ""
}

func names(columns []Column) string {
	var out []string
	for _, c := range columns {
		n := c.Name
		if c.Optional {
			n += " (may be left out)"
		}
		out = append(out, n)
	}
	return strings.Join(out, ", ")
}

// Has reports whether an optional column was there.
func (t *Table) Has(name string) bool { return t.Numbers[name] != nil || t.Texts[name] != nil }

// Groups returns the rows by the text in a column, in the order they first come; one group without the column.
func (t *Table) Groups(column string) (order []string, rows map[string][]int) {
	rows = map[string][]int{}
	for i := range t.Rows {
		name := ""
		if v := t.Texts[column]; v != nil {
			name = v[i]
		} else if v := t.Numbers[column]; v != nil {
			name = strconv.FormatFloat(v[i], 'g', -1, 64)
		}
		if rows[name] == nil {
			order = append(order, name)
		}
		rows[name] = append(rows[name], i)
	}
	return order, rows
}

// spelled are units that a column's name may end with, as they are written behind a quantity.
var spelled = map[string]string{"mm": "mm", "N": "N", "s": "s", "kPa": "kPa", "deg": "°"}

// Label returns a column's name as an axis says it: peak_force_N is "peak force, N".
func Label(column string) string {
	if cut := strings.LastIndex(column, "_"); cut > 0 {
		if unit, known := spelled[column[cut+1:]]; known {
			return strings.ReplaceAll(column[:cut], "_", " ") + ", " + unit
		}
	}
	return strings.ReplaceAll(column, "_", " ")
}
