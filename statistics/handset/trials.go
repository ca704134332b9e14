package handset

import (
	"context"
	"math"
	"slices"

	"holdfast/numeric"
)

// Worth says what trials of one pair could change.
type Worth struct {
	Item, Hand int
	// Gain is the expected rise of the set's value an hour when so many further trials of the pair are made first and the set
	// is chosen after them; Perfect the same if its success were known exactly. Trials that only show that a target is
	// missed gain nothing in money; Change counts them all the same.
	Gain, Perfect float64
	Change        float64 // chance that after those trials the pair's part in the answer changes
}

// WhichTrials ranks the pairs whose trials could change the answer by Gain, then by Change, for n further trials of each
// alone. Pairs that can not change it are left out.
//
// With what the other pairs are worth held fixed, the best value is, as a function of what this pair is worth, the larger of
// two: F₀, the best without using the pair, and M + v, the best of the rest of a set that holds the hand, plus v. One more
// walk over the sets finds both for all pairs at once.
func WhichTrials(ctx context.Context, q Question, a *Answer, n int) ([]Worth, error) {
	t := tabulate(&q)
	optimum := a.Value - a.People
	items, hands := len(q.Items), len(q.Hands)
	grid := func() [][]float64 {
		g := make([][]float64, items)
		for i := range g {
			g[i] = make([]float64, hands)
			for h := range g[i] {
				g[i][h] = math.Inf(-1)
			}
		}
		return g
	}
	rest, within := grid(), grid() // best value of the other items with the hand in the set; best value with the hand, not for this item
	without := make([]float64, hands)
	reach := 0.0 // the most that one pair could add if it succeeded always
	for i := range items {
		for _, p := range q.Pairs[i] {
			reach = math.Max(reach, p.Intercept+math.Max(p.Slope, 0)-q.Items[i].Person)
		}
	}
	s := newSearch(t)
	s.enough = func() float64 { return optimum - reach }
	inSet := make([]bool, hands)
	second := make([]float64, items)
	s.visit = func(chosen []int, value float64, best []float64) {
		if value < optimum-reach {
			return
		}
		clear(inSet)
		for _, h := range chosen {
			inSet[h] = true
		}
		for h := range hands {
			if !inSet[h] {
				without[h] = math.Max(without[h], value)
			}
		}
		for _, h := range chosen {
			// What each item would gain without this hand.
			clear(second)
			for _, o := range chosen {
				if o != h {
					for i, w := range t.worth[o] {
						if w > second[i] {
							second[i] = w
						}
					}
				}
			}
			for i := range items {
				others := value - best[i]
				rest[i][h] = math.Max(rest[i][h], others)
				within[i][h] = math.Max(within[i][h], others+second[i])
			}
		}
	}
	if err := s.walk(ctx, 0, 0); err != nil {
		return nil, err
	}
	var list []Worth
	for i := range items {
		for h := range hands {
			if math.IsInf(rest[i][h], -1) {
				continue
			}
			e := pairCase{
				pair: q.Pairs[i][h], target: q.Items[i].Target, person: q.Items[i].Person, confidence: q.Confidence,
				without: math.Max(math.Max(without[h], within[i][h]), 0), rest: rest[i][h],
			}
			e.a, e.b = t.posterior(e.pair)
			w := Worth{Item: i, Hand: h, Perfect: math.Max(0, e.perfect()-optimum)}
			var gain float64
			gain, w.Change = e.after(n, t.allowed[i][h])
			w.Gain = math.Max(0, gain-optimum)
			const trifle = 1e-9
			if w.Change > 1e-4 || w.Gain > trifle*(1+math.Abs(optimum)) {
				list = append(list, w)
			}
		}
	}
	slices.SortStableFunc(list, func(a, b Worth) int {
		switch {
		case a.Gain != b.Gain:
			if a.Gain > b.Gain {
				return -1
			}
			return 1
		case a.Change != b.Change:
			if a.Change > b.Change {
				return -1
			}
			return 1
		}
		return 0
	})
	return list, nil
}

// pairCase is one pair with all others held fixed.
type pairCase struct {
	pair                       Pair
	a, b                       float64 // posterior of its success
	target, person, confidence float64
	without, rest              float64 // best value over people without the pair; best value of the rest of a set with it
}

// value of the best set when the pair may be used at success p.
func (e *pairCase) value(p float64) float64 {
	return math.Max(e.without, e.rest+math.Max(0, e.pair.Intercept+e.pair.Slope*p-e.person))
}

// used says whether the best set uses the pair at success p.
func (e *pairCase) used(p float64) bool {
	gain := e.pair.Intercept + e.pair.Slope*p - e.person
	return gain > 0 && e.rest+gain > e.without
}

// perfect is the expected value when the success is known before the set is chosen.
func (e *pairCase) perfect() float64 {
	below := numeric.BetaCDF(e.a, e.b, e.target)
	if below >= 1 {
		return e.without
	}
	// Over the posterior beyond the target, at the middles of equal shares of probability, finely.
	const shares = 256
	sum := 0.0
	for k := range shares {
		p := numeric.BetaQuantile(e.a, e.b, below+(1-below)*(float64(k)+0.5)/shares)
		sum += e.value(p) / shares
	}
	return below*e.without + (1-below)*sum
}

// after is the expected value when n more trials are made before the set is chosen, and the chance that they change
// whether the pair is used.
func (e *pairCase) after(n int, allowed bool) (value, change float64) {
	now := allowed && e.used(e.a/(e.a+e.b))
	for k, weight := range betaBinomial(n, e.a, e.b) {
		a, b := e.a+float64(k), e.b+float64(n-k)
		then := numeric.BetaSurvival(a, b, e.target) >= e.confidence
		p := a / (a + b)
		if then {
			value += weight * e.value(p)
		} else {
			value += weight * e.without
		}
		if (then && e.used(p)) != now {
			change += weight
		}
	}
	return value, change
}

// betaBinomial returns the chances of 0 … n successes in n trials whose success is beta distributed.
func betaBinomial(n int, a, b float64) []float64 {
	p := make([]float64, n+1)
	lg := func(x float64) float64 { v, _ := math.Lgamma(x); return v }
	for k := range p {
		p[k] = math.Exp(numeric.LogChoose(n, k) + lg(a+float64(k)) + lg(b+float64(n-k)) - lg(a+b+float64(n)) - lg(a) - lg(b) + lg(a+b))
	}
	return p
}
