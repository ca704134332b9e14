package workflow

import (
	"cmp"
	"context"
	"crypto/sha256"
	"fmt"
	"math"
	"slices"
	"strings"

	"holdfast/domain"
	"holdfast/numeric"
	"holdfast/orient"
	"holdfast/statistics/family"
	"holdfast/statistics/successmap"
)

// FamilyQuery asks what one item borrows from the other items of the lab. Hand, setting and strategy may be left empty
// where the study has one; an empty item is the study's item with fewest trials.
type FamilyQuery struct {
	Study     domain.ID
	Condition domain.Condition
}

// FamilyAnswer says what an item would be said to succeed in, alone and with what it borrows.
type FamilyAnswer struct {
	Condition domain.Condition // with the item that was asked for or chosen
	Sentence  string           // what was borrowed
	Change    string           // what that does to the estimate
	Own, Held int
	Worth     float64 // own trials that would bring what is borrowed
	OwnShare  float64 // of the information
	Trust     float64 // probability that the others speak for the item
	Weight    float64 // of what all items say in the estimate
	Donors    []FamilyDonor
	Members   []FamilyMember // the items with trials, and the one asked for
	Surest    FamilyPoint    // where the lower limit with the family is highest
	Section   []FamilyPoint  // through the surest orientation, by tilt
	Mean      FamilyPoint    // over orientations spread evenly up to TiltMax; its limits are means of limits
	TiltMax   float64        // rad
	Studies   []domain.ID    // whose trials are in it
	Warnings  []string
	Mark      int64
	Invented  bool
}

// FamilyDonor is what one other item lends.
type FamilyDonor struct {
	Item     domain.ID
	Trials   int
	Likeness float64 // 0 … 1
	Alike    string  // the same in words
	Share    float64 // of all that is borrowed
}

// FamilyMember is an item of the family.
type FamilyMember struct {
	Item         domain.ID
	Trials, Held int
	Missing      []string // features that the catalogue does not know
}

// FamilyPoint is the estimate at one orientation, with its 5 % and 95 % limits.
type FamilyPoint struct {
	Rotation            orient.Rotation
	P, Low, High        float64 // with what is borrowed
	Alone               float64 // own trials alone; NaN without any
	AloneLow, AloneHigh float64
}

// Bounds and seeds of a family: the answer must come while somebody waits, and be the same each time.
const (
	mostFamilyItems  = 40
	mostFamilyTrials = 20000
	familyGrid       = 300
	familySection    = 31
	familySeed       = 1
)

// kin is a family with what it was gathered from. It is never changed.
type kin struct {
	study     domain.Study
	condition domain.Condition
	members   []FamilyMember
	items     []family.Item // of members, in their order
	names     map[string]domain.ID
	symmetry  orient.Symmetry
	tilt      float64
	studies   []domain.ID
	warnings  []string
	mark      int64
	invented  bool
	key       fitKey
}

// familyCache keeps the models and the answers asked for last.
type familyCache struct {
	fits    *shared[fitKey, *family.Family]
	answers *shared[familyKey, FamilyAnswer]
	scores  *shared[fitKey, FamilyScores]
}

// familyKey is a family and the item of it that is asked for.
type familyKey struct {
	fit  fitKey
	item domain.ID
}

func newFamilyCache() *familyCache {
	return &familyCache{newShared[fitKey, *family.Family](4), newShared[familyKey, FamilyAnswer](32), newShared[fitKey, FamilyScores](8)}
}

// Family says what one item borrows from the items of the lab that were tried with the same hand, setting and strategy in
// any study. Reference trials and those of proof runs stay out. KindNotFound when nothing was tried so.
func (l *Lab) Family(ctx context.Context, q FamilyQuery) (FamilyAnswer, error) {
	k, err := l.kin(ctx, q)
	if err != nil {
		return FamilyAnswer{}, err
	}
	a, err := l.families.answers.do(ctx, familyKey{k.key, k.condition.Item}, func(ctx context.Context) (FamilyAnswer, error) { return l.borrow(ctx, k) })
	a.Mark, a.Invented = k.mark, k.invented
	return a, err
}

