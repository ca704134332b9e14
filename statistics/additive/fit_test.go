package additive

import (
	"context"
	"math"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func fitted(t testing.TB, d *Data, terms []Term, o Options) *Model {
	t.Helper()
	m, err := Fit(context.Background(), d, terms, o)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func estimates(t testing.TB, m *Model, q *Data) []Estimate {
	t.Helper()
	es, err := m.Predict(q)
	if err != nil {
		t.Fatal(err)
	}
	return es
}

// The 90 % intervals cover the truth about as often as they say. With 4 × 400 correlated answers the share scatters by
// some 0.03; intervals too narrow by a factor 1.5 would cover 0.73, too wide by it 0.986.
func TestIntervalsCover(t *testing.T) {
	in, all := 0, 0
	for seed := range uint64(4) {
		w := newTruth(10 + seed)
		m := fitted(t, w.trials(700, seed), everyTerm(), Options{})
		q := w.rows(400, 1000+seed)
		for i, e := range estimates(t, m, q) {
			if p := expit(w.logOdds(q, i)); e.Low <= p && p <= e.High {
				in++
			}
			all++
		}
	}
	if share := float64(in) / float64(all); share < 0.84 || share > 0.965 {
		t.Errorf("90 %% intervals cover %.3f of the truth", share)
	}
}

func TestWorkersDoNotMatter(t *testing.T) {
	w := newTruth(5)
	d := w.trials(300, 5)
	q := w.rows(50, 6)
	one := fitted(t, d, everyTerm(), Options{Workers: 1})
	two := fitted(t, d, everyTerm(), Options{Workers: 3})
	if !reflect.DeepEqual(estimates(t, one, q), estimates(t, two, q)) {
		t.Error("one worker and three give different bits")
	}
	a, err := one.Draw(8, 1).LogOdds(q)
	if err != nil {
		t.Fatal(err)
	}
	b, err := two.Draw(8, 1).LogOdds(q)
	if err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(a, b) {
		t.Error("draws depend on the number of workers")
	}
}

func smallTerms() []Term {
	return []Term{SmoothTerm("closing"), FactorTerm("strategy"), FactorTerm("hand")}
}

func compare(t *rapid.T, what string, a, b []Estimate) {
	for i := range a {
		if math.Abs(a[i].Mean-b[i].Mean) > 1e-6 || math.Abs(a[i].SD-b[i].SD) > 1e-6 {
			t.Fatalf("%s: row %d is %.9f ± %.9f, was %.9f ± %.9f", what, i, b[i].Mean, b[i].SD, a[i].Mean, a[i].SD)
		}
	}
}

// Order of rows, names of levels and splitting of trials into halves change nothing. The scales are kept, so that the
// comparison is of the fit and not of where a search stops.
func TestRowsAndNamesDoNotMatter(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		w := newTruth(rapid.Uint64Range(1, 1000).Draw(rt, "truth"))
		n := rapid.IntRange(20, 80).Draw(rt, "trials")
		d := w.trials(n, rapid.Uint64Range(1, 1000).Draw(rt, "seed"))
		q := w.rows(10, 3)
		scales := Options{Hypers: []float64{0.2, -0.5, -0.7, -0.9}, Workers: 1}
		want := estimates(t, fitted(t, d, smallTerms(), scales), q)

		order := rapid.Permutation(indices(n)).Draw(rt, "order")
		compare(rt, "permuted", want, estimates(t, fitted(t, d.pick(order), smallTerms(), scales), q))

		twice := d.pick(append(indices(n), indices(n)...))
		for i := range twice.Held {
			twice.Held[i] /= 2
			twice.Trials[i] /= 2
		}
		compare(rt, "halved and doubled", want, estimates(t, fitted(t, twice, smallTerms(), scales), q))

		renamed, other := d.pick(indices(n)), q.pick(indices(10))
		for _, part := range []*Data{renamed, other} {
			for i, h := range part.Levels["hand"] {
				part.Levels["hand"][i] = string(rune('z'-h[len(h)-1]+'0')) + h
			}
		}
		compare(rt, "relabelled", want, estimates(t, fitted(t, renamed, smallTerms(), scales), other))
	})
}

func indices(n int) []int {
	list := make([]int, n)
	for i := range list {
		list[i] = i
	}
	return list
}

// A level that was not tried has the prior's deviation: its mean is that of an average level and its variance is the
// amplitude's square more than the certain part.
func TestLevelsNotTried(t *testing.T) {
	w := newTruth(6)
	d := w.trials(400, 6)
	m := fitted(t, d, smallTerms(), Options{})
	q := w.rows(1, 7)
	known := estimates(t, m, q)[0]
	q.Levels["hand"][0] = "hand 9"
	e := estimates(t, m, q)[0]
	var amplitude float64
	for _, s := range m.Summary().Terms {
		if s.Name == "hand" {
			amplitude = s.Amplitude
		}
	}
	if e.SD < amplitude || e.SD < known.SD {
		t.Errorf("a hand never tried is known to ± %.3f; its amplitude alone is %.3f, a hand tried has %.3f", e.SD, amplitude, known.SD)
	}
	draws, err := m.Draw(4000, 3).LogOdds(q.pick([]int{0, 0}))
	if err != nil {
		t.Fatal(err)
	}
	var sum, square float64
	for k := range 4000 {
		if draws[k] != draws[4000+k] {
			t.Fatal("rows of one new level do not share its draw")
		}
		sum += draws[k]
		square += draws[k] * draws[k]
	}
	mean := sum / 4000
	if sd := math.Sqrt(square/4000 - mean*mean); math.Abs(mean-e.Mean) > 1e-9 || math.Abs(sd/e.SD-1) > 0.05 {
		t.Errorf("draws have %.4f ± %.4f, the estimate %.4f ± %.4f", mean, sd, e.Mean, e.SD)
	}
}

