package sqlite

import (
	"context"
	"time"

	"holdfast/domain"
)

// carriedOut is true in a query over run r when a trial that counts carries the run out: the newest entry of its
// chain, and not void (outcome 9).
const carriedOut = `EXISTS (SELECT 1 FROM trial t WHERE t.study = r.study AND t.ord = r.ord AND t.outcome <> 9
	AND NOT EXISTS (SELECT 1 FROM trial c WHERE c.corrects = t.id))`

// Lease hands out the next planned run; see [domain.Studies]. Leases are kept in the database, so that a restart of
// the server does not hand a run to a second rig while the first still works on it.
func (l *Lab) Lease(ctx context.Context, study domain.ID, holder string, now time.Time, d time.Duration) (domain.PlannedRun, time.Time, error) {
	run, until, err := l.lease(ctx, study, holder, now, now.Add(d))
	if err != nil {
		return domain.PlannedRun{}, time.Time{}, err
	}
	return run, until, nil
}

func (l *Lab) lease(ctx context.Context, study domain.ID, holder string, now, until time.Time) (domain.PlannedRun, time.Time, error) {
	until = until.UTC().Round(0)
	c, err := l.begin(ctx)
	if err != nil {
		return domain.PlannedRun{}, until, err
	}
	defer c.drop()
	n, err := l.note(c.ctx, c, study)
	if err != nil {
		return domain.PlannedRun{}, until, err
	}
	if err := n.bounds(c.ctx, c); err != nil {
		return domain.PlannedRun{}, until, err
	}
	held, err := c.liveLeases(n.num, now)
	if err != nil {
		return domain.PlannedRun{}, until, err
	}
	run, err := c.nextRun(study, &n, holder, held)
	if err != nil {
		return run, until, err
	}
	_, err = c.ExecContext(c.ctx, `INSERT INTO lease (study, holder, ord, until, beyond) VALUES (?, ?, ?, ?, ?)
		ON CONFLICT (study, holder) DO UPDATE SET ord = excluded.ord, until = excluded.until, beyond = excluded.beyond`,
		n.num, holder, run.Order, until.UnixNano(), n.last)
	if err != nil {
		return run, until, wrap("storing a lease", err)
	}
	c.after = append(c.after, func() { l.remember(study, n) })
	return run, until, c.commit()
}

// liveLeases returns who holds which run of the study, and clears away what has ended.
func (c *change) liveLeases(study int64, now time.Time) (map[int]string, error) {
	if _, err := c.ExecContext(c.ctx, `DELETE FROM lease WHERE study = ?1 AND (until <= ?2
		OR EXISTS (SELECT 1 FROM trial t WHERE t.study = lease.study AND t.ord = lease.ord AND t.corrects IS NULL AND t.id > lease.beyond))`, study, now.UnixNano()); err != nil {
		return nil, wrap("clearing leases", err)
	}
	rows, err := c.QueryContext(c.ctx, `SELECT ord, holder FROM lease WHERE study = ?`, study)
	if err != nil {
		return nil, wrap("reading leases", err)
	}
	defer rows.Close()
	held := map[int]string{}
	for rows.Next() {
		var order int
		var holder string
		if err := rows.Scan(&order, &holder); err != nil {
			return nil, wrap("reading leases", err)
		}
		held[order] = holder
	}
	return held, wrap("reading leases", rows.Err())
}

// nextRun returns the run that the holder has, or else the first that is neither carried out nor held by another.
func (c *change) nextRun(study domain.ID, n *studyNotes, holder string, held map[int]string) (domain.PlannedRun, error) {
	mine := 0
	for order, h := range held {
		if h == holder {
			mine = order
		}
	}
	if mine > 0 {
		run, err := scanRun(study, c.QueryRowContext(c.ctx, runColumns+`WHERE r.study = ? AND r.ord = ?`, n.num, mine).Scan)
		return run, wrap("reading a planned run", err)
	}
	rows, err := c.QueryContext(c.ctx, runColumns+`WHERE r.study = ? AND r.ord >= ? AND NOT `+carriedOut+` ORDER BY r.ord`, n.num, n.open)
	if err != nil {
		return domain.PlannedRun{}, wrap("looking for the next run", err)
	}
	defer rows.Close()
	left := 0
	for rows.Next() {
		run, err := scanRun(study, rows.Scan)
		if err != nil {
			return run, wrap("looking for the next run", err)
		}
		if left == 0 {
			n.open = run.Order
		}
		left++
		if held[run.Order] == "" {
			return run, nil
		}
	}
	if err := rows.Err(); err != nil {
		return domain.PlannedRun{}, wrap("looking for the next run", err)
	}
	if left > 0 {
		return domain.PlannedRun{}, domain.Errorf(domain.KindNotFound, "nothing to hand out now: the last %d runs of %s are in other hands; ask again when a lease ends", left, study)
	}
	return domain.PlannedRun{}, domain.Errorf(domain.KindNotFound, "nothing is left to do: every planned run of %s is carried out", study)
}

// Release gives the holder's leases back.
func (l *Lab) Release(ctx context.Context, study domain.ID, holder string) error {
	c, err := l.begin(ctx)
	if err != nil {
		return err
	}
	defer c.drop()
	n, err := l.note(c.ctx, c, study)
	if err != nil {
		return err
	}
	if _, err := c.ExecContext(c.ctx, `DELETE FROM lease WHERE study = ? AND holder = ?`, n.num, holder); err != nil {
		return wrap("giving a lease back", err)
	}
	return c.commit()
}