// kin gathers the family of a query.
func (l *Lab) kin(ctx context.Context, q FamilyQuery) (*kin, error) {
	kept, err := l.kept(ctx, q.Study)
	if err != nil {
		return nil, err
	}
	k := &kin{study: kept.study, names: map[string]domain.ID{}}
	asked := q.Condition.Item
	q.Condition.Item = kept.study.Items[0]
	if k.condition, err = pick(kept.study, q.Condition); err != nil {
		return nil, err
	}
	byItem, err := l.tried(ctx, k)
	if err != nil {
		return nil, err
	}
	if k.condition.Item = asked; asked == "" {
		k.condition.Item = fewest(kept.study.Items, byItem)
	}
	if err := l.gatherKin(ctx, k, byItem); err != nil {
		return nil, err
	}
	return k, nil
}

// fewest is the item with fewest trials, the first of equals.
func fewest(items []domain.ID, byItem map[domain.ID][]successmap.Observation) domain.ID {
	return slices.MinFunc(items, func(a, b domain.ID) int { return len(byItem[a]) - len(byItem[b]) })
}

// tried lists by item what was tried with the hand, setting and strategy in any study.
func (l *Lab) tried(ctx context.Context, k *kin) (map[domain.ID][]successmap.Observation, error) {
	studies, err := l.Store.Studies(ctx)
	if err != nil {
		return nil, err
	}
	slices.SortFunc(studies, func(a, b domain.Study) int { return cmp.Compare(a.ID, b.ID) })
	byItem := map[domain.ID][]successmap.Observation{}
	c, total := k.condition, 0
	c.Item = ""
	for _, s := range studies {
		counts, err := l.counts(ctx, s.ID)
		if err != nil {
			return nil, err
		}
		if s.ID == k.study.ID {
			k.mark = counts.mark
		}
		n := 0
		for own, count := range counts.conditions {
			if matches(c, own) {
				n += count.trials
			}
		}
		if n == 0 {
			continue
		}
		if total += n; total > mostFamilyTrials {
			return nil, domain.Errorf(domain.KindInvalid, "%d trials with %s in %s by %s are more than the %d that one family takes", total, c.Hand, c.Setting, c.Strategy, mostFamilyTrials)
		}
		r, err := l.record(ctx, s.ID)
		if err != nil {
			return nil, err
		}
		k.studies, k.invented = append(k.studies, s.ID), k.invented || s.Invented
		for i := range r.trials {
			t := &r.trials[i]
			if !t.Counted.Counts() || t.Apart() || !matches(c, conditionOf(&t.Trial)) {
				continue
			}
			o := successmap.Observation{R: t.Rotation(), Trials: 1}
			if t.Held() {
				o.Held = 1
			}
			byItem[t.Item] = append(byItem[t.Item], o)
			k.tilt = math.Max(k.tilt, o.R.Approach().Tilt)
		}
	}
	if len(byItem) == 0 {
		return nil, domain.Errorf(domain.KindNotFound, "nothing was tried with %s in %s by %s yet, so there is nothing to lend; run some trials first", c.Hand, c.Setting, c.Strategy)
	}
	return byItem, nil
}