// Under a covariance between levels a new level between two like ones is better known than one far from all.
func TestNewLevelsBorrow(t *testing.T) {
	w := newTruth(7)
	d := w.trials(600, 7)
	hand := FactorTerm("hand")
	hand.Kernel = alphabet{}
	m := fitted(t, d, []Term{hand}, Options{Hypers: []float64{0, 0.5}})
	e := estimates(t, m, &Data{Levels: map[string][]string{"hand": {"hand 2", "hand 5", "hand z"}}})
	if !(e[0].SD < e[1].SD && e[1].SD < e[2].SD) {
		t.Errorf("spreads of a known, a near and a far hand: %.3f, %.3f, %.3f; they should rise", e[0].SD, e[1].SD, e[2].SD)
	}
}

func TestReweighDropsRows(t *testing.T) {
	w := newTruth(8)
	d := w.trials(200, 8)
	m := fitted(t, d, smallTerms(), Options{})
	weights := make([]float64, 200)
	var kept []int
	for i := range weights {
		if i%3 > 0 {
			weights[i] = 1
			kept = append(kept, i)
		}
	}
	part, err := m.Reweigh(context.Background(), d, weights)
	if err != nil {
		t.Fatal(err)
	}
	q := w.rows(5, 9)
	if got := part.Summary().Trials; got != float64(len(kept)) {
		t.Errorf("%g trials are left of %d", got, len(kept))
	}
	a, b := estimates(t, part, q), estimates(t, m, q)
	for i := range a {
		if a[i].SD <= b[i].SD {
			t.Errorf("row %d is better known from fewer trials: %.4f, %.4f", i, a[i].SD, b[i].SD)
		}
	}
}

// All alike, levels all alike, and perfect separation stay finite, wide and named.
func TestOneSidedAndSeparated(t *testing.T) {
	n := 40
	d := &Data{Held: make([]float64, n), Trials: make([]float64, n), Numbers: map[string][]float64{"closing": make([]float64, n)}, Levels: map[string][]string{"strategy": make([]string, n)}}
	for i := range n {
		d.Trials[i] = 1
		d.Numbers["closing"][i] = float64(i) / float64(n)
		d.Levels["strategy"][i] = "scoop"
		if i%2 == 0 {
			d.Levels["strategy"][i] = "slide"
		}
	}
	terms := []Term{SmoothTerm("closing"), FactorTerm("strategy")}
	for _, c := range []struct {
		name, warning string
		held          func(i int) bool
	}{
		{"all held", "ended alike", func(int) bool { return true }},
		{"one strategy always holds", "strategy slide: all 20 trials held", func(i int) bool { return i%2 == 0 || i%3 == 0 }},
		{"closing parts them", "One value of closing parts", func(i int) bool { return i > 17 }},
	} {
		for i := range n {
			d.Held[i] = 0
			if c.held(i) {
				d.Held[i] = 1
			}
		}
		m := fitted(t, d, terms, Options{})
		if w := strings.Join(m.Summary().Warnings, " "); !strings.Contains(w, c.warning) {
			t.Errorf("%s: warned %q", c.name, w)
		}
		for i, e := range estimates(t, m, d) {
			if math.IsNaN(e.Mean) || math.Abs(e.Mean) > 15 || e.SD < 0.3 || e.High-e.Low < 1e-3 {
				t.Errorf("%s: row %d has log-odds %.3f ± %.3f", c.name, i, e.Mean, e.SD)
			}
		}
	}
}

func TestFactorsThatChangeTogetherAreNamed(t *testing.T) {
	d := newTruth(9).trials(60, 9)
	d.Levels["operator"] = make([]string, 60)
	for i, h := range d.Levels["hand"] {
		d.Levels["operator"][i] = "with " + h
	}
	m := fitted(t, d, []Term{FactorTerm("hand"), FactorTerm("operator")}, Options{})
	if w := strings.Join(m.Summary().Warnings, " "); !strings.Contains(w, "hand and operator changed only together") {
		t.Errorf("warned %q", w)
	}
}

func TestRefusals(t *testing.T) {
	ok := func() *Data { return newTruth(2).trials(30, 2) }
	for _, c := range []struct {
		want  string
		terms []Term
		spoil func(*Data)
	}{
		{"row 3: closing is not given", []Term{SmoothTerm("closing")}, func(d *Data) { d.Numbers["closing"][2] = math.NaN() }},
		{"row 4: hand is not given", []Term{FactorTerm("hand")}, func(d *Data) { d.Levels["hand"][3] = "" }},
		{"row 1: 2 held of 1 trials", []Term{FactorTerm("hand")}, func(d *Data) { d.Held[0] = 2 }},
		{"column mass has 0 rows", []Term{SmoothTerm("mass")}, func(*Data) {}},
		{"two terms are called hand", []Term{FactorTerm("hand"), FactorTerm("hand")}, func(*Data) {}},
		{"no trial to learn from", []Term{FactorTerm("hand")}, func(d *Data) { clear(d.Trials); clear(d.Held) }},
		{"row 2: its orientation", everyTerm(), func(d *Data) { d.Orientations[1].W = math.NaN() }},
	} {
		d := ok()
		c.spoil(d)
		if _, err := Fit(context.Background(), d, c.terms, Options{}); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q: got %v", c.want, err)
		}
	}
}
