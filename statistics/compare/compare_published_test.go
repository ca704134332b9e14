package compare_test

import (
	"math"
	"testing"

	"holdfast/statistics/compare"
)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: %.10g, want %.10g ± %.1g", what, got, want, tolerance)
	}
}

func must[T any](t *testing.T) func(T, error) T {
	return func(v T, err error) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}

// The tea tasting of R. A. Fisher, "The Design of Experiments" (1935): two-sided 34/70, one-sided 17/70. The other tables
// and all values of Boschloo's test were computed with scipy 1.10 (256 points; tol 2e-6): [[7,12],[8,3]] is the table of
// scipy's manual, after G. A. Barnard 1945/47. Columns are the samples there, rows here.
func TestExactTests(t *testing.T) {
	tea := must[compare.PValues](t)(compare.Fisher(compare.Arms{HeldA: 3, TrialsA: 4, HeldB: 1, TrialsB: 4}))
	near(t, "tea, two-sided", tea.TwoSided, 34./70, 1e-12)
	near(t, "tea, greater", tea.Greater, 17./70, 1e-12)

	// scipy takes the columns [7,8] and [12,3] as samples: 7 of 15 against 12 of 15.
	manual := compare.Arms{HeldA: 7, TrialsA: 15, HeldB: 12, TrialsB: 15}
	f := must[compare.PValues](t)(compare.Fisher(manual))
	near(t, "manual, Fisher two-sided", f.TwoSided, .128136, 1e-6)
	near(t, "manual, Fisher less", f.Less, .064068, 1e-6)
	near(t, "manual, Boschloo less", must[compare.PValues](t)(compare.Boschloo(manual)).Less, .034109, 2e-6)

	second := compare.Arms{HeldA: 74, TrialsA: 117, HeldB: 31, TrialsB: 63}
	near(t, "second, Fisher greater", must[compare.PValues](t)(compare.Fisher(second)).Greater, .048312, 1e-6)
	near(t, "second, Boschloo greater", must[compare.PValues](t)(compare.Boschloo(second)).Greater, .035564, 2e-6)

	third := compare.Arms{HeldA: 18, TrialsA: 29, HeldB: 2, TrialsB: 11}
	f = must[compare.PValues](t)(compare.Fisher(third))
	near(t, "third, Fisher two-sided", f.TwoSided, .030951, 1e-6)
	near(t, "third, Fisher greater", f.Greater, .015475, 1e-6)
	near(t, "third, Boschloo greater", must[compare.PValues](t)(compare.Boschloo(third)).Greater, .008165, 2e-6)
}

// R. G. Newcombe, Statistics in Medicine 17 (1998) 873 Table II, method 10 (from memory, computed with R).
func TestNewcombeInTheComparison(t *testing.T) {
	for _, c := range []struct {
		a               compare.Arms
		diff, low, high float64
	}{
		{compare.Arms{HeldA: 56, TrialsA: 70, HeldB: 48, TrialsB: 80}, .2000, .0524, .3339},
		{compare.Arms{HeldA: 9, TrialsA: 10, HeldB: 3, TrialsB: 10}, .6000, .1705, .8090},
		{compare.Arms{HeldA: 10, TrialsA: 10, HeldB: 0, TrialsB: 20}, 1, .6791, 1},
	} {
		r := must[compare.Comparison](t)(compare.Proportions(c.a, .95))
		near(t, "difference", r.Difference, c.diff, 0.5e-4)
		near(t, "low", r.Interval.Low, c.low, 0.5e-4)
		near(t, "high", r.Interval.High, c.high, 0.5e-4)
	}
}

// P(pA > pB) with uniform priors, 18/20 against 11/20: computed with scipy 1.10.
func TestChanceToBeBetter(t *testing.T) {
	p, err := compare.NewPosterior(compare.Arms{HeldA: 18, TrialsA: 20, HeldB: 11, TrialsB: 20}, compare.Uniform)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "P(A better)", p.BetterBy(0), .992605, 0.5e-6)
}

// Exact McNemar test, 10 pairs against 5 that differ: p = .3017578, computed with statsmodels 0.13.
func TestMcNemar(t *testing.T) {
	r := must[compare.Paired](t)(compare.Matched(compare.Pairs{Both: 20, OnlyA: 10, OnlyB: 5, Neither: 7}, .95))
	near(t, "two-sided", r.McNemar.TwoSided, .3017578, 0.5e-7)
}