// gatherKin describes the items and says what is not known of them.
func (l *Lab) gatherKin(ctx context.Context, k *kin, byItem map[domain.ID][]successmap.Observation) error {
	ids := []domain.ID{k.condition.Item}
	for id := range byItem {
		if id != k.condition.Item {
			ids = append(ids, id)
		}
	}
	slices.SortFunc(ids[1:], func(a, b domain.ID) int {
		if n := len(byItem[b]) - len(byItem[a]); n != 0 {
			return n
		}
		return cmp.Compare(a, b)
	})
	if left := len(ids) - mostFamilyItems; left > 0 {
		ids = ids[:mostFamilyItems]
		k.warnings = append(k.warnings, fmt.Sprintf("A family takes %d items; %d items with fewest trials are left out.", mostFamilyItems, left))
	}
	slices.Sort(ids)
	conditions := make([]domain.Condition, len(ids))
	h := sha256.New()
	for i, id := range ids {
		conditions[i] = k.condition
		conditions[i].Item = id
		it, err := l.Store.Item(ctx, id)
		if err != nil {
			return err
		}
		m, one := memberOf(it, byItem[id])
		if len(m.Missing) > 0 {
			k.warnings = append(k.warnings, fmt.Sprintf("Of %s the %s is not known and is averaged over; state it under Items.", it.Name, listed(m.Missing)))
		}
		if _, taken := k.names[one.Name]; taken {
			one.Name += " (" + string(id) + ")"
		}
		k.names[one.Name] = id
		k.members, k.items = append(k.members, m), append(k.items, one)
		fmt.Fprintf(h, "%q %+v %d\n", one.Name, one.Features, len(one.Observations))
		for _, o := range one.Observations {
			fmt.Fprintf(h, "%v %g\n", o.R, o.Held)
		}
	}
	t, err := l.thingsOfConditions(ctx, conditions)
	if err != nil {
		return err
	}
	var differ bool
	if k.symmetry, differ, err = t.symmetryOfAll(conditions); err != nil {
		return err
	}
	if differ {
		k.warnings = append(k.warnings, differingSymmetry(k.symmetry))
	}
	c := k.condition
	fmt.Fprintf(h, "%+v %q %q %q %q", k.symmetry, c.Hand, c.Setting, c.Strategy, k.studies)
	copy(k.key[:], h.Sum(nil))
	return nil
}

// memberOf is an item as the family sees it. The size of an item is the geometric mean of its extents.
func memberOf(it domain.Item, tried []successmap.Observation) (FamilyMember, family.Item) {
	m := FamilyMember{Item: it.ID, Trials: len(tried)}
	for _, o := range tried {
		m.Held += int(o.Held)
	}
	size := sizeOf(it)
	for _, f := range []struct {
		name  string
		known bool
	}{{"shape", it.Shape != ""}, {"size", size > 0}, {"mass", it.Mass > 0}, {"stiffness", it.Stiffness > 0}, {"friction", it.Friction > 0}} {
		if !f.known {
			m.Missing = append(m.Missing, f.name)
		}
	}
	return m, family.Item{Name: it.Name, Features: family.Features{Shape: string(it.Shape), Size: size, Mass: it.Mass, Stiffness: it.Stiffness, Friction: it.Friction}, Observations: tried}
}

// asked is the name that the family gives the item that was asked for.
func (k *kin) asked() (name string, m FamilyMember) {
	for i := range k.members {
		if k.members[i].Item == k.condition.Item {
			return k.items[i].Name, k.members[i]
		}
	}
	return "", m
}

func (l *Lab) familyModel(ctx context.Context, k *kin) (*family.Family, error) {
	return l.families.fits.do(ctx, k.key, func(ctx context.Context) (*family.Family, error) {
		return family.Fit(ctx, k.items, family.Options{Symmetry: k.symmetry, Workers: l.Workers})
	})
}

func (l *Lab) borrow(ctx context.Context, k *kin) (FamilyAnswer, error) {
	f, err := l.familyModel(ctx, k)
	if err != nil {
		return FamilyAnswer{}, fitError(ctx, err)
	}
	name, own := k.asked()
	b, err := f.Borrow(ctx, name)
	if err != nil {
		return FamilyAnswer{}, fitError(ctx, err)
	}
	a := FamilyAnswer{
		Condition: k.condition, Sentence: b.Sentence, Own: own.Trials, Held: own.Held, Worth: b.Worth, OwnShare: b.OwnShare, Trust: b.Trust, Weight: b.Weight,
		Members: k.members, Studies: k.studies, Warnings: k.warnings, TiltMax: math.Max(k.tilt, 5*math.Pi/180),
	}
	for _, d := range b.Donors {
		a.Donors = append(a.Donors, FamilyDonor{k.names[d.Item], int(d.Trials), d.Likeness, d.Alike(), d.Share})
	}
	if err := a.estimate(b); err != nil {
		return FamilyAnswer{}, domain.Internal("reading the family", err)
	}
	a.Change = a.change()
	return a, nil
}

