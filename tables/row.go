package tables

import (
	"bytes"
	"io"
	"slices"
	"time"

	"holdfast/domain"
	"holdfast/orient"
)

// Source is a file to read. CSV and Parquet are told apart by their first bytes.
type Source struct {
	Name string // for messages
	Data io.ReaderAt
	Size int64 // bytes
}

// FromBytes makes a source of a file's content.
func FromBytes(name string, content []byte) Source {
	return Source{Name: name, Data: bytes.NewReader(content), Size: int64(len(content))}
}

// Row is one trial as a file tells it, in SI units. A field that the file does not give, or leaves empty, is zero and
// not in Given.
type Row struct {
	Number int    // data row of the file, from 1
	Line   int    // line of the file, from 1; 0 for Parquet
	Copy   int    // which trial of an aggregated row, from 1; 0: the row is one trial
	Given  Fields // what the file, the constants or the words of the column map gave

	Key                           string // never empty: made from the file's digest and the row where the file gives none
	Hand, Item, Setting, Strategy string // as written; names are resolved by the caller
	Operator, Note, VoidReason    string
	Rotation                      orient.Rotation // unit quaternion
	Outcome                       domain.Outcome
	Closing                       float64    // 0…1
	Offset                        [3]float64 // m
	PeakForce                     float64    // N
	Duration                      float64    // s
	Block                         int
	Reference                     bool
	StartedAt                     time.Time
	ItemSize                      float64 // m; with [StreamFeatures] only
	ItemMass                      float64 // kg; with [StreamFeatures] only
}

// Has says whether the field was given.
func (r *Row) Has(f Field) bool { return r.Given.Has(f) }

// Trial puts the row into a trial of the study. Hand, item, setting and strategy stay as written and empty where the
// file does not give them; the caller resolves them.
func (r *Row) Trial(study domain.ID) domain.Trial {
	t := domain.Trial{
		Study: study, Key: r.Key, Block: r.Block,
		Hand: domain.ID(r.Hand), Item: domain.ID(r.Item), Setting: domain.ID(r.Setting),
		Strategy: domain.StrategyKind(r.Strategy),
		Planned:  r.Rotation, Closing: r.Closing, Offset: r.Offset,
		Outcome: r.Outcome, VoidReason: r.VoidReason, Reference: r.Reference,
		Operator: r.Operator, Note: r.Note, StartedAt: r.StartedAt,
	}
	if r.Has(FieldPeakForce) {
		f := r.PeakForce
		t.PeakForce = &f
	}
	if r.Has(FieldDuration) {
		d := r.Duration
		t.Duration = &d
	}
	return t
}

// Summary tells what was found in a file.
type Summary struct {
	Rows       int      // data rows
	Count      int      // trials, which is more or less than Rows when they were aggregated
	Aggregated bool     // rows counted held and trials instead of giving an outcome
	Ignored    []string // columns not used, as the file writes them
	Digest     string   // SHA-256 of the file, lower-case hex
}

// Table is a whole file.
type Table struct {
	Summary
	Trials []Row // in file order; the trials of an aggregated row follow each other, held ones first
}

// Read reads all trials of a file. m may be nil: columns then carry the field names. A faulty file gives an [*Errors].
func Read(src Source, m *ColumnMap) (*Table, error) {
	t := &Table{}
	estimated := false
	sum, err := stream(src, m, wantTrials, func(r *Row, read int64) error {
		if n := len(t.Trials); n == cap(t.Trials) && n >= 500 && !estimated {
			// One large allocation from the share read so far instead of many ever larger ones.
			estimated = true
			total := 1.02*float64(n)*float64(src.Size)/float64(max(1, read)) + 64
			t.Trials = slices.Grow(t.Trials, max(n, int(min(total, maxTrials))-n))
		}
		t.Trials = append(t.Trials, *r)
		return nil
	})
	if err != nil {
		return nil, err
	}
	t.Summary = sum
	return t, nil
}

// Stream reads the trials of a file one after the other and hands each to yield; the row is reused afterwards. Rows
// are handed out as they are read: when Stream returns an error, which may be an [*Errors] found on the last row, the
// caller must discard all that it was given. An error of yield ends the reading and is returned.
func Stream(src Source, m *ColumnMap, yield func(*Row) error) (Summary, error) {
	return stream(src, m, wantTrials, func(r *Row, _ int64) error { return yield(r) })
}

// StreamFeatures is [Stream] for a reader that also wants what the file says of the items: size and mass, which a lab keeps
// in its catalogue and an import therefore passes over.
func StreamFeatures(src Source, m *ColumnMap, yield func(*Row) error) (Summary, error) {
	return stream(src, m, wantFeatures, func(r *Row, _ int64) error { return yield(r) })
}

// ReadGrid reads orientations, one a row, in file order. Columns that do not tell orientations are passed over.
func ReadGrid(src Source, m *ColumnMap) ([]orient.Rotation, error) {
	var grid []orient.Rotation
	_, err := stream(src, m, wantGrid, func(r *Row, _ int64) error {
		grid = append(grid, r.Rotation)
		return nil
	})
	if err != nil {
		return nil, err
	}
	return grid, nil
}
