package sqlite

import (
	"context"
	"database/sql"

	"holdfast/domain"
)

// statements are prepared once for the writer: a logged trial must not wait for SQL to be parsed.
type statements struct {
	insertTrial *sql.Stmt
	runTaken    *sql.Stmt
}

func (s *statements) prepare(ctx context.Context, db *sql.DB) (err error) {
	for _, p := range []struct {
		stmt **sql.Stmt
		text string
	}{
		{&s.insertTrial, insertTrial},
		{&s.runTaken, runTaken},
	} {
		if *p.stmt, err = db.PrepareContext(ctx, p.text); err != nil {
			return domain.Internal("preparing the lab's statements", err)
		}
	}
	return nil
}

func (s *statements) close() {
	for _, stmt := range []*sql.Stmt{s.insertTrial, s.runTaken} {
		if stmt != nil {
			stmt.Close()
		}
	}
}

// insertTrial does nothing when the key is in the study's record already.
const insertTrial = `INSERT INTO trial (study, key, corrects, first, ord, block, condition, qw, qx, qy, qz, mw, mx, my, mz, closing,
	offset_x, offset_y, offset_z, peak_force, duration, outcome, void_reason, reference, operator, note, started, recorded)
	VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?) ON CONFLICT (study, key) DO NOTHING`

// runTaken finds the first entry of another chain whose newest entry counts for the planned run.
const runTaken = `SELECT coalesce(t.first, t.id) FROM trial t WHERE t.study = ?1 AND t.ord = ?2 AND t.outcome <> 9
	AND coalesce(t.first, t.id) <> ?3 AND NOT EXISTS (SELECT 1 FROM trial c WHERE c.corrects = t.id) LIMIT 1`
