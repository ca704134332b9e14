package workflow

import (
	"context"
	"slices"
	"strings"
	"time"

	"holdfast/domain"
	"holdfast/orient"
	"holdfast/statistics/design"
)

// LeaseTime is how long a run that was handed out is kept for its holder.
const LeaseTime = 10 * time.Minute

// NextRun is the planned run handed out, with all that is needed to carry it out.
type NextRun struct {
	Run         domain.PlannedRun
	Hand        domain.Hand
	Item        domain.Item
	Setting     domain.Setting
	Strategy    domain.Strategy
	Until       time.Time // end of the lease
	Left        int       // planned runs not yet carried out, this one included
	SecondsLeft float64   // s
	Cautions    []string
}

// NewTrial is a trial as it is logged. What is left out is filled in: from the planned run when Order names one, from
// the corrected entry when Corrects does, else from the study where it leaves no choice.
type NewTrial struct {
	Key        string
	Corrects   domain.TrialID
	Order      int
	Hand       domain.ID
	Item       domain.ID
	Setting    domain.ID
	Strategy   domain.StrategyKind
	Planned    *orient.Rotation
	Measured   *orient.Rotation
	Closing    *float64    // 0…1
	Offset     [3]*float64 // m
	PeakForce  *float64    // N
	Duration   *float64    // s
	Outcome    domain.Outcome
	VoidReason string
	Block      int
	Operator   string
	Note       string
	Recordings []string // SHA-256 of recordings that were stored before
	StartedAt  time.Time
}

// TrialQuery picks trials.
type TrialQuery struct {
	Filter domain.TrialFilter
	Newest bool // newest first
}

// History is all that was entered about one trial.
type History struct {
	Entries     []domain.Trial
	Inspections []domain.Inspection
	Counted     domain.Outcome
}

// Next hands out the next planned run to the holder, for [LeaseTime]. A holder that asks again gets the same run.
// KindNotFound when nothing is left, KindRefused when the study is finished.
func (l *Lab) Next(ctx context.Context, study domain.ID, holder string) (NextRun, error) {
	if strings.TrimSpace(holder) == "" {
		return NextRun{}, invalid("say who asks for the next run", domain.FieldError{Field: "query.holder", Reason: "must not be empty: a rig's or a page's name, the same each time"})
	}
	k, err := l.kept(ctx, study)
	switch {
	case err != nil:
		return NextRun{}, err
	case k.study.State == domain.StudyFinished:
		return NextRun{}, domain.Errorf(domain.KindRefused, "study %s is finished; open it again to go on", study)
	case len(k.runs) == 0:
		return NextRun{}, domain.Errorf(domain.KindNotFound, "study %s has no plan yet, so there is no next run; draw it up first", study)
	}
	run, until, err := l.Store.Lease(ctx, study, holder, l.Clock.Now(), LeaseTime)
	if err != nil {
		return NextRun{}, err
	}
	n := NextRun{Run: run, Until: until}
	t, err := l.thingsOf(ctx, []domain.ID{run.Hand}, []domain.ID{run.Item}, []domain.ID{run.Setting})
	if err != nil {
		return NextRun{}, err
	}
	n.Hand, n.Item, n.Setting = t.hands[run.Hand], t.items[run.Item], t.settings[run.Setting]
	for _, g := range k.study.Strategies {
		if g.Kind == run.Strategy {
			n.Strategy = g
		}
	}
	n.Cautions = domain.Cautions("page", &n.Hand, &n.Item)
	r, err := l.counts(ctx, study)
	if err != nil {
		return NextRun{}, err
	}
	n.Left, n.SecondsLeft = k.left(r.done)
	return n, nil
}

// left counts the runs that are not carried out, and the bench time (s) that they take.
func (k *keptStudy) left(done doneRuns) (runs int, seconds float64) {
	rest := make([]domain.PlannedRun, 0, len(k.runs))
	for _, r := range k.runs {
		if !done.has(r.Order) {
			rest = append(rest, r)
		}
	}
	return len(rest), design.BenchEffort(effortSpec(k.study), designRuns(rest)).Seconds
}

// GiveBack ends the holder's leases.
func (l *Lab) GiveBack(ctx context.Context, study domain.ID, holder string) error {
	if _, err := l.kept(ctx, study); err != nil {
		return err
	}
	return l.Store.Release(ctx, study, holder)
}

// Trials returns the picked trials as they count now, and how many there are without the limit.
func (l *Lab) Trials(ctx context.Context, study domain.ID, q TrialQuery) (list []domain.CountedTrial, total int, err error) {
	if _, err := l.kept(ctx, study); err != nil {
		return nil, 0, err
	}
	f := q.Filter
	f.Limit = 0
	if list, err = l.Store.Counted(ctx, study, f); err != nil {
		return nil, 0, err
	}
	total = len(list)
	if q.Newest {
		slices.Reverse(list)
	}
	if q.Filter.Limit > 0 {
		list = list[:min(q.Filter.Limit, total)]
	}
	return list, total, nil
}

// History returns all that was entered about a trial, oldest first.
func (l *Lab) History(ctx context.Context, study domain.ID, id domain.TrialID) (History, error) {
	entries, inspections, err := l.Store.History(ctx, study, id)
	if err != nil {
		return History{}, err
	}
	h := History{Entries: entries, Inspections: inspections}
	h.Counted = domain.Count(entries[len(entries)-1].Outcome, finding(inspections))
	return h, nil
}

// finding is what the newest inspection found; empty when there is none.
func finding(list []domain.Inspection) domain.Finding {
	if len(list) == 0 {
		return ""
	}
	return list[len(list)-1].Finding
}

// Inspect records an inspection. repeated says that its key was known and nothing new was stored. An inspection may
// come after the study was finished: bruises show late.
func (l *Lab) Inspect(ctx context.Context, study domain.ID, in domain.Inspection) (stored domain.Inspection, repeated bool, err error) {
	in.Recorded = l.Clock.Now()
	if in.SeenAt.IsZero() {
		in.SeenAt = in.Recorded
	}
	if err := in.Validate(); err != nil {
		return in, false, err
	}
	list, known, err := l.Store.Inspect(ctx, study, []domain.Inspection{in})
	if err != nil {
		return in, false, err
	}
	if !known[0] {
		l.changed("inspections", study, list[0].Trial.String())
	}
	return list[0], known[0], nil
}

func invalid(message string, fields ...domain.FieldError) error {
	return &domain.Error{Kind: domain.KindInvalid, Message: message, Fields: fields}
}
