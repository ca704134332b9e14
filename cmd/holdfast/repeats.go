package main

import (
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"strconv"
	"strings"

	"holdfast/statistics/value"
)

// readRepeats reads a CSV file with a row for each item that was tried, and how often it was tried and held. Every fault
// names line and column.
func readRepeats(path string) ([]value.Repeats, error) {
	columns := []string{"tried", "held"}
	f, in, at, err := openColumnFile(path, columns, "tried and held")
	if err != nil {
		return nil, err
	}
	defer f.Close()
	name := filepath.Base(path)
	var list []value.Repeats
	for {
		row, err := in.Read()
		if errors.Is(err, io.EOF) {
			return list, nil
		}
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		line, _ := in.FieldPos(0)
		var n [2]int
		for i := range n {
			word := strings.TrimSpace(row[at[i]])
			if n[i], err = strconv.Atoi(word); err != nil || n[i] < 0 || n[i] > 1e6 {
				return nil, fmt.Errorf("%s, line %d, column %s: %q is not a count", name, line, columns[i], word)
			}
		}
		if n[1] > n[0] {
			return nil, fmt.Errorf("%s, line %d: %d held of %d tried; there can not be more held than tried", name, line, n[1], n[0])
		}
		list = append(list, value.Repeats{Tried: n[0], Held: n[1]})
	}
}
