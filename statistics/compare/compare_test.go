package compare_test

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"holdfast/domain"
	"holdfast/numeric"
	"holdfast/statistics/compare"
)

func anyArms(t *rapid.T, most int) compare.Arms {
	n, m := rapid.IntRange(1, most).Draw(t, "trials A"), rapid.IntRange(1, most).Draw(t, "trials B")
	return compare.Arms{HeldA: rapid.IntRange(0, n).Draw(t, "held A"), TrialsA: n, HeldB: rapid.IntRange(0, m).Draw(t, "held B"), TrialsB: m}
}

func TestSwappingMirrors(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := anyArms(t, 25)
		b := compare.Arms{HeldA: a.HeldB, TrialsA: a.TrialsB, HeldB: a.HeldA, TrialsB: a.TrialsA}
		x, err := compare.Proportions(a, 0.9)
		if err != nil {
			t.Fatal(err)
		}
		y, err := compare.Proportions(b, 0.9)
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range []struct {
			what string
			a, b float64
		}{
			{"difference", x.Difference, -y.Difference}, {"low", x.Interval.Low, -y.Interval.High}, {"better", x.Better, 1 - y.Better},
			{"credible", x.Credible.Low, -y.Credible.High}, {"Fisher", x.Fisher.Greater, y.Fisher.Less},
			{"Fisher two-sided", x.Fisher.TwoSided, y.Fisher.TwoSided}, {"Boschloo", x.Boschloo.Greater, y.Boschloo.Less},
		} {
			if math.Abs(c.a-c.b) > 1e-7 {
				t.Fatalf("%+v: %s %g, mirrored %g", a, c.what, c.a, c.b)
			}
		}
		if x.Interval.Low > x.Difference+1e-12 || x.Interval.High < x.Difference-1e-12 {
			t.Fatalf("the interval %v leaves out %g", x.Interval, x.Difference)
		}
		for _, p := range []float64{x.Boschloo.Greater, x.Boschloo.TwoSided, x.Fisher.Less, x.Better} {
			if !(p >= 0 && p <= 1) {
				t.Fatalf("%+v: a probability of %g", a, p)
			}
		}
		// Boschloo's test is uniformly at least as powerful as Fisher's.
		if x.Boschloo.Greater > x.Fisher.Greater*(1+1e-9) {
			t.Fatalf("%+v: Boschloo %g above Fisher %g", a, x.Boschloo.Greater, x.Fisher.Greater)
		}
	})
}

// The largest chance over the common success probability, found by brute force over every table and a fine grid.
func TestBoschlooIsTheLargestOverTheNuisance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := anyArms(t, 10)
		p, err := compare.Boschloo(a)
		if err != nil {
			t.Fatal(err)
		}
		f, _ := compare.Fisher(a)
		type table struct{ x, y int }
		var extreme []table
		for x := range a.TrialsA + 1 {
			for y := range a.TrialsB + 1 {
				if g, _ := compare.Fisher(compare.Arms{HeldA: x, TrialsA: a.TrialsA, HeldB: y, TrialsB: a.TrialsB}); g.Greater <= f.Greater*(1+1e-12) {
					extreme = append(extreme, table{x, y})
				}
			}
		}
		best := 0.0
		for i := 0; i <= 1000; i++ {
			pi, sum := float64(i)/1000, 0.0
			for _, e := range extreme {
				sum += numeric.BinomialPMF(e.x, a.TrialsA, pi) * numeric.BinomialPMF(e.y, a.TrialsB, pi)
			}
			best = math.Max(best, sum)
		}
		if p.Greater < best-1e-9 || p.Greater > best+1e-4 {
			t.Fatalf("%+v: %.9g, by brute force %.9g", a, p.Greater, best)
		}
	})
}

func TestPosteriorOfTheDifference(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := anyArms(t, 3000)
		p, err := compare.NewPosterior(a, compare.Uniform)
		if err != nil {
			t.Fatal(err)
		}
		last := 1.0
		for d := -1.0; d <= 1; d += 0.05 {
			v := p.BetterBy(d)
			if v > last+1e-9 {
				t.Fatalf("%+v: P(difference > %g) rises to %g", a, d, v)
			}
			last = v
		}
		if v := p.BetterBy(-1); math.Abs(v-1) > 1e-9 {
			t.Fatalf("the density sums to %g", v)
		}
		q := rapid.Float64Range(0.01, 0.99).Draw(t, "q")
		if got := 1 - p.BetterBy(p.Quantile(q)); math.Abs(got-q) > 1e-6 {
			t.Fatalf("%+v: quantile %g has %g below it", a, q, got)
		}
	})
}

