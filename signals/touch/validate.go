package touch

import (
	"fmt"
	"math"
	"sort"

	"holdfast/numeric"
	"holdfast/numeric/dense"
)

// CrossValidate tells every clip's zone by a method that was trained without the fold it lies in.
func CrossValidate(m Method, x Matrix, zone []int, zones int, folds Folds, workers int) ([]int, error) {
	told, failed := make([]int, x.Rows), make([]error, len(folds))
	dense.InParallel(len(folds), workers, func(f int) {
		failed[f] = tellFold(m, x, zone, zones, folds.training(f, x.Rows), folds[f], told)
	})
	for f, err := range failed {
		if err != nil {
			return nil, fmt.Errorf("fold %d of %d: %w", f+1, len(folds), err)
		}
	}
	return told, nil
}

// tellFold trains on some clips and tells the zones of others.
func tellFold(m Method, x Matrix, zone []int, zones int, training, held, told []int) error {
	p, err := Fit(m, x.Pick(training), pick(zone, training), zones, false)
	if err != nil {
		return err
	}
	for _, i := range held {
		told[i] = p.Tell(x.Row(i))
	}
	return nil
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
func Choose(methods []Method, x Matrix, zone []int, zones int, folds Folds, workers int) (int, error) {
	chosen, err := chooseAll(methods, x, zone, zones, [][]int{every(x.Rows)}, []Folds{folds}, workers)
	if err != nil {
		return 0, err
	}
	return chosen[0], nil
}

func every(n int) []int {
	all := make([]int, n)
	for i := range all {
		all[i] = i
	}
	return all
}

// chooseAll chooses a method for each of several sets of clips, all splits and methods at once.
func chooseAll(methods []Method, x Matrix, zone []int, zones int, sets [][]int, folds []Folds, workers int) ([]int, error) {
	type task struct{ set, fold, method int }
	var tasks []task
	for s := range sets {
		for f := range folds[s] {
			for m := range methods {
				tasks = append(tasks, task{s, f, m})
			}
		}
	}
	right, failed := make([]int, len(tasks)), make([]error, len(tasks))
	dense.InParallel(len(tasks), workers, func(t int) {
		k := tasks[t]
		set := sets[k.set]
		training, held := pick(set, folds[k.set].training(k.fold, len(set))), pick(set, folds[k.set][k.fold])
		told := make([]int, x.Rows)
		if failed[t] = tellFold(methods[k.method], x, zone, zones, training, held, told); failed[t] != nil {
			return
		}
		for _, i := range held {
			if told[i] == zone[i] {
				right[t]++
			}
		}
	})
	chosen := make([]int, len(sets))
	for s := range sets {
		score, why := make([]int, len(methods)), error(nil)
		for t, k := range tasks {
			if k.set != s {
				continue
			}
			if score[k.method] += right[t]; failed[t] != nil {
				score[k.method], why = math.MinInt/2, failed[t]
			}
		}
		best := 0
		for m, v := range score {
			if v > score[best] {
				best = m
			}
		}
		if score[best] < 0 {
			return nil, why
		}
		chosen[s] = best
	}
	return chosen, nil
}

// Nested tells every clip's zone by a method that was chosen and trained without the fold it lies in: within each training
// part, inner folds choose among the methods. Its figures are of the whole way of choosing, so they are not flattered by the
// choice. It also returns the chosen method's number for each outer fold.
func Nested(methods []Method, x Matrix, zone []int, zones int, outer Folds, inner Splitter, workers int) (told, chosen []int, err error) {
	sets, folds := make([][]int, len(outer)), make([]Folds, len(outer))
	for o := range outer {
		sets[o] = outer.training(o, x.Rows)
		if len(methods) == 1 {
			continue // nothing to choose
		}
		if folds[o], err = inner(sets[o]); err != nil {
			return nil, nil, err
		}
	}
	if chosen = make([]int, len(outer)); len(methods) > 1 {
		if chosen, err = chooseAll(methods, x, zone, zones, sets, folds, workers); err != nil {
			return nil, nil, err
		}
	}
	told = make([]int, x.Rows)
	failed := make([]error, len(outer))
	dense.InParallel(len(outer), workers, func(o int) {
		failed[o] = tellFold(methods[chosen[o]], x, zone, zones, sets[o], outer[o], told)
	})
	for _, e := range failed {
		if e != nil {
			return nil, nil, e
		}
	}
	return told, chosen, nil
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
