package readings

import (
	"errors"
	"fmt"
	"strings"
)

// mostFaults is how many faults of a table are told at once.
const mostFaults = 8

// Faults gathers what is wrong with a table, a line each; what comes after the eighth is left out.
type Faults []string

// Add notes a fault of a cell. The header is row 1.
func (f *Faults) Add(row int, column, format string, args ...any) {
	if len(*f) < mostFaults {
		*f = append(*f, fmt.Sprintf("row %d, column %s: ", row, column)+fmt.Sprintf(format, args...))
	}
}

// Err returns all faults as one error, nil when there are none.
func (f Faults) Err() error {
	if len(f) == 0 {
		return nil
	}
	return errors.New(strings.Join(f, "\n"))
}