func TestHolm(t *testing.T) {
	// Worked by hand: 4·0.01, 3·0.02, then max(0.06, 2·0.03), then max(0.06, 0.04).
	got := compare.Holm([]float64{0.04, 0.01, 0.03, 0.02})
	for i, want := range []float64{0.06, 0.04, 0.06, 0.06} {
		near(t, "adjusted", got[i], want, 1e-12)
	}
	rapid.Check(t, func(t *rapid.T) {
		p := rapid.SliceOf(rapid.Float64Range(0, 1)).Draw(t, "p")
		adjusted := compare.Holm(p)
		for i := range p {
			if adjusted[i] < p[i] || adjusted[i] > 1 {
				t.Fatalf("%g becomes %g", p[i], adjusted[i])
			}
			for j := range p {
				if p[i] < p[j] && adjusted[i] > adjusted[j] {
					t.Fatalf("%v becomes %v", p, adjusted)
				}
			}
		}
	})
}

func TestEquivalence(t *testing.T) {
	e, err := compare.Equivalence(compare.Arms{HeldA: 950, TrialsA: 1000, HeldB: 948, TrialsB: 1000}, 0.03, 0.95)
	if err != nil || !e.Shown || !e.ShownEqual || e.Posterior < 0.99 {
		t.Errorf("%+v %v", e, err)
	}
	e, err = compare.Equivalence(compare.Arms{HeldA: 19, TrialsA: 20, HeldB: 19, TrialsB: 20}, 0.02, 0.95)
	if err != nil || e.Shown || e.ShownEqual || e.Posterior > 0.9 {
		t.Errorf("20 trials can not show equality within 2 points: %+v %v", e, err)
	}
	for _, bad := range [][2]float64{{0, .95}, {.02, .4}, {math.NaN(), .95}} {
		if _, err := compare.Equivalence(compare.Arms{HeldA: 1, TrialsA: 2, HeldB: 1, TrialsB: 2}, bad[0], bad[1]); domain.KindOf(err) != domain.KindInvalid {
			t.Errorf("%v: %v", bad, err)
		}
	}
}

func TestMatchedPairs(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		count := func(name string) int { return rapid.IntRange(0, 30).Draw(t, name) }
		p := compare.Pairs{Both: count("both"), OnlyA: count("only A"), OnlyB: count("only B"), Neither: count("neither")}
		if p.N() == 0 {
			t.Skip("no pair")
		}
		r, err := compare.Matched(p, 0.9)
		if err != nil {
			t.Fatal(err)
		}
		s, err := compare.Matched(compare.Pairs{Both: p.Both, OnlyA: p.OnlyB, OnlyB: p.OnlyA, Neither: p.Neither}, 0.9)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(r.Difference+s.Difference) > 1e-12 || math.Abs(r.Interval.Low+s.Interval.High) > 1e-9 || math.Abs(r.Better+s.Better-1) > 1e-9 {
			t.Fatalf("%+v mirrored is %+v", r, s)
		}
		if r.Interval.Low > r.Difference+1e-12 || r.Interval.High < r.Difference-1e-12 {
			t.Fatalf("%+v", r)
		}
	})
}

// A hard block and an easy one, tried unevenly, make the worse strategy look better when blocks are ignored.
func TestBlocksUndoConfounding(t *testing.T) {
	blocks := []compare.Arms{{HeldA: 81, TrialsA: 87, HeldB: 234, TrialsB: 270}, {HeldA: 192, TrialsA: 263, HeldB: 55, TrialsB: 80}}
	pooled, err := compare.Proportions(compare.Arms{HeldA: 273, TrialsA: 350, HeldB: 289, TrialsB: 350}, 0.9)
	if err != nil {
		t.Fatal(err)
	}
	r, err := compare.PerBlock(blocks, 0.9)
	if err != nil {
		t.Fatal(err)
	}
	if !(pooled.Difference < 0 && r.Difference > 0 && r.Better > 0.9 && r.Interval.Low < r.Difference) {
		t.Errorf("pooled %+v\nby block %+v", pooled, r)
	}
	// One block is the exact test of two samples.
	one, err := compare.PerBlock(blocks[:1], 0.9)
	if err != nil {
		t.Fatal(err)
	}
	f, _ := compare.Fisher(blocks[0])
	near(t, "greater", one.Exact.Greater, f.Greater, 1e-12)
	near(t, "difference", one.Difference, 81./87-234./270, 1e-12)
	if _, err := compare.PerBlock([]compare.Arms{{TrialsA: 3, HeldA: 1}}, 0.9); domain.KindOf(err) != domain.KindInvalid {
		t.Errorf("blocks with one sample only: %v", err)
	}
}

