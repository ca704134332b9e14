package family

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"holdfast/orient"
	"holdfast/statistics/additive"
	"holdfast/statistics/successmap"
)

// Donor is what one other item lends.
type Donor struct {
	Item     string
	Trials   float64
	Likeness float64 // 0 … 1, prior correlation of the deviations from what all items share
	Share    float64 // of all that is lost when each donor is left out in turn
}

// Alike says in words how alike the donor is. Even an item with the same features reaches only 1/(1 + λ), since each has
// something of its own.
func (d Donor) Alike() string {
	switch {
	case d.Likeness >= 0.6:
		return "very alike"
	case d.Likeness >= 0.35:
		return "alike"
	case d.Likeness >= 0.1:
		return "somewhat alike"
	}
	return "hardly alike"
}

// Borrowed is one item's estimate with what it owes to others. It is safe for concurrent use.
type Borrowed struct {
	Item     string
	Own      float64 // trials
	Trust    float64 // posterior probability that the others speak for this item
	Weight   float64 // of what all items say in the estimate: Trust, at most 300/(300 + Own); the rest is the item's own trials alone
	OwnShare float64 // of the information that own trials bring, 0 … 1
	Worth    float64 // own trials, spread evenly, that would bring what is borrowed
	Donors   []Donor // largest share first
	Sentence string

	family *Family
	alone  *successmap.Map // nil without own trials
}

// Estimate is the answer at one orientation.
type Estimate struct {
	P         float64 // expected probability of success
	Low, High float64 // 5 % and 95 % quantiles
}

// related is the prior probability that the others speak for an item. Items of one kitchen mostly behave alike; one in
// ten may not, and 20 or so contrary trials then outvote the others (DESIGN.md eq. 4).
const related = 0.9

// hedge is the number of own trials at which they count for at least half, however well the others fit: evidence compares
// whole functions and can favour others that are wrong in places, which many own trials show best.
const hedge = 300

// Borrow returns an item's estimate. It fails on an unknown name or when ctx ends.
func (f *Family) Borrow(ctx context.Context, name string) (*Borrowed, error) {
	at := slices.IndexFunc(f.items, func(it Item) bool { return it.Name == name })
	if at < 0 {
		return nil, fmt.Errorf("there is no item %s among those fitted", name)
	}
	b := &Borrowed{Item: name, Own: f.items[at].trials(), Trust: related, family: f}
	if b.Own > 0 {
		var err error
		if b.alone, err = successmap.Fit(ctx, f.items[at].Observations, successmap.Options{Symmetry: f.o.Symmetry, Workers: f.o.Workers}); err != nil {
			return nil, err
		}
		if b.Trust, err = f.trust(ctx, at, b.alone.Summary().Evidence); err != nil {
			return nil, err
		}
	}
	b.Weight = hedged(b.Trust, b.Own)
	if err := b.account(ctx, at); err != nil {
		return nil, err
	}
	b.Sentence = b.describe()
	return b, nil
}

// trust weighs one model of all trials against two that know nothing of each other, one of the item's own trials and one
// of the others', each at the scales that its trials choose.
func (f *Family) trust(ctx context.Context, at int, alone float64) (float64, error) {
	if len(f.tested()) == 1 {
		return 0, nil
	}
	others, err := f.evidenceOfOthers(ctx, at)
	if err != nil {
		return 0, err
	}
	return trustOf(f.model.Summary().Evidence - others - alone), nil
}

// trustOf is the probability that the others speak for an item, from how much more evidence one model of all trials has
// than two (DESIGN.md eq. 3).
func trustOf(gap float64) float64 { return expit(math.Log(related/(1-related)) + gap) }

// hedged is the weight of what all items say (DESIGN.md eq. 4).
func hedged(trust, own float64) float64 { return math.Min(trust, hedge/(hedge+own)) }

// evidenceOfOthers is the log evidence of all items but one.
func (f *Family) evidenceOfOthers(ctx context.Context, at int) (float64, error) {
	d := &additive.Data{Levels: map[string][]string{}}
	for i, o := range f.owner {
		if o != at {
			d.Held, d.Trials = append(d.Held, f.data.Held[i]), append(d.Trials, f.data.Trials[i])
			d.Orientations = append(d.Orientations, f.data.Orientations[i])
			d.Levels[itemFactor] = append(d.Levels[itemFactor], f.data.Levels[itemFactor][i])
		}
	}
	others, err := additive.Fit(ctx, d, f.terms(), additive.Options{Workers: f.o.Workers})
	if err != nil {
		return 0, err
	}
	return others.Summary().Evidence, nil
}

