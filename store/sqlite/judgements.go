package sqlite

import (
	"context"
	"database/sql"

	"holdfast/domain"
)

func readJudgements(ctx context.Context, q querier, where string, args ...any) ([]domain.Judgement, error) {
	rows, err := q.QueryContext(ctx, `SELECT j.id, j.trial, j.key, j.judge, o.name, j.note, j.judged, j.recorded
		FROM judgement j JOIN outcome o ON o.num = j.outcome WHERE `+where+` ORDER BY j.id`, args...)
	if err != nil {
		return nil, wrap("reading judgements", err)
	}
	defer rows.Close()
	var list []domain.Judgement
	for rows.Next() {
		var j domain.Judgement
		var note sql.NullString
		var judged, recorded sql.NullInt64
		if err := rows.Scan(&j.ID, &j.Trial, &j.Key, &j.Judge, &j.Outcome, &note, &judged, &recorded); err != nil {
			return nil, wrap("reading judgements", err)
		}
		j.Note, j.JudgedAt, j.Recorded = note.String, fromStamp(judged), fromStamp(recorded)
		list = append(list, j)
	}
	return list, wrap("reading judgements", rows.Err())
}

// Judgements returns all judgements of the study; see [domain.Judgements].
func (l *Lab) Judgements(ctx context.Context, study domain.ID) ([]domain.Judgement, error) {
	tx, err := l.snapshot(ctx)
	if err != nil {
		return nil, err
	}
	defer tx.Rollback()
	n, err := l.note(ctx, tx, study)
	if err != nil {
		return nil, err
	}
	return readJudgements(ctx, tx, `j.study = ?`, n.num)
}

// Judge stores judgements; see [domain.Judgements].
func (l *Lab) Judge(ctx context.Context, study domain.ID, list []domain.Judgement) (stored []domain.Judgement, repeated []bool, err error) {
	c, err := l.begin(ctx)
	if err != nil {
		return nil, nil, err
	}
	defer c.drop()
	n, err := l.note(c.ctx, c, study)
	if err != nil {
		return nil, nil, err
	}
	stored, repeated = make([]domain.Judgement, len(list)), make([]bool, len(list))
	for i := range list {
		if stored[i], repeated[i], err = c.judge(study, n.num, list[i]); err != nil {
			return nil, nil, atRow(err, i, len(list))
		}
	}
	if err := c.commit(); err != nil {
		return nil, nil, err
	}
	return stored, repeated, nil
}

func (c *change) judge(study domain.ID, num int64, j domain.Judgement) (domain.Judgement, bool, error) {
	named := j.Trial
	err := c.QueryRowContext(c.ctx, `SELECT coalesce(first, id) FROM trial WHERE id = ? AND study = ?`, int64(named), num).Scan(&j.Trial)
	if isNoRows(err) {
		return j, false, noSuchTrial(study, named)
	}
	if err != nil {
		return j, false, wrap("reading the judged trial", err)
	}
	if !j.JudgedAt.IsZero() {
		j.JudgedAt = j.JudgedAt.Round(0).UTC()
	}
	if !j.Recorded.IsZero() {
		j.Recorded = j.Recorded.Round(0).UTC()
	}
	err = c.QueryRowContext(c.ctx, `INSERT INTO judgement (study, key, trial, judge, outcome, note, judged, recorded) VALUES (?, ?, ?, ?, ?, ?, ?, ?)
		ON CONFLICT (study, key) DO NOTHING RETURNING id`, num, j.Key, int64(j.Trial), j.Judge, outcomeNums[j.Outcome], text(j.Note),
		stamp(j.JudgedAt), stamp(j.Recorded)).Scan(&j.ID)
	if err == nil {
		return j, false, nil
	}
	if !isNoRows(err) {
		return j, false, wrap("storing a judgement", err)
	}
	old, err := readJudgements(c.ctx, c, `j.study = ? AND j.key = ?`, num, j.Key)
	if err != nil || len(old) == 0 {
		return j, false, wrap("reading a judgement", err)
	}
	if o := old[0]; o.Trial != j.Trial || o.Judge != j.Judge || o.Outcome != j.Outcome {
		return j, false, domain.Errorf(domain.KindConflict, "key %q is already used by the judgement of %v by %s (%s); give every judgement a key of its own", j.Key, o.Trial, o.Judge, o.Outcome)
	}
	return old[0], true, nil
}
