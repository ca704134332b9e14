package guide

import (
	"math"

	"holdfast/numeric"
)

// Half is half the width of the interval about the entry's move that holds at the level: Student's, on the error of the mean
// before it is drawn in. That is wide, since how far to draw in is itself only estimated; by this it also stays wide where the
// rule says no move at all. out is [MoveX] … [Turn], in their units.
func (a *Advice) Half(out int, level float64) float64 {
	return numeric.StudentQuantile((1+level)/2, math.Max(a.Freedom, 1)) * a.Plain[out]
}

// Leftover says whether something that the rule does not know, such as where on its link a finger was touched, would tell more
// of the moves along x and y, by one straight line in each entry (finger and link) with examples enough. It is Share of what the
// rule leaves of their squares, and P the chance of as much from luck alone: a permutation test, which asks nothing of how errors
// are spread (E. J. G. Pitman, Significance tests which may be applied to samples from any populations, 1937; from memory).
type Leftover struct {
	Share, P float64
	Examples int // in entries with examples enough; 0: too few to tell, and P is 1
}

// shuffles is how often what the rule leaves is dealt out anew within its entries; P is a multiple of 1/(shuffles + 1).
const shuffles = 1999

// rest is what the rule leaves of a group's moves about their mean, and the directions in which the quantities differ there.
type rest struct {
	left  [2][]float64
	basis [][]float64
}

// Leftover tests quantities of the examples, each with a number for every example; one that does not differ within an entry tells
// nothing there. seed decides the shuffles.
func (r *Rule) Leftover(examples []Example, quantities [][]float64, seed uint64) Leftover {
	l := Leftover{P: 1}
	whole := 0.0
	var groups []rest
	for _, group := range grouped(examples) {
		if len(group) < fewest+len(quantities) {
			continue
		}
		l.Examples += len(group)
		columns := make([][]float64, len(quantities))
		for k, q := range quantities {
			columns[k] = make([]float64, len(group))
			for at, i := range group {
				columns[k][at] = q[i]
			}
		}
		g := rest{basis: orthogonal(columns).basis}
		for out := range g.left {
			values := make([]float64, len(group))
			for at, i := range group {
				m, _ := r.Foresee(&examples[i])
				values[at] = examples[i].Move[out] - m[out]
			}
			g.left[out] = centred(values)
			for _, x := range g.left[out] {
				whole += x * x
			}
		}
		groups = append(groups, g)
	}
	found := explained(groups)
	if !(found > 0) {
		return l
	}
	l.Share = found / whole
	random, asMuch := numeric.Stream(seed, "guide leftover"), 1
	for range shuffles {
		for i := range groups {
			x, y := groups[i].left[0], groups[i].left[1]
			random.Shuffle(len(x), func(a, b int) { x[a], x[b], y[a], y[b] = x[b], x[a], y[b], y[a] })
		}
		if explained(groups) >= found*(1-1e-9) {
			asMuch++
		}
	}
	l.P = float64(asMuch) / (shuffles + 1)
	return l
}

// grouped are the places of each entry's examples, in the order in which entries come first.
func grouped(examples []Example) (groups [][]int) {
	at := map[key]int{}
	for i, e := range examples {
		k, seen := at[key{e.Finger, e.Link}]
		if !seen {
			k = len(groups)
			at[key{e.Finger, e.Link}] = k
			groups = append(groups, nil)
		}
		groups[k] = append(groups[k], i)
	}
	return groups
}

// explained is what straight lines along the bases take away of the squares.
func explained(groups []rest) (sum float64) {
	for i := range groups {
		for _, b := range groups[i].basis {
			for _, left := range groups[i].left {
				along := dot(b, left)
				sum += along * along
			}
		}
	}
	return sum
}

func dot(a, b []float64) (sum float64) {
	for i := range a {
		sum += a[i] * b[i]
	}
	return sum
}

func centred(v []float64) []float64 {
	mean := 0.0
	for _, x := range v {
		mean += x / float64(len(v))
	}
	for i := range v {
		v[i] -= mean
	}
	return v
}
