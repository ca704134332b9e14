package workflow

import (
	"context"

	"holdfast/domain"
)

// Tally counts trials, with the exact 90 % interval of the share held.
type Tally struct {
	Trials, Held int
	Low, High    float64
}

// Progress tells how a study goes.
type Progress struct {
	Study       domain.ID
	Planned     int
	Done        int
	SecondsLeft float64
	Tally       Tally
	Blocks      []BlockProgress
	Drift       string  // what the reference trials say, in one sentence
	DriftP      float64 // two-sided p-value of a trend of the reference trials over blocks; 1 when it can not be tested
	Uninspected int     // held trials of items whose damage shows late, not yet inspected
}

// BlockProgress is one block's tally.
type BlockProgress struct {
	Block     int
	Planned   int
	Done      int
	Tally     Tally
	Reference Tally
}

// Progress tells how a study goes.
func (l *Lab) Progress(ctx context.Context, study domain.ID) (Progress, error) {
	return Progress{}, notYet
}

type countedStudy struct {
	done         map[int]bool
	trials, held int
}

func (l *Lab) counted(ctx context.Context, study domain.ID) (countedStudy, error) {
	return countedStudy{}, nil
}
