package handtest

import (
	"fmt"
	"io"
	"strconv"
	"strings"
)

// mostNumbered bounds how many numbered columns a record may have.
const mostNumbered = 4096

// ReadNumbered reads a table like [ReadTable] that has, beside the named columns, one column for each of several sensors:
// the prefix with 1, 2, 3 and so on behind it, in any order, none left out. rows has the readings by row and sensor.
func ReadNumbered(in io.Reader, columns []Column, prefix string) (t *Table, rows [][]float64, err error) {
	var n int
	if t, err = readTable(in, columns, prefix, &n); err != nil {
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
