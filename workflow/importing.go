package workflow

import (
	"context"

	"holdfast/domain"
	"holdfast/orient"
	"time"
)

// ImportRow is one trial as a file tells it. Empty names and nil numbers were not given.
type ImportRow struct {
	Number    int // data row of the file, from 1
	Key       string
	Hand      string
	Item      string
	Setting   string
	Strategy  string
	Rotation  orient.Rotation
	Closing   *float64   // 0…1
	Offset    [3]float64 // m
	PeakForce *float64   // N
	Duration  *float64   // s
	Block     int
	Outcome   domain.Outcome
	Void      string // reason
	Reference bool
	Operator  string
	Note      string
	StartedAt time.Time
}

// ImportResult tells what an import did, or would do.
type ImportResult struct {
	Rows     int
	Stored   int
	Repeated int
	DryRun   bool
}

// RowFault says what is wrong with one row of an import.
type RowFault struct {
	Row    int    // data row, from 1
	Column string // column as the standard names it
	Value  string
	Reason string
}

// Import records the rows as trials of the study, all or none.
func (l *Lab) Import(ctx context.Context, study domain.ID, rows []ImportRow, dryRun bool) (ImportResult, []RowFault, error) {
	return ImportResult{}, nil, notYet
}
