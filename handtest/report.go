package handtest

import (
	"fmt"
	"math"
	"slices"

	"holdfast/numeric"
	"holdfast/readings"
)

// Figure is a number that a test yields.
type Figure struct {
	Name  string   `json:"name"`
	Group string   `json:"group,omitempty"` // finger, direction, size … that it is of
	Unit  string   `json:"unit"`
	Value float64  `json:"value"`
	Low   *float64 `json:"low,omitempty"`  // nil: the record sets no lower limit
	High  *float64 `json:"high,omitempty"` // nil: it sets no upper one
	Basis string   `json:"basis"`          // what value and limits rest on
}

// Series is the data of one line or cloud of a plot.
type Series struct {
	Name   string       `json:"name"`
	X      string       `json:"x"` // what and unit
	Y      string       `json:"y"`
	Draw   string       `json:"draw"` // Line, Points, Open, Bars or Whiskers
	Points [][2]float64 `json:"points"`
}

// How a series is drawn.
const (
	Line     = ""         // joined, in the order of its points
	Points   = "points"   // readings by themselves
	Open     = "open"     // readings of which only a limit is known, such as runs that go on
	Bars     = "bars"     // from 0 up to each point, BarWidth wide
	Whiskers = "whiskers" // from each even point to the next: lower and upper limit at one place
)

// BarWidth is how wide a bar is, in units of x.
const BarWidth = 0.2

// The axes of a report's plot.
const (
	PlainAxes   = ""
	WeibullAxes = "weibull" // x by its logarithm, shares p by ln(−ln(1 − p)): a Weibull law is a straight line
)

// Report is what a test says.
type Report struct {
	Kind    string   `json:"kind"`
	Title   string   `json:"title"`
	Rows    int      `json:"rows"`
	Level   float64  `json:"level"`
	Figures []Figure `json:"figures"`
	Series  []Series `json:"series"`
	Axes    string   `json:"axes"`             // of the plot: PlainAxes or WeibullAxes
	Labels  []string `json:"labels,omitempty"` // of x = 1, 2, … in the plot, where these are names and no numbers
	Notes   []string `json:"notes"`            // what the record does not show, and cautions
}

// untoldUnit stands for the unit of values whose unit nobody told.
const untoldUnit = "unit of value"

// Settings are what the tests need beside their tables.
type Settings struct {
	Level float64 // of the intervals, in (0, 1)
	Ramp  float64 // s, of a relaxation test; 0 takes the time of the largest force
	Terms int     // exponential terms of a relaxation test, 1 to 3
	Limit float64 // value at which a worn hand is replaced; NaN for none
	Unit  string  // of the values of tests that take any; empty: as the table's header says
}

// Kind is a test.
type Kind struct {
	Name    string
	Title   string
	Columns []readings.Column
	compute func(*readings.Table, Settings, *Report) error
}

// TakesUnit says that the test's values may have any unit, which has to be told.
func (k Kind) TakesUnit() bool {
	return slices.ContainsFunc(k.Columns, func(c readings.Column) bool { return c.AnyUnit })
}

// Compute runs a test on a table that was read with its columns. Records that can
// not answer are errors that say what to measure.
func (k Kind) Compute(t *readings.Table, s Settings) (*Report, error) {
	if !(s.Level > 0 && s.Level < 1) {
		return nil, fmt.Errorf("the level must lie between 0 and 1, not %g", s.Level)
	}
	r := &Report{Kind: k.Name, Title: k.Title, Rows: t.Rows, Level: s.Level, Figures: []Figure{}, Series: []Series{}, Notes: []string{}}
	if s.Unit == "" {
		s.Unit = t.Unit
	}
	if s.Unit == "" {
		s.Unit = untoldUnit
	}
	if err := k.compute(t, s, r); err != nil {
		return nil, err
	}
	for _, f := range r.Figures {
		if math.IsNaN(f.Value) || math.IsInf(f.Value, 0) {
			return nil, fmt.Errorf("%s %s has no finite value in this record; look for readings that do not belong to it", f.Name, f.Group)
		}
	}
	return r, nil
}

// Find returns the test of a name.
func Find(name string) (Kind, bool) {
	for _, k := range Kinds() {
		if k.Name == name {
			return k, true
		}
	}
	return Kind{}, false
}

func (r *Report) add(name, group, unit string, value, low, high float64, basis string) {
	r.Figures = append(r.Figures, Figure{name, group, unit, value, known(low), known(high), basis})
}

func (r *Report) note(format string, args ...any) {
	r.Notes = append(r.Notes, fmt.Sprintf(format, args...))
}

func known(v float64) *float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	return &v
}

// meanOf adds the mean of values with Student's interval; without limits for a single value.
func (r *Report) meanOf(name, group, unit string, values []float64) {
	mean, sd := moments(values)
	n := float64(len(values))
	if len(values) < 2 {
		r.add(name, group, unit, mean, math.NaN(), math.NaN(), "one value: no interval")
		return
	}
	half := numeric.StudentQuantile((1+r.Level)/2, n-1) * sd / math.Sqrt(n)
	r.add(name, group, unit, mean, mean-half, mean+half, fmt.Sprintf("mean of %d, Student's t", len(values)))
}

// moments returns mean and standard deviation; NaN for the latter with one value.
func moments(v []float64) (mean, sd float64) {
	for _, x := range v {
		mean += x / float64(len(v))
	}
	for _, x := range v {
		sd += (x - mean) * (x - mean)
	}
	return mean, math.Sqrt(sd / float64(len(v)-1))
}

func pick(v []float64, rows []int) []float64 {
	out := make([]float64, len(rows))
	for i, r := range rows {
		out[i] = v[r]
	}
	return out
}
