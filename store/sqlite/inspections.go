package sqlite

import (
	"context"
	"database/sql"

	"holdfast/domain"
)

// findingNums are the numbers of the findings in the database.
var findingNums = map[domain.Finding]int64{domain.FindingSound: 1, domain.FindingDamaged: 2}

func findingOf(num int64) domain.Finding {
	for f, n := range findingNums {
		if n == num {
			return f
		}
	}
	return ""
}

// readFindings returns the newest finding by root.
func readFindings(ctx context.Context, q querier, num int64) (map[domain.TrialID]domain.Finding, error) {
	rows, err := q.QueryContext(ctx, `SELECT trial, finding FROM inspection WHERE study = ? ORDER BY trial, id`, num)
	if err != nil {
		return nil, wrap("reading inspections", err)
	}
	defer rows.Close()
	findings := map[domain.TrialID]domain.Finding{}
	for rows.Next() {
		var trial domain.TrialID
		var finding int64
		if err := rows.Scan(&trial, &finding); err != nil {
			return nil, wrap("reading inspections", err)
		}
		findings[trial] = findingOf(finding)
	}
	return findings, wrap("reading inspections", rows.Err())
}

func readInspections(ctx context.Context, q querier, where string, args ...any) ([]domain.Inspection, error) {
	rows, err := q.QueryContext(ctx, `SELECT id, trial, key, finding, inspector, note, seen, recorded FROM inspection WHERE `+where+` ORDER BY id`, args...)
	if err != nil {
		return nil, wrap("reading inspections", err)
	}
	defer rows.Close()
	var list []domain.Inspection
	for rows.Next() {
		var in domain.Inspection
		var finding int64
		var inspector, note sql.NullString
		var seen, recorded sql.NullInt64
		if err := rows.Scan(&in.ID, &in.Trial, &in.Key, &finding, &inspector, &note, &seen, &recorded); err != nil {
			return nil, wrap("reading inspections", err)
		}
		in.Finding, in.Inspector, in.Note = findingOf(finding), inspector.String, note.String
		in.SeenAt, in.Recorded = fromStamp(seen), fromStamp(recorded)
		list = append(list, in)
	}
	return list, wrap("reading inspections", rows.Err())
}

// Inspect stores inspections; see [domain.Trials]. A trial that does not exist in the study is KindNotFound, a known
// key with another trial or finding KindConflict.
func (l *Lab) Inspect(ctx context.Context, study domain.ID, list []domain.Inspection) (stored []domain.Inspection, repeated []bool, err error) {
	c, err := l.begin(ctx)
	if err != nil {
		return nil, nil, err
	}
	defer c.drop()
	n, err := l.note(c.ctx, c, study)
	if err != nil {
		return nil, nil, err
	}
	if err := n.bounds(c.ctx, c); err != nil {
		return nil, nil, err
	}
	stored, repeated = make([]domain.Inspection, len(list)), make([]bool, len(list))
	for i := range list {
		if stored[i], repeated[i], err = c.inspect(study, &n, list[i]); err != nil {
			return nil, nil, atRow(err, i, len(list))
		}
	}
	c.after = append(c.after, func() { l.remember(study, n) })
	if err := c.commit(); err != nil {
		return nil, nil, err
	}
	return stored, repeated, nil
}

func (c *change) inspect(study domain.ID, n *studyNotes, in domain.Inspection) (domain.Inspection, bool, error) {
	named := in.Trial
	err := c.QueryRowContext(c.ctx, `SELECT coalesce(first, id) FROM trial WHERE id = ? AND study = ?`, int64(named), n.num).Scan(&in.Trial)
	if isNoRows(err) {
		return in, false, noSuchTrial(study, named)
	}
	if err != nil {
		return in, false, wrap("reading the inspected trial", err)
	}
	if !in.SeenAt.IsZero() {
		in.SeenAt = in.SeenAt.Round(0).UTC()
	}
	if !in.Recorded.IsZero() {
		in.Recorded = in.Recorded.Round(0).UTC()
	}
	err = c.QueryRowContext(c.ctx, `INSERT INTO inspection (study, key, trial, finding, inspector, note, seen, recorded) VALUES (?, ?, ?, ?, ?, ?, ?, ?)
		ON CONFLICT (study, key) DO NOTHING RETURNING id`, n.num, in.Key, int64(in.Trial), findingNums[in.Finding], text(in.Inspector), text(in.Note),
		stamp(in.SeenAt), stamp(in.Recorded)).Scan(&in.ID)
	if err == nil {
		n.seen = in.ID
		return in, false, nil
	}
	if !isNoRows(err) {
		return in, false, wrap("storing an inspection", err)
	}
	old, err := readInspections(c.ctx, c, `study = ? AND key = ?`, n.num, in.Key)
	if err != nil || len(old) == 0 {
		return in, false, wrap("reading an inspection", err)
	}
	if old[0].Trial != in.Trial || old[0].Finding != in.Finding {
		return in, false, domain.Errorf(domain.KindConflict, "key %q is already used by the inspection of %v (%s); give every inspection a key of its own", in.Key, old[0].Trial, old[0].Finding)
	}
	return old[0], true, nil
}
