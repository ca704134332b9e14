package additive

import (
	"encoding/binary"
	"fmt"
	"math"

	"holdfast/orient"
)

// Data are trials, or rows to predict, column by column. All columns that are not nil have the same length.
type Data struct {
	// Held and Trials count the successes and trials of a row; fractions weight them. A query needs neither.
	Held, Trials []float64
	Orientations []orient.Rotation
	Numbers      map[string][]float64 // by variable, such as "closing" or "offset_x"
	Levels       map[string][]string  // by factor, such as "strategy"
	Known        []float64            // log-odds known beforehand and added to the model's; nil means none
}

// Len returns the number of rows: that of the first column that is not nil.
func (d *Data) Len() int {
	switch {
	case d.Held != nil:
		return len(d.Held)
	case d.Orientations != nil:
		return len(d.Orientations)
	case d.Known != nil:
		return len(d.Known)
	}
	for _, c := range d.Numbers {
		return len(c)
	}
	for _, c := range d.Levels {
		return len(c)
	}
	return 0
}

// check verifies that the columns which the terms read are there, whole and finite.
func (d *Data) check(terms []Term) error {
	n := d.Len()
	short := func(what string, length int) error {
		return fmt.Errorf("%s has %d rows where the others have %d", what, length, n)
	}
	for _, t := range terms {
		if t.Kind == Orientation {
			if len(d.Orientations) != n {
				return short("the column of orientations", len(d.Orientations))
			}
			for i, r := range d.Orientations {
				if _, ok := r.Normalized(); !ok {
					return fmt.Errorf("row %d: its orientation is not a quaternion of positive, finite length", i+1)
				}
			}
		}
		for _, v := range t.Variables {
			if len(d.Numbers[v]) != n {
				return short("the column "+v, len(d.Numbers[v]))
			}
			for i, x := range d.Numbers[v] {
				if math.IsNaN(x) || math.IsInf(x, 0) {
					return fmt.Errorf("row %d: %s is not given or not finite; give it in every row or leave the term %s out", i+1, v, t.Name)
				}
			}
		}
		if t.By != "" {
			if len(d.Levels[t.By]) != n {
				return short("the column "+t.By, len(d.Levels[t.By]))
			}
			for i, level := range d.Levels[t.By] {
				if level == "" {
					return fmt.Errorf("row %d: %s is not given; name it in every row or leave the term %s out", i+1, t.By, t.Name)
				}
			}
		}
	}
	if d.Known != nil && len(d.Known) != n {
		return short("the column of known log-odds", len(d.Known))
	}
	for i, v := range d.Known {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return fmt.Errorf("row %d: its known log-odds are not finite", i+1)
		}
	}
	return nil
}

func (d *Data) checkCounts() error {
	if len(d.Trials) != len(d.Held) {
		return fmt.Errorf("%d counts of held for %d counts of trials", len(d.Held), len(d.Trials))
	}
	for i, t := range d.Trials {
		if h := d.Held[i]; !(t >= 0) || !(h >= 0) || h > t || math.IsInf(t, 0) {
			return fmt.Errorf("row %d: %g held of %g trials; held must lie between 0 and the number of trials", i+1, h, t)
		}
	}
	return nil
}

// pick returns the rows with the indices given, columns of no term included.
func (d *Data) pick(rows []int) *Data {
	p := &Data{Numbers: map[string][]float64{}, Levels: map[string][]string{}}
	p.Held, p.Trials, p.Known = take(d.Held, rows), take(d.Trials, rows), take(d.Known, rows)
	p.Orientations = take(d.Orientations, rows)
	for name, c := range d.Numbers {
		p.Numbers[name] = take(c, rows)
	}
	for name, c := range d.Levels {
		p.Levels[name] = take(c, rows)
	}
	return p
}

func take[T any](column []T, rows []int) []T {
	if column == nil {
		return nil
	}
	out := make([]T, len(rows))
	for i, r := range rows {
		out[i] = column[r]
	}
	return out
}

// alike puts rows together that no term can tell apart. It returns the data of the distinct rows, in order of first
// appearance with summed counts, and for each row the index of its distinct one.
func (d *Data) alike(terms []Term) (*Data, []int) {
	of := make([]int, d.Len())
	known := map[string]int{}
	var first []int
	var key []byte
	bits := func(x float64) { key = binary.LittleEndian.AppendUint64(key, math.Float64bits(x+0)) }
	for i := range of {
		key = key[:0]
		for _, t := range terms {
			if t.Kind == Orientation {
				r, _ := d.Orientations[i].Normalized()
				r = r.Canonical()
				bits(r.W)
				bits(r.X)
				bits(r.Y)
				bits(r.Z)
			}
			for _, v := range t.Variables {
				bits(d.Numbers[v][i])
			}
			if t.By != "" {
				key = append(append(key, d.Levels[t.By][i]...), 0)
			}
		}
		if d.Known != nil {
			bits(d.Known[i])
		}
		at, seen := known[string(key)]
		if !seen {
			at = len(first)
			known[string(key)] = at
			first = append(first, i)
		}
		of[i] = at
	}
	out := d.pick(first)
	out.Held, out.Trials = make([]float64, len(first)), make([]float64, len(first))
	for i, at := range of {
		if d.Held != nil {
			out.Held[at] += d.Held[i]
			out.Trials[at] += d.Trials[i]
		}
	}
	return out, of
}