func (f *Family) tested() (list []int) {
	for i := range f.items {
		if f.items[i].trials() > 0 {
			list = append(list, i)
		}
	}
	return list
}

// information is the mean over orientations of the precision of the log-odds.
func (f *Family) information(m *additive.Model, item string) (float64, []additive.Estimate, error) {
	est, err := m.Predict(f.query(item, f.points))
	if err != nil {
		return 0, nil, err
	}
	return precision(est), est, nil
}

func precision(est []additive.Estimate) (sum float64) {
	for _, e := range est {
		sum += 1 / (e.SD * e.SD) / float64(len(est))
	}
	return sum
}

// account fills in what was borrowed, from whom, and its worth.
func (b *Borrowed) account(ctx context.Context, at int) error {
	f := b.family
	whole, est, err := f.information(f.model, b.Item)
	if err != nil {
		return err
	}
	small := f.small()
	prior := 1 / small.priorVariance
	own := prior
	if b.Own > 0 {
		if own, err = small.information(ctx, f, f.items[at].Observations, nil, 0); err != nil {
			return err
		}
	}
	if whole > prior {
		b.OwnShare = math.Min(1, math.Max(0, (own-prior)/(whole-prior)))
	}
	if b.Worth, err = small.worth(ctx, f, f.items[at].Observations, est, whole); err != nil {
		return err
	}
	likeness := f.Likeness()
	lost := 0.0
	for _, i := range f.tested() {
		if i == at {
			continue
		}
		m, err := f.without(ctx, i)
		if err != nil {
			return err
		}
		left, _, err := f.information(m, b.Item)
		if err != nil {
			return err
		}
		d := Donor{Item: f.items[i].Name, Trials: f.items[i].trials(), Likeness: likeness[at][i], Share: math.Max(0, whole-left)}
		lost += d.Share
		b.Donors = append(b.Donors, d)
	}
	for i := range b.Donors {
		if lost > 0 {
			b.Donors[i].Share /= lost
		}
	}
	slices.SortStableFunc(b.Donors, func(x, y Donor) int {
		switch {
		case x.Share > y.Share:
			return -1
		case x.Share < y.Share:
			return 1
		}
		return strings.Compare(x.Item, y.Item)
	})
	return nil
}

// small is the family's prior of a single item as a model of its own: the shared function and the item's deviation add
// up to one function of the same shape.
type small struct {
	term          additive.Term
	options       additive.Options
	priorVariance float64 // of the log-odds at one orientation
}

// constantVariance is the prior variance of the constant in package additive.
const constantVariance = 9

func (f *Family) small() small {
	shared, own, level := f.hyper("orientation", "amplitude"), f.hyper(termOwn, "amplitude"), f.hyper(itemFactor, "amplitude")
	variance := math.Exp(2*shared) + math.Exp(2*own)
	constant := constantVariance + math.Exp(2*level)
	term := additive.OrientationTerm(f.o.Symmetry)
	term.Degree = f.degree
	return small{
		term: term, priorVariance: variance + constant,
		options: additive.Options{Workers: f.o.Workers, ConstantSD: math.Sqrt(constant), Hypers: []float64{
			math.Log(variance) / 2, f.hyper("orientation", "length"), f.hyper("orientation", "stiffness against roll"), f.hyper("orientation", "smoothness"),
		}},
	}
}

// information of own trials and of further ones spread evenly over the points, which hold as often as expected.
func (s small) information(ctx context.Context, f *Family, own []successmap.Observation, expected []additive.Estimate, further float64) (float64, error) {
	d := &additive.Data{}
	for _, o := range own {
		d.Held, d.Trials, d.Orientations = append(d.Held, o.Held), append(d.Trials, o.Trials), append(d.Orientations, f.o.Symmetry.Canonical(o.R))
	}
	for i, e := range expected {
		each := further / float64(len(expected))
		d.Held, d.Trials, d.Orientations = append(d.Held, each*e.P), append(d.Trials, each), append(d.Orientations, f.o.Symmetry.Canonical(f.points[i]))
	}
	m, err := additive.Fit(ctx, d, []additive.Term{s.term}, s.options)
	if err != nil {
		return 0, err
	}
	est, err := m.Predict(&additive.Data{Orientations: f.points})
	return precision(est), err
}

// mostWorth bounds the trials that are searched for.
const mostWorth = 5000

