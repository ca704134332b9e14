package touch

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"holdfast/numeric"
)

// taps invents clips of decaying tones each strongest at a place of its own: three specimens with two sessions each.
func taps(t testing.TB, each int, recipe Recipe) (Labelled, [][]float64) {
	t.Helper()
	e, err := NewExtractor(recipe)
	if err != nil {
		t.Fatal(err)
	}
	r := rand.New(rand.NewPCG(2, 8))
	d := Labelled{X: NewMatrix(3*2*4*each, e.Count()), Zones: []string{"root", "middle", "pad", "tip"}}
	var clips [][]float64
	for specimen := range 3 {
		tune := 1 + 0.01*float64(specimen)
		for session := range 2 {
			for zone := range 4 {
				for range each {
					place := 15*float64(zone) + 5*r.Float64()
					clip := make([]float64, recipe.Samples()+50)
					for i := range clip {
						s := float64(i) / float64(recipe.RateHz)
						for m := 1; m <= 4; m++ {
							clip[i] += math.Exp(-math.Pow((place-16*float64(m-1))/18, 2)) * math.Exp(-60*float64(m)*s) * math.Sin(2*math.Pi*400*tune*float64(m*m)*s)
						}
						clip[i] += 0.02 * r.NormFloat64()
					}
					if err := e.Extract(d.X.Row(len(clips)), clip); err != nil {
						t.Fatal(err)
					}
					clips = append(clips, clip)
					d.Zone = append(d.Zone, zone)
					d.PositionMm = append(d.PositionMm, place)
					d.Session = append(d.Session, fmt.Sprintf("%d-%d", specimen, session))
					d.Specimen = append(d.Specimen, fmt.Sprint(specimen))
				}
			}
		}
	}
	return d, clips
}

func smallRecipe() Recipe {
	r := DefaultRecipe(16000)
	r.Bands, r.Frames, r.Cepstra = 16, 4, 8
	return r
}

func TestFiguresStayInTheirRanges(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		zones := rapid.IntRange(2, 5).Draw(t, "zones")
		pair := rapid.SliceOfN(rapid.IntRange(0, zones-1), 30, 30)
		truth, told := pair.Draw(t, "truth"), pair.Draw(t, "told")
		c, same := Confuse(truth, told, zones), Confuse(truth, truth, zones)
		for _, v := range []float64{c.Kappa(), c.MCC()} {
			if !(v >= -1-1e-12 && v <= 1+1e-12) {
				t.Errorf("%g of %v", v, c)
			}
		}
		if p, r, f1 := c.Macro(); !(p >= 0 && p <= 1 && r >= 0 && r <= 1 && f1 >= 0 && f1 <= 1) {
			t.Errorf("%g %g %g", p, r, f1)
		}
		if same.Accuracy() != 1 {
			t.Errorf("agreement with itself is %g", same.Accuracy())
		}
		// Names of zones do not matter.
		turn := func(list []int) []int {
			l := slices.Clone(list)
			for i := range l {
				l[i] = zones - 1 - l[i]
			}
			return l
		}
		d := Confuse(turn(truth), turn(told), zones)
		if math.Abs(c.MCC()-d.MCC()) > 1e-12 || math.Abs(c.Kappa()-d.Kappa()) > 1e-12 {
			t.Errorf("turned: %v %v", c, d)
		}
	})
}

func TestEveryMethodTellsZones(t *testing.T) {
	d, _ := taps(t, 6, smallRecipe())
	folds, err := GroupFolds(d.Specimen, 5, 1)
	if err != nil {
		t.Fatal(err)
	}
	if len(folds) != 3 {
		t.Errorf("%d folds of 3 specimens", len(folds))
	}
	for _, m := range Candidates {
		told, err := CrossValidate(t.Context(), m, d.X, d.Zone, 4, folds, 2)
		if err != nil {
			t.Fatal(err)
		}
		if a := Confuse(d.Zone, told, 4).Accuracy(); a < 0.9 {
			t.Errorf("%v: accuracy %.3f", m, a)
		}
		again, err := CrossValidate(t.Context(), m, d.X, d.Zone, 4, folds, 1)
		if err != nil || !slices.Equal(told, again) {
			t.Errorf("%v: another number of workers tells otherwise (%v)", m, err)
		}
		p, err := Fit(t.Context(), m, d.X, d.Zone, 4, true)
		if err != nil {
			t.Fatal(err)
		}
		sum := 0.0
		for _, v := range p.Probabilities(d.X.Row(0)) {
			sum += v
		}
		near(t, "probabilities add up", sum, 1, 1e-12)
	}
}

