package handset

import (
	"context"
	"fmt"
	"math"
	"slices"
	"sort"

	"holdfast/domain"
	"holdfast/numeric"
)

// Item is a thing of the catalogue.
type Item struct {
	Name   string
	Target float64 // success that an automated pick must reach, 0…1
	Person float64 // net value an hour when a person handles it
}

// Hand is a hand that could be bought.
type Hand struct {
	Name   string
	Cost   float64 // an hour: price over life, and upkeep
	Change float64 // an hour: what the line loses by putting it on once a cycle, when there are other hands
}

// Pair is what is known of an item with a hand.
type Pair struct {
	Held, Trials int
	// Beta distribution of the success probability, where more is known of it than the counts say: both above 0. Zero: it
	// follows from the counts and the question's prior.
	A, B float64
	// Net value an hour at success probability p is Intercept + Slope·p.
	Intercept, Slope float64
}

// Question asks for a set of hands. Pairs[i][h] is item i with hand h.
type Question struct {
	Items      []Item
	Hands      []Hand
	Pairs      [][]Pair
	MaxHands   int
	Confidence float64 // that an automated item meets its target, 0…1
	// Prior of every success probability, in successes and failures that it is worth; zero: one each.
	PriorSuccesses, PriorFailures float64
}

// Largest catalogue that is answered.
const (
	MostItems = 2000
	MostHands = 24
)

