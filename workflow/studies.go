package workflow

import (
	"context"
	"fmt"
	"reflect"

	"holdfast/domain"
)

// StudyRow is a study in a list, with how far it is.
type StudyRow struct {
	Study   domain.Study
	Planned int // planned runs
	Done    int // planned runs carried out
	Trials  int // trials that count, without reference trials
	Held    int
}

// Studies returns all studies with how far they are.
func (l *Lab) Studies(ctx context.Context) ([]StudyRow, error) {
	list, err := l.Store.Studies(ctx)
	if err != nil {
		return nil, err
	}
	rows := make([]StudyRow, len(list))
	for i, s := range list {
		k, err := l.kept(ctx, s.ID)
		if err != nil {
			return nil, err
		}
		r, err := l.counts(ctx, s.ID)
		if err != nil {
			return nil, err
		}
		rows[i] = StudyRow{Study: s, Planned: len(k.runs), Done: r.done.count(), Trials: r.counts.trials, Held: r.held}
	}
	return rows, nil
}

// Study returns one study; KindNotFound if there is none.
func (l *Lab) Study(ctx context.Context, id domain.ID) (domain.Study, error) {
	k, err := l.kept(ctx, id)
	if err != nil {
		return domain.Study{}, err
	}
	return k.study, nil
}

// SaveStudy stores a study: a new draft when its revision is 0, else an edit of exactly that revision (KindStale
// otherwise). A seed of 0 is drawn, and on an edit means the stored one, as no aim does. Editing the conditions of a planned study
// drops the plan and makes it a draft again; once trials are recorded the conditions are fixed (KindRefused), while
// name, question, aim, target, line error, times and note can still be edited.
func (l *Lab) SaveStudy(ctx context.Context, s domain.Study) (domain.Study, error) {
	nameID(&s.ID, s.Name)
	s.State = domain.StudyDraft
	var runs []domain.PlannedRun // nil: the plan is kept
	if s.Revision != 0 {
		old, err := l.Store.Study(ctx, s.ID)
		if err != nil {
			return s, err
		}
		if s.Seed == 0 {
			s.Seed = old.Seed
		}
		if s.Aim == (domain.Aim{}) {
			s.Aim = old.Aim
		}
		s.State = old.State
		if changed := conditionsChanged(old, s); len(changed) > 0 {
			switch old.State {
			case domain.StudyRunning, domain.StudyFinished:
				return s, &domain.Error{Kind: domain.KindRefused, Fields: changed, Message: fmt.Sprintf(
					"the conditions of a %s study are fixed, so that its trials can be told apart; start a new study for other conditions", old.State)}
			case domain.StudyPlanned:
				s.State = domain.StudyDraft
				runs = []domain.PlannedRun{}
			}
		}
	}
	if s.Seed == 0 {
		s.Seed = l.drawSeed()
	}
	if err := s.Validate(); err != nil {
		return s, err
	}
	if err := l.namesExist(ctx, s); err != nil {
		return s, err
	}
	return l.putStudy(ctx, s, runs)
}

// putStudy stores a study and tells about it.
func (l *Lab) putStudy(ctx context.Context, s domain.Study, runs []domain.PlannedRun) (domain.Study, error) {
	meta, err := l.Store.PutStudy(ctx, s, runs)
	l.studies.forget(s.ID)
	if err != nil {
		return s, err
	}
	s.Meta = meta
	l.changed("study", s.ID, string(s.ID))
	return s, nil
}

// drawSeed draws a seed other than 0, which stands for "draw one", and below 2^53, so that spreadsheets keep it exact.
func (l *Lab) drawSeed() uint64 {
	for {
		if seed := l.Seed() >> 11; seed != 0 {
			return seed
		}
	}
}

