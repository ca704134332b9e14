package sqlite

import (
	"context"
	"database/sql"
	"fmt"
	"iter"

	"holdfast/domain"
)

var outcomeNums = map[domain.Outcome]int64{}

// outcomes lists the outcomes by their number in the database, from 1; migrations/00001_lab.sql names them too.
var outcomes = []domain.Outcome{"", domain.OutcomeHeld, domain.OutcomeDropped, domain.OutcomeSlipped, domain.OutcomeMissed, domain.OutcomePushed,
	domain.OutcomeDamaged, domain.OutcomeStopped, domain.OutcomeFailed, domain.OutcomeVoid}

func init() {
	for num, o := range outcomes {
		outcomeNums[o] = int64(num)
	}
}

// Append adds entries to the trial record; see [domain.Trials]. Beyond what the port says: a correction that makes its
// trial count for a planned run which another trial carries out meanwhile is KindConflict too, as is a known key that
// comes with other content; a planned run, a corrected entry or a recording that does not exist is KindNotFound.
func (l *Lab) Append(ctx context.Context, study domain.ID, entries []domain.Trial) (stored []domain.Trial, repeated []bool, err error) {
	if len(entries) == 1 {
		one, done, err := l.appendPlain(ctx, study, &entries[0])
		if err != nil {
			return nil, nil, err
		}
		if done {
			return []domain.Trial{one}, []bool{false}, nil
		}
	}
	c, err := l.begin(ctx)
	if err != nil {
		return nil, nil, err
	}
	defer c.drop()
	a, err := c.appendTo(study)
	if err != nil {
		return nil, nil, err
	}
	defer a.close()
	stored, repeated = make([]domain.Trial, len(entries)), make([]bool, len(entries))
	for i := range entries {
		if stored[i], repeated[i], err = a.add(&entries[i]); err != nil {
			return nil, nil, atRow(err, i, len(entries))
		}
	}
	if err := a.finish(); err != nil {
		return nil, nil, err
	}
	return stored, repeated, nil
}

// AppendAll stores what the sequence yields, all or none; see [domain.Trials]. The writer waits for the sequence, so
// it should have what it yields at hand.
func (l *Lab) AppendAll(ctx context.Context, study domain.ID, entries iter.Seq2[*domain.Trial, error]) (stored, repeated int, err error) {
	c, err := l.begin(ctx)
	if err != nil {
		return 0, 0, err
	}
	defer c.drop()
	a, err := c.appendTo(study)
	if err != nil {
		return 0, 0, err
	}
	defer a.close()
	for t, err := range entries {
		if err == nil {
			err = ctx.Err()
		}
		if err != nil {
			return 0, 0, err
		}
		_, known, err := a.add(t)
		if err != nil {
			return 0, 0, atRow(err, stored+repeated, 0)
		}
		if known {
			repeated++
		} else {
			stored++
		}
	}
	if err := a.finish(); err != nil {
		return 0, 0, err
	}
	return stored, repeated, nil
}

// atRow says which entry of n is meant by a refusal; n is 0 when it is not known.
func atRow(err error, i, n int) error {
	e, ok := err.(*domain.Error)
	if !ok || n == 1 || e.Kind == domain.KindInternal {
		return err
	}
	at := *e
	place := fmt.Sprintf("entry %d", i+1)
	if n > 0 {
		place += fmt.Sprintf(" of %d", n)
	}
	at.Message = place + ": " + e.Message + "; nothing of the batch was stored"
	return &at
}

