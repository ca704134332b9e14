package sqlite

import (
	"context"
	"database/sql"
	"iter"
	"math"
	"time"

	"holdfast/domain"
	"holdfast/orient"
)

const trialColumns = `SELECT t.id, t.key, t.corrects, t.first, t.ord, t.block, t.condition, t.qw, t.qx, t.qy, t.qz, t.mw, t.mx, t.my, t.mz,
	t.closing, t.offset_x, t.offset_y, t.offset_z, t.peak_force, t.duration, t.outcome, t.void_reason, t.reference, t.operator, t.note,
	t.started, t.recorded, t.proof FROM trial t `

// trialReader turns rows of trialColumns into trials.
type trialReader struct {
	study      domain.ID
	conditions map[int64]domain.Condition
	recordings map[domain.TrialID][]domain.Recording
	row        [29]any // what the driver read: int64, float64, string or nil
	into       [29]any // pointers to row
	operator   string  // the last one read: neighbours share its memory
}

// scan reads the row at hand. It takes the driver's own values: with 100,000 rows of 29 columns, converting each
// through the null types of database/sql costs more than reading it.
func (r *trialReader) scan(rows *sql.Rows, t *domain.Trial) error {
	if err := rows.Scan(r.into[:]...); err != nil {
		return wrap("reading a trial", err)
	}
	v := &r.row
	whole := func(i int) int64 { n, _ := v[i].(int64); return n }
	real := func(i int) float64 { x, _ := v[i].(float64); return x }
	word := func(i int) string { s, _ := v[i].(string); return s }
	at := func(i int) time.Time {
		if ns, ok := v[i].(int64); ok {
			return fromNanos(ns)
		}
		return time.Time{}
	}
	c := r.conditions[whole(6)]
	*t = domain.Trial{
		ID: domain.TrialID(whole(0)), Study: r.study, Key: word(1), Corrects: domain.TrialID(whole(2)), Root: domain.TrialID(whole(3)),
		Order: int(whole(4)), Block: int(whole(5)), Hand: c.Hand, Item: c.Item, Setting: c.Setting, Strategy: c.Strategy,
		Planned: orient.Rotation{W: real(7), X: real(8), Y: real(9), Z: real(10)},
		Closing: real(15), Offset: [3]float64{real(16), real(17), real(18)}, Outcome: outcomes[whole(21)], VoidReason: word(22),
		Reference: v[23] != nil, Operator: word(24), Note: word(25), StartedAt: at(26), RecordedAt: at(27), Proof: domain.ID(word(28)),
	}
	if t.Root == 0 {
		t.Root = t.ID
	}
	if v[11] != nil {
		t.Measured = &orient.Rotation{W: real(11), X: real(12), Y: real(13), Z: real(14)}
	}
	if x, ok := v[19].(float64); ok {
		t.PeakForce = &x
	}
	if x, ok := v[20].(float64); ok {
		t.Duration = &x
	}
	if t.Operator == r.operator {
		t.Operator = r.operator
	} else {
		r.operator = t.Operator
	}
	if len(r.recordings) > 0 {
		t.Recordings = r.recordings[t.ID]
	}
	return nil
}

// newTrialReader prepares for reading trials of the study out of q, without their recordings.
func newTrialReader(ctx context.Context, q querier, study domain.ID) (*trialReader, error) {
	conditions, err := readConditions(ctx, q)
	r := &trialReader{study: study, conditions: conditions.byNum}
	for i := range r.row {
		r.into[i] = &r.row[i]
	}
	return r, err
}

// readRecordings reads what is attached to the study's entries with numbers from first to last.
func (r *trialReader) readRecordings(ctx context.Context, q querier, num, first, last int64) error {
	rows, err := q.QueryContext(ctx, `SELECT t.trial, t.sha256, t.name, t.type, r.size FROM trial_recording t JOIN recording r ON r.sha256 = t.sha256
		WHERE t.study = ? AND t.trial BETWEEN ? AND ? ORDER BY t.trial, t.pos`, num, first, last)
	if err != nil {
		return wrap("reading the trials' recordings", err)
	}
	defer rows.Close()
	r.recordings = map[domain.TrialID][]domain.Recording{}
	for rows.Next() {
		var trial domain.TrialID
		var rec domain.Recording
		if err := rows.Scan(&trial, &rec.SHA256, &rec.Name, &rec.Type, &rec.Size); err != nil {
			return wrap("reading the trials' recordings", err)
		}
		r.recordings[trial] = append(r.recordings[trial], rec)
	}
	return wrap("reading the trials' recordings", rows.Err())
}

