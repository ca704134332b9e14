package workflow

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"holdfast/domain"
	"holdfast/orient"
	"holdfast/statistics/additive"
)

// FactorsQuery picks trials of a study; what the condition leaves empty is not asked for.
type FactorsQuery struct {
	Study     domain.ID
	Condition domain.Condition
	Features  bool // size and mass of the items, from the catalogue, as terms
}

// FactorEffects says how everything that was varied moves success, and what matters.
type FactorEffects struct {
	Sentence string
	Trials   int
	Held     int
	Summary  additive.Summary
	Effects  []additive.Effect
	Matters  *additive.Matters // nil: too few trials or groups to score
	By       string            // what Matters kept together: blocks or orientations
	Warnings []string
	Offered  bool // the trials have items of different size or mass, so that FactorsQuery.Features can be asked for
	Features bool // and they were
	Mark     int64
	Invented bool
}

// The folds and draws behind factors are dealt by a fixed seed: the same record gives the same answer.
const (
	factorFolds = 5
	factorSeed  = 1
	leastEnded  = 3 // trials that ended either way for anything to be scored
)

// mostFactorRows bounds the trials that one model is fitted to; the answer must come while somebody waits.
const mostFactorRows = 20000

type factorsKey struct {
	FactorsQuery
	revision  int
	catalogue string // what of it the study names, with revisions: symmetry, size and mass come from there
	mark      int64
}

// Factors fits the additive model to the study's trials that count, without reference trials and those of proof runs.
// KindNotFound when there are none or nothing varies.
func (l *Lab) Factors(ctx context.Context, q FactorsQuery) (FactorEffects, error) {
	k, err := l.kept(ctx, q.Study)
	if err != nil {
		return FactorEffects{}, err
	}
	t, err := l.thingsOf(ctx, k.study.Hands, k.study.Items, k.study.Settings)
	if err != nil {
		return FactorEffects{}, err
	}
	mark, err := l.Store.Mark(ctx, q.Study)
	if err != nil {
		return FactorEffects{}, err
	}
	return l.maps.factors.do(ctx, factorsKey{q, k.study.Revision, t.revisions(k.study), mark}, func(ctx context.Context) (FactorEffects, error) {
		return l.fitFactors(ctx, k.study, q)
	})
}

// revisions tells the study's things with their revisions apart.
func (t things) revisions(s domain.Study) string {
	var b strings.Builder
	for _, id := range s.Hands {
		fmt.Fprintf(&b, "hand %s %d,", id, t.hands[id].Revision)
	}
	for _, id := range s.Items {
		fmt.Fprintf(&b, "item %s %d,", id, t.items[id].Revision)
	}
	for _, id := range s.Settings {
		fmt.Fprintf(&b, "setting %s %d,", id, t.settings[id].Revision)
	}
	return b.String()
}

func (l *Lab) fitFactors(ctx context.Context, study domain.Study, q FactorsQuery) (FactorEffects, error) {
	r, err := l.record(ctx, study.ID)
	if err != nil {
		return FactorEffects{}, err
	}
	d, conditions := varied(r.trials, q.Condition)
	f := FactorEffects{Mark: r.mark, Trials: len(d.Held), Invented: study.Invented, Features: q.Features}
	switch {
	case f.Trials == 0:
		return f, domain.Errorf(domain.KindNotFound, "there are no trials to learn from yet; run some first")
	case f.Trials > mostFactorRows:
		return f, domain.Errorf(domain.KindInvalid, "%d trials are more than the %d that one model takes; ask for one condition", f.Trials, mostFactorRows)
	}
	things, err := l.thingsOfConditions(ctx, conditions)
	if err != nil {
		return f, err
	}
	sym, differ, err := things.symmetryOfAll(conditions)
	if err != nil {
		return f, err
	}
	if f.Offered = things.itemsDiffer(); q.Features {
		if !f.Offered {
			return f, domain.Errorf(domain.KindInvalid, "all items in these trials have the same size and mass, so nothing can be said of either; ask without them")
		}
		addFeatures(d, things.items)
	}
	terms, notes := additive.Varied(d, sym)
	notes = append(notes, additive.FeatureNotes(d, terms)...)
	if differ {
		notes = append(notes, differingSymmetry(sym))
	}
	if len(terms) == 0 {
		return f, domain.Errorf(domain.KindNotFound, "nothing was varied in these trials, so there is nothing to tell apart; vary the orientation, the strategy or the closing command")
	}
	m, err := additive.Fit(ctx, d, terms, additive.Options{})
	if err != nil {
		return f, err
	}
	f.Summary = m.Summary()
	f.Held = int(math.Round(f.Summary.Held))
	f.Warnings = append(notes, f.Summary.Warnings...)
	if f.Effects, err = m.Effects(additive.EffectOptions{Seed: factorSeed}); err != nil {
		return f, domain.Internal("drawing effects", err)
	}
	return f, f.score(ctx, m, d)
}