// appendPlain stores a first entry without recordings, outside proof runs, for a running study: one insert, which is its own transaction.
// done is false when the entry needs the long way: other kinds of entry, a key that is known, the study's first trial.
func (l *Lab) appendPlain(ctx context.Context, study domain.ID, t *domain.Trial) (stored domain.Trial, done bool, err error) {
	if l.readOnly || t.Corrects != 0 || t.Proof != "" || len(t.Recordings) > 0 || ctx.Err() != nil {
		return stored, false, nil
	}
	condition, ok := l.knownCondition(conditionOf(t))
	if !ok {
		return stored, false, nil
	}
	l.writing.Lock()
	defer l.writing.Unlock()
	l.known.RLock()
	n := l.studies[study]
	ready := n != nil && n.running && n.bounded
	l.known.RUnlock()
	if !ready {
		return stored, false, nil
	}
	ctx = context.WithoutCancel(ctx)
	if t.Order != 0 {
		var other int64
		if err := l.stmt.runTaken.QueryRowContext(ctx, n.num, t.Order, 0).Scan(&other); !isNoRows(err) {
			return stored, false, wrap("looking for the run's trial", err)
		}
	}
	stored = *t
	id, inserted, err := insert(ctx, l.stmt.insertTrial[shapeOf(t)], nil, n.num, condition, &stored)
	if err != nil || !inserted {
		return stored, false, err
	}
	stored.ID, stored.Root, stored.Study = id, id, study
	l.known.Lock()
	n.added(id)
	l.known.Unlock()
	return stored, true, nil
}

// added notes a new entry.
func (n *studyNotes) added(id domain.TrialID) {
	if n.first == 0 {
		n.first = int64(id)
	}
	n.last = int64(id)
}

func conditionOf(t *domain.Trial) domain.Condition {
	return domain.Condition{Hand: t.Hand, Item: t.Item, Setting: t.Setting, Strategy: t.Strategy}
}

// appending is a change that adds entries to one study.
type appending struct {
	*change
	study            domain.ID
	notes            studyNotes
	insert           [shapes]*sql.Stmt // by shape, made when first needed
	runTaken         *sql.Stmt
	args             []any     // of one row, used again for the next
	recordings, find *sql.Stmt // prepared when first needed
	reader           *trialReader
	corrected        bool
	added            int
}

func (c *change) appendTo(study domain.ID) (*appending, error) {
	n, err := c.lab.note(c.ctx, c, study)
	if err != nil {
		return nil, err
	}
	if err := n.bounds(c.ctx, c); err != nil {
		return nil, err
	}
	return &appending{change: c, study: study, notes: n, runTaken: c.StmtContext(c.ctx, c.lab.stmt.runTaken), args: make([]any, 0, 29)}, nil
}

func (a *appending) close() {
	for _, s := range append(a.insert[:], a.runTaken, a.recordings, a.find) {
		if s != nil {
			s.Close()
		}
	}
}

// add stores one entry, or returns the entry that has its key.
func (a *appending) add(t *domain.Trial) (stored domain.Trial, repeated bool, err error) {
	stored = *t
	stored.Study, stored.Root = a.study, 0
	refusal := a.admit(&stored)
	// A refusal may be due to the very entry that this one repeats, so the key decides first.
	if refusal != nil {
		old, found, err := a.byKey(t.Key)
		if err == nil && found {
			return old, true, sameContent(t, &old)
		}
		if err != nil {
			refusal = err
		}
		return stored, false, refusal
	}
	condition, err := a.condition(conditionOf(t))
	if err != nil {
		return stored, false, err
	}
	kind := shapeOf(t)
	if a.insert[kind] == nil {
		a.insert[kind] = a.StmtContext(a.ctx, a.lab.stmt.insertTrial[kind])
	}
	id, inserted, err := insert(a.ctx, a.insert[kind], a.args[:0], a.notes.num, condition, &stored)
	if err != nil {
		return stored, false, err
	}
	if !inserted {
		old, found, err := a.byKey(t.Key)
		if err == nil && !found {
			err = domain.Internal("storing a trial", fmt.Errorf("neither stored nor known: key %q", t.Key))
		}
		if err != nil {
			return stored, false, err
		}
		return old, true, sameContent(t, &old)
	}
	stored.ID = id
	if stored.Root == 0 {
		stored.Root = id
	}
	if err := a.attach(&stored); err != nil {
		return stored, false, err
	}
	a.notes.added(id)
	a.added++
	a.corrected = a.corrected || t.Corrects != 0
	return stored, false, nil
}

