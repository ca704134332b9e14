package proportion

import (
	"math"
	"testing"

	"holdfast/numeric"
)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s = %.7f, want %g ± %g", what, got, want, tolerance)
	}
}

const half6 = 5.000001e-7 // half a unit in the sixth place

func TestHandbookIntervalsPublished(t *testing.T) {
	// NIST/SEMATECH e-Handbook of Statistical Methods, §7.2.4.1 (read in a copied page):
	// 4 of 20, exact 90 %: 0.071354 and 0.401029 (the last digit computed: 0.401028).
	exact, err := ClopperPearson.Interval(4, 20, 0.90)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "4/20 lower", exact.Low, 0.071354, half6)
	near(t, "4/20 upper", exact.High, 0.401029, 1e-6)
	// Same section: 26 of 200, one-sided 95 % Wilson lower bound 0.09577 (computed 0.095773).
	low, err := Wilson.LowerBound(26, 200, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "26/200 lower", low, 0.095773, half6)
}

func TestIntervalTablePublished(t *testing.T) {
	// Computed with a general-purpose statistics library. 81/263, 15/148, 0/20 and 1/29 are the examples of
	// R. G. Newcombe, "Two-sided confidence intervals for the single proportion", Statistics in Medicine 17
	// (1998) 857, Table I, Wilson: .2553–.3662, .0624–.1605, 0–.1611, .0061–.1718 (recalled and computed).
	for _, c := range []struct {
		x, n                          int
		level                         float64
		exact, wilson, agresti, jeffr [2]float64
	}{
		{4, 20, .90, [2]float64{.071354, .401028}, [2]float64{.093118, .378377}, [2]float64{.089225, .382269}, [2]float64{.087335, .372739}},
		{4, 20, .95, [2]float64{.057334, .436614}, [2]float64{.080658, .416017}, [2]float64{.074912, .421764}, [2]float64{.071520, .408226}},
		{0, 10, .95, [2]float64{0, .308497}, [2]float64{0, .277533}, [2]float64{0, .320887}, [2]float64{0, .217196}},
		{0, 20, .95, [2]float64{0, .168433}, [2]float64{0, .161125}, [2]float64{0, .189810}, [2]float64{0, .116639}},
		{0, 30, .95, [2]float64{0, .115703}, [2]float64{0, .113513}, [2]float64{0, .134712}, [2]float64{0, .079678}},
		{1, 29, .95, [2]float64{.000873, .177644}, [2]float64{.006113, .171755}, [2]float64{0, .186287}, [2]float64{.003746, .150078}},
		{15, 148, .95, [2]float64{.057844, .161650}, [2]float64{.062386, .160487}, [2]float64{.061386, .161488}, [2]float64{.060449, .157643}},
		{81, 263, .95, [2]float64{.252737, .367622}, [2]float64{.255289, .366210}, [2]float64{.255221, .366277}, [2]float64{.254522, .365647}},
		{19, 20, .95, [2]float64{.751267, .998735}, [2]float64{.763869, .991119}, [2]float64{.745885, 1}, [2]float64{.789181, .994551}},
		{48, 50, .95, [2]float64{.862862, .995119}, [2]float64{.865399, .988961}, [2]float64{.857774, .996586}, [2]float64{.877821, .991596}},
		{59, 60, .95, [2]float64{.910601, .999578}, [2]float64{.911449, .997052}, [2]float64{.902997, 1}, [2]float64{.924749, .998196}},
	} {
		for method, want := range map[Method][2]float64{ClopperPearson: c.exact, Wilson: c.wilson, AgrestiCoull: c.agresti, Jeffreys: c.jeffr} {
			got, err := method.Interval(c.x, c.n, c.level)
			if err != nil {
				t.Fatal(err)
			}
			if math.Abs(got.Low-want[0]) > half6 || math.Abs(got.High-want[1]) > half6 {
				t.Errorf("%s %d/%d at %g: %.7f %.7f, want %v", method, c.x, c.n, c.level, got.Low, got.High, want)
			}
		}
	}
}

