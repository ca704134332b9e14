package agreement_test

import (
	"math"
	"reflect"
	"testing"

	"pgregory.net/rapid"

	"holdfast/domain"
	"holdfast/statistics/agreement"
)

func TestPerfectAndSwappedJudges(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k := rapid.IntRange(2, 4).Draw(t, "outcomes")
		table, turned, diagonal := make(agreement.Table, k), make(agreement.Table, k), make(agreement.Table, k)
		for i := range k {
			table[i], turned[i], diagonal[i] = make([]float64, k), make([]float64, k), make([]float64, k)
		}
		for i := range k {
			for j := range k {
				n := float64(rapid.IntRange(1, 30).Draw(t, "count"))
				table[i][j], turned[j][i] = n, n
			}
			diagonal[i][i] = table[i][i]
		}
		a, err := agreement.Cohen(table, 0.9)
		if err != nil {
			t.Fatal(err)
		}
		b, _ := agreement.Cohen(turned, 0.9)
		if math.Abs(a.Kappa-b.Kappa) > 1e-12 || math.Abs(a.SE-b.SE) > 1e-12 || a.Kappa < -1 || a.Kappa > 1 || a.Low > a.Kappa || a.High < a.Kappa {
			t.Fatalf("%+v, judges swapped %+v", a, b)
		}
		p, _ := agreement.Cohen(diagonal, 0.9)
		if math.Abs(p.Kappa-1) > 1e-12 || p.SE > 1e-6 || math.Abs(p.AC1-1) > 1e-12 || math.Abs(p.PABAK-1) > 1e-12 {
			t.Fatalf("judges who always agree: %+v", p)
		}
	})
}

// For two judges without gaps and many trials, nominal α is near κ's cousin with pooled margins; with equal margins they meet.
func TestAlphaOfEqualMarginsIsNearKappa(t *testing.T) {
	var r agreement.Ratings
	first, second := []float64{}, []float64{}
	add := func(n int, a, b float64) {
		for range n {
			first, second = append(first, a), append(second, b)
		}
	}
	add(400, 1, 1)
	add(100, 1, 0)
	add(100, 0, 1)
	add(300, 0, 0)
	r = agreement.Ratings{first, second}
	a, err := agreement.Krippendorff(r, agreement.Nominal, 0.9, 3)
	if err != nil {
		t.Fatal(err)
	}
	k, _ := agreement.Cohen(agreement.Table{{400, 100}, {100, 300}}, 0.9)
	near(t, "α", a.Alpha, k.Kappa, 1e-3)
	// The bootstrap and the large-sample interval of κ agree where both hold.
	near(t, "low", a.Low, k.Low, 0.015)
	near(t, "high", a.High, k.High, 0.015)
	again, _ := agreement.Krippendorff(r, agreement.Nominal, 0.9, 3)
	if a != again {
		t.Errorf("the same seed gives %+v and %+v", a, again)
	}
}

func TestLookAgain(t *testing.T) {
	said := [][]string{
		{"held", "held", "missed", "held", "slipped", ""},
		{"held", "slipped", "slipped", "", "slipped", "held"},
		{"held", "held", "missed", "dropped", "slipped", ""},
	}
	want := []agreement.Again{{Trial: 3, Disagree: 1, Decisive: true}, {Trial: 1, Disagree: 2. / 3, Decisive: true}, {Trial: 2, Disagree: 2. / 3}}
	if got := agreement.LookAgain(said, "held"); !reflect.DeepEqual(got, want) {
		t.Errorf("got %+v, want %+v", got, want)
	}
	table := agreement.Confusion(said[0], said[1], []string{"held", "slipped", "missed"})
	if !reflect.DeepEqual(table, agreement.Table{{1, 1, 0}, {0, 1, 0}, {0, 1, 0}}) {
		t.Errorf("confusion %v", table)
	}
}

func TestBadTablesAreTold(t *testing.T) {
	for _, table := range []agreement.Table{nil, {{1}}, {{1, 2}, {3}}, {{0, 0}, {0, 0}}, {{-1, 2}, {1, 1}}, {{math.NaN(), 2}, {1, 1}}} {
		if _, err := agreement.Cohen(table, 0.9); domain.KindOf(err) != domain.KindInvalid {
			t.Errorf("%v: %v", table, err)
		}
	}
	for _, r := range []agreement.Ratings{nil, {{1, 2}}, {{1, 2}, {1}}, {{1, math.NaN()}, {math.NaN(), 2}}, {{math.Inf(1)}, {1}}} {
		if _, err := agreement.Krippendorff(r, agreement.Nominal, 0.9, 1); domain.KindOf(err) != domain.KindInvalid {
			t.Errorf("%v: %v", r, err)
		}
	}
	if _, err := agreement.Fleiss([][]int{{1, 1}, {1, 2}}); domain.KindOf(err) != domain.KindInvalid {
		t.Error(err)
	}
	same, err := agreement.Krippendorff(agreement.Ratings{{1, 1}, {1, 1}}, agreement.Nominal, 0.9, 1)
	if err != nil || !math.IsNaN(same.Alpha) {
		t.Errorf("judges who only ever say one thing: %+v %v", same, err)
	}
}