// reader prepares for reading trials of the study out of q.
func reader(ctx context.Context, q querier, study domain.ID, num int64) (*trialReader, error) {
	r, err := newTrialReader(ctx, q, study)
	if err != nil {
		return nil, err
	}
	return r, r.readRecordings(ctx, q, num, 0, math.MaxInt64)
}

// entries returns the study's entries that satisfy the condition, in order.
func entries(ctx context.Context, q querier, study domain.ID, num int64, where string, args ...any) ([]domain.Trial, error) {
	r, err := reader(ctx, q, study, num)
	if err != nil {
		return nil, err
	}
	rows, err := q.QueryContext(ctx, trialColumns+`WHERE t.study = ? `+where+` ORDER BY t.id`, append([]any{num}, args...)...)
	if err != nil {
		return nil, wrap("reading trials", err)
	}
	defer rows.Close()
	var list []domain.Trial
	for rows.Next() {
		var t domain.Trial
		if err := r.scan(rows, &t); err != nil {
			return nil, err
		}
		list = append(list, t)
	}
	return list, wrap("reading trials", rows.Err())
}

// Counted returns the trials as they count now, by root; see [domain.Trials].
func (l *Lab) Counted(ctx context.Context, study domain.ID, f domain.TrialFilter) ([]domain.CountedTrial, error) {
	var list []domain.CountedTrial
	if f.Limit > 0 {
		list = make([]domain.CountedTrial, 0, min(f.Limit, 10000))
	}
	err := l.eachCounted(ctx, study, f, func(t *domain.CountedTrial) bool {
		list = append(list, *t)
		return true
	})
	if err != nil {
		return nil, err
	}
	return list, nil
}

// CountedSeq hands out the trials as they count now one by one, by root, all from one moment, for callers that need
// not hold them all. An error comes last, with a nil trial. The trial is valid until the next step.
func (l *Lab) CountedSeq(ctx context.Context, study domain.ID, f domain.TrialFilter) iter.Seq2[*domain.CountedTrial, error] {
	return func(yield func(*domain.CountedTrial, error) bool) {
		stopped := false
		err := l.eachCounted(ctx, study, f, func(t *domain.CountedTrial) bool {
			stopped = !yield(t, nil)
			return !stopped
		})
		if err != nil && !stopped {
			yield(nil, err)
		}
	}
}

// eachCounted reads the first entries in order and puts the newest of its chain in the place of each that was
// corrected: corrections are few, so they are read beforehand and kept.
func (l *Lab) eachCounted(ctx context.Context, study domain.ID, f domain.TrialFilter, use func(*domain.CountedTrial) bool) error {
	tx, err := l.snapshot(ctx)
	if err != nil {
		return err
	}
	defer tx.Rollback()
	n, err := l.note(ctx, tx, study)
	if err != nil {
		return err
	}
	return eachCountedOf(ctx, tx, study, n, f, use)
}

func eachCountedOf(ctx context.Context, tx querier, study domain.ID, n studyNotes, f domain.TrialFilter, use func(*domain.CountedTrial) bool) error {
	r, err := reader(ctx, tx, study, n.num)
	if err != nil {
		return err
	}
	chains, err := r.corrections(ctx, tx, n.num)
	if err != nil {
		return err
	}
	findings, err := readFindings(ctx, tx, n.num)
	if err != nil {
		return err
	}
	from := max(n.first, int64(f.After)+1)
	rows, err := tx.QueryContext(ctx, trialColumns+`NOT INDEXED WHERE t.id >= ? AND t.study = ? AND t.first IS NULL ORDER BY t.id`, from, n.num)
	if err != nil {
		return wrap("reading trials", err)
	}
	defer rows.Close()
	for used := 0; rows.Next() && (f.Limit == 0 || used < f.Limit); {
		var t domain.CountedTrial
		if err := r.scan(rows, &t.Trial); err != nil {
			return err
		}
		t.Entries = 1
		if c := chains[t.ID]; c != nil {
			t.Trial, t.Entries = c.newest, 1+c.corrections
		}
		if !matches(&f, &t.Trial) {
			continue
		}
		t.Inspection = findings[t.Root]
		t.Counted = domain.Count(t.Outcome, t.Inspection)
		used++
		if !use(&t) {
			return nil
		}
	}
	return wrap("reading trials", rows.Err())
}

