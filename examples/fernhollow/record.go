package fernhollow

import (
	"bytes"
	_ "embed"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"

	"holdfast/domain"
	"holdfast/orient"
)

// recordFile holds what the simulator said of the trials that [Fill] needs, so that the demonstration opens at once. It is
// written by go test ./examples/fernhollow -run Record -update, and a test simulates a sample of it again.
//
//go:embed trials.csv
var recordFile []byte

const recordName = "trials.csv"

var recordColumns = []string{
	"source", "number", "hand", "item", "setting", "strategy", "qw", "qx", "qy", "qz", "closing", "offset_x_mm", "offset_y_mm",
	"outcome", "peak_force_N", "peak_pressure_kPa", "duration_s", "reason",
}

// name is how a trial is named in the record.
type name struct {
	source domain.ID
	number int
}

// entry is a line of the record.
type entry struct {
	attempt
	shown
}

// record is what is known of trials. One that is not in it, or that was asked for otherwise, is simulated: on processors that
// round otherwise a batch may be placed elsewhere.
type record struct {
	known     map[name]*entry
	simulator simulator
	asked     []entry // in the order in which they were asked for
}

func (r *record) try(a *attempt) (shown, error) {
	var s shown
	if e := r.known[name{a.source, a.number}]; e != nil && e.attempt.same(a) {
		s = e.shown
	} else {
		var err error
		if s, err = r.simulator.try(a); err != nil {
			return s, err
		}
	}
	r.asked = append(r.asked, entry{*a, s})
	return s, nil
}

// same says that both ask for the same, but for the rounding of a file.
func (a *attempt) same(b *attempt) bool {
	close := func(x, y float64) bool { return math.Abs(x-y) < 1e-9 }
	p, q := a.rotation, b.rotation
	return a.source == b.source && a.number == b.number && a.condition == b.condition && close(p.W, q.W) && close(p.X, q.X) && close(p.Y, q.Y) &&
		close(p.Z, q.Z) && close(a.closing, b.closing) && close(a.offset[0], b.offset[0]) && close(a.offset[1], b.offset[1])
}

// writeRecord writes entries so that [readRecord] gives them again.
func writeRecord(w io.Writer, entries []entry) error {
	out := csv.NewWriter(w)
	if err := out.Write(recordColumns); err != nil {
		return err
	}
	number := func(x float64, digits int) string { return strconv.FormatFloat(x, 'f', digits, 64) }
	for i := range entries {
		e := &entries[i]
		c, q := e.condition, e.rotation
		if err := out.Write([]string{
			string(e.source), strconv.Itoa(e.number), string(c.Hand), string(c.Item), string(c.Setting), string(c.Strategy),
			number(q.W, 12), number(q.X, 12), number(q.Y, 12), number(q.Z, 12), number(e.closing, 6), number(e.offset[0]*1e3, 9), number(e.offset[1]*1e3, 9),
			string(e.outcome), number(e.peakForce, 3), number(e.peakPressure/1e3, 2), number(e.duration, 3), e.reason,
		}); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

// readRecord reads a record. Its errors tell file, line and column.
func readRecord(text []byte) (*record, error) {
	in := csv.NewReader(bytes.NewReader(text))
	in.FieldsPerRecord = len(recordColumns)
	head, err := in.Read()
	if err != nil {
		return nil, fmt.Errorf("%s: %w", recordName, err)
	}
	if !slices.Equal(head, recordColumns) {
		return nil, fmt.Errorf("%s, line 1: the columns are %q; they must be %q", recordName, head, recordColumns)
	}
	r := &record{known: map[name]*entry{}}
	for {
		row, err := in.Read()
		if errors.Is(err, io.EOF) {
			return r, nil
		}
		if err != nil {
			return nil, fmt.Errorf("%s: %w", recordName, err)
		}
		line, _ := in.FieldPos(0)
		e, err := readEntry(row)
		if err != nil {
			return nil, fmt.Errorf("%s, line %d: %w", recordName, line, err)
		}
		at := name{e.source, e.number}
		if r.known[at] != nil {
			return nil, fmt.Errorf("%s, line %d: trial %d of %s stands here twice; take one line away", recordName, line, e.number, e.source)
		}
		r.known[at] = e
	}
}

func readEntry(row []string) (*entry, error) {
	var faults error
	number := func(column int, low, high float64) float64 {
		x, err := strconv.ParseFloat(row[column], 64)
		if err != nil || !(x >= low && x <= high) {
			faults = errors.Join(faults, fmt.Errorf("%s is %q; it must be a number from %g to %g", recordColumns[column], row[column], low, high))
		}
		return x
	}
	e := &entry{
		attempt: attempt{
			source: domain.ID(row[0]), number: int(number(1, 0, 1e6)),
			condition: domain.Condition{Hand: domain.ID(row[2]), Item: domain.ID(row[3]), Setting: domain.ID(row[4]), Strategy: domain.StrategyKind(row[5])},
			rotation:  orient.Rotation{W: number(6, -1, 1), X: number(7, -1, 1), Y: number(8, -1, 1), Z: number(9, -1, 1)},
			closing:   number(10, 0, 1), offset: [3]float64{number(11, -1e3, 1e3) / 1e3, number(12, -1e3, 1e3) / 1e3},
		},
		shown: shown{
			outcome: domain.Outcome(row[13]), peakForce: number(14, 0, 1e6), peakPressure: number(15, 0, 1e6) * 1e3, duration: number(16, 0, 1e4), reason: row[17],
		},
	}
	if !slices.Contains(domain.Outcomes, e.outcome) {
		faults = errors.Join(faults, fmt.Errorf("outcome is %q; it must be one of %q", row[13], domain.Outcomes))
	}
	return e, faults
}
