package sqlite

import (
	"context"
	"database/sql"
	"encoding/json"
	"fmt"

	"holdfast/domain"
	"holdfast/orient"
)

// studyNotes is what a lab remembers of a study between calls. It is used only where this process is the lab's only
// writer, and forgotten whenever a change is not stored.
type studyNotes struct {
	num     int64
	running bool  // the state is beyond planned: logging a trial need not look
	bounded bool  // the fields below are known
	first   int64 // smallest entry number of the study; 0: none
	last    int64 // largest entry number of the study
	seen    int64 // largest inspection number of the study
	open    int   // no planned run before this one is left to do
}

// note returns a copy of what is remembered of the study, reading it if need be. KindNotFound if there is no such study.
func (l *Lab) note(ctx context.Context, q querier, id domain.ID) (studyNotes, error) {
	l.known.RLock()
	n := l.studies[id]
	var kept studyNotes
	if n != nil {
		kept = *n
	}
	l.known.RUnlock()
	if n != nil {
		return kept, nil
	}
	var state domain.StudyState
	err := q.QueryRowContext(ctx, `SELECT num, state FROM study WHERE id = ?`, string(id)).Scan(&kept.num, &state)
	if isNoRows(err) {
		return kept, notFound("study", id)
	}
	kept.running = state == domain.StudyRunning || state == domain.StudyFinished
	return kept, wrap("reading a study", err)
}

// remember keeps notes, unless other processes may be writing to the lab.
func (l *Lab) remember(id domain.ID, n studyNotes) {
	if l.readOnly {
		return
	}
	l.known.Lock()
	defer l.known.Unlock()
	l.studies[id] = &n
}

// bounds fills in the numbers of the study's first and last entry and last inspection.
func (n *studyNotes) bounds(ctx context.Context, q querier) error {
	if n.bounded {
		return nil
	}
	var first, last, seen sql.NullInt64
	err := q.QueryRowContext(ctx, `SELECT (SELECT min(id) FROM trial WHERE study = ?1), (SELECT max(id) FROM trial WHERE study = ?1),
		(SELECT max(id) FROM inspection WHERE study = ?1)`, n.num).Scan(&first, &last, &seen)
	n.first, n.last, n.seen, n.bounded = first.Int64, last.Int64, seen.Int64, true
	return wrap("reading a study's bounds", err)
}

// studyBody gives the study's JSON without what has columns.
func studyBody(s domain.Study) ([]byte, error) {
	s.Meta = domain.Meta{Invented: s.Invented}
	s.State = ""
	body, err := json.Marshal(s)
	if err != nil {
		return nil, domain.Internal("encoding a study", err)
	}
	return body, nil
}

const studyColumns = `SELECT body, state, revision, created, updated FROM study `

func scanStudy(scan func(...any) error) (domain.Study, error) {
	var s domain.Study
	var body []byte
	var state domain.StudyState
	var revision int
	var created, updated int64
	if err := scan(&body, &state, &revision, &created, &updated); err != nil {
		return s, err
	}
	if err := json.Unmarshal(body, &s); err != nil {
		return s, domain.Internal("decoding a stored study", err)
	}
	s.State, s.Revision, s.Created, s.Updated = state, revision, fromNanos(created), fromNanos(updated)
	return s, nil
}

// Studies returns all studies by ID.
func (l *Lab) Studies(ctx context.Context) ([]domain.Study, error) {
	rows, err := l.read.QueryContext(ctx, studyColumns+`ORDER BY id`)
	if err != nil {
		return nil, wrap("listing the studies", err)
	}
	defer rows.Close()
	var list []domain.Study
	for rows.Next() {
		s, err := scanStudy(rows.Scan)
		if err != nil {
			return nil, wrap("listing the studies", err)
		}
		list = append(list, s)
	}
	return list, wrap("listing the studies", rows.Err())
}

// Study returns the study; KindNotFound if there is none.
func (l *Lab) Study(ctx context.Context, id domain.ID) (domain.Study, error) {
	s, err := scanStudy(l.read.QueryRowContext(ctx, studyColumns+`WHERE id = ?`, string(id)).Scan)
	if isNoRows(err) {
		return s, notFound("study", id)
	}
	return s, wrap("reading a study", err)
}

