package readings

import (
	"fmt"
	"io"
	"strconv"
	"strings"
)

// mostNumbered bounds how many numbered columns a record may have.
const mostNumbered = 4096

// ReadNumbered reads a table like [Read] that has, beside the named columns, one column for each of several sensors:
// the prefix with 1, 2, 3 and so on behind it, in any order, none left out. rows has the readings by row and sensor.
func ReadNumbered(in io.Reader, columns []Column, prefix string) (t *Table, rows [][]float64, err error) {
	var n int
	if t, err = read(in, columns, prefix, &n); err != nil {
		return nil, nil, err
	}
	rows = make([][]float64, t.Rows)
	for i := range rows {
		rows[i] = make([]float64, n)
	}
	for k := range n {
		name := prefix + strconv.Itoa(k+1)
		for i, v := range t.Numbers[name] {
			rows[i][k] = v
		}
		delete(t.Numbers, name)
	}
	return t, rows, nil
}

// Series is what several sensors read over time.
type Series struct {
	Times    []float64   // s, rising
	Readings [][]float64 // by moment and sensor
}

// ReadSeries reads a table like [ReadNumbered] with one named column, time_s, which must rise from row to row.
func ReadSeries(in io.Reader, prefix string) (*Series, error) {
	t, rows, err := ReadNumbered(in, []Column{{Name: "time_s", Meaning: "time of the readings"}}, prefix)
	if err != nil {
		return nil, err
	}
	s := &Series{Times: t.Numbers["time_s"], Readings: rows}
	var wrong Faults
	for i := 1; i < len(s.Times); i++ {
		if !(s.Times[i] > s.Times[i-1]) {
			wrong.Add(i+2, "time_s", "must be later than the row before, %g (got %g)", s.Times[i-1], s.Times[i])
		}
	}
	if err := wrong.Err(); err != nil {
		return nil, err
	}
	return s, nil
}

// WriteSeries writes a series as [ReadSeries] reads it.
func WriteSeries(out io.Writer, s *Series, prefix string) error {
	var b strings.Builder
	b.WriteString("time_s")
	WriteNumberedHeader(&b, prefix, len(s.Readings[0]))
	for i, row := range s.Readings {
		b.WriteString(Number(s.Times[i]))
		WriteRow(&b, row)
	}
	_, err := io.WriteString(out, b.String())
	return err
}

// WriteNumberedHeader ends a header with the columns of n sensors.
func WriteNumberedHeader(b *strings.Builder, prefix string, n int) {
	for k := range n {
		b.WriteString("," + prefix + strconv.Itoa(k+1))
	}
	b.WriteString("\n")
}

// WriteRow ends a row with the readings of all sensors.
func WriteRow(b *strings.Builder, row []float64) {
	for _, v := range row {
		b.WriteString("," + Number(v))
	}
	b.WriteString("\n")
}

// Number writes a number so that it is read again to the bit.
func Number(x float64) string { return strconv.FormatFloat(x, 'g', -1, 64) }

// numbered counts the columns with the prefix and says which one is missing.
func numbered(place map[string]int, prefix string) (n int, err error) {
	highest := 0
	for name := range place {
		number, is := strings.CutPrefix(name, prefix)
		if v, err := strconv.Atoi(number); is && err == nil && v >= 1 && strconv.Itoa(v) == number {
			n++
			highest = max(highest, v)
		}
	}
	if n == 0 {
		return 0, fmt.Errorf("row 1: there is no column %s1; each sensor needs one: %s1, %s2 and so on", prefix, prefix, prefix)
	}
	if n > mostNumbered {
		return 0, fmt.Errorf("row 1: there are %d columns %s…; at most %d are read", n, prefix, mostNumbered)
	}
	if highest != n {
		for k := 1; ; k++ {
			if _, there := place[prefix+strconv.Itoa(k)]; !there {
				return 0, fmt.Errorf("row 1: there is no column %s%d, though there is %s%d; number the sensors from 1 and leave none out", prefix, k, prefix, highest)
			}
		}
	}
	return n, nil
}
