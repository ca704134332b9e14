package design

import (
	"math"
	"testing"
)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s = %.7g, want %g ± %g", what, got, want, tolerance)
	}
}

func must[T any](value T, err error) func(*testing.T) T {
	return func(t *testing.T) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return value
	}
}

func TestSuccessRunPublished(t *testing.T) {
	// Success-run and binomial proof sizes for 0, 1, 2, 3 failures, computed with a general-purpose library;
	// 59/93/124/153 are the familiar 95/95 figures (recalled).
	for _, c := range []struct {
		rate, confidence float64
		n                [4]int
	}{
		{.80, .90, [4]int{11, 18, 25, 32}}, {.80, .95, [4]int{14, 22, 30, 37}}, {.90, .90, [4]int{22, 38, 52, 65}},
		{.90, .95, [4]int{29, 46, 61, 76}}, {.95, .90, [4]int{45, 77, 105, 132}}, {.95, .95, [4]int{59, 93, 124, 153}},
		{.97, .90, [4]int{76, 129, 176, 221}}, {.99, .90, [4]int{230, 388, 531, 667}}, {.99, .95, [4]int{299, 473, 628, 773}},
		{.999, .95, [4]int{2995, 4742, 6294, 7752}}, {.95, .99, [4]int{90, 130, 165, 198}}, {.99, .99, [4]int{459, 662, 838, 1001}},
	} {
		for failures, want := range c.n {
			if got := must(SuccessRun(c.rate, c.confidence, failures))(t); got != want {
				t.Errorf("rate %g at confidence %g with %d failures: %d, want %d", c.rate, c.confidence, failures, got, want)
			}
		}
	}
	// Uniform prior, R^(n+1) = 1 − C: one fewer; computed.
	for _, c := range []struct {
		rate, confidence float64
		want             int
	}{{.95, .95, 58}, {.90, .95, 28}, {.99, .95, 298}} {
		if got := must(BayesSuccessRun(c.rate, c.confidence, 0))(t); got != c.want {
			t.Errorf("uniform prior, %g/%g: %d, want %d", c.rate, c.confidence, got, c.want)
		}
	}
}

func TestToleranceTrialsPublished(t *testing.T) {
	// S. S. Wilks, Annals of Mathematical Statistics 12 (1941) 91; the usual table's values, computed.
	for _, c := range []struct {
		share, confidence float64
		want              int
	}{{.95, .95, 93}, {.90, .95, 46}, {.99, .95, 473}, {.90, .90, 38}, {.95, .90, 77}} {
		if got := must(ToleranceTrials(c.share, c.confidence))(t); got != c.want {
			t.Errorf("share %g at confidence %g: %d, want %d", c.share, c.confidence, got, c.want)
		}
	}
}

func TestOneSampleNormalPublished(t *testing.T) {
	// NIST/SEMATECH e-Handbook of Statistical Methods, §7.2.4.2: p0 = .10, shift .10 up, α = .05, β = .10 gives
	// 102, with continuity correction 112 (recalled); 101.219 and Fleiss' 110.99 computed.
	n := must(OneSampleNormalTrials(.10, .20, .05, .90))(t)
	near(t, "plain", n.Plain, 101.219, 5e-4)
	near(t, "Fleiss", n.Corrected, 110.99, 5e-3)
	for what, c := range map[string][2]int{
		"plain": {RoundUp(n.Plain), 102}, "Fleiss": {RoundUp(n.Corrected), 111}, "handbook": {RoundUp(n.PlusInvert), 112},
	} {
		if c[0] != c[1] {
			t.Errorf("%s rounds up to %d, want %d", what, c[0], c[1])
		}
	}
}

