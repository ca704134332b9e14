package touch

import (
	"context"
	"fmt"
	"math"
	"sort"

	"holdfast/numeric"
)

// CrossValidate tells every clip's zone by a method that was trained without the fold it lies in. Its error is that of ctx once that
// has ended; so it is of all that takes one here.
func CrossValidate(ctx context.Context, m Method, x Matrix, zone []int, zones int, folds Folds, workers int) ([]int, error) {
	told := make([]int, x.Rows)
	err := allInParallel(ctx, len(folds), workers, func(f int) error {
		if err := tellFold(ctx, m, x, zone, zones, folds.training(f, x.Rows), folds[f], told); err != nil {
			return fmt.Errorf("fold %d of %d: %w", f+1, len(folds), err)
		}
		return nil
	})
	return told, err
}

// tellFold trains on some clips and tells the zones of others.
func tellFold(ctx context.Context, m Method, x Matrix, zone []int, zones int, training, held, told []int) error {
	p, err := Fit(ctx, m, x.Pick(training), pick(zone, training), zones, false)
	if err != nil {
		return err
	}
	return eachUntil(ctx, held, func(i int) { told[i] = p.Tell(x.Row(i)) })
}

// Splitter makes the folds of some of the clips, whose numbers it gets; folds count places in that list.
type Splitter func(clips []int) (Folds, error)

// ByGroup splits by groups of clips; see GroupFolds.
func ByGroup(groups []string, k int, seed uint64) Splitter {
	return func(clips []int) (Folds, error) { return GroupFolds(pick(groups, clips), k, seed) }
}

// ByChance splits by chance; see RandomFolds.
func ByChance(zone []int, k int, seed uint64) Splitter {
	return func(clips []int) (Folds, error) { return RandomFolds(pick(zone, clips), k, seed), nil }
}

// Choose returns the number of the method that tells most clips right when they are held out; of equal ones the first. A
// method that can not be trained on a split drops out; it is an error when all do.
func Choose(ctx context.Context, methods []Method, x Matrix, zone []int, zones int, folds Folds, workers int) (int, error) {
	best, _, _, err := choose(ctx, methods, x, zone, zones, folds, workers)
	return best, err
}

func every(n int) []int {
	all := make([]int, n)
	for i := range all {
		all[i] = i
	}
	return all
}

// front is what inner folds of a set of clips share of a method with a kernel: standardised by the whole set, so the choice
// among methods knows the scale of clips that it holds out, but nothing else of them, and the outer folds' clips not at all.
type front struct {
	standard *Standard
	kernel   *kernel
}

// choose is Choose, and hands back how many clips it told right and what the chosen method shares, nil when that is nothing.
func choose(ctx context.Context, methods []Method, x Matrix, zone []int, zones int, folds Folds, workers int) (best, told int, shares *front, err error) {
	shared := make([]*front, len(methods))
	for m, method := range methods {
		shared[m] = sharedFront(ctx, method, x, workers)
	}
	type task struct{ fold, method int }
	var tasks []task
	for m := len(methods) - 1; m >= 0; m-- { // the slow ones stand last among the candidates, and go first
		for f := range folds {
			tasks = append(tasks, task{f, m})
		}
	}
	right, failed := make([]int, len(tasks)), make([]error, len(tasks))
	err = inParallel(ctx, len(tasks), workers, func(t int) {
		k := tasks[t]
		training, held := folds.training(k.fold, x.Rows), folds[k.fold]
		told := make([]int, x.Rows)
		if s := shared[k.method]; s != nil {
			var pairs []pairOnKernel
			if pairs, failed[t] = trainPairs(ctx, s.kernel, training, zone, zones, SVMSettings{C: methods[k.method].C}, 1); failed[t] != nil {
				return
			}
			for _, i := range held {
				told[i] = tellOnKernel(s.kernel, pairs, zones, i)
			}
		} else if failed[t] = tellFold(ctx, methods[k.method], x, zone, zones, training, held, told); failed[t] != nil {
			return
		}
		for _, i := range held {
			if told[i] == zone[i] {
				right[t]++
			}
		}
	})
	if err != nil {
		return 0, 0, nil, err
	}
	score, why := make([]int, len(methods)), error(nil)
	for t, k := range tasks {
		if score[k.method] += right[t]; failed[t] != nil {
			score[k.method], why = math.MinInt/2, failed[t]
		}
	}
	if best = largestOf(score); score[best] < 0 {
		return 0, 0, nil, why
	}
	return best, score[best], shared[best], nil
}

// largestOf returns the first index of the largest number.
func largestOf(s []int) int {
	best := 0
	for k, v := range s {
		if v > s[best] {
			best = k
		}
	}
	return best
}