// What inner folds share must not change what is fitted in the end.
func TestNestedTellsAsPlainValidation(t *testing.T) {
	d, _ := taps(t, 5, smallRecipe())
	folds, err := GroupFolds(d.Session, 3, 1)
	if err != nil {
		t.Fatal(err)
	}
	for _, m := range []Method{Candidates[0], Candidates[4], Candidates[5]} {
		plain, err := CrossValidate(t.Context(), m, d.X, d.Zone, 4, folds, 2)
		if err != nil {
			t.Fatal(err)
		}
		for _, methods := range [][]Method{{m}, {m, m}} {
			told, chosen, err := Nested(t.Context(), methods, d.X, d.Zone, 4, folds, ByGroup(d.Session, 3, 2), 2)
			if err != nil || !slices.Equal(told, plain) || slices.Max(chosen) != 0 {
				t.Errorf("%v, %d times: tells otherwise, chosen %v, %v", m, len(methods), chosen, err)
			}
		}
	}
}

func TestFoldsHoldGroupsTogether(t *testing.T) {
	groups := strings.Split("a b c d e f g a b c d a a a b", " ")
	folds, err := GroupFolds(groups, 3, 4)
	if err != nil {
		t.Fatal(err)
	}
	of, count := map[string]int{}, 0
	for f, list := range folds {
		for _, i := range list {
			if was, ok := of[groups[i]]; ok && was != f {
				t.Errorf("group %s stands in folds %d and %d", groups[i], was, f)
			}
			of[groups[i]] = f
			count++
		}
	}
	if count != len(groups) {
		t.Errorf("%d of %d clips are held out", count, len(groups))
	}
	if _, err := GroupFolds([]string{"a", "a"}, 3, 1); err == nil || !strings.Contains(err.Error(), `"a"`) {
		t.Errorf("one group is split: %v", err)
	}
}

// So few clips span fewer directions than are asked for: those that are left are taken, where all would be singular.
func TestFewClipsTakeFewDirections(t *testing.T) {
	r := numeric.Stream(1, "few clips")
	for n := 4; n <= 26; n++ {
		x, zone := NewMatrix(n, 40), make([]int, n)
		for i := range x.Data {
			x.Data[i] = r.NormFloat64()
		}
		for i := range zone {
			zone[i] = i % 2
		}
		p, err := Fit(t.Context(), Method{Kind: Discriminant, Components: 20}, x, zone, 2, false)
		if err != nil {
			t.Fatalf("%d clips: %v", n, err)
		}
		if got, want := len(p.PCA.Directions), min(20, n-2); got != want {
			t.Errorf("%d clips: %d directions, want %d", n, got, want)
		}
	}
}

func TestImpossibleFits(t *testing.T) {
	x, zone := NewMatrix(6, 3), []int{0, 0, 0, 1, 1, 1}
	for name, c := range map[string]struct {
		m     Method
		zones int
	}{
		"singular": {Method{Kind: Discriminant}, 2}, "missing zone": {Method{Kind: Discriminant, Shrinkage: LedoitWolf}, 3}, "one zone": {Method{Kind: Discriminant}, 1},
		"no penalty": {Method{Kind: Logistic}, 2}, "too many neighbours": {Method{Kind: NearestClips, K: 7}, 2}, "no C": {Method{Kind: SupportVectors}, 2}, "unknown": {Method{Kind: "oracle"}, 2},
	} {
		if _, err := Fit(t.Context(), c.m, x, zone, c.zones, false); err == nil {
			t.Errorf("%s: fitted", name)
		}
	}
}

// Pairs that come of probabilities give them back; beyond doubt, one zone gets nearly all.
func TestPairsCouple(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := rapid.SliceOfN(rapid.Float64Range(0.01, 1), 2, 8).Draw(t, "p")
		sum := 0.0
		for _, v := range want {
			sum += v
		}
		r, got := NewMatrix(len(want), len(want)), make([]float64, len(want))
		for a := range want {
			for b := range want {
				r.Row(a)[b] = want[a] / (want[a] + want[b])
			}
		}
		couple(got, r)
		for a, v := range want {
			if math.Abs(got[a]-v/sum) > 1e-6 {
				t.Errorf("%v, want the shares of %v", got, want)
				break
			}
		}
	})
	r, got := NewMatrix(4, 4), make([]float64, 4)
	for a := range 4 {
		for b := range a {
			r.Row(a)[b], r.Row(b)[a] = 1e-7, 1-1e-7
		}
	}
	if couple(got, r); got[0] < 0.99 {
		t.Errorf("%v", got)
	}
}