func matches(f *domain.TrialFilter, t *domain.Trial) bool {
	c := &f.Condition
	return (c.Hand == "" || c.Hand == t.Hand) && (c.Item == "" || c.Item == t.Item) && (c.Setting == "" || c.Setting == t.Setting) &&
		(c.Strategy == "" || c.Strategy == t.Strategy) && (f.Block == 0 || f.Block == t.Block) &&
		(f.Reference == nil || *f.Reference == t.Reference)
}

// chain is what corrections made of a trial.
type chain struct {
	newest      domain.Trial
	corrections int
}

func (r *trialReader) corrections(ctx context.Context, q querier, num int64) (map[domain.TrialID]*chain, error) {
	rows, err := q.QueryContext(ctx, trialColumns+`WHERE t.corrects IS NOT NULL AND t.study = ? ORDER BY t.id`, num)
	if err != nil {
		return nil, wrap("reading corrections", err)
	}
	defer rows.Close()
	chains := map[domain.TrialID]*chain{}
	for rows.Next() {
		var t domain.Trial
		if err := r.scan(rows, &t); err != nil {
			return nil, err
		}
		c := chains[t.Root]
		if c == nil {
			c = &chain{}
			chains[t.Root] = c
		}
		c.newest = t
		c.corrections++
	}
	return chains, wrap("reading corrections", rows.Err())
}

// History returns all entries of a trial's chain and its inspections; see [domain.Trials].
func (l *Lab) History(ctx context.Context, study domain.ID, id domain.TrialID) ([]domain.Trial, []domain.Inspection, error) {
	tx, err := l.snapshot(ctx)
	if err != nil {
		return nil, nil, err
	}
	defer tx.Rollback()
	n, err := l.note(ctx, tx, study)
	if err != nil {
		return nil, nil, err
	}
	var root int64
	err = tx.QueryRowContext(ctx, `SELECT coalesce(first, id) FROM trial WHERE id = ? AND study = ?`, int64(id), n.num).Scan(&root)
	if isNoRows(err) {
		return nil, nil, noSuchTrial(study, id)
	}
	if err != nil {
		return nil, nil, wrap("reading a trial's history", err)
	}
	entries, err := entries(ctx, tx, study, n.num, `AND t.id IN (WITH RECURSIVE chain (id) AS (
		VALUES (?) UNION ALL SELECT c.id FROM trial c JOIN chain ON c.corrects = chain.id) SELECT id FROM chain)`, root)
	if err != nil {
		return nil, nil, err
	}
	inspections, err := readInspections(ctx, tx, `study = ? AND trial = ?`, n.num, root)
	if err != nil {
		return nil, nil, err
	}
	return entries, inspections, nil
}

// Mark returns a number that grows with every entry and inspection of the study; see [domain.Trials].
func (l *Lab) Mark(ctx context.Context, study domain.ID) (int64, error) {
	l.known.RLock()
	if n := l.studies[study]; n != nil && n.bounded {
		defer l.known.RUnlock()
		return n.last + n.seen, nil
	}
	l.known.RUnlock()
	if !l.readOnly {
		// Without the writer's lock, what is remembered here could already be outdated.
		l.writing.Lock()
		defer l.writing.Unlock()
	}
	n, err := l.note(ctx, l.read, study)
	if err != nil {
		return 0, err
	}
	if err := n.bounds(ctx, l.read); err != nil {
		return 0, err
	}
	l.remember(study, n)
	// Both parts only ever grow, so equal sums mean equal parts.
	return n.last + n.seen, nil
}
