package family

import (
	"context"
	"errors"
	"fmt"
	"math"

	"holdfast/numeric"
	"holdfast/orient"
	"holdfast/statistics/additive"
	"holdfast/statistics/successmap"
)

// Item is an item with what is known of it; a new one has no observations yet.
type Item struct {
	Name         string
	Features     Features
	Observations []successmap.Observation
}

func (it *Item) trials() (n float64) {
	for _, o := range it.Observations {
		n += o.Trials
	}
	return n
}

// Options steer a fit.
type Options struct {
	Symmetry orient.Symmetry // of hand and surroundings, the same for all items
	TiltMax  float64         // rad, tilt up to which information is compared; 0: the largest tried
	Workers  int             // 0: one a processor. The result does not depend on it.
}

// Family is one model of several items. It is safe for concurrent use.
type Family struct {
	items  []Item
	o      Options
	like   *likeness
	data   *additive.Data
	owner  []int // row of the data → item
	model  *additive.Model
	degree int
	points []orient.Rotation // where information is compared
}

// The names of the model's terms; itemFactor is the factor that they are by.
const itemFactor = "item"

// Orientation functions go up to the degree that keeps the deviations of all items below mostDeviating coefficients.
const (
	mostDegree    = 4
	mostDeviating = 700
	comparePoints = 120
	compareSeed   = 1
)

// Fit fits all items together. It fails when no item has trials, on unusable items, or when ctx ends.
func Fit(ctx context.Context, items []Item, o Options) (*Family, error) {
	if err := check(items); err != nil {
		return nil, err
	}
	f := &Family{items: items, o: o, like: newLikeness(items), data: &additive.Data{Levels: map[string][]string{}}}
	tilt := o.TiltMax
	tested := 0
	for i := range items {
		if items[i].trials() > 0 {
			tested++
		}
		for _, ob := range items[i].Observations {
			r, ok := ob.R.Normalized()
			if !ok {
				return nil, fmt.Errorf("item %s: an orientation is not a quaternion of positive, finite length", items[i].Name)
			}
			if o.TiltMax == 0 {
				tilt = math.Max(tilt, r.Approach().Tilt)
			}
			f.data.Held, f.data.Trials = append(f.data.Held, ob.Held), append(f.data.Trials, ob.Trials)
			f.data.Orientations = append(f.data.Orientations, o.Symmetry.Canonical(r))
			f.data.Levels[itemFactor] = append(f.data.Levels[itemFactor], items[i].Name)
			f.owner = append(f.owner, i)
		}
	}
	if tested == 0 {
		return nil, errors.New("no item has trials yet: run or import some first")
	}
	f.degree = mostDegree
	for ; f.degree > 1; f.degree-- {
		h, err := orient.NewHarmonics(f.degree, o.Symmetry)
		if err != nil {
			return nil, err
		}
		if h.Len()*tested <= mostDeviating {
			break
		}
	}
	var err error
	if f.model, err = additive.Fit(ctx, f.data, f.terms(), additive.Options{Workers: o.Workers}); err != nil {
		return nil, err
	}
	rng := numeric.Stream(compareSeed, "family points")
	for range comparePoints {
		f.points = append(f.points, orient.RandomWithin(math.Max(tilt, 0.1), rng))
	}
	return f, nil
}

// terms are what all items share, each item's deviation from it, and each item's level.
func (f *Family) terms() []additive.Term {
	shared, own, level := additive.OrientationTerm(f.o.Symmetry), additive.FactorByOrientation(itemFactor, f.o.Symmetry), additive.FactorTerm(itemFactor)
	shared.Degree, own.Degree = f.degree, f.degree
	own.Kernel, level.Kernel = f.like, f.like
	return []additive.Term{shared, own, level}
}

// hyper returns the logarithm of a scale that the trials chose.
func (f *Family) hyper(term, name string) float64 {
	s := f.model.Summary()
	for k, h := range s.HyperNames {
		if h.Term == term && h.Name == name {
			return s.Hypers[k]
		}
	}
	return math.Inf(-1)
}

// termOwn is the name of the items' deviations on orientations.
const termOwn = itemFactor + " × orientation"

// Likeness returns how alike two items' deviations are taken to be, 0 … 1: their prior correlation at the scales that
// the trials chose. Row and column i belong to item i.
func (f *Family) Likeness() [][]float64 {
	n := len(f.items)
	names := make([]string, n)
	for i := range f.items {
		names[i] = f.items[i].Name
	}
	k, _ := f.like.Covariance(names, []float64{f.hyper(termOwn, "likeness length"), f.hyper(termOwn, "own share")})
	rows := make([][]float64, n)
	for i := range rows {
		rows[i] = k[i*n : (i+1)*n]
	}
	return rows
}

// query is the item at orientations.
func (f *Family) query(item string, rs []orient.Rotation) *additive.Data {
	q := &additive.Data{Orientations: make([]orient.Rotation, len(rs)), Levels: map[string][]string{itemFactor: make([]string, len(rs))}}
	for i, r := range rs {
		q.Orientations[i] = f.o.Symmetry.Canonical(r)
		q.Levels[itemFactor][i] = item
	}
	return q
}

// without is the model with an item's trials left out, at the same scales.
func (f *Family) without(ctx context.Context, item int) (*additive.Model, error) {
	weights := make([]float64, len(f.owner))
	for i, o := range f.owner {
		if o != item {
			weights[i] = 1
		}
	}
	return f.model.Reweigh(ctx, f.data, weights)
}
