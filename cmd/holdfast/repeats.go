package main

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"holdfast/statistics/value"
)

// readRepeats reads a CSV file with a row for each item that was tried, and how often it was tried and held. Every fault
// names line and column.
func readRepeats(path string) ([]value.Repeats, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, fileError(path, err)
	}
	defer f.Close()
	name := filepath.Base(path)
	in := csv.NewReader(f)
	in.TrimLeadingSpace = true
	header, err := in.Read()
	if err != nil {
		return nil, fmt.Errorf("%s has no header; its first line must name the columns tried and held", name)
	}
	var at [2]int
	columns := []string{"tried", "held"}
	for i, want := range columns {
		at[i] = slices.IndexFunc(header, func(h string) bool {
			return strings.EqualFold(strings.TrimSpace(strings.TrimPrefix(h, "\uFEFF")), want)
		})
		if at[i] < 0 {
			return nil, fmt.Errorf("%s has no column %s; it needs tried and held", name, want)
		}
	}
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
