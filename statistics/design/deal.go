package design

import (
	"cmp"
	"math/rand/v2"
	"slices"
)

// condition is what is tried within a whole plot; strategy, closing and cell are
// indices into the spec's lists. setup holds the factors that are not slow, and
// mix numbers their combinations.
type condition struct {
	setup
	strategy, closing, cell, mix int
}

// conditions lists every condition of a whole plot, one group after the other.
func (s *Spec) conditions() []condition {
	var out []condition
	for strategy := range s.Strategies {
		for closing := range s.ClosingLevels {
			for mix, u := range s.mixed() {
				for cell := range s.Orientations {
					out = append(out, condition{u, strategy, closing, cell, mix})
				}
			}
		}
	}
	return out
}

// dealBudget is the number of glances at a block that one plan may spend on
// evening out closing levels.
const dealBudget = 20_000_000

// deal splits conditions, listed group by group, into blocks, at random but for
// this: block sizes, and the counts in a block of each strategy, of each pair of
// strategy and closing level, and of each group (pair and other factors) differ by
// at most one between blocks.
//
// A condition goes to a block that has fewest so far; among those to one with
// fewest of its strategy, then of its pair, then of its group. Giving to the
// emptiest first keeps sizes within one. The conditions of a strategy follow one
// another, and so do those of a pair and of a group, so the same holds for each in
// turn. The closing levels over all strategies are only steered by what freedom
// that leaves, and then mended by exchanges. With thorough off the blocks simply
// take turns, which makes the same promises but leaves closing levels to chance.
func deal(conditions []condition, blocks int, thorough bool, random *rand.Rand) [][]condition {
	shuffled := slices.Clone(conditions)
	random.Shuffle(len(shuffled), func(i, j int) { shuffled[i], shuffled[j] = shuffled[j], shuffled[i] })
	slices.SortStableFunc(shuffled, func(a, b condition) int {
		return cmp.Or(cmp.Compare(a.strategy, b.strategy), cmp.Compare(a.closing, b.closing), cmp.Compare(a.mix, b.mix))
	})
	turns := random.Perm(blocks)
	var out [][]condition
	if thorough {
		d := newDealing(shuffled, blocks)
		for _, c := range shuffled {
			d.give(slices.MinFunc(turns, d.needsMore(c)), c)
		}
		d.exchange()
		out = d.blocks
	} else {
		out = make([][]condition, blocks)
		for i, c := range shuffled {
			b := turns[i%blocks]
			out[b] = append(out[b], c)
		}
	}
	random.Shuffle(blocks, func(i, j int) { out[i], out[j] = out[j], out[i] })
	return out
}

// dealing is the state of a thorough deal.
type dealing struct {
	blocks          [][]condition
	closings, mixes int
	tallies         []tally // one a block
}

// tally counts a block's conditions by strategy, by pair of strategy and closing
// level, by group, by closing level and by mix.
type tally struct{ strategy, pair, group, closing, mix []int }

func newDealing(sorted []condition, blocks int) *dealing {
	last := sorted[len(sorted)-1]
	strategies, closings, mixes := last.strategy+1, last.closing+1, last.mix+1
	d := &dealing{make([][]condition, blocks), closings, mixes, make([]tally, blocks)}
	for b := range d.tallies {
		d.tallies[b] = tally{
			make([]int, strategies), make([]int, strategies*closings), make([]int, strategies*closings*mixes),
			make([]int, closings), make([]int, mixes),
		}
	}
	return d
}

func (d *dealing) pair(c condition) int  { return c.strategy*d.closings + c.closing }
func (d *dealing) group(c condition) int { return d.pair(c)*d.mixes + c.mix }

// needsMore compares blocks by how much they are in need of the condition.
func (d *dealing) needsMore(c condition) func(a, b int) int {
	pair, group := d.pair(c), d.group(c)
	return func(a, b int) int {
		s, t := &d.tallies[a], &d.tallies[b]
		return cmp.Or(
			len(d.blocks[a])-len(d.blocks[b]), s.strategy[c.strategy]-t.strategy[c.strategy], s.pair[pair]-t.pair[pair],
			s.group[group]-t.group[group], s.closing[c.closing]-t.closing[c.closing], s.mix[c.mix]-t.mix[c.mix])
	}
}

func (d *dealing) give(block int, c condition) {
	d.blocks[block] = append(d.blocks[block], c)
	d.count(block, c, 1)
}

func (d *dealing) count(block int, c condition, by int) {
	t := &d.tallies[block]
	t.strategy[c.strategy] += by
	t.pair[d.pair(c)] += by
	t.group[d.group(c)] += by
	t.closing[c.closing] += by
	t.mix[c.mix] += by
}

// exchange swaps conditions of the same strategy and mix between a block that has
// most of a closing level and others, as long as that evens closing levels out and
// only where the counts that deal promises allow it. The sum of the squared counts
// of closing levels falls with each swap, so it ends.
func (d *dealing) exchange() {
	for swapped := true; swapped; {
		swapped = false
		for closing := range d.closings {
			rich, poor := 0, 0
			for b := range d.blocks {
				if d.tallies[b].closing[closing] > d.tallies[rich].closing[closing] {
					rich = b
				}
				if d.tallies[b].closing[closing] < d.tallies[poor].closing[closing] {
					poor = b
				}
			}
			if d.tallies[rich].closing[closing]-d.tallies[poor].closing[closing] < 2 {
				continue
			}
			for b := range d.blocks {
				if d.swap(rich, b, closing) || d.swap(b, poor, closing) {
					swapped = true
					break
				}
			}
		}
	}
}

// swap exchanges one condition with the closing level in block a for one with
// another level in block b, if that helps.
func (d *dealing) swap(a, b, closing int) bool {
	s, t := &d.tallies[a], &d.tallies[b]
	for i, x := range d.blocks[a] {
		if x.closing != closing || s.pair[d.pair(x)] <= t.pair[d.pair(x)] || s.group[d.group(x)] <= t.group[d.group(x)] {
			continue
		}
		for j, y := range d.blocks[b] {
			if y.strategy != x.strategy || y.mix != x.mix || y.closing == closing ||
				t.pair[d.pair(y)] <= s.pair[d.pair(y)] || t.group[d.group(y)] <= s.group[d.group(y)] {
				continue
			}
			if s.closing[closing]-t.closing[closing]+t.closing[y.closing]-s.closing[y.closing] <= 2 {
				continue
			}
			d.count(a, x, -1)
			d.count(b, y, -1)
			d.count(a, y, 1)
			d.count(b, x, 1)
			d.blocks[a][i], d.blocks[b][j] = y, x
			return true
		}
	}
	return false
}