// worth returns how many further own trials would bring the item's information to whole.
func (s small) worth(ctx context.Context, f *Family, own []successmap.Observation, expected []additive.Estimate, whole float64) (float64, error) {
	reaches := func(m float64) (bool, error) {
		info, err := s.information(ctx, f, own, expected, m)
		return info >= whole, err
	}
	low, high := 0.0, 8.0
	for {
		ok, err := reaches(high)
		if err != nil {
			return 0, err
		}
		if ok || high >= mostWorth {
			break
		}
		low, high = high, 2*high
	}
	for range 7 {
		mid := (low + high) / 2
		ok, err := reaches(mid)
		if err != nil {
			return 0, err
		}
		if ok {
			high = mid
		} else {
			low = mid
		}
	}
	return (low + high) / 2, nil
}

// Predict writes the estimate at every orientation into dst: the mixture, by Weight, of what all items say and of what the
// item's own trials say alone.
func (b *Borrowed) Predict(dst []Estimate, rs []orient.Rotation) error {
	joint, err := b.family.model.Predict(b.family.query(b.Item, rs))
	if err != nil {
		return err
	}
	alone := make([]successmap.Estimate, len(rs))
	if b.alone != nil {
		b.alone.Predict(alone, rs)
	} else {
		wide := math.Sqrt(b.family.small().priorVariance)
		for i := range alone {
			alone[i] = successmap.Estimate{P: 0.5, SD: wide}
		}
	}
	for i, j := range joint {
		a := alone[i]
		dst[i].P = b.Weight*j.P + (1-b.Weight)*a.P
		dst[i].Low = b.quantile(0.05, j.Mean, j.SD, a.Mean, a.SD)
		dst[i].High = b.quantile(0.95, j.Mean, j.SD, a.Mean, a.SD)
	}
	return nil
}

// Alone writes the estimate of the item's own trials alone into dst. It reports whether there are any.
func (b *Borrowed) Alone(dst []Estimate, rs []orient.Rotation) bool {
	if b.alone == nil {
		return false
	}
	est := make([]successmap.Estimate, len(rs))
	b.alone.Predict(est, rs)
	for i, e := range est {
		dst[i] = Estimate{e.P, e.Low, e.High}
	}
	return true
}

// quantile of the probability under the mixture of two normals of log-odds.
func (b *Borrowed) quantile(q, mean, sd, aloneMean, aloneSD float64) float64 {
	low := math.Min(mean-5*sd, aloneMean-5*aloneSD)
	high := math.Max(mean+5*sd, aloneMean+5*aloneSD)
	for range 50 {
		mid := (low + high) / 2
		below := b.Weight*normalCDF((mid-mean)/sd) + (1-b.Weight)*normalCDF((mid-aloneMean)/aloneSD)
		if below < q {
			low = mid
		} else {
			high = mid
		}
	}
	return expit((low + high) / 2)
}

func normalCDF(x float64) float64 { return 0.5 * math.Erfc(-x/math.Sqrt2) }

func expit(x float64) float64 { return 1 / (1 + math.Exp(-x)) }

// leastShare is the share below which a donor is not named.
const leastShare = 0.1

func (b *Borrowed) describe() string {
	own := fmt.Sprintf("%.0f own trials", b.Own)
	switch b.Own {
	case 0:
		own = "No own trials"
	case 1:
		own = "1 own trial"
	}
	if len(b.Donors) == 0 {
		return own + ", and no other item to borrow from."
	}
	if b.Trust < 0.5 {
		return fmt.Sprintf("%s, which the other items do not explain (probability that they speak for it: %.0f %%): its own trials count nearly alone.", own, 100*b.Trust)
	}
	var from []string
	for _, d := range b.Donors {
		if d.Share >= leastShare {
			from = append(from, fmt.Sprintf("%s (%.0f %%)", d.Item, 100*d.Share))
		}
	}
	if b.Worth < 1 || len(from) == 0 {
		return own + "; the other items add next to nothing."
	}
	last := from[len(from)-1]
	if len(from) > 1 {
		last = strings.Join(from[:len(from)-1], ", ") + " and " + last
	}
	return fmt.Sprintf("%s and the worth of %s more from %s.", own, about(b.Worth), last)
}

// about rounds to two digits: more would pretend.
func about(x float64) string {
	if x >= 100 {
		unit := math.Pow(10, math.Floor(math.Log10(x))-1)
		x = math.Round(x/unit) * unit
	}
	return fmt.Sprintf("about %.0f", x)
}
