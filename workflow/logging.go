package workflow

import (
	"context"
	"fmt"
	"slices"

	"holdfast/domain"
)

// Log records a trial, or a correction. repeated says that its key was known and nothing new was stored.
func (l *Lab) Log(ctx context.Context, study domain.ID, n NewTrial) (counted domain.CountedTrial, repeated bool, err error) {
	k, err := l.kept(ctx, study)
	if err != nil {
		return counted, false, err
	}
	t, err := l.complete(ctx, k, n)
	if err != nil {
		return counted, false, err
	}
	if err := t.Validate(); err != nil {
		return counted, false, err
	}
	if k.study.State == domain.StudyFinished {
		return l.logFinished(ctx, study, t.Key)
	}
	stored, known, err := l.Store.Append(ctx, study, []domain.Trial{t})
	if err != nil {
		return counted, false, err
	}
	if k.study.State != domain.StudyRunning {
		l.studies.forget(study) // the store set it running
		l.changed("study", study, string(study))
	}
	if !known[0] {
		l.changed("trials", study, stored[0].ID.String())
	}
	counted, err = l.countNow(ctx, study, stored[0], known[0])
	return counted, known[0], err
}

// countNow tells how a trial counts after its entry was stored.
func (l *Lab) countNow(ctx context.Context, study domain.ID, t domain.Trial, known bool) (domain.CountedTrial, error) {
	c := domain.CountedTrial{Trial: t, Counted: t.Outcome, Entries: 1}
	if !known && t.Corrects == 0 {
		return c, nil
	}
	h, err := l.History(ctx, study, t.ID)
	if err != nil {
		return c, err
	}
	c.Trial, c.Counted, c.Entries, c.Inspection = h.Entries[len(h.Entries)-1], h.Counted, len(h.Entries), finding(h.Inspections)
	return c, nil
}

// logFinished answers a request that comes again after its study was finished; a new one is refused.
func (l *Lab) logFinished(ctx context.Context, study domain.ID, key string) (counted domain.CountedTrial, repeated bool, err error) {
	r, err := l.record(ctx, study)
	if err != nil {
		return counted, false, err
	}
	for _, t := range r.trials {
		if t.Key == key {
			return t, true, nil
		}
	}
	return counted, false, domain.Errorf(domain.KindRefused, "study %s is finished; open it again to record more", study)
}

// complete fills in what the client left out and checks the rest against the study.
func (l *Lab) complete(ctx context.Context, k *keptStudy, n NewTrial) (domain.Trial, error) {
	t := domain.Trial{Study: k.study.ID, Key: n.Key, Outcome: n.Outcome, VoidReason: n.VoidReason, RecordedAt: l.Clock.Now()}
	f := filling{study: &k.study}
	switch {
	case n.Corrects != 0:
		old, err := l.entry(ctx, k.study.ID, n.Corrects)
		if err != nil {
			return t, err
		}
		t = old
		t.ID, t.Root, t.Corrects = 0, 0, n.Corrects
		t.Key, t.Outcome, t.VoidReason, t.RecordedAt = n.Key, n.Outcome, n.VoidReason, l.Clock.Now()
		if n.Order != 0 && n.Order != old.Order {
			f.run(k, &t, n)
		}
	case n.Order != 0:
		f.run(k, &t, n)
	default:
		f.free(&t, n)
	}
	f.names(&t, n)
	if n.Planned != nil {
		t.Planned = *n.Planned
	}
	if n.Measured != nil {
		t.Measured = n.Measured
	}
	if n.Closing != nil {
		t.Closing = *n.Closing
	}
	for i, v := range n.Offset {
		if v != nil {
			t.Offset[i] = *v
		}
	}
	if n.PeakForce != nil {
		t.PeakForce = n.PeakForce
	}
	if n.Duration != nil {
		t.Duration = n.Duration
	}
	if n.Block != 0 {
		t.Block = n.Block
	}
	if n.Operator != "" {
		t.Operator = n.Operator
	}
	if n.Note != "" {
		t.Note = n.Note
	}
	if !n.StartedAt.IsZero() {
		t.StartedAt = n.StartedAt
	}
	if len(n.Recordings) > 0 {
		t.Recordings = nil
	}
	for i, sha := range n.Recordings {
		file, r, err := l.Store.OpenRecording(ctx, sha)
		if err != nil {
			if domain.KindOf(err) != domain.KindNotFound {
				return t, err
			}
			f.fail(fmt.Sprintf("recordings[%d]", i), sha, "is not stored here; store the file first and use the digest that comes back")
			continue
		}
		_ = file.Close()
		t.Recordings = append(t.Recordings, r)
	}
	if len(f.fields) > 0 {
		return t, invalid("this trial can not be accepted; mend the fields named", f.fields...)
	}
	return t, nil
}