func TestZeroFailuresPublished(t *testing.T) {
	// 1 − 0.05^(1/n), computed; the rule of three 3/n is J. A. Hanley, A. Lippman-Hand, JAMA 249 (1983) 1743 (recalled).
	for _, c := range []struct {
		n               int
		limit, threes   float64
		threesTolerance float64
	}{
		{10, .258866, .3, 0}, {20, .139108, .15, 0}, {30, .095034, .1, 0}, {59, .049508, .0508, 5e-5},
		{100, .029513, .03, 0}, {299, .009969, .01003, 5e-6}, {300, .009936, .01, 0},
	} {
		limit, err := ZeroFailureLimit(c.n, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "zero-failure limit", limit, c.limit, half6)
		near(t, "rule of three", 3/float64(c.n), c.threes, c.threesTolerance+1e-15)
		if limit > 3/float64(c.n) {
			t.Errorf("n=%d: the rule of three %g must lie above the exact limit %g", c.n, 3/float64(c.n), limit)
		}
		exact, err := ClopperPearson.UpperBound(0, c.n, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "one-sided exact bound", exact, limit, 1e-14)
	}
	// Jeffreys one-sided 95 %, no failure; computed.
	for n, want := range map[int]float64{20: .090476, 59: .031897, 300: .006377} {
		got, err := Jeffreys.UpperBound(0, n, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "Jeffreys zero-failure bound", got, want, half6)
	}
	// Mid-p, 0 of 59, one-sided 95 %: 1 − 0.1^(1/59) = .038275; computed.
	got, err := MidP.UpperBound(0, 59, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "mid-p 0/59", got, .038275, half6)
	near(t, "mid-p 0/59 closed form", got, 1-math.Pow(0.1, 1.0/59), 1e-13)
	// Laplace's rule of succession, 0 of 20: .045455; computed.
	mean, err := PosteriorMean(0, 20, 1, 1)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "Laplace 0/20", mean, .045455, half6)
}

// coverage sums the probabilities of the outcomes whose interval holds p.
func coverage(t *testing.T, interval func(x int) (Interval, error), n int, p float64) float64 {
	t.Helper()
	sum := 0.0
	for x := 0; x <= n; x++ {
		i, err := interval(x)
		if err != nil {
			t.Fatal(err)
		}
		if i.Contains(p) {
			sum += numeric.BinomialPMF(x, n, p)
		}
	}
	return sum
}

func TestCoveragePublished(t *testing.T) {
	// Exact coverage at nominal 95 %, computed by an independent program; the drop of Wald's interval from n=17 to
	// n=18 at p=½ is in L. D. Brown, T. T. Cai, A. DasGupta, Statistical Science 16 (2001) 101, §2 (recalled and computed).
	wald := func(n int) func(int) (Interval, error) {
		return func(x int) (Interval, error) {
			p := float64(x) / float64(n)
			h := 1.959963984540054 * math.Sqrt(p*(1-p)/float64(n))
			return Interval{p - h, p + h}, nil
		}
	}
	by := func(m Method, n int) func(int) (Interval, error) {
		return func(x int) (Interval, error) { return m.Interval(x, n, 0.95) }
	}
	for _, c := range []struct {
		n                          int
		p                          float64
		wald, wilson, exact, jeffr float64
	}{
		{50, .1, .8789, .9703, .9703, .9417}, {20, .9, .8760, .9568, .9887, .9568},
		{30, .95, .7821, .9392, .9844, .9844}, {10, .9, .6497, .9298, .9872, .9872},
	} {
		near(t, "Wald coverage", coverage(t, wald(c.n), c.n, c.p), c.wald, 5e-5)
		near(t, "Wilson coverage", coverage(t, by(Wilson, c.n), c.n, c.p), c.wilson, 5e-5)
		near(t, "Clopper–Pearson coverage", coverage(t, by(ClopperPearson, c.n), c.n, c.p), c.exact, 5e-5)
		near(t, "Jeffreys coverage", coverage(t, by(Jeffreys, c.n), c.n, c.p), c.jeffr, 5e-5)
	}
	near(t, "Wald at 100, .005", coverage(t, wald(100), 100, .005), .3941, 5e-5)
	near(t, "Wald at 17, ½", coverage(t, wald(17), 17, .5), .951, 5e-4)
	near(t, "Wald at 18, ½", coverage(t, wald(18), 18, .5), .904, 5e-4)
}

func TestDifferencePublished(t *testing.T) {
	// R. G. Newcombe, Statistics in Medicine 17 (1998) 873, Table II, method 10, 95 % (recalled and computed).
	for _, c := range []struct {
		one, two     Counts
		d, low, high float64
	}{
		{Counts{56, 70}, Counts{48, 80}, .2000, .0524, .3339},
		{Counts{9, 10}, Counts{3, 10}, .6000, .1705, .8090},
		{Counts{6, 7}, Counts{2, 7}, .5714, .0582, .8062},
		{Counts{5, 56}, Counts{0, 29}, .0893, -.0381, .1926},
		{Counts{0, 10}, Counts{0, 20}, 0, -.1611, .2775},
		{Counts{0, 10}, Counts{0, 10}, 0, -.2775, .2775},
		{Counts{10, 10}, Counts{0, 20}, 1, .6791, 1},
		{Counts{10, 10}, Counts{0, 10}, 1, .6075, 1},
	} {
		d, i, err := Difference(c.one, c.two, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		what := c.one.String() + " − " + c.two.String()
		near(t, what, d, c.d, 5.0001e-5)
		near(t, what+" low", i.Low, c.low, 5.0001e-5)
		near(t, what+" high", i.High, c.high, 5.0001e-5)
	}
}