func (q *Question) check() error {
	bad := func(format string, args ...any) error { return domain.Errorf(domain.KindInvalid, format, args...) }
	switch {
	case len(q.Items) == 0 || len(q.Items) > MostItems:
		return bad("the catalogue has %d items; 1 to %d can be asked for", len(q.Items), MostItems)
	case len(q.Hands) == 0 || len(q.Hands) > MostHands:
		return bad("there are %d hands to choose from; 1 to %d can be asked for", len(q.Hands), MostHands)
	case q.MaxHands < 1:
		return bad("at most %d hands leaves nothing to choose; take 1 or more", q.MaxHands)
	case !(q.Confidence >= 0.5 && q.Confidence < 1):
		return bad("the confidence is %g; it must be 0.5 or more, and less than 1", q.Confidence)
	case len(q.Pairs) != len(q.Items):
		return bad("there are %d rows of pairs for %d items", len(q.Pairs), len(q.Items))
	}
	for i, it := range q.Items {
		if !(it.Target > 0 && it.Target < 1) || !finite(it.Person) {
			return bad("item %q has the target %g and is worth %g an hour by hand; the target must lie between 0 and 1, the worth be a number", it.Name, it.Target, it.Person)
		}
		if len(q.Pairs[i]) != len(q.Hands) {
			return bad("item %q has %d pairs for %d hands", it.Name, len(q.Pairs[i]), len(q.Hands))
		}
		for h, p := range q.Pairs[i] {
			if !(p.A == 0 && p.B == 0 || p.A > 0 && p.B > 0 && finite(p.A+p.B)) {
				return bad("item %q with hand %q: the beta distribution (%g, %g) must have two parameters above 0", it.Name, q.Hands[h].Name, p.A, p.B)
			}
			if p.Trials < 0 || p.Held < 0 || p.Held > p.Trials || !finite(p.Intercept) || !finite(p.Slope) {
				return bad("item %q with hand %q: %d of %d held, worth %g + %g·p; counts must fit and the worth be a number", it.Name, q.Hands[h].Name, p.Held, p.Trials, p.Intercept, p.Slope)
			}
		}
	}
	for _, h := range q.Hands {
		if !(h.Cost >= 0) || !(h.Change >= 0) || math.IsInf(h.Cost+h.Change, 1) {
			return bad("hand %q costs %g and its change %g an hour; both must be 0 or more", h.Name, h.Cost, h.Change)
		}
	}
	return nil
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// Reason says why an item goes to a person.
type Reason string

// The reasons.
const (
	Automated  Reason = "automated"
	NotTested  Reason = "not tested with any hand"
	NotShown   Reason = "no hand meets the target with the confidence"
	PersonBest Reason = "a person is worth more"
	NotInSet   Reason = "the hands that could take it are not worth their cost"
)

// Set is a set of hands with its value.
type Set struct {
	Hands []int   // indices, ascending
	Value float64 // an hour
}

// Answer is the best set.
type Answer struct {
	Set
	Assigned  []int    // hand of each item, −1: a person
	Reasons   []Reason // of each item
	People    float64  // value an hour when people handle everything
	RunnersUp []Set    // the next best sets, best first
	Evaluated int      // sets whose value was computed
	LeftOut   int      // branches of sets that could not reach the answer
}

// runnersUp is how many next best sets are told.
const runnersUp = 4

// table is the question worked out: what each pair is worth, and whether it may be used.
type table struct {
	q       *Question
	prior   [2]float64
	person  []float64
	worth   [][]float64 // by hand, then item: value an hour over the person's where the pair may be used, else 0
	allowed [][]bool    // by item, then hand
	cost    []float64
}

func tabulate(q *Question) *table {
	t := &table{q: q, prior: [2]float64{q.PriorSuccesses, q.PriorFailures}}
	if t.prior == [2]float64{} {
		t.prior = [2]float64{1, 1}
	}
	t.worth, t.allowed = make([][]float64, len(q.Hands)), make([][]bool, len(q.Items))
	for h := range q.Hands {
		t.worth[h] = make([]float64, len(q.Items))
		t.cost = append(t.cost, q.Hands[h].Cost)
	}
	for i, it := range q.Items {
		t.person = append(t.person, it.Person)
		t.allowed[i] = make([]bool, len(q.Hands))
		for h, p := range q.Pairs[i] {
			a, b := t.posterior(p)
			if p.Trials == 0 || numeric.BetaSurvival(a, b, it.Target) < q.Confidence {
				continue
			}
			t.allowed[i][h] = true
			t.worth[h][i] = math.Max(0, p.Intercept+p.Slope*a/(a+b)-it.Person)
		}
	}
	return t
}

func (t *table) posterior(p Pair) (a, b float64) {
	if p.A > 0 {
		return p.A, p.B
	}
	return t.prior[0] + float64(p.Held), t.prior[1] + float64(p.Trials-p.Held)
}

// search walks over sets of hands, depth first.
type search struct {
	*table
	order     []int       // hands, most promising first
	change    []float64   // change cost by hand
	best      [][]float64 // by depth: gain of each item over a person
	chosen    []int
	evaluated int
	leftOut   int
	enough    func() float64 // a branch that can not exceed this is left out
	visit     func(chosen []int, value float64, best []float64)
}

func newSearch(t *table) *search {
	s := &search{table: t}
	alone := make([]float64, len(t.q.Hands))
	for h := range t.q.Hands {
		s.order = append(s.order, h)
		s.change = append(s.change, t.q.Hands[h].Change)
		alone[h] = -t.cost[h]
		for _, v := range t.worth[h] {
			alone[h] += v
		}
	}
	sort.SliceStable(s.order, func(a, b int) bool { return alone[s.order[a]] > alone[s.order[b]] })
	s.best = make([][]float64, len(t.q.Hands)+1)
	for d := range s.best {
		s.best[d] = make([]float64, len(t.q.Items))
	}
	return s
}

// overPeople is the value of the chosen hands over people handling everything, given the gains of all items.
func (s *search) overPeople(gains float64) float64 {
	v := gains
	for _, h := range s.chosen {
		v -= s.cost[h]
		if len(s.chosen) > 1 {
			v -= s.change[h]
		}
	}
	return v
}

// boundFrom is the number of hands left from which working out a bound is cheaper than walking on.
const boundFrom = 5

// walk visits the sets that add hands of order[from:] to those chosen, except in branches that can not matter.
func (s *search) walk(ctx context.Context, from int, gains float64) error {
	depth := len(s.chosen)
	if depth > 0 {
		s.evaluated++
		s.visit(s.chosen, s.overPeople(gains), s.best[depth])
	}
	room := s.q.MaxHands - depth
	if room <= 0 || from == len(s.order) {
		return nil
	}
	if len(s.order)-from >= boundFrom {
		if err := ctx.Err(); err != nil {
			return err
		}
		if s.bound(from, room, gains) <= s.enough() {
			s.leftOut++
			return nil
		}
	}
	for at := from; at < len(s.order); at++ {
		h := s.order[at]
		sum := 0.0
		here, next, worth := s.best[depth], s.best[depth+1], s.worth[h]
		for i, v := range here {
			if w := worth[i]; w > v {
				v = w
			}
			next[i] = v
			sum += v
		}
		s.chosen = append(s.chosen, h)
		if err := s.walk(ctx, at+1, sum); err != nil {
			return err
		}
		s.chosen = s.chosen[:depth]
	}
	return nil
}

// bound is the most that any set beyond this one in the branch can be worth over people: by submodularity, the value of
// the hands chosen and the largest single gains that still fit.
func (s *search) bound(from, room int, gains float64) float64 {
	depth := len(s.chosen)
	here := s.best[depth]
	var adds []float64
	for _, h := range s.order[from:] {
		add := -s.cost[h]
		if depth > 0 {
			add -= s.change[h]
		}
		for i, w := range s.worth[h] {
			if w > here[i] {
				add += w - here[i]
			}
		}
		if add > 0 {
			adds = append(adds, add)
		}
	}
	slices.SortFunc(adds, func(a, b float64) int {
		if a > b {
			return -1
		}
		return 1
	})
	v := s.overPeople(gains)
	for _, add := range adds[:min(room, len(adds))] {
		v += add
	}
	return v
}

// Choose returns the best set. No hand at all is a set, too: then people handle everything.
func Choose(ctx context.Context, q Question) (*Answer, error) {
	if err := q.check(); err != nil {
		return nil, err
	}
	t := tabulate(&q)
	a := &Answer{}
	for _, w := range t.person {
		a.People += w
	}
	top := []Set{{Value: 0}}
	s := newSearch(t)
	s.enough = func() float64 {
		if len(top) <= runnersUp {
			return math.Inf(-1)
		}
		return top[len(top)-1].Value
	}
	s.visit = func(chosen []int, value float64, _ []float64) {
		if len(top) > runnersUp && value <= top[len(top)-1].Value {
			return
		}
		hands := slices.Clone(chosen)
		slices.Sort(hands)
		at := sort.Search(len(top), func(k int) bool { return before(Set{hands, value}, top[k]) })
		top = slices.Insert(top, at, Set{hands, value})
		top = top[:min(len(top), runnersUp+1)]
	}
	if err := s.walk(ctx, 0, 0); err != nil {
		return nil, err
	}
	for k := range top {
		top[k].Value += a.People
	}
	a.Set, a.RunnersUp = top[0], top[1:]
	a.Evaluated, a.LeftOut = s.evaluated, s.leftOut
	a.assign(t)
	return a, nil
}

// before orders sets: larger value first, then fewer hands, then the order of the hands.
func before(a, b Set) bool {
	switch {
	case a.Value != b.Value:
		return a.Value > b.Value
	case len(a.Hands) != len(b.Hands):
		return len(a.Hands) < len(b.Hands)
	}
	return slices.Compare(a.Hands, b.Hands) < 0
}

func (a *Answer) assign(t *table) {
	for i := range t.q.Items {
		hand, gain := -1, 0.0
		for _, h := range a.Hands {
			if t.allowed[i][h] && t.worth[h][i] > gain {
				hand, gain = h, t.worth[h][i]
			}
		}
		a.Assigned = append(a.Assigned, hand)
		a.Reasons = append(a.Reasons, t.reason(i, hand))
	}
}

func (t *table) reason(i, hand int) Reason {
	if hand >= 0 {
		return Automated
	}
	tested, allowed, better := false, false, false
	for h, p := range t.q.Pairs[i] {
		tested = tested || p.Trials > 0
		allowed = allowed || t.allowed[i][h]
		better = better || t.worth[h][i] > 0
	}
	switch {
	case !tested:
		return NotTested
	case !allowed:
		return NotShown
	case !better:
		return PersonBest
	}
	return NotInSet
}

// Certificate says in one sentence how it is known that no set is better.
func (a *Answer) Certificate() string {
	if a.LeftOut == 0 {
		return fmt.Sprintf("All %d sets of hands were evaluated.", a.Evaluated)
	}
	return fmt.Sprintf("%d sets of hands were evaluated, and %d branches of sets left out whose upper bound lies below what was found; no other set can be better.", a.Evaluated, a.LeftOut)
}
