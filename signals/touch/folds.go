package touch

import (
	"fmt"
	"sort"

	"holdfast/numeric"
)

// Folds holds, for every fold, the numbers of the clips that are held out in it. Each clip is held out once.
type Folds [][]int

// training returns the clips that a fold does not hold out, in order.
func (f Folds) training(fold, n int) []int {
	out := make([]bool, n)
	for _, i := range f[fold] {
		out[i] = true
	}
	var rest []int
	for i := range n {
		if !out[i] {
			rest = append(rest, i)
		}
	}
	return rest
}

// GroupFolds shares groups out to at most k folds, so that no group stands on both sides of a split: clips of one session or
// one specimen resemble each other more than those of the next, and a split by clip would promise too much. Folds are as
// even as whole groups allow. At least two groups are needed.
func GroupFolds(groups []string, k int, seed uint64) (Folds, error) {
	count := map[string]int{}
	var names []string
	for _, g := range groups {
		if count[g]++; count[g] == 1 {
			names = append(names, g)
		}
	}
	if len(names) < 2 {
		return nil, fmt.Errorf("all clips belong to one group (%q), so none can be held out; record at least two sessions, better on different days and fingers", groupName(names))
	}
	r := numeric.Stream(seed, "touch group folds")
	r.Shuffle(len(names), func(i, j int) { names[i], names[j] = names[j], names[i] })
	sort.SliceStable(names, func(i, j int) bool { return count[names[i]] > count[names[j]] })
	k = min(max(k, 2), len(names))
	size, of := make([]int, k), map[string]int{}
	for _, name := range names {
		least := 0
		for f := range size {
			if size[f] < size[least] {
				least = f
			}
		}
		of[name] = least
		size[least] += count[name]
	}
	folds := make(Folds, k)
	for i, g := range groups {
		folds[of[g]] = append(folds[of[g]], i)
	}
	return folds, nil
}

func groupName(names []string) string {
	if len(names) == 0 {
		return ""
	}
	return names[0]
}

// RandomFolds shares clips out to k folds by chance, each zone evenly. Its figures are too good for any other day: print
// them beside those of GroupFolds, never alone.
func RandomFolds(zone []int, k int, seed uint64) Folds {
	byZone := map[int][]int{}
	var zones []int
	for i, z := range zone {
		if byZone[z] == nil {
			zones = append(zones, z)
		}
		byZone[z] = append(byZone[z], i)
	}
	sort.Ints(zones)
	r := numeric.Stream(seed, "touch random folds")
	k = max(2, min(k, len(zone)))
	folds := make(Folds, k)
	next := 0
	for _, z := range zones {
		list := byZone[z]
		r.Shuffle(len(list), func(i, j int) { list[i], list[j] = list[j], list[i] })
		for _, i := range list {
			folds[next%k] = append(folds[next%k], i)
			next++
		}
	}
	for _, f := range folds {
		sort.Ints(f)
	}
	return folds
}