func (l *Lab) entry(ctx context.Context, study domain.ID, id domain.TrialID) (domain.Trial, error) {
	entries, _, err := l.Store.History(ctx, study, id)
	if err != nil {
		return domain.Trial{}, err
	}
	for _, e := range entries {
		if e.ID == id {
			return e, nil
		}
	}
	return domain.Trial{}, domain.Errorf(domain.KindNotFound, "there is no trial %v in study %s", id, study)
}

// filling gathers what is wrong with a trial while it is filled in.
type filling struct {
	study  *domain.Study
	fields []domain.FieldError
}

func (f *filling) fail(field, value, reason string) {
	f.fields = append(f.fields, domain.FieldError{Field: field, Value: value, Reason: reason})
}

// run fills in the conditions of the planned run. What the client gives must agree with them, except for what may
// turn out otherwise at the bench: closing and offset.
func (f *filling) run(k *keptStudy, t *domain.Trial, n NewTrial) {
	i, ok := k.byRun[n.Order]
	if !ok {
		f.fail("order", fmt.Sprint(n.Order), fmt.Sprintf("is not in the plan, which has the runs 1 to %d", len(k.runs)))
		return
	}
	r := k.runs[i]
	t.Order, t.Block, t.Hand, t.Item, t.Setting, t.Strategy = r.Order, r.Block, r.Hand, r.Item, r.Setting, r.Strategy
	t.Planned, t.Closing, t.Offset, t.Reference = r.Planned, r.Closing, r.Offset, r.Reference
	for _, g := range []struct{ field, given, planned string }{
		{"hand", string(n.Hand), string(r.Hand)}, {"item", string(n.Item), string(r.Item)},
		{"setting", string(n.Setting), string(r.Setting)}, {"strategy", string(n.Strategy), string(r.Strategy)},
	} {
		if g.given != "" && g.given != g.planned {
			f.fail(g.field, g.given, fmt.Sprintf("run %d is planned with %s; leave out order to record a trial outside the plan", r.Order, g.planned))
		}
	}
	// Both went through decimal text, so they agree to rounding only.
	if n.Planned != nil && n.Planned.AngleTo(r.Planned) > 1e-4 {
		f.fail("orientation", "", fmt.Sprintf("is not the one that run %d asks for; put what was really reached into measured, or leave out order", r.Order))
	}
	if n.Block != 0 && n.Block != r.Block {
		f.fail("block", fmt.Sprint(n.Block), fmt.Sprintf("run %d belongs to block %d", r.Order, r.Block))
	}
}

// free fills in what the study leaves no choice in.
func (f *filling) free(t *domain.Trial, n NewTrial) {
	t.Hand, t.Item, t.Setting = only(f.study.Hands), only(f.study.Items), only(f.study.Settings)
	t.Strategy = only(kinds(*f.study))
	switch {
	case n.Closing != nil:
	case len(f.study.ClosingLevels) == 1:
		t.Closing = f.study.ClosingLevels[0]
	default:
		f.fail("closing", "", fmt.Sprintf("is missing, and the study has %d levels", len(f.study.ClosingLevels)))
	}
	if n.Planned == nil {
		f.fail("orientation", "", "is missing: give it, or order for a planned run")
	}
}

// names takes the client's names and checks all of them against the study.
func (f *filling) names(t *domain.Trial, n NewTrial) {
	name(f, "hand", &t.Hand, n.Hand, f.study.Hands)
	name(f, "item", &t.Item, n.Item, f.study.Items)
	name(f, "setting", &t.Setting, n.Setting, f.study.Settings)
	name(f, "strategy", &t.Strategy, n.Strategy, kinds(*f.study))
}

func name[T ~string](f *filling, field string, at *T, given T, allowed []T) {
	if given != "" {
		*at = given
	}
	switch {
	case *at == "":
		f.fail(field, "", fmt.Sprintf("is missing, and the study has %d: %s", len(allowed), list(allowed)))
	case !slices.Contains(allowed, *at):
		f.fail(field, string(*at), "is not in this study, which has "+list(allowed))
	}
}

// list names the first few.
func list[T ~string](all []T) string {
	text := ""
	for i, v := range all {
		if i == 8 {
			return text + " and more"
		}
		if i > 0 {
			text += ", "
		}
		text += string(v)
	}
	return text
}

// only returns the one element of a list of one, else nothing.
func only[T ~string](list []T) T {
	if len(list) == 1 {
		return list[0]
	}
	return ""
}
