package main

import (
	"encoding/csv"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// openColumnFile opens a CSV file and finds where the named columns stand in its header; told is how people are told of them.
// The caller closes the file.
func openColumnFile(path string, columns []string, told string) (f *os.File, in *csv.Reader, at []int, err error) {
	f, err = os.Open(path)
	if err != nil {
		return nil, nil, nil, fileError(path, err)
	}
	name := filepath.Base(path)
	in = csv.NewReader(f)
	in.TrimLeadingSpace = true
	header, err := in.Read()
	if err != nil {
		_ = f.Close()
		return nil, nil, nil, fmt.Errorf("%s has no header; its first line must name the columns %s", name, told)
	}
	for _, want := range columns {
		i := slices.IndexFunc(header, func(h string) bool {
			return strings.EqualFold(strings.TrimSpace(strings.TrimPrefix(h, "\uFEFF")), want)
		})
		if i < 0 {
			_ = f.Close()
			return nil, nil, nil, fmt.Errorf("%s has no column %s; it needs %s", name, want, told)
		}
		at = append(at, i)
	}
	return f, in, at, nil
}