func TestWholePlots(t *testing.T) {
	// Three plots against three that all lie below: one of the 20 ways to label them.
	r, err := compare.PerWholePlot([]float64{.9, .8, .85}, []float64{.5, .6, .55}, 0.9, 1)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "permutation", r.Permuted.Greater, 1./20, 1e-12)
	near(t, "difference", r.Difference, .30, 1e-12)
	// Equal variances 0.0025 and 4 degrees of freedom: 0.3 ± 2.131847·√(2·0.0025/3), Student's t from tables.
	near(t, "low", r.Interval.Low, .3-2.131847*math.Sqrt(2*.0025/3), 1e-6)
	if _, err := compare.PerWholePlot([]float64{.9}, []float64{.5, .6}, 0.9, 1); err == nil || !strings.Contains(err.Error(), "could be the day") {
		t.Errorf("one plot: %v", err)
	}
	many := make([]float64, 16)
	for i := range many {
		many[i] = float64(i) / 20
	}
	x, _ := compare.PerWholePlot(many, many, 0.9, 7)
	y, _ := compare.PerWholePlot(many, many, 0.9, 7)
	if !x.Simulated || x != y || math.Abs(x.Permuted.Greater-0.5) > 0.05 {
		t.Errorf("%+v, again %+v", x, y)
	}
}

func TestOverOrientations(t *testing.T) {
	const draws, spots = 4000, 30
	r := numeric.Stream(9, "two maps")
	a, b := make([][]float64, draws), make([][]float64, draws)
	for d := range draws {
		a[d], b[d] = make([]float64, spots), make([]float64, spots)
		for i := range spots {
			shift := 0.0
			if i < 5 {
				shift = 0.5
			}
			a[d][i], b[d][i] = 0.5+shift+0.1*r.NormFloat64(), 0.5+0.1*r.NormFloat64()
		}
	}
	m, err := compare.OverOrientations(a, b, 0.9)
	if err != nil {
		t.Fatal(err)
	}
	for i, s := range m.Spots {
		if want := i < 5; s.Clear != want || s.Sure != want {
			t.Errorf("spot %d: %+v", i, s)
		}
	}
	near(t, "share where A is better", m.ClearA, 5./30, 1e-12)
	// The largest of 30 independent normal deviations stays below the 0.9^(1/30) quantile in nine of ten draws.
	near(t, "band", m.Factor, numeric.NormalQuantile((1+math.Pow(0.9, 1./30))/2), 0.06)
	if _, err := compare.OverOrientations(a[:50], b[:50], 0.9); domain.KindOf(err) != domain.KindInvalid {
		t.Errorf("few draws: %v", err)
	}
}

func TestSentences(t *testing.T) {
	for _, c := range []struct {
		a     compare.Arms
		words string
	}{
		{compare.Arms{HeldA: 90, TrialsA: 100, HeldB: 60, TrialsB: 100}, "wall holds more often than free: +30 points, 90 % interval +20.2 to +39.1; chance that it is better above 0.999."},
		{compare.Arms{HeldA: 60, TrialsA: 100, HeldB: 90, TrialsB: 100}, "wall holds less often than free: -30 points"},
		{compare.Arms{HeldA: 9, TrialsA: 10, HeldB: 8, TrialsB: 10}, "It is not clear whether wall or free holds more often: +10 points"},
	} {
		r, err := compare.Proportions(c.a, 0.9)
		if err != nil {
			t.Fatal(err)
		}
		if got := r.Sentence("wall", "free"); !strings.HasPrefix(got, c.words) {
			t.Errorf("got %q, want %q", got, c.words)
		}
	}
}

func TestBadCountsAreTold(t *testing.T) {
	for _, a := range []compare.Arms{{}, {HeldA: 3, TrialsA: 2, HeldB: 1, TrialsB: 2}, {HeldA: -1, TrialsA: 2, HeldB: 1, TrialsB: 2}} {
		if _, err := compare.Proportions(a, 0.9); domain.KindOf(err) != domain.KindInvalid {
			t.Errorf("%+v: %v", a, err)
		}
	}
	if _, err := compare.Matched(compare.Pairs{}, 0.9); domain.KindOf(err) != domain.KindInvalid {
		t.Error(err)
	}
}
