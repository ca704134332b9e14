package handset_test

import (
	"context"
	"math"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"holdfast/domain"
	"holdfast/numeric"
	"holdfast/statistics/handset"
)

// anyQuestion draws a small catalogue with ties and untested pairs.
func anyQuestion(t *rapid.T) handset.Question {
	q := handset.Question{Confidence: 0.8, MaxHands: rapid.IntRange(1, 7).Draw(t, "max hands")}
	items, hands := rapid.IntRange(1, 6).Draw(t, "items"), rapid.IntRange(1, 7).Draw(t, "hands")
	money := func(name string, lo, hi int) float64 { return float64(rapid.IntRange(lo, hi).Draw(t, name)) / 2 }
	for range hands {
		q.Hands = append(q.Hands, handset.Hand{Cost: money("cost", 0, 20), Change: money("change", 0, 8)})
	}
	for range items {
		q.Items = append(q.Items, handset.Item{Target: 0.6, Person: money("person", -10, 30)})
		row := make([]handset.Pair, hands)
		for h := range row {
			n := rapid.SampledFrom([]int{0, 5, 30}).Draw(t, "trials")
			row[h] = handset.Pair{Held: rapid.IntRange(n/2, n).Draw(t, "held"), Trials: n, Intercept: money("intercept", -20, 10), Slope: money("slope", 0, 80)}
			if rapid.Bool().Draw(t, "beta") {
				row[h].A, row[h].B = rapid.Float64Range(0.1, 40).Draw(t, "a"), rapid.Float64Range(0.1, 10).Draw(t, "b")
			}
		}
		q.Pairs = append(q.Pairs, row)
	}
	return q
}

// posterior is the beta distribution of a pair's success: what it states, or its counts and one of each before them.
func posterior(p handset.Pair) (a, b float64) {
	if p.A > 0 {
		return p.A, p.B
	}
	return float64(p.Held + 1), float64(p.Trials - p.Held + 1)
}

// value works out F of a set from its definition.
func value(q handset.Question, set []int) float64 {
	v := 0.0
	for i, it := range q.Items {
		best := it.Person
		for _, h := range set {
			p := q.Pairs[i][h]
			a, b := posterior(p)
			if p.Trials > 0 && numeric.BetaSurvival(a, b, it.Target) >= q.Confidence {
				best = math.Max(best, p.Intercept+p.Slope*a/(a+b))
			}
		}
		v += best
	}
	for _, h := range set {
		v -= q.Hands[h].Cost
		if len(set) > 1 {
			v -= q.Hands[h].Change
		}
	}
	return v
}

// everySet calls f with all sets of at most so many of n hands.
func everySet(n, most int, f func([]int)) {
	for bits := range 1 << n {
		var set []int
		for h := range n {
			if bits>>h&1 == 1 {
				set = append(set, h)
			}
		}
		if len(set) <= most {
			f(set)
		}
	}
}

func TestChooseIsTheBestOfAllSets(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		q := anyQuestion(t)
		a, err := handset.Choose(context.Background(), q)
		if err != nil {
			t.Fatal(err)
		}
		best := math.Inf(-1)
		var values []float64
		everySet(len(q.Hands), q.MaxHands, func(set []int) {
			v := value(q, set)
			best = math.Max(best, v)
			values = append(values, v)
		})
		if math.Abs(a.Value-best) > 1e-9 || math.Abs(value(q, a.Hands)-best) > 1e-9 || len(a.Hands) > q.MaxHands {
			t.Fatalf("chose %v worth %g (%g), the best set is worth %g", a.Hands, a.Value, value(q, a.Hands), best)
		}
		// The runners-up are the next best, too.
		better := 0
		last := a.Value
		for _, r := range a.RunnersUp {
			if r.Value > last+1e-9 || math.Abs(value(q, r.Hands)-r.Value) > 1e-9 {
				t.Fatalf("runner-up %+v after %g", r, last)
			}
			last = r.Value
		}
		for _, v := range values {
			if v > last+1e-9 {
				better++
			}
		}
		if better > len(a.RunnersUp) {
			t.Fatalf("%d sets are better than the last runner-up of %d", better, len(a.RunnersUp))
		}
		// What is assigned adds up to the value, and only what meets its target is automated.
		sum := 0.0
		for i, h := range a.Assigned {
			if h < 0 {
				sum += q.Items[i].Person
				if a.Reasons[i] == handset.Automated {
					t.Fatalf("item %d has no hand and is called automated", i)
				}
				continue
			}
			p := q.Pairs[i][h]
			s, f := posterior(p)
			sum += p.Intercept + p.Slope*s/(s+f)
			if numeric.BetaSurvival(s, f, q.Items[i].Target) < q.Confidence {
				t.Fatalf("item %d is automated without meeting its target", i)
			}
		}
		for _, h := range a.Hands {
			sum -= q.Hands[h].Cost
			if len(a.Hands) > 1 {
				sum -= q.Hands[h].Change
			}
		}
		if math.Abs(sum-a.Value) > 1e-9 {
			t.Fatalf("what is assigned adds up to %g, the value is %g", sum, a.Value)
		}
	})
}

func TestMoreHandsAreNeverWorse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		q := anyQuestion(t)
		last := math.Inf(-1)
		for k := 1; k <= len(q.Hands); k++ {
			q.MaxHands = k
			a, err := handset.Choose(context.Background(), q)
			if err != nil {
				t.Fatal(err)
			}
			if a.Value < last-1e-9 {
				t.Fatalf("%d hands are worth %g, fewer %g", k, a.Value, last)
			}
			last = a.Value
		}
	})
}

