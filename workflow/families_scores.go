package workflow

import (
	"context"
	"errors"
	"fmt"

	"holdfast/domain"
	"holdfast/statistics/family"
)

// FamilyScores says for each item how well its trials are forecast without being shown.
type FamilyScores struct {
	Sentence string
	Scores   []FamilyScore
	Folds    int
	Mark     int64
	Invented bool
}

// FamilyScore is one item's; the figures are mean log losses a trial, nats.
type FamilyScore struct {
	Item   domain.ID
	Trials int
	Note   string // why it was not scored; else empty
	family.Score
}

// familyFolds is how many folds each item's trials are dealt to, by familySeed.
const familyFolds = 5

// FamilyScores leaves out trials of each item in turn and tells how well they are forecast alone and with the family. It
// tells listeners of the study how far it is, under the topic families.
func (l *Lab) FamilyScores(ctx context.Context, q FamilyQuery) (FamilyScores, error) {
	k, err := l.kin(ctx, q)
	if err != nil {
		return FamilyScores{}, err
	}
	s, err := l.families.scores.do(ctx, k.key, func(ctx context.Context) (FamilyScores, error) { return l.scoreFamily(ctx, k) })
	s.Mark, s.Invented = k.mark, k.invented
	return s, err
}

func (l *Lab) scoreFamily(ctx context.Context, k *kin) (FamilyScores, error) {
	f, err := l.familyModel(ctx, k)
	if err != nil {
		return FamilyScores{}, fitError(ctx, err)
	}
	out := FamilyScores{Folds: familyFolds, Scores: []FamilyScore{}}
	var tested []int
	for i := range k.members {
		if k.members[i].Trials > 0 {
			tested = append(tested, i)
		}
	}
	for done, i := range tested {
		l.changed("families", k.study.ID, fmt.Sprintf("%d of %d", done, len(tested)))
		s := FamilyScore{Item: k.members[i].Item, Trials: k.members[i].Trials}
		s.Score, err = f.Score(ctx, k.items[i].Name, familyFolds, familySeed)
		switch {
		case errors.Is(err, family.ErrTooFew):
			s.Note = "needs ten trials at two orientations"
		case err != nil:
			return FamilyScores{}, fitError(ctx, err)
		}
		out.Scores = append(out.Scores, s)
	}
	out.Sentence = out.describe(k)
	return out, nil
}

// describe says whether the family forecasts better than each item alone.
func (s *FamilyScores) describe(k *kin) string {
	var better, worse []string
	scored := 0
	for _, one := range s.Scores {
		if one.Note != "" {
			continue
		}
		scored++
		low, high := one.Interval()
		switch name := k.nameOf(one.Item); {
		case low > 0:
			better = append(better, name)
		case high < 0:
			worse = append(worse, name)
		}
	}
	switch {
	case len(k.items) < 2:
		return "There is one item only, so there is nothing to borrow."
	case scored == 0:
		return "No item has enough trials to be scored."
	}
	text := "On trials that were not shown, the family forecasts no item clearly better than its own trials do."
	if len(better) > 0 {
		text = fmt.Sprintf("On trials that were not shown, the family forecasts %s clearly better than the item's own trials do.", listed(better))
	}
	if len(worse) > 0 {
		text += fmt.Sprintf(" It forecasts %s clearly worse: do not borrow there.", listed(worse))
	}
	return text
}

func (k *kin) nameOf(id domain.ID) string {
	for name, of := range k.names {
		if of == id {
			return name
		}
	}
	return string(id)
}
