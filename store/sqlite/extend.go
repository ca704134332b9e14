package sqlite

import (
	"context"

	"holdfast/domain"
)

// Extend appends runs to a study's plan; see [domain.Studies].
func (l *Lab) Extend(ctx context.Context, study domain.ID, after int, runs []domain.PlannedRun) error {
	c, err := l.begin(ctx)
	if err != nil {
		return err
	}
	defer c.drop()
	var num int64
	var last int
	var state domain.StudyState
	err = c.QueryRowContext(c.ctx, `SELECT num, state, coalesce((SELECT max(ord) FROM run WHERE study = num), 0) FROM study WHERE id = ?`, string(study)).
		Scan(&num, &state, &last)
	switch {
	case isNoRows(err):
		return notFound("study", study)
	case err != nil:
		return wrap("reading a study", err)
	case state == domain.StudyFinished:
		return domain.Errorf(domain.KindRefused, "study %s is finished; open it again to add runs to its plan", study)
	case last != after:
		return domain.Errorf(domain.KindConflict, "the plan of %s ends with run %d by now, not %d: somebody added to it; look at it again", study, last, after)
	case len(runs) == 0:
		return domain.Errorf(domain.KindInvalid, "there is no run to add to the plan of %s", study)
	}
	for i := range runs {
		if runs[i].Order != after+i+1 {
			return domain.Errorf(domain.KindInvalid, "run %d would follow run %d; number added runs on from the plan's last", runs[i].Order, after+i)
		}
	}
	if err := c.addRuns(num, runs); err != nil {
		return err
	}
	// A draft with runs is planned. A plan that grew is an edit of the study: whoever edits it should see that first.
	_, err = c.ExecContext(c.ctx, `UPDATE study SET revision = revision + 1, updated = ?, state = CASE state WHEN 'draft' THEN 'planned' ELSE state END
		WHERE num = ?`, l.clock.Now().UTC().UnixNano(), num)
	if err != nil {
		return wrap("storing a study", err)
	}
	c.after = append(c.after, func() {
		l.known.Lock()
		delete(l.studies, study)
		l.known.Unlock()
	})
	return c.commit()
}
