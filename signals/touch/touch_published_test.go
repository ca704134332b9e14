package touch

import (
	"math"
	"testing"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %.12g, want %.12g (tolerance %g)", what, got, want, tol)
	}
}

// Examples of a general library's documentation (from memory), worked out with scikit-learn 1.2.1.
func TestConfusionExamples(t *testing.T) {
	c := Confuse([]int{0, 1, 2, 0, 1, 2}, []int{0, 2, 1, 0, 0, 1}, 3)
	_, _, f1 := c.Macro()
	near(t, "macro F1", f1, .2666667, 5e-8)
	near(t, "accuracy", c.Accuracy(), 1./3, 1e-15)
	near(t, "MCC", c.MCC(), 0, 1e-15)
	near(t, "kappa", c.Kappa(), 0, 1e-15)
	c = Confuse([]int{2, 0, 2, 2, 0, 1}, []int{0, 0, 2, 2, 0, 2}, 3)
	for i, row := range [][]int{{2, 0, 0}, {0, 0, 1}, {1, 0, 2}} {
		for j, n := range row {
			if c[i][j] != n {
				t.Errorf("%v", c)
			}
		}
	}
}

// Four zones of 15 mm pitch, computed with scikit-learn 1.2.1.
func TestFourZones(t *testing.T) {
	c := Confusion{{48, 2, 0, 0}, {5, 40, 5, 0}, {0, 6, 42, 2}, {0, 0, 3, 47}}
	p, r, f1 := c.Macro()
	near(t, "accuracy", c.Accuracy(), .885, 1e-9)
	near(t, "precision", p, .8845443460, 1e-9)
	near(t, "recall", r, .885, 1e-9)
	near(t, "F1", f1, .8844650788, 1e-9)
	near(t, "kappa", c.Kappa(), .8466666667, 1e-9)
	near(t, "MCC", c.MCC(), .8468642914, 1e-9)
	near(t, "mean error, mm", c.MeanError([]float64{0, 15, 30, 45}), 1.725, 1e-12)
}

// leaky makes clips of 10 sessions × 6 zones × 10 taps whose zones are shifted anew in every session, with the portable
// generator of Park and Miller (1988, from memory).
func leaky(seed uint64) (x Matrix, zone []int, session []string) {
	u := func() float64 {
		seed = seed * 16807 % 2147483647
		return 2*float64(seed)/2147483647 - 1
	}
	normal := func() float64 { // the sum of 12 uniform numbers has variance 4
		s := 0.0
		for range 12 {
			s += u()
		}
		return s / 2
	}
	x = NewMatrix(600, 8)
	for s := range 10 {
		for z := range 6 {
			var offset [8]float64
			for j := range offset {
				offset[j] = 2 * normal()
			}
			for range 10 {
				row := x.Row(len(zone))
				for j := range row {
					row[j] = offset[j] + 0.3*normal()
				}
				zone = append(zone, z)
				session = append(session, string(rune('a'+s)))
			}
		}
	}
	return x, zone, session
}

// Taps of one session resemble each other whatever was touched: split by clip, one nearest neighbour seems perfect; by
// session, it guesses. Published headline figures are mostly of the first kind. Worked out elsewhere with another order of
// draws: 1.000 and 0.1517, chance 0.1667 (standard error 0.015); the bounds here are four of those.
func TestSplitsByClipFlatter(t *testing.T) {
	x, zone, session := leaky(7)
	one := Method{Kind: NearestClips, K: 1}
	told, err := CrossValidate(t.Context(), one, x, zone, 6, RandomFolds(zone, 10, 1), 2)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "split by clip", Confuse(zone, told, 6).Accuracy(), 1, 0.002)
	folds, err := GroupFolds(session, 10, 1)
	if err != nil {
		t.Fatal(err)
	}
	if told, err = CrossValidate(t.Context(), one, x, zone, 6, folds, 2); err != nil {
		t.Fatal(err)
	}
	near(t, "split by session", Confuse(zone, told, 6).Accuracy(), 1./6, 0.061)
}