// admit checks an entry against the record and sets the root of a correction.
func (a *appending) admit(t *domain.Trial) error {
	if t.Corrects != 0 {
		root, err := a.newestOfChain(t.Corrects)
		if err != nil {
			return err
		}
		t.Root = root
	}
	if err := a.admitProof(t); err != nil {
		return err
	}
	if t.Order != 0 && (t.Corrects == 0 || t.Outcome.Counts()) {
		var other domain.TrialID
		err := a.runTaken.QueryRowContext(a.ctx, a.notes.num, t.Order, int64(t.Root)).Scan(&other)
		if err == nil {
			return domain.Errorf(domain.KindConflict, "run %d of %s is already carried out by trial %v; correct that one, or make it void to repeat the run", t.Order, a.study, other)
		}
		if !isNoRows(err) {
			return wrap("looking for the run's trial", err)
		}
	}
	return nil
}

// newestOfChain returns the root of the entry's chain, if the entry is the chain's newest.
func (a *appending) newestOfChain(id domain.TrialID) (root domain.TrialID, err error) {
	var study int64
	err = a.QueryRowContext(a.ctx, `SELECT study, coalesce(first, id) FROM trial WHERE id = ?`, int64(id)).Scan(&study, &root)
	if isNoRows(err) || err == nil && study != a.notes.num {
		return 0, noSuchTrial(a.study, id)
	}
	if err != nil {
		return 0, wrap("reading the corrected trial", err)
	}
	newest := id
	for {
		var next domain.TrialID
		err := a.QueryRowContext(a.ctx, `SELECT id FROM trial WHERE corrects = ?`, int64(newest)).Scan(&next)
		if isNoRows(err) {
			break
		}
		if err != nil {
			return 0, wrap("reading the trial's corrections", err)
		}
		newest = next
	}
	if newest != id {
		return 0, domain.Errorf(domain.KindConflict, "%v was corrected meanwhile: %v is the newest entry of its history; look at that one and correct it instead", id, newest)
	}
	return root, nil
}

func noSuchTrial(study domain.ID, id domain.TrialID) error {
	return domain.Errorf(domain.KindNotFound, "there is no trial %v in study %s", id, study)
}

// byKey returns the entry with the key.
func (a *appending) byKey(key string) (t domain.Trial, found bool, err error) {
	if a.find == nil {
		if a.find, err = a.PrepareContext(a.ctx, trialColumns+`WHERE t.study = ? AND t.key = ?`); err != nil {
			return t, false, wrap("looking for a key", err)
		}
	}
	if a.reader == nil || len(a.made) > 0 {
		if a.reader, err = newTrialReader(a.ctx, a, a.study); err != nil {
			return t, false, err
		}
	}
	rows, err := a.find.QueryContext(a.ctx, a.notes.num, key)
	if err != nil {
		return t, false, wrap("looking for a key", err)
	}
	defer rows.Close()
	if !rows.Next() {
		return t, false, wrap("looking for a key", rows.Err())
	}
	if err := a.reader.scan(rows, &t); err != nil {
		return t, false, err
	}
	rows.Close()
	if err := a.reader.readRecordings(a.ctx, a, a.notes.num, int64(t.ID), int64(t.ID)); err != nil {
		return t, false, err
	}
	t.Recordings = a.reader.recordings[t.ID]
	return t, true, nil
}

// attach stores which recordings belong to the entry.
func (a *appending) attach(t *domain.Trial) (err error) {
	if len(t.Recordings) == 0 {
		return nil
	}
	if a.recordings == nil {
		a.recordings, err = a.PrepareContext(a.ctx, `INSERT INTO trial_recording (study, trial, pos, sha256, name, type) VALUES (?, ?, ?, ?, ?, ?)`)
		if err != nil {
			return wrap("attaching recordings", err)
		}
	}
	for pos, r := range t.Recordings {
		_, err := a.recordings.ExecContext(a.ctx, a.notes.num, int64(t.ID), pos, r.SHA256, r.Name, r.Type)
		if isForeign(err) {
			return noRecording(r.SHA256)
		}
		if err != nil {
			return wrap("attaching a recording", err)
		}
	}
	return nil
}