// PutStudy creates or replaces a study, and its plan when runs is not nil; see [domain.Studies].
func (l *Lab) PutStudy(ctx context.Context, s domain.Study, runs []domain.PlannedRun) (domain.Meta, error) {
	c, err := l.begin(ctx)
	if err != nil {
		return domain.Meta{}, err
	}
	defer c.drop()
	body, err := studyBody(s)
	if err != nil {
		return domain.Meta{}, err
	}
	now := l.clock.Now().UTC()
	meta := domain.Meta{Revision: s.Revision + 1, Created: now, Updated: now, Invented: s.Invented}
	var num int64
	if s.Revision == 0 {
		err = c.QueryRowContext(c.ctx, `INSERT INTO study (id, state, revision, created, updated, body) VALUES (?, ?, 1, ?, ?, ?) RETURNING num`,
			string(s.ID), string(s.State), now.UnixNano(), now.UnixNano(), string(body)).Scan(&num)
		if isUnique(err) {
			return domain.Meta{}, taken("study", s.ID)
		}
	} else {
		var created int64
		err = c.QueryRowContext(c.ctx, `UPDATE study SET state = ?, revision = revision + 1, updated = ?, body = ? WHERE id = ? AND revision = ? RETURNING num, created`,
			string(s.State), now.UnixNano(), string(body), string(s.ID), s.Revision).Scan(&num, &created)
		if isNoRows(err) {
			return domain.Meta{}, missed(c.ctx, c, "study", s.ID, s.Revision)
		}
		meta.Created = fromNanos(created)
	}
	if err != nil {
		return domain.Meta{}, wrap("storing a study", err)
	}
	if runs != nil {
		if err := c.replacePlan(s.ID, num, runs); err != nil {
			return domain.Meta{}, err
		}
	}
	c.after = append(c.after, func() {
		l.known.Lock()
		delete(l.studies, s.ID)
		l.known.Unlock()
	})
	return meta, c.commit()
}

func (c *change) replacePlan(study domain.ID, num int64, runs []domain.PlannedRun) error {
	var carriedOut bool
	if err := c.QueryRowContext(c.ctx, `SELECT EXISTS (SELECT 1 FROM trial WHERE study = ? AND ord IS NOT NULL)`, num).Scan(&carriedOut); err != nil {
		return wrap("looking for trials of the plan", err)
	}
	if carriedOut {
		return domain.Errorf(domain.KindRefused, "trials of this plan are already recorded, so the plan of %s is fixed; copy the study to plan anew", study)
	}
	for _, table := range []string{"lease", "run"} {
		if _, err := c.ExecContext(c.ctx, fmt.Sprintf(`DELETE FROM %s WHERE study = ?`, table), num); err != nil {
			return wrap("replacing a plan", err)
		}
	}
	return c.addRuns(num, runs)
}

func (c *change) addRuns(num int64, runs []domain.PlannedRun) error {
	insert, err := c.PrepareContext(c.ctx, `INSERT INTO run (study, ord, block, whole_plot, condition, cell, qw, qx, qy, qz, closing,
		offset_x, offset_y, offset_z, replicate, reference, why) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`)
	if err != nil {
		return wrap("storing a plan", err)
	}
	defer insert.Close()
	for i := range runs {
		r := &runs[i]
		condition, err := c.condition(domain.Condition{Hand: r.Hand, Item: r.Item, Setting: r.Setting, Strategy: r.Strategy})
		if err != nil {
			return err
		}
		_, err = insert.ExecContext(c.ctx, num, r.Order, r.Block, r.WholePlot, condition, r.Cell, r.Planned.W, r.Planned.X, r.Planned.Y, r.Planned.Z,
			r.Closing, r.Offset[0], r.Offset[1], r.Offset[2], r.Replicate, r.Reference, r.Why)
		if isUnique(err) {
			return domain.Errorf(domain.KindConflict, "run %d stands in the plan twice; number the runs from 1 without repeats", r.Order)
		}
		if err != nil {
			return wrap("storing a planned run", err)
		}
	}
	return nil
}

const runColumns = `SELECT r.ord, r.block, r.whole_plot, c.hand, c.item, c.setting, c.strategy, r.cell, r.qw, r.qx, r.qy, r.qz, r.closing,
	r.offset_x, r.offset_y, r.offset_z, r.replicate, r.reference, r.why FROM run r JOIN condition c ON c.num = r.condition `

func scanRun(study domain.ID, scan func(...any) error) (domain.PlannedRun, error) {
	r := domain.PlannedRun{Study: study}
	var q orient.Rotation
	err := scan(&r.Order, &r.Block, &r.WholePlot, &r.Hand, &r.Item, &r.Setting, &r.Strategy, &r.Cell, &q.W, &q.X, &q.Y, &q.Z, &r.Closing,
		&r.Offset[0], &r.Offset[1], &r.Offset[2], &r.Replicate, &r.Reference, &r.Why)
	r.Planned = q
	return r, err
}

// Plan returns the planned runs in order; KindNotFound if there is no such study.
func (l *Lab) Plan(ctx context.Context, study domain.ID) ([]domain.PlannedRun, error) {
	tx, err := l.snapshot(ctx)
	if err != nil {
		return nil, err
	}
	defer tx.Rollback()
	n, err := l.note(ctx, tx, study)
	if err != nil {
		return nil, err
	}
	rows, err := tx.QueryContext(ctx, runColumns+`WHERE r.study = ? ORDER BY r.ord`, n.num)
	if err != nil {
		return nil, wrap("reading a plan", err)
	}
	defer rows.Close()
	var list []domain.PlannedRun
	for rows.Next() {
		r, err := scanRun(study, rows.Scan)
		if err != nil {
			return nil, wrap("reading a plan", err)
		}
		list = append(list, r)
	}
	return list, wrap("reading a plan", rows.Err())
}