func TestTwoProportionsPublished(t *testing.T) {
	// Trials per group, two-sided .05, computed with general-purpose libraries. The first line's 76.7 and the power
	// .740 at n = 50 are the documented example of a statistics language's power function for proportions (recalled).
	for _, c := range []struct {
		p1, p2, power                        float64
		pooled, corrected, unpooled, arcsine float64
	}{
		{.50, .75, .90, 76.707, 84.518, 73.552, 76.653}, {.60, .80, .80, 81.224, 90.949, 78.489, 80.299},
		{.80, .95, .80, 75.119, 87.947, 72.384, 69.204}, {.85, .95, .90, 187.048, 206.564, 183.880, 177.203},
		{.90, .95, .80, 434.432, 473.587, 431.688, 423.733}, {.90, .99, .80, 99.540, 120.740, 96.803, 79.929},
	} {
		n := must(TwoProportions{c.p1, c.p2, .05, c.power}.NormalSizes())(t)
		near(t, "pooled", n.Pooled, c.pooled, 5.01e-4)
		near(t, "corrected", n.Corrected, c.corrected, 5.01e-4)
		near(t, "unpooled", n.Unpooled, c.unpooled, 5.01e-4)
		near(t, "arcsine", n.Arcsine, c.arcsine, 5.01e-4)
	}
	near(t, "power at 50", must(TwoProportions{.50, .75, .05, .90}.NormalPower(50))(t), .740, 5e-4)
}

func TestFisherPowerPublished(t *testing.T) {
	// Exact power of Fisher's two-sided test at .05, computed by an independent program.
	near(t, "20 per group, .5 and .9", must(TwoProportions{.5, .9, .05, .8}.FisherPower(20))(t), .742389, 5.01e-7)
	near(t, "30 per group, .6 and .9", must(TwoProportions{.6, .9, .05, .8}.FisherPower(30))(t), .705065, 5.01e-7)
}

func TestExactTestPublished(t *testing.T) {
	// One-sample exact binomial, one-sided .05, power .80, first n; computed by an independent program.
	for _, c := range []struct {
		p0, p1       float64
		n, critical  int
		alpha, power float64
	}{
		{.80, .90, 82, 72, .04585, .80571}, {.90, .97, 76, 73, .04697, .80565},
		{.70, .85, 49, 40, .04796, .80889}, {.95, .99, 124, 122, .04953, .87155},
	} {
		size, first, fromOn, err := ExactTestTrials(c.p0, c.p1, .05, .80)
		if err != nil {
			t.Fatal(err)
		}
		if size.First != c.n || first.Trials != c.n || first.Critical != c.critical {
			t.Errorf("%g→%g: first n %d, critical %d; want %d, %d", c.p0, c.p1, size.First, first.Critical, c.n, c.critical)
		}
		near(t, "alpha", first.Alpha, c.alpha, 5.01e-6)
		near(t, "power", first.Power, c.power, 5.01e-6)
		if fromOn.Trials != size.FromOn || fromOn.Power < .80 {
			t.Errorf("%g→%g: from on %d has power %g", c.p0, c.p1, size.FromOn, fromOn.Power)
		}
	}
}

func TestClosedFormSizesPublished(t *testing.T) {
	// W. Hoeffding, JASA 58 (1963) 13: n = ln(2/δ)/(2ε²); computed.
	for _, c := range []struct {
		epsilon, delta, n float64
		whole             int
		tolerance         float64
	}{{.05, .05, 737.776, 738, 5e-4}, {.1, .05, 184.44, 185, 5e-3}, {.02, .05, 4611.1, 4612, 5e-2}} {
		got := must(HoeffdingTrials(c.epsilon, c.delta))(t)
		near(t, "Hoeffding", got, c.n, c.tolerance)
		if RoundUp(got) != c.whole {
			t.Errorf("Hoeffding %g/%g rounds up to %d, want %d", c.epsilon, c.delta, RoundUp(got), c.whole)
		}
	}
	// Textbook (Wald) half-width at 95 %: z²·pq/h²; computed.
	near(t, "Wald .9/.05", must(WaldTrials(.9, .05, .95))(t), 138.29, 5e-3)
	near(t, "Wald .95/.03", must(WaldTrials(.95, .03, .95))(t), 202.74, 5e-3)
}
