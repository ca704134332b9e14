package touch

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"
)

// CandidateSets are the sets of features that a model's are chosen from where validation chooses; see Plan.FeatureSets.
var CandidateSets = [][]string{
	{LogMel},
	{LogMel, Resonances, OctaveDecays},
	{LogSpectrum, OctaveDecays},
	{Cepstra, Shape, Flux, OctaveDecays},
	{OctaveEnergies, OctaveDecays}, // few numbers, for few clips
}

// AllOf returns the features of all sets, each once: what clips are turned into before a set is chosen.
func AllOf(sets [][]string) []string {
	return slices.DeleteFunc(slices.Clone(Features), func(f string) bool {
		return !slices.ContainsFunc(sets, func(s []string) bool { return slices.Contains(s, f) })
	})
}

// FeatureEvidence says which sets of features validation took.
type FeatureEvidence struct {
	Model  []string   `json:"model"`
	ByFold [][]string `json:"by_fold"` // of each part that was held out: what the others chose for it
	By     string     `json:"by"`      // what they were compared by: zone or mm
}

// views returns for each set its columns of x, the features of clips by a recipe.
func views(r Recipe, x Matrix, sets [][]string) ([]Matrix, error) {
	e, err := NewExtractor(r)
	if err != nil {
		return nil, err
	}
	first, at := map[string]int{}, 0
	for _, f := range r.Features {
		first[f], at = at, at+e.width(f)
	}
	list := make([]Matrix, len(sets))
	for s, set := range sets {
		var columns []int
		for _, f := range set {
			from, known := first[f]
			if !known {
				return nil, fmt.Errorf("feature %q is to be chosen, and the clips were turned into %s only", f, strings.Join(r.Features, ", "))
			}
			for c := range e.width(f) {
				columns = append(columns, from+c)
			}
		}
		list[s] = NewMatrix(x.Rows, len(columns))
		for i := range x.Rows {
			row := x.Row(i)
			for k, c := range columns {
				list[s].Row(i)[k] = row[c]
			}
		}
	}
	return list, nil
}

// choice is a method and the set of features that it works on, by number.
type choice struct{ set, method int }

// chooseAmong is choose over sets of features as well; of equally good ones the first. next is told before each set.
func chooseAmong(ctx context.Context, methods []Method, views []Matrix, zone []int, zones int, folds Folds, workers int, next func(set int) error) (choice, *front, error) {
	var best choice
	var shared *front
	var why error
	most := -1
	for s, x := range views {
		if err := next(s); err != nil {
			return best, nil, err
		}
		m, right, f, err := choose(ctx, methods, x, zone, zones, folds, workers)
		if ctx.Err() != nil {
			return best, nil, ctx.Err()
		}
		if err != nil {
			why = err
			continue
		}
		if right > most {
			best, shared, most = choice{s, m}, f, right
		}
	}
	if most < 0 {
		return best, nil, why
	}
	return best, shared, nil
}

// innerSplitter makes the folds within a training part. Where one specimen is left there, its sessions are held out.
func innerSplitter(d Labelled, plan Plan, groups []string) Splitter {
	return func(clips []int) (Folds, error) {
		if f, err := GroupFolds(pick(groups, clips), plan.Folds, plan.Seed+1); err == nil {
			return f, nil
		}
		return GroupFolds(pick(d.Session, clips), plan.Folds, plan.Seed+1)
	}
}

// setsByPosition chooses a set of features by the mean error of positions held out: for each fold within its training part,
// and on all clips for the model.
func setsByPosition(ctx context.Context, d Labelled, views []Matrix, plan Plan, groups []string, folds Folds, steps *steps) (byFold []int, set int, err error) {
	least := func(clips []int, folds Folds, where string) (int, error) {
		best, lowest := 0, math.Inf(1)
		for s, x := range views {
			if err := steps.next(fmt.Sprintf("positions: choosing features, %s, set %d of %d", where, s+1, len(views))); err != nil {
				return 0, err
			}
			mm := pick(d.PositionMm, clips)
			mean, _, err := heldOutPositions(ctx, repeated(x.Pick(clips), len(folds)), mm, folds, plan.Workers)
			if err != nil {
				return 0, err
			}
			sum := 0.0
			for i, v := range mean {
				sum += math.Abs(v - mm[i])
			}
			if sum < lowest {
				best, lowest = s, sum
			}
		}
		return best, nil
	}
	byFold = make([]int, len(folds))
	inner := innerSplitter(d, plan, groups)
	for f := range folds {
		clips := folds.training(f, d.X.Rows)
		within, err := inner(clips)
		if err != nil {
			return nil, 0, err
		}
		if byFold[f], err = least(clips, within, fmt.Sprintf("part %d of %d", f+1, len(folds))); err != nil {
			return nil, 0, err
		}
	}
	set, err = least(every(d.X.Rows), folds, "all clips")
	return byFold, set, err
}

func repeated(x Matrix, times int) []Matrix {
	list := make([]Matrix, times)
	for i := range list {
		list[i] = x
	}
	return list
}
