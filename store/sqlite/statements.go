package sqlite

import (
	"context"
	"database/sql"
	"strings"

	"holdfast/domain"
)

// statements are prepared once for the writer: a logged trial must not wait for SQL to be parsed.
type statements struct {
	insertTrial [shapes]*sql.Stmt // by shape
	runTaken    *sql.Stmt
}

func (s *statements) prepare(ctx context.Context, db *sql.DB) (err error) {
	for i := range s.insertTrial {
		if s.insertTrial[i], err = db.PrepareContext(ctx, insertTrial(shape(i))); err != nil {
			return domain.Internal("preparing the lab's statements", err)
		}
	}
	if s.runTaken, err = db.PrepareContext(ctx, runTaken); err != nil {
		return domain.Internal("preparing the lab's statements", err)
	}
	return nil
}

func (s *statements) close() {
	for _, stmt := range append(s.insertTrial[:], s.runTaken) {
		if stmt != nil {
			stmt.Close()
		}
	}
}

// shape says which of the columns that are mostly empty an entry fills. Leaving the others out of the statement saves a
// third of the work of handing over a row.
type shape uint8

const (
	shapeCorrection shape = 1 << iota // corrects, first
	shapePlanned                      // ord
	shapeMeasured                     // mw, mx, my, mz
	shapeWords                        // void_reason, reference, note, proof
	shapes
)

// shapeColumns are the columns of each bit of a shape, in the order of [appendRow].
var shapeColumns = []string{"corrects, first", "ord", "mw, mx, my, mz", "void_reason, reference, note, proof"}

func shapeOf(t *domain.Trial) (s shape) {
	if t.Corrects != 0 {
		s |= shapeCorrection
	}
	if t.Order != 0 {
		s |= shapePlanned
	}
	if t.Measured != nil {
		s |= shapeMeasured
	}
	if t.VoidReason != "" || t.Apart() || t.Note != "" {
		s |= shapeWords
	}
	return s
}

// insertTrial gives the statement for entries of a shape. It does nothing when the key is in the study's record already.
func insertTrial(s shape) string {
	columns := "study, key, block, condition, qw, qx, qy, qz, closing, offset_x, offset_y, offset_z, peak_force, duration, outcome, operator, started, recorded"
	for bit, more := range shapeColumns {
		if s&(1<<bit) != 0 {
			columns += ", " + more
		}
	}
	return "INSERT INTO trial (" + columns + ") VALUES (?" + strings.Repeat(", ?", strings.Count(columns, ",")) + ") ON CONFLICT (study, key) DO NOTHING"
}

// appendRow appends the values of an entry in the order of [insertTrial].
func appendRow(args []any, study, condition int64, t *domain.Trial) []any {
	q := &t.Planned
	args = append(args, study, t.Key, number(t.Block), condition, q.W, q.X, q.Y, q.Z, t.Closing)
	if o := &t.Offset; *o != [3]float64{} {
		args = append(args, o[0], o[1], o[2])
	} else {
		args = append(args, nil, nil, nil)
	}
	args = append(args, value(t.PeakForce), value(t.Duration), outcomeNums[t.Outcome], text(t.Operator), stamp(t.StartedAt), stamp(t.RecordedAt))
	s := shapeOf(t)
	if s&shapeCorrection != 0 {
		args = append(args, int64(t.Corrects), int64(t.Root))
	}
	if s&shapePlanned != 0 {
		args = append(args, int64(t.Order))
	}
	if m := t.Measured; m != nil {
		args = append(args, m.W, m.X, m.Y, m.Z)
	}
	if s&shapeWords != 0 {
		args = append(args, text(t.VoidReason), flag(t.Reference), text(t.Note), text(string(t.Proof)))
	}
	return args
}

// runTaken finds the first entry of another chain whose newest entry counts for the planned run.
const runTaken = `SELECT coalesce(t.first, t.id) FROM trial t WHERE t.study = ?1 AND t.ord = ?2 AND t.outcome <> 9
	AND coalesce(t.first, t.id) <> ?3 AND NOT EXISTS (SELECT 1 FROM trial c WHERE c.corrects = t.id) LIMIT 1`
