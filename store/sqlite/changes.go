package sqlite

import (
	"context"
	"slices"

	"holdfast/domain"
)

// mostTouched is how many touched trials are looked up one by one; beyond it reading the whole record is quicker.
const mostTouched = 1000

// Changes returns what entries and inspections beyond the position touched; see [domain.Trials].
func (l *Lab) Changes(ctx context.Context, study domain.ID, since domain.Position) ([]domain.CountedTrial, domain.Position, error) {
	tx, err := l.snapshot(ctx)
	if err != nil {
		return nil, since, err
	}
	defer tx.Rollback()
	n, err := l.note(ctx, tx, study)
	if err != nil {
		return nil, since, err
	}
	now := since
	roots, err := touched(ctx, tx, n.num, since, &now)
	if err != nil || len(roots) == 0 {
		return nil, now, err
	}
	var list []domain.CountedTrial
	if len(roots) > mostTouched {
		err = eachCountedOf(ctx, tx, study, n, domain.TrialFilter{}, func(t *domain.CountedTrial) bool {
			if _, is := slices.BinarySearch(roots, t.Root); is {
				list = append(list, *t)
			}
			return true
		})
		return list, now, err
	}
	r, err := newTrialReader(ctx, tx, study)
	if err != nil {
		return nil, since, err
	}
	for _, root := range roots {
		t, err := r.countedOne(ctx, tx, n.num, root)
		if err != nil {
			return nil, since, err
		}
		list = append(list, t)
	}
	return list, now, nil
}

// touched returns the first entries of the chains that were touched since, ascending, and moves now to what is newest.
func touched(ctx context.Context, q querier, num int64, since domain.Position, now *domain.Position) ([]domain.TrialID, error) {
	rows, err := q.QueryContext(ctx, `SELECT id, coalesce(first, id), 0 FROM trial NOT INDEXED WHERE id > ?2 AND study = ?1
		UNION ALL SELECT id, trial, 1 FROM inspection NOT INDEXED WHERE id > ?3 AND study = ?1`, num, int64(since.Entry), since.Inspection)
	if err != nil {
		return nil, wrap("reading what is new", err)
	}
	defer rows.Close()
	var roots []domain.TrialID
	for rows.Next() {
		var id int64
		var root domain.TrialID
		var inspection bool
		if err := rows.Scan(&id, &root, &inspection); err != nil {
			return nil, wrap("reading what is new", err)
		}
		if inspection {
			now.Inspection = max(now.Inspection, id)
		} else {
			now.Entry = max(now.Entry, domain.TrialID(id))
		}
		roots = append(roots, root)
	}
	slices.Sort(roots)
	return slices.Compact(roots), wrap("reading what is new", rows.Err())
}

// countedOne returns one trial as it counts now.
func (r *trialReader) countedOne(ctx context.Context, q querier, num int64, root domain.TrialID) (t domain.CountedTrial, err error) {
	rows, err := q.QueryContext(ctx, trialColumns+`WHERE t.id IN (WITH RECURSIVE chain (id) AS (
		VALUES (?) UNION ALL SELECT c.id FROM trial c JOIN chain ON c.corrects = chain.id) SELECT id FROM chain) ORDER BY t.id`, int64(root))
	if err != nil {
		return t, wrap("reading a changed trial", err)
	}
	defer rows.Close()
	r.recordings = nil
	for rows.Next() {
		if err := r.scan(rows, &t.Trial); err != nil {
			return t, err
		}
		t.Entries++
	}
	if err := rows.Err(); err != nil {
		return t, wrap("reading a changed trial", err)
	}
	if err := r.readRecordings(ctx, q, num, int64(t.ID), int64(t.ID)); err != nil {
		return t, err
	}
	t.Recordings = r.recordings[t.ID]
	var finding int64
	err = q.QueryRowContext(ctx, `SELECT finding FROM inspection WHERE study = ? AND trial = ? ORDER BY id DESC LIMIT 1`, num, int64(root)).Scan(&finding)
	if err != nil && !isNoRows(err) {
		return t, wrap("reading a changed trial's inspection", err)
	}
	t.Inspection = findingOf(finding)
	t.Counted = domain.Count(t.Outcome, t.Inspection)
	return t, nil
}