// score fills what matters, or says why it can not be told.
func (f *FactorEffects) score(ctx context.Context, m *additive.Model, d *additive.Data) error {
	f.Sentence = "There are too few trials to say what matters."
	if f.Held < leastEnded || f.Trials-f.Held < leastEnded {
		f.Warnings = append(f.Warnings, "What matters is not scored: that needs three trials that held and three that did not.")
		return nil
	}
	groups, by := additive.Groups(d)
	s, err := m.Matter(ctx, d, groups, factorFolds, factorSeed)
	if err != nil {
		if ctx.Err() != nil {
			return err
		}
		f.Warnings = append(f.Warnings, "What matters is not scored: "+err.Error()+".")
		return nil
	}
	f.Matters, f.By, f.Sentence = s, by, s.Sentence()
	if s.LogScore <= s.Base {
		f.Warnings = append(f.Warnings, fmt.Sprintf("On trials it had not seen the model does no better than the plain success rate (log score %.3f against %.3f).", s.LogScore, s.Base))
	}
	return nil
}

// varied lists the trials as the additive model reads them, and the conditions among them.
func varied(trials []domain.CountedTrial, c domain.Condition) (*additive.Data, []domain.Condition) {
	d := &additive.Data{Numbers: map[string][]float64{}, Levels: map[string][]string{}}
	var conditions []domain.Condition
	number := func(name string, v float64) { d.Numbers[name] = append(d.Numbers[name], v) }
	level := func(name, v string) { d.Levels[name] = append(d.Levels[name], v) }
	for i := range trials {
		t := &trials[i]
		own := conditionOf(&t.Trial)
		if !t.Counted.Counts() || t.Apart() || !matches(c, own) {
			continue
		}
		if !slices.Contains(conditions, own) {
			conditions = append(conditions, own)
		}
		held := 0.0
		if t.Held() {
			held = 1
		}
		d.Held, d.Trials, d.Orientations = append(d.Held, held), append(d.Trials, 1), append(d.Orientations, t.Rotation())
		number(additive.Closing, t.Closing)
		number(additive.OffsetX, t.Offset[0])
		number(additive.OffsetY, t.Offset[1])
		level(additive.Strategy, string(t.Strategy))
		level(additive.Hand, string(t.Hand))
		level(additive.Item, string(t.Item))
		level(additive.Setting, string(t.Setting))
		level(additive.Operator, t.Operator)
		block := ""
		if t.Block > 0 {
			block = additive.BlockName(t.Block)
		}
		level(additive.Block, block)
	}
	return d, conditions
}

func (l *Lab) thingsOfConditions(ctx context.Context, conditions []domain.Condition) (things, error) {
	var hands, items, settings []domain.ID
	for _, c := range conditions {
		hands, items, settings = append(hands, c.Hand), append(items, c.Item), append(settings, c.Setting)
	}
	for _, ids := range []*[]domain.ID{&hands, &items, &settings} {
		slices.Sort(*ids)
		*ids = slices.Compact(*ids)
	}
	return l.thingsOf(ctx, hands, items, settings)
}

// symmetryOfAll is what the symmetries of all conditions have in common. differ says that some condition has more.
func (t things) symmetryOfAll(conditions []domain.Condition) (sym orient.Symmetry, differ bool, err error) {
	for i, c := range conditions {
		own, err := symmetryOf(t.hands[c.Hand], t.items[c.Item], t.settings[c.Setting])
		if err != nil {
			return sym, false, err
		}
		if i == 0 {
			sym = own
		}
		differ = differ || own.String() != sym.String()
		sym = commonSymmetry(sym, own)
	}
	return sym, differ, nil
}

// differingSymmetry says what a model of conditions with several symmetries takes as one orientation.
func differingSymmetry(common orient.Symmetry) string {
	return "Hands, items and settings of these trials differ in symmetry, and one model for all of them uses only what they share. " + symmetryWords(common) + " Where a condition has more, orientations that are one there are told apart, so intervals are wider than they need be."
}

// itemsDiffer says whether size or mass of the items could be told apart.
func (t things) itemsDiffer() bool {
	var first *domain.Item
	for _, it := range t.items {
		switch {
		case first == nil:
			first = &it
		case sizeOf(it) != sizeOf(*first) || it.Mass != first.Mass:
			return true
		}
	}
	return false
}

// sizeOf is the geometric mean of an item's extents (m).
func sizeOf(it domain.Item) float64 { return math.Cbrt(it.Size[0] * it.Size[1] * it.Size[2]) }

// addFeatures gives every trial the logarithms of its item's mean size and mass.
func addFeatures(d *additive.Data, items map[domain.ID]domain.Item) {
	for _, name := range d.Levels[additive.Item] {
		it := items[domain.ID(name)]
		d.Numbers[additive.ItemSize] = append(d.Numbers[additive.ItemSize], math.Log(sizeOf(it)))
		d.Numbers[additive.ItemMass] = append(d.Numbers[additive.ItemMass], math.Log(it.Mass))
	}
}
