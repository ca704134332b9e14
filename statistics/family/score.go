package family

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"holdfast/numeric"
	"holdfast/orient"
	"holdfast/statistics/additive"
	"holdfast/statistics/successmap"
)

// Score is how well an item's trials are forecast by trials that do not include them, as mean log loss a trial (nats; lower
// is better).
type Score struct {
	Item   string
	Trials float64
	Folds  int
	Base   float64 // by the plain success rate of the item's other folds
	New    float64 // by the other items alone, as if it had no trials; NaN without other items
	Alone  float64 // by the item's own other folds
	With   float64 // by the item's own other folds and all other items
	Gain   float64 // Alone − With
	SE     float64 // standard error of Gain over groups of one orientation
}

// z90 bounds a central 90 % interval of a normal estimate.
const z90 = 1.6448536269514722

// Interval is the 90 % interval of the gain.
func (s Score) Interval() (low, high float64) { return s.Gain - z90*s.SE, s.Gain + z90*s.SE }

// leastScored is the number of trials from which an item is scored: fewer say nothing of forecasts.
const leastScored = 10

// ErrTooFew says that an item can not be scored.
var ErrTooFew = errors.New("scoring needs ten trials at two orientations")

// Score forecasts the item's trials, each fold from the others. Trials at one orientation always go together; the seed
// deals them to folds. In every fold the own map chooses its scales anew, and how far the others are trusted is weighed
// anew; the joint model keeps its scales and fits only coefficients. It fails with [ErrTooFew], on an unknown name, or when
// ctx ends.
func (f *Family) Score(ctx context.Context, name string, folds int, seed uint64) (Score, error) {
	s := Score{Item: name, New: math.NaN()}
	at := slices.IndexFunc(f.items, func(it Item) bool { return it.Name == name })
	if at < 0 {
		return s, fmt.Errorf("there is no item %s among those fitted", name)
	}
	d := f.deal(at, folds, seed)
	s.Trials, s.Folds = f.items[at].trials(), d.folds
	if s.Trials < leastScored || d.folds < 2 {
		return s, ErrTooFew
	}
	lone := len(f.tested()) == 1
	others := 0.0
	if !lone {
		var err error
		if others, err = f.evidenceOfOthers(ctx, at); err != nil {
			return s, err
		}
		if s.New, err = f.scoreAsNew(ctx, at); err != nil {
			return s, err
		}
	}
	for fold := range d.folds {
		if err := d.forecast(ctx, fold, others, lone); err != nil {
			return s, err
		}
	}
	s.Base, s.Alone, s.With = total(d.base)/s.Trials, total(d.alone)/s.Trials, total(d.with)/s.Trials
	s.Gain = s.Alone - s.With
	// That of a ratio over groups: √(G/(G−1)·Σ(d_g − n_g·d̄)²)/Σn (common practice for cluster samples, no source).
	square := 0.0
	for g, n := range d.trials {
		r := d.alone[g] - d.with[g] - n*s.Gain
		square += r * r
	}
	groups := float64(len(d.trials))
	s.SE = math.Sqrt(square*groups/(groups-1)) / s.Trials
	return s, nil
}

// dealt is one item's trials, grouped by orientation and dealt to folds, with what each group loses.
type dealt struct {
	f                 *Family
	at                int
	folds             int
	fold              []int // of groups
	group             []int // of the item's observations
	trials            []float64
	base, alone, with []float64
}

func (f *Family) deal(at, folds int, seed uint64) *dealt {
	d := &dealt{f: f, at: at}
	number := map[orient.Rotation]int{}
	for _, o := range f.items[at].Observations {
		r, _ := o.R.Normalized()
		r = f.o.Symmetry.Canonical(r).Canonical()
		g, ok := number[r]
		if !ok {
			g = len(number)
			number[r] = g
			d.trials = append(d.trials, 0)
		}
		d.group = append(d.group, g)
		d.trials[g] += o.Trials
	}
	count := len(number)
	d.folds = min(folds, count)
	d.fold = make([]int, count)
	for i, g := range numeric.Stream(seed, "family folds").Perm(count) {
		d.fold[g] = i % max(d.folds, 1)
	}
	d.base, d.alone, d.with = make([]float64, count), make([]float64, count), make([]float64, count)
	return d
}

// forecast adds to every group of the fold what its forecasts lose.
func (d *dealt) forecast(ctx context.Context, fold int, others float64, lone bool) error {
	f := d.f
	weights := make([]float64, len(f.owner))
	var rest, out []successmap.Observation
	var groups []int
	held, own, next := 0.5, 0.0, 0
	for row, item := range f.owner {
		weights[row] = 1
		if item != d.at {
			continue
		}
		o := f.items[d.at].Observations[next]
		if g := d.group[next]; d.fold[g] == fold {
			weights[row] = 0
			out, groups = append(out, o), append(groups, g)
		} else {
			rest = append(rest, o)
			held, own = held+o.Held, own+o.Trials
		}
		next++
	}
	alone, err := successmap.Fit(ctx, rest, successmap.Options{Symmetry: f.o.Symmetry, Workers: f.o.Workers})
	if err != nil {
		return err
	}
	points := make([]orient.Rotation, len(out))
	for i, o := range out {
		points[i] = o.R
	}
	by := make([]successmap.Estimate, len(out))
	alone.Predict(by, points)
	joint, weight := make([]additive.Estimate, len(out)), 0.0
	if !lone {
		m, err := f.model.Reweigh(ctx, f.data, weights)
		if err != nil {
			return err
		}
		if joint, err = m.Predict(f.query(f.items[d.at].Name, points)); err != nil {
			return err
		}
		weight = hedged(trustOf(m.Summary().Evidence-others-alone.Summary().Evidence), own)
	}
	for i, o := range out {
		g, p := groups[i], by[i].P
		d.base[g] += loss(o, held/(own+1))
		d.alone[g] += loss(o, p)
		d.with[g] += loss(o, weight*joint[i].P+(1-weight)*p)
	}
	return nil
}

// scoreAsNew is the log loss of all trials of the item by the others alone.
func (f *Family) scoreAsNew(ctx context.Context, at int) (float64, error) {
	m, err := f.without(ctx, at)
	if err != nil {
		return 0, err
	}
	own := f.items[at].Observations
	points := make([]orient.Rotation, len(own))
	for i, o := range own {
		points[i] = o.R
	}
	est, err := m.Predict(f.query(f.items[at].Name, points))
	if err != nil {
		return 0, err
	}
	sum := 0.0
	for i, o := range own {
		// Without own trials nothing speaks against the others, and an unrelated item would be anything: a half.
		sum += loss(o, related*est[i].P+(1-related)*0.5)
	}
	return sum / f.items[at].trials(), nil
}

// loss is minus the logarithm of the probability given to what happened.
func loss(o successmap.Observation, p float64) float64 {
	sum := 0.0
	if o.Held > 0 {
		sum -= o.Held * math.Log(p)
	}
	if missed := o.Trials - o.Held; missed > 0 {
		sum -= missed * math.Log1p(-p)
	}
	return sum
}

func total(x []float64) (sum float64) {
	for _, v := range x {
		sum += v
	}
	return sum
}