// finish sets the study running and commits.
func (a *appending) finish() error {
	if a.added > 0 && !a.notes.running {
		if _, err := a.ExecContext(a.ctx, `UPDATE study SET state = ?, revision = revision + 1, updated = ? WHERE num = ? AND state IN (?, ?)`,
			string(domain.StudyRunning), a.lab.clock.Now().UnixNano(), a.notes.num, string(domain.StudyDraft), string(domain.StudyPlanned)); err != nil {
			return wrap("setting the study running", err)
		}
		a.notes.running = true
	}
	if a.corrected {
		a.notes.open = 0 // a correction may have opened an earlier run again
	}
	a.after = append(a.after, func() { a.lab.remember(a.study, a.notes) })
	return a.commit()
}

// insert adds one row to the record; args is room for its values. inserted is false when the study has an entry with
// the key. Times in t become what reading them back gives.
func insert(ctx context.Context, stmt *sql.Stmt, args []any, study, condition int64, t *domain.Trial) (id domain.TrialID, inserted bool, err error) {
	if !t.StartedAt.IsZero() {
		t.StartedAt = t.StartedAt.Round(0).UTC()
	}
	if !t.RecordedAt.IsZero() {
		t.RecordedAt = t.RecordedAt.Round(0).UTC()
	}
	res, err := stmt.ExecContext(ctx, appendRow(args, study, condition, t)...)
	if isForeign(err) {
		return 0, false, domain.Errorf(domain.KindNotFound, "there is no run %d in the plan of this study", t.Order)
	}
	if err != nil {
		return 0, false, wrap("storing a trial", err)
	}
	rows, err := res.RowsAffected()
	if err != nil || rows == 0 {
		return 0, false, wrap("storing a trial", err)
	}
	n, err := res.LastInsertId()
	return domain.TrialID(n), true, wrap("storing a trial", err)
}

// number, text, flag and value give NULL for what was not given.
func number(n int) any {
	if n == 0 {
		return nil
	}
	return int64(n)
}

func text(s string) any {
	if s == "" {
		return nil
	}
	return s
}

func flag(b bool) any {
	if !b {
		return nil
	}
	return int64(1)
}

func value(v *float64) any {
	if v == nil {
		return nil
	}
	return *v
}

// sameContent refuses a known key that comes with another trial: the client numbered two trials alike, and answering
// with the stored one would lose the second. What only describes (note, operator, times, recordings) may differ.
func sameContent(sent, stored *domain.Trial) error {
	var differs string
	switch {
	case sent.Corrects != stored.Corrects:
		differs = "corrects another entry"
	case sent.Proof != stored.Proof:
		differs = "is for another proof run"
	case sent.Order != stored.Order:
		differs = "is for another run"
	case sent.Outcome != stored.Outcome || sent.VoidReason != stored.VoidReason:
		differs = fmt.Sprintf("has the outcome %s", sent.Outcome)
	case conditionOf(sent) != conditionOf(stored):
		differs = "has another hand, item, setting or strategy"
	case sent.Planned != stored.Planned || !sameValue(sent.Measured, stored.Measured):
		differs = "has another orientation"
	case sent.Closing != stored.Closing || sent.Offset != stored.Offset || sent.Block != stored.Block ||
		!sameValue(sent.PeakForce, stored.PeakForce) || !sameValue(sent.Duration, stored.Duration):
		differs = "has other measured values"
	default:
		return nil
	}
	return domain.Errorf(domain.KindConflict, "key %q is already used by %v (%s), and this trial %s; give every trial a key of its own, and name %v to correct it",
		sent.Key, stored.ID, stored.Outcome, differs, stored.ID)
}

func sameValue[T comparable](a, b *T) bool {
	if a == nil || b == nil {
		return a == b
	}
	return *a == *b
}