// What trials of a pair are worth, found by choosing anew for every outcome of the trials.
func TestWhichTrialsByChoosingAnew(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		q := anyQuestion(t)
		a, err := handset.Choose(context.Background(), q)
		if err != nil {
			t.Fatal(err)
		}
		const n = 6
		list, err := handset.WhichTrials(context.Background(), q, a, n)
		if err != nil {
			t.Fatal(err)
		}
		told := map[[2]int]handset.Worth{}
		for _, w := range list {
			told[[2]int{w.Item, w.Hand}] = w
		}
		i, h := rapid.IntRange(0, len(q.Items)-1).Draw(t, "item"), rapid.IntRange(0, len(q.Hands)-1).Draw(t, "hand")
		before := q.Pairs[i][h]
		mean := 0.0
		for k := range n + 1 {
			// Chance of k more successes: ratio of beta functions, by products.
			weight := math.Exp(numeric.LogChoose(n, k))
			s, f := posterior(before)
			for j := range k {
				weight *= s + float64(j)
			}
			for j := range n - k {
				weight *= f + float64(j)
			}
			for j := range n {
				weight /= s + f + float64(j)
			}
			q.Pairs[i][h].Held, q.Pairs[i][h].Trials = before.Held+k, before.Trials+n
			if before.A > 0 {
				q.Pairs[i][h].A, q.Pairs[i][h].B = before.A+float64(k), before.B+float64(n-k)
			}
			anew, err := handset.Choose(context.Background(), q)
			if err != nil {
				t.Fatal(err)
			}
			mean += weight * anew.Value
		}
		q.Pairs[i][h] = before
		want := math.Max(0, mean-a.Value)
		if got := told[[2]int{i, h}].Gain; math.Abs(got-want) > 1e-6 {
			t.Fatalf("item %d with hand %d: gain %g, by choosing anew %g", i, h, got, want)
		}
	})
}

func TestReasonsAndSentences(t *testing.T) {
	q := handset.Question{
		Hands: []handset.Hand{{Name: "Trefoil", Cost: 2}, {Name: "Tweezer", Cost: 50}}, MaxHands: 2, Confidence: 0.95,
		Items: []handset.Item{{Name: "roll", Target: 0.9, Person: 5}, {Name: "egg", Target: 0.9, Person: 5}, {Name: "éclair", Target: 0.9, Person: 5},
			{Name: "bun", Target: 0.9, Person: 90}, {Name: "puff", Target: 0.9, Person: 5}},
		Pairs: [][]handset.Pair{
			{{Held: 199, Trials: 200, Slope: 40}, {}},
			{{Held: 20, Trials: 25, Slope: 40}, {}},
			{{Slope: 40}, {Slope: 40}},
			{{Held: 199, Trials: 200, Slope: 40}, {}},
			{{}, {Held: 199, Trials: 200, Slope: 40}},
		},
	}
	a, err := handset.Choose(context.Background(), q)
	if err != nil {
		t.Fatal(err)
	}
	want := []handset.Reason{handset.Automated, handset.NotShown, handset.NotTested, handset.PersonBest, handset.NotInSet}
	if !reflect.DeepEqual(a.Reasons, want) || !reflect.DeepEqual(a.Hands, []int{0}) || a.Assigned[0] != 0 || a.People != 110 {
		t.Errorf("%+v", a)
	}
	if !strings.HasPrefix(a.Certificate(), "All 3 sets") {
		t.Error(a.Certificate())
	}
	list, err := handset.WhichTrials(context.Background(), q, a, 50)
	if err != nil || len(list) == 0 {
		t.Fatal(list, err)
	}
	// An egg or an éclair that meets its target would win more than it costs to find out; a bun never beats its person.
	for _, w := range list {
		if w.Item == 3 && w.Gain > 0 {
			t.Errorf("%+v", w)
		}
	}
	if list[0].Item != 2 || list[0].Hand != 0 {
		t.Errorf("first to try: %+v", list[0])
	}
}

func TestBadQuestionsAreTold(t *testing.T) {
	good := func() handset.Question {
		return handset.Question{Items: []handset.Item{{Target: .9}}, Hands: []handset.Hand{{}}, Pairs: [][]handset.Pair{{{}}}, MaxHands: 1, Confidence: .9}
	}
	for name, spoil := range map[string]func(*handset.Question){
		"no items": func(q *handset.Question) { q.Items = nil }, "no hands": func(q *handset.Question) { q.Hands = nil },
		"no set": func(q *handset.Question) { q.MaxHands = 0 }, "confidence": func(q *handset.Question) { q.Confidence = 1 },
		"target": func(q *handset.Question) { q.Items[0].Target = 1 }, "counts": func(q *handset.Question) { q.Pairs[0][0].Held = 1 },
		"NaN": func(q *handset.Question) { q.Pairs[0][0].Slope = math.NaN() }, "row": func(q *handset.Question) { q.Pairs[0] = nil },
		"beta": func(q *handset.Question) { q.Pairs[0][0].A = 2 },
		"rows": func(q *handset.Question) { q.Pairs = nil }, "cost": func(q *handset.Question) { q.Hands[0].Cost = -1 },
	} {
		q := good()
		spoil(&q)
		if _, err := handset.Choose(context.Background(), q); domain.KindOf(err) != domain.KindInvalid {
			t.Errorf("%s: %v", name, err)
		}
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	q := good()
	for range 9 {
		q.Hands = append(q.Hands, handset.Hand{})
		q.Pairs[0] = append(q.Pairs[0], handset.Pair{Held: 99, Trials: 100, Slope: 1})
	}
	q.MaxHands = 10
	if _, err := handset.Choose(ctx, q); err == nil {
		t.Error("a stopped search answers")
	}
}
