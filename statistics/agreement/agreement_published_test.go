package agreement_test

import (
	"math"
	"strings"
	"testing"

	"holdfast/statistics/agreement"
)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: %.9g, want %.9g ± %.1g", what, got, want, tolerance)
	}
}

func cohen(t *testing.T, table agreement.Table) agreement.Two {
	t.Helper()
	r, err := agreement.Cohen(table, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// J. Cohen 1968, three outcomes: κ .492, weighted .348 (both read in the help pages of R's psych, computed with it). Two
// outcomes: computed with statsmodels 0.13. The prevalence trap is K. L. Gwet's example (from memory, computed).
func TestCohensKappa(t *testing.T) {
	three := agreement.Table{{.44, .07, .09}, {.05, .20, .05}, {.01, .03, .06}}
	near(t, "κ", cohen(t, three).Kappa, .4915254, 0.5e-7)
	weighted, err := agreement.Weighted(three, [][]float64{{0, 1, 3}, {1, 0, 6}, {3, 6, 0}})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "weighted κ", weighted, .3478261, 0.5e-7)

	two := cohen(t, agreement.Table{{20, 5}, {10, 15}})
	near(t, "agreed", two.Agreed, .7, 1e-12)
	near(t, "κ", two.Kappa, .4, 1e-12)
	near(t, "SE", two.SE, .126996, 0.5e-6)
	near(t, "low", two.Low, .1511, 0.5e-4)
	near(t, "high", two.High, .6489, 0.5e-4)

	near(t, "κ", cohen(t, agreement.Table{{45, 15}, {25, 15}}).Kappa, .1304348, 0.5e-7)
	near(t, "κ", cohen(t, agreement.Table{{25, 35}, {5, 35}}).Kappa, .2592593, 0.5e-7)

	trap := cohen(t, agreement.Table{{118, 5}, {2, 0}})
	near(t, "agreed", trap.Agreed, .944, 1e-12)
	near(t, "κ", trap.Kappa, -.0233918, 0.5e-7)
	near(t, "PABAK", trap.PABAK, .888, 1e-12)
	near(t, "AC1", trap.AC1, .9407763, 0.5e-7)
	if !trap.Trap || two.Trap {
		t.Errorf("the trap is seen: %v, where there is none: %v", trap.Trap, two.Trap)
	}
	other := cohen(t, agreement.Table{{80, 10}, {5, 5}})
	near(t, "κ", other.Kappa, .3181818, 0.5e-7)
	near(t, "AC1", other.AC1, .808, 0.5e-3)
	near(t, "PABAK", other.PABAK, .7, 1e-12)
}

// The table of 14 judges and 10 cases that goes round with Fleiss's κ: .2099307 (from memory, computed).
func TestFleissKappa(t *testing.T) {
	got, err := agreement.Fleiss([][]int{
		{0, 0, 0, 0, 14}, {0, 2, 6, 4, 2}, {0, 0, 3, 5, 6}, {0, 3, 9, 2, 0}, {2, 2, 8, 1, 1}, {7, 7, 0, 0, 0}, {3, 2, 6, 3, 0}, {2, 5, 3, 2, 2}, {6, 5, 2, 1, 0}, {0, 2, 2, 3, 7},
	})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "κ", got, .2099307, 0.5e-7)
}

// K. Krippendorff, "Computing Krippendorff's Alpha-Reliability" (2011): .095, .692 and .743 (read in a third-party table of
// reference sets); the other metrics computed from the same matrix.
func TestKrippendorffsAlpha(t *testing.T) {
	rows := func(lines ...string) agreement.Ratings {
		var r agreement.Ratings
		for _, l := range lines {
			var row []float64
			for _, c := range l {
				if c == '.' {
					row = append(row, math.NaN())
				} else {
					row = append(row, float64(c-'0'))
				}
			}
			r = append(r, row)
		}
		return r
	}
	alpha := func(r agreement.Ratings, m agreement.Metric) float64 {
		a, err := agreement.Krippendorff(r, m, 0.9, 1)
		if err != nil {
			t.Fatal(err)
		}
		if !(a.Low <= a.Alpha && a.Alpha <= a.High) {
			t.Errorf("%s: %g is not within %g to %g", m, a.Alpha, a.Low, a.High)
		}
		return a.Alpha
	}
	near(t, "A", alpha(rows("0100000010", "1110010000"), agreement.Nominal), .0952381, 0.5e-7)
	letters := strings.NewReplacer("a", "1", "b", "2", "c", "3", "d", "4", "e", "5", " ", "")
	near(t, "B", alpha(rows(letters.Replace("aabbdcccedda"), letters.Replace("babbbcccedd d")), agreement.Nominal), .6919643, 0.5e-7)
	c := rows("12332141 2...", "12332241 25.3", ".3332342 251.", "12332441 251.")
	for i := range c {
		// The blank in the printed rows is for reading only.
		c[i] = append(c[i][:8:8], c[i][9:]...)
	}
	near(t, "C nominal", alpha(c, agreement.Nominal), .7434211, 0.5e-7)
	near(t, "C ordinal", alpha(c, agreement.Ordinal), .8153875, 0.5e-7)
	near(t, "C interval", alpha(c, agreement.Scale), .8491071, 0.5e-7)
	near(t, "C ratio", alpha(c, agreement.Ratio), .7974028, 0.5e-7)
}