// sharedFront computes what inner folds share; nil where a method has no kernel, or it does not fit into memory.
func sharedFront(ctx context.Context, m Method, x Matrix, workers int) *front {
	if (m.Kind != SupportVectors && m.Kind != LinearSupportVectors) || m.Components > 0 || !(m.C > 0) || x.Rows*x.Rows > keptKernel {
		return nil
	}
	scaled, standard := NewMatrix(x.Rows, x.Cols), FitStandard(x)
	for i := range x.Rows {
		standard.Apply(scaled.Row(i), x.Row(i))
	}
	gamma := m.Gamma
	switch {
	case m.Kind == LinearSupportVectors:
		gamma = 0
	case gamma == ScaleGamma:
		gamma = scaleGamma(scaled)
	case !(gamma >= 0):
		return nil
	}
	k := newKernel(scaled, gamma)
	k.fill(ctx, workers)
	return &front{standard, k}
}

// Nested tells every clip's zone by a method that was chosen and trained without the fold it lies in: within each training
// part, inner folds choose among the methods. Its figures are of the whole way of choosing, so they are not flattered by the
// choice. It also returns the chosen method's number for each outer fold.
func Nested(ctx context.Context, methods []Method, x Matrix, zone []int, zones int, outer Folds, inner Splitter, workers int) (told, chosen []int, err error) {
	told, choices, err := nested(ctx, methods, []Matrix{x}, zone, zones, outer, inner, workers, &steps{})
	for _, c := range choices {
		chosen = append(chosen, c.method)
	}
	return told, chosen, err
}

// nested is Nested, choosing among sets of features as well.
func nested(ctx context.Context, methods []Method, views []Matrix, zone []int, zones int, outer Folds, inner Splitter, workers int, steps *steps) (told []int, chosen []choice, err error) {
	rows := views[0].Rows
	told, chosen = make([]int, rows), make([]choice, len(outer))
	if len(methods) == 1 && len(views) == 1 { // nothing to choose
		if err := steps.next("zones: telling groups that are held out"); err != nil {
			return nil, nil, err
		}
		steps.done += len(outer) - 1
		told, err = CrossValidate(ctx, methods[0], views[0], zone, zones, outer, workers)
		return told, chosen, err
	}
	for o, held := range outer {
		set := outer.training(o, rows)
		zoneInSet := pick(zone, set)
		folds, err := inner(set)
		if err != nil {
			return nil, nil, err
		}
		inSet := make([]Matrix, len(views))
		for v, x := range views {
			inSet[v] = x.Pick(set)
		}
		next := func(v int) error {
			return steps.next(fmt.Sprintf("zones: telling groups that are held out, part %d of %d", o+1, len(outer)) + ofSets(v, len(views)))
		}
		var shared *front
		if chosen[o], shared, err = chooseAmong(ctx, methods, inSet, zoneInSet, zones, folds, workers, next); err != nil {
			return nil, nil, err
		}
		method, x := methods[chosen[o].method], views[chosen[o].set]
		var p *Pipeline
		if shared != nil {
			pairs, err := trainPairs(ctx, shared.kernel, every(len(set)), zoneInSet, zones, SVMSettings{C: method.C}, workers)
			if err != nil {
				return nil, nil, err
			}
			p = &Pipeline{Standard: shared.standard, SVM: gathered(shared.kernel, pairs, zones)}
		} else if p, err = Fit(ctx, method, inSet[chosen[o].set], zoneInSet, zones, false); err != nil {
			return nil, nil, err
		}
		if err := inParallel(ctx, len(held), workers, func(i int) { told[held[i]] = p.Tell(x.Row(held[i])) }); err != nil {
			return nil, nil, err
		}
	}
	return told, chosen, nil
}

// ofSets names the set of features that a step is about, where there are several.
func ofSets(set, sets int) string {
	if sets == 1 {
		return ""
	}
	return fmt.Sprintf(", features %d of %d", set+1, sets)
}

// Interval is a mean with its bounds.
type Interval struct {
	Mean float64 `json:"mean"`
	Low  float64 `json:"low"`
	High float64 `json:"high"`
}

// ByGroupInterval returns the mean of values and its percentile interval when whole groups are drawn anew, 2000 times: clips
// of one group are no independent evidence. With fewer than about ten groups it is too narrow rather than too wide.
func ByGroupInterval(values []float64, groups []string, level float64, seed uint64) Interval {
	sum, count := map[string]float64{}, map[string]float64{}
	var names []string
	for i, g := range groups {
		if count[g]++; count[g] == 1 {
			names = append(names, g)
		}
		sum[g] += values[i]
	}
	r := numeric.Stream(seed, "touch group interval")
	means := make([]float64, 2000)
	for k := range means {
		s, n := 0.0, 0.0
		for range names {
			g := names[r.IntN(len(names))]
			s, n = s+sum[g], n+count[g]
		}
		means[k] = s / n
	}
	sort.Float64s(means)
	at := func(p float64) float64 { return means[min(max(int(p*float64(len(means))), 0), len(means)-1)] }
	return Interval{meanOf(values), at((1 - level) / 2), at((1 + level) / 2)}
}