// estimate fills in the surest orientation, the section through it, and the means.
func (a *FamilyAnswer) estimate(b *family.Borrowed) error {
	rng := numeric.Stream(familySeed, "family orientations")
	grid := make([]orient.Rotation, familyGrid)
	for i := range grid {
		grid[i] = orient.RandomWithin(a.TiltMax, rng)
	}
	points, err := readFamily(b, grid)
	if err != nil {
		return err
	}
	a.Surest = slices.MaxFunc(points, func(x, y FamilyPoint) int { return cmp.Compare(x.Low, y.Low) })
	for _, p := range points {
		const share = 1.0 / familyGrid
		a.Mean.P += share * p.P
		a.Mean.Low += share * p.Low
		a.Mean.High += share * p.High
		a.Mean.Alone += share * p.Alone
		a.Mean.AloneLow += share * p.AloneLow
		a.Mean.AloneHigh += share * p.AloneHigh
	}
	section := make([]orient.Rotation, familySection)
	at := a.Surest.Rotation.Approach()
	for i := range section {
		at.Tilt = a.TiltMax * float64(i) / (familySection - 1)
		section[i] = orient.FromApproach(at)
	}
	a.Section, err = readFamily(b, section)
	return err
}

func readFamily(b *family.Borrowed, rs []orient.Rotation) ([]FamilyPoint, error) {
	with, alone := make([]family.Estimate, len(rs)), make([]family.Estimate, len(rs))
	if err := b.Predict(with, rs); err != nil {
		return nil, err
	}
	if !b.Alone(alone, rs) {
		for i := range alone {
			alone[i] = family.Estimate{P: math.NaN(), Low: math.NaN(), High: math.NaN()}
		}
	}
	points := make([]FamilyPoint, len(rs))
	for i, e := range with {
		points[i] = FamilyPoint{Rotation: rs[i], P: e.P, Low: e.Low, High: e.High, Alone: alone[i].P, AloneLow: alone[i].Low, AloneHigh: alone[i].High}
	}
	return points, nil
}

// narrower is how much narrower the mean band must be for borrowing to be called a help.
const narrower = 0.95

// change says what borrowing does to the estimate, also where it does nothing.
func (a *FamilyAnswer) change() string {
	s := a.Surest
	if len(a.Donors) == 0 {
		return fmt.Sprintf("No other item was tried with this hand, setting and strategy, so the estimate rests on its own trials alone: at its surest orientation %s.", band(s.P, s.Low, s.High))
	}
	if a.Own == 0 {
		return fmt.Sprintf("It has no trials of its own, so nothing can be said alone. By the others it would succeed, at its surest orientation, in %s. Try it before you rely on that.", band(s.P, s.Low, s.High))
	}
	text := fmt.Sprintf("At its surest orientation it would succeed in %s by its own trials alone, and in %s with what it borrows.", band(s.Alone, s.AloneLow, s.AloneHigh), band(s.P, s.Low, s.High))
	alone, with := 100*(a.Mean.AloneHigh-a.Mean.AloneLow), 100*(a.Mean.High-a.Mean.Low)
	if with < narrower*alone {
		return text + fmt.Sprintf(" Over all orientations borrowing narrows the 90 %% band from %.0f to %.0f points on average.", alone, with)
	}
	return text + fmt.Sprintf(" Borrowing does not help here: over all orientations the 90 %% band is %.0f points wide on average with it, and %.0f alone.", with, alone)
}

func band(p, low, high float64) string {
	return fmt.Sprintf("%.0f %% (90 %% band %.0f to %.0f %%)", 100*p, 100*low, 100*high)
}

// listed puts words into a sentence.
func listed(words []string) string {
	last := len(words) - 1
	if last < 1 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:last], ", ") + " and " + words[last]
}