// conditionsChanged names the fields that the plan depends on and that differ.
func conditionsChanged(a, b domain.Study) []domain.FieldError {
	var list []domain.FieldError
	for _, f := range []struct {
		field string
		a, b  any
	}{
		{"hands", a.Hands, b.Hands}, {"items", a.Items, b.Items}, {"settings", a.Settings, b.Settings},
		{"strategies", kinds(a), kinds(b)}, {"orientations", normalPlan(a.Orientations), normalPlan(b.Orientations)},
		{"closing_levels", a.ClosingLevels, b.ClosingLevels}, {"offset", a.Offset, b.Offset}, {"replicates", a.Replicates, b.Replicates},
		{"block_size", a.BlockSize, b.BlockSize}, {"references", a.References, b.References}, {"seed", a.Seed, b.Seed},
	} {
		if !reflect.DeepEqual(f.a, f.b) {
			list = append(list, domain.FieldError{Field: f.field, Reason: "differs from the stored study"})
		}
	}
	if a.References > 0 && b.References > 0 {
		x, y := a.Reference, b.Reference
		// An orientation that went out in degrees and came back differs in the last digits.
		if x.Strategy != y.Strategy || x.Closing != y.Closing || !(x.Orientation.AngleTo(y.Orientation) < 1e-6) {
			list = append(list, domain.FieldError{Field: "reference", Reason: "differs from the stored study"})
		}
	}
	return list
}

func kinds(s domain.Study) []domain.StrategyKind {
	list := make([]domain.StrategyKind, len(s.Strategies))
	for i, g := range s.Strategies {
		list[i] = g.Kind
	}
	return list
}

// normalPlan makes plans comparable: angles to a nanoradian, empty lists nil.
func normalPlan(p domain.OrientationPlan) string {
	text := fmt.Sprintf("%s %.9f %d", p.Kind, p.TiltMax, p.Count)
	for _, v := range p.Tilts {
		text += fmt.Sprintf(" t%.9f", v)
	}
	for _, v := range p.Azimuths {
		text += fmt.Sprintf(" a%d", v)
	}
	for _, v := range p.Rolls {
		text += fmt.Sprintf(" r%.9f", v)
	}
	return text
}

// namesExist checks that the hands, items and settings that a study names are in the lab.
func (l *Lab) namesExist(ctx context.Context, s domain.Study) error {
	var fields []domain.FieldError
	look := func(field string, names []domain.ID, find func(domain.ID) error) error {
		for i, id := range names {
			err := find(id)
			if err != nil && domain.KindOf(err) != domain.KindNotFound {
				return err
			}
			if err != nil {
				fields = append(fields, domain.FieldError{Field: fmt.Sprintf("%s[%d]", field, i), Value: string(id), Reason: "is not in this lab; add it first, or name one that is"})
			}
		}
		return nil
	}
	if err := look("hands", s.Hands, func(id domain.ID) error { _, err := l.Store.Hand(ctx, id); return err }); err != nil {
		return err
	}
	if err := look("items", s.Items, func(id domain.ID) error { _, err := l.Store.Item(ctx, id); return err }); err != nil {
		return err
	}
	if err := look("settings", s.Settings, func(id domain.ID) error { _, err := l.Store.Setting(ctx, id); return err }); err != nil {
		return err
	}
	if len(fields) > 0 {
		return &domain.Error{Kind: domain.KindInvalid, Message: "this study names things that are not in the lab", Fields: fields}
	}
	return nil
}

// Finish closes a study; KindRefused unless it is running.
func (l *Lab) Finish(ctx context.Context, id domain.ID) (domain.Study, error) {
	return l.move(ctx, id, domain.StudyFinished, "only a running study can be finished", domain.StudyRunning)
}

// Reopen makes a finished study running again; KindRefused unless it is finished.
func (l *Lab) Reopen(ctx context.Context, id domain.ID) (domain.Study, error) {
	return l.move(ctx, id, domain.StudyRunning, "only a finished study can be opened again", domain.StudyFinished)
}

func (l *Lab) move(ctx context.Context, id domain.ID, to domain.StudyState, rule string, from domain.StudyState) (domain.Study, error) {
	s, err := l.Store.Study(ctx, id)
	if err != nil {
		return s, err
	}
	if s.State != from {
		return s, domain.Errorf(domain.KindRefused, "%s; this one is %s", rule, s.State)
	}
	s.State = to
	return l.putStudy(ctx, s, nil)
}
