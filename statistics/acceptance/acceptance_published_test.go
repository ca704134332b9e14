package acceptance_test

import (
	"math"
	"testing"

	"holdfast/statistics/acceptance"
)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: %.9g, want %.9g ± %.1g", what, got, want, tolerance)
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

// Success runs, n ≥ ln(1−C)/ln R without a failure, else the smallest n with BinomCDF(f; n, 1−R) ≤ 1−C; computed with scipy
// 1.10. 59, 93, 124, 153 are the familiar figures for 95/95 (from memory).
func TestSuccessRunNumbers(t *testing.T) {
	for _, c := range []struct {
		r, c float64
		n    [4]int
	}{
		{.80, .90, [4]int{11, 18, 25, 32}}, {.80, .95, [4]int{14, 22, 30, 37}}, {.90, .90, [4]int{22, 38, 52, 65}},
		{.90, .95, [4]int{29, 46, 61, 76}}, {.95, .90, [4]int{45, 77, 105, 132}}, {.95, .95, [4]int{59, 93, 124, 153}},
		{.97, .90, [4]int{76, 129, 176, 221}}, {.99, .90, [4]int{230, 388, 531, 667}}, {.99, .95, [4]int{299, 473, 628, 773}},
		{.999, .95, [4]int{2995, 4742, 6294, 7752}}, {.95, .99, [4]int{90, 130, 165, 198}}, {.99, .99, [4]int{459, 662, 838, 1001}},
	} {
		for f, want := range c.n {
			if got := must[int](t)(acceptance.SuccessRun(c.r, c.c, f)); got != want {
				t.Errorf("%g with confidence %g, %d failures: %d trials, want %d", c.r, c.c, f, got, want)
			}
		}
	}
}

// With a uniform prior R^(n+1) = 1−C: one trial fewer. Computed.
func TestBayesRunNumbers(t *testing.T) {
	for _, c := range []struct {
		r, c float64
		n    int
	}{{.95, .95, 58}, {.90, .95, 28}, {.99, .95, 298}} {
		if got := must[int](t)(acceptance.BayesRun(c.r, c.c, 0, acceptance.Beta{Successes: 1, Failures: 1})); got != c.n {
			t.Errorf("%g with %g: %d trials, want %d", c.r, c.c, got, c.n)
		}
	}
}

// NIST/SEMATECH e-Handbook sect. 6.2.3.2, plan n = 52, c = 3: the printed table (from memory) and the same computed.
func TestHandbookCurve(t *testing.T) {
	for _, early := range []bool{false, true} {
		p := must[acceptance.Plan](t)(acceptance.Fixed(52, 3, early))
		computed := []float64{.9982, .9798, .9295, .8460, .7383, .6196, .5018, .3938, .3003, .2232, .1621, .1152}
		printed := []float64{.998, .980, .930, .845, .739, .620, .502, .394, .300, .223, .162, .115}
		for i := range computed {
			pa := p.At(float64(i+1) / 100).Accept
			near(t, "computed", pa, computed[i], 0.5e-4)
			near(t, "printed", pa, printed[i], 1.2e-3) // the Handbook's .845 and .739 are one off in the last digit
		}
	}
}

// The smallest c, then the smallest n with both risks kept; computed (binomial).
func TestTwoPointDesigns(t *testing.T) {
	for _, c := range []struct {
		r        acceptance.Risks
		n, c     int
		pa1, pa2 float64
	}{
		{acceptance.Risks{Good: .01, Producer: .05, Bad: .10, Consumer: .10}, 52, 2, .98465, .09663},
		{acceptance.Risks{Good: .01, Producer: .05, Bad: .06, Consumer: .10}, 110, 3, 0, 0},
		{acceptance.Risks{Good: .02, Producer: .05, Bad: .08, Consumer: .10}, 98, 4, .95267, .09948},
		{acceptance.Risks{Good: .05, Producer: .05, Bad: .15, Consumer: .10}, 77, 7, 0, 0},
		{acceptance.Risks{Good: .05, Producer: .05, Bad: .20, Consumer: .10}, 38, 4, .96027, .09857},
		{acceptance.Risks{Good: .10, Producer: .05, Bad: .25, Consumer: .10}, 55, 9, .95558, .08881},
	} {
		n, allowed, err := acceptance.TwoPoint(c.r)
		if err != nil || n != c.n || allowed != c.c {
			t.Errorf("%+v: n %d, c %d (%v), want %d, %d", c.r, n, allowed, err, c.n, c.c)
		}
		if c.pa1 > 0 {
			p := must[acceptance.Plan](t)(acceptance.Fixed(n, allowed, true))
			near(t, "Pa(good)", p.At(c.r.Good).Accept, c.pa1, 0.5e-5)
			near(t, "Pa(bad)", p.At(c.r.Bad).Accept, c.pa2, 0.5e-5)
		}
	}
}

// MIL-STD-105E (1989) Table II-A = ISO 2859-1 Table 2-A, normal inspection: cells from memory, their characteristics
// computed. ISO 28590 couples n = 8, Ac = 0 with 1.5 % (read). Table X-J prints 1.03 and 6.52 for Ac 2 (from memory).
func TestNormalTable(t *testing.T) {
	for _, c := range []struct {
		letter            string
		quality           float64
		n, ac             int
		pa, p95, p50, p10 float64 // Pa at the limit; per cent failing at Pa .95, .50, .10
	}{
		{"D", 1.5, 8, 0, 0, 0, 0, 0},
		{"F", .65, 20, 0, .8777, .256, 3.406, 10.875}, {"G", .40, 32, 0, .8796, .160, 2.143, 6.943},
		{"F", 2.5, 20, 1, .9118, 1.807, 8.251, 18.096}, {"G", 2.5, 32, 2, .9548, 2.604, 8.269, 15.787},
		{"H", 1.0, 50, 1, .9106, .715, 3.334, 7.558}, {"H", 2.5, 50, 3, .9638, 2.779, 7.295, 12.876},
		{"J", .65, 80, 1, .9042, .446, 2.089, 4.775}, {"J", 1.0, 80, 2, .9534, 1.030, 3.329, 6.516},
		{"J", 1.5, 80, 3, .9674, 1.726, 4.571, 8.160}, {"J", 2.5, 80, 5, .9848, 3.317, 7.058, 11.285},
		{"J", 4.0, 80, 7, .9853, 5.074, 9.547, 14.275}, {"K", 1.0, 125, 3, .9626, 1.100, 2.930, 5.266},
		{"L", 1.0, 200, 5, .9840, 1.314, 2.830, 4.588}, {"M", 1.0, 315, 7, .9850, 1.270, 2.432, 3.709},
	} {
		s := must[acceptance.Sample](t)(acceptance.TableCell(c.letter, c.quality, acceptance.Normal))
		if s.Size != c.n || s.Accept != c.ac || s.Letter != c.letter {
			t.Errorf("%s at %g %%: n %d, Ac %d, letter %s; want %d, %d", c.letter, c.quality, s.Size, s.Accept, s.Letter, c.n, c.ac)
			continue
		}
		if c.pa == 0 {
			continue
		}
		p := must[acceptance.Plan](t)(acceptance.Fixed(s.Size, s.Accept, true))
		near(t, "Pa at the limit", p.At(c.quality/100).Accept, c.pa, 0.5e-4)
		for chance, want := range map[float64]float64{.95: c.p95, .50: c.p50, .10: c.p10} {
			near(t, "quality level", 100*p.Quantile(chance), want, 0.6e-3)
		}
	}
}

// Arrows, code letters and the tightened table: common practice in quality handbooks, values from memory.
func TestTableArrowsAndLetters(t *testing.T) {
	for _, c := range []struct {
		letter   string
		quality  float64
		severity acceptance.Severity
		used     string
		ac       int
	}{
		{"F", 1.0, acceptance.Normal, "E", 0}, // up
		{"F", 1.5, acceptance.Normal, "G", 1}, // down
		{"A", 10, acceptance.Normal, "C", 1},
		{"R", 10, acceptance.Normal, "K", 21},
		{"K", 10, acceptance.Normal, "K", 21},
		{"L", 10, acceptance.Normal, "K", 21},
		{"A", .010, acceptance.Normal, "Q", 0},
		{"J", 2.5, acceptance.Tightened, "J", 3}, {"K", 2.5, acceptance.Tightened, "K", 5}, {"L", 2.5, acceptance.Tightened, "L", 8},
		{"M", 2.5, acceptance.Tightened, "M", 12}, {"N", 2.5, acceptance.Tightened, "N", 18}, {"F", 1.0, acceptance.Tightened, "F", 0},
	} {
		s := must[acceptance.Sample](t)(acceptance.TableCell(c.letter, c.quality, c.severity))
		if s.Letter != c.used || s.Accept != c.ac {
			t.Errorf("%s at %g %% %s: letter %s, Ac %d; want %s, %d", c.letter, c.quality, c.severity, s.Letter, s.Accept, c.used, c.ac)
		}
	}
	for _, c := range []struct {
		lot    int
		level  string
		letter string
	}{{2, "I", "A"}, {100, "II", "F"}, {500, "II", "H"}, {1000, "II", "J"}, {1200, "II", "J"}, {1201, "II", "K"}, {5000, "III", "M"}, {800, "S-3", "E"}, {1_000_000, "III", "R"}} {
		if got := must[string](t)(acceptance.CodeLetter(c.lot, c.level)); got != c.letter {
			t.Errorf("lot %d, level %s: letter %s, want %s", c.lot, c.level, got, c.letter)
		}
	}
	s := must[acceptance.Sample](t)(acceptance.TableSample(10, "II", 0.10, acceptance.Normal))
	if !s.WholeLot || s.Size != 10 {
		t.Errorf("a sample beyond the lot: %+v", s)
	}
}

// D. C. Montgomery, "Introduction to Statistical Quality Control" ch. 15, n₁ 50, c₁ 1, n₂ 100, c₂ 3 at p = .05: the book
// rounds .279 + .010 = .289 (from memory); computed. ISO 28592 plans accept on 0, reject on 2 or more, and after one failure
// the second sample must have none (rule read); computed from Pa = (1−p)^n₁ + n₁p(1−p)^(n₁+n₂−1).
func TestDoublePlans(t *testing.T) {
	p := must[acceptance.Plan](t)(acceptance.Double(50, 1, 4, 100, 3, false))
	near(t, "Montgomery", p.At(.05).Accept, .29042, 0.5e-5)
	for _, c := range []struct {
		n      int
		p      []float64
		pa, ln []float64
	}{
		{40, []float64{.005, .01, .05, .1}, []float64{.95292, .84979, .16328, .01575}, []float64{46.579, 50.812, 50.822, 42.628}},
		{50, []float64{.005, .01, .05, .1}, []float64{.93052, .78987, .09253, .00530}, nil},
	} {
		p := must[acceptance.Plan](t)(acceptance.Double(c.n, 0, 2, c.n, 1, false))
		for i, f := range c.p {
			got := p.At(f)
			near(t, "Pa", got.Accept, c.pa[i], 0.5e-5)
			if c.ln != nil {
				near(t, "expected length", got.Length, c.ln[i], 0.5e-3)
			}
		}
	}
}

// Wald's lines. NIST/SEMATECH e-Handbook sect. 6.2.3.6 prints .939, 1.205, .0397; A. Wald (1945, 1947) prints 2.58, 2.88,
// .186 for his own example (both from memory); all computed.
func TestWaldLines(t *testing.T) {
	for _, c := range []struct {
		r         acceptance.Risks
		h1, h2, s float64
	}{
		{acceptance.Risks{Good: .01, Bad: .10, Producer: .05, Consumer: .10}, .938862, 1.205379, .039747},
		{acceptance.Risks{Good: .1, Bad: .3, Producer: .02, Consumer: .03}, 2.5826, 2.8754, .186169},
		{acceptance.Risks{Good: .05, Bad: .20, Producer: .05, Consumer: .10}, 1.444854, 1.855009, .110292},
		{acceptance.Risks{Good: .01, Bad: .06, Producer: .05, Consumer: .10}, 1.221149, 1.567800, .028111},
		{acceptance.Risks{Good: .02, Bad: .08, Producer: .05, Consumer: .05}, 2.031386, 2.031386, .043587},
	} {
		l := must[acceptance.Lines](t)(acceptance.Wald(c.r))
		near(t, "h1", l.H1, c.h1, 5e-5)
		near(t, "h2", l.H2, c.h2, 5e-5)
		near(t, "s", l.S, c.s, 0.5e-6)
	}
	l := must[acceptance.Lines](t)(acceptance.Wald(acceptance.Risks{Good: .01, Bad: .10, Producer: .05, Consumer: .10}))
	near(t, "k", l.K, 2.397895, 0.5e-6)
	p := must[acceptance.Plan](t)(l.Sequential(5000, -1, false))
	for n := 1; n <= 60; n++ {
		wantAccept, wantReject := -1, 2
		if n >= 24 {
			wantAccept = 0
		}
		if n >= 49 {
			wantAccept = 1
		}
		if n >= 20 {
			wantReject = 3
		}
		if n >= 46 { // S·n + H2 passes 3 at n = 45.2
			wantReject = 4
		}
		if p.Accept[n-1] != wantAccept || n > 1 && p.Reject[n-1] != wantReject {
			t.Errorf("after %d trials: accept %d, reject %d; want %d, %d", n, p.Accept[n-1], p.Reject[n-1], wantAccept, wantReject)
		}
	}
}

// Wald's approximation at its five points, computed with his formulas in another language, and the exact lattice without
// truncation, computed by recursion in other code (tol 1e-5).
func TestWaldApproximateAndExact(t *testing.T) {
	for _, c := range []struct {
		r      acceptance.Risks
		asn    [5]float64
		accept [3]float64
		length [3]float64
	}{
		{acceptance.Risks{Good: .01, Bad: .10, Producer: .05, Consumer: .10}, [5]float64{23.6207, 27.9570, 29.6504, 16.4467, 1.2553}, [3]float64{.977953, .618631, .099579}, [3]float64{30.2127, 39.0469, 22.3692}},
		{acceptance.Risks{Good: .05, Bad: .20, Producer: .05, Consumer: .10}, [5]float64{13.1003, 21.2279, 27.3137, 16.9998, 2.0850}, [3]float64{.969213, .587732, .088508}, [3]float64{23.6025, 34.1225, 20.9654}},
		{acceptance.Risks{Good: .1, Bad: .3, Producer: .02, Consumer: .03}, [5]float64{13.8725, 28.7048, 49.0136, 23.8217, 3.5332}, [3]float64{.986308, .543460, .027424}, [3]float64{29.9018, 55.8112, 26.6022}},
	} {
		l := must[acceptance.Lines](t)(acceptance.Wald(c.r))
		for i, at := range []float64{0, c.r.Good, l.S, c.r.Bad, 1} {
			a := must[acceptance.Characteristics](t)(l.Approximate(c.r, at))
			near(t, "Wald's length", a.Length, c.asn[i], 0.5e-4)
		}
		p := must[acceptance.Plan](t)(l.Sequential(6000, -1, false))
		for i, at := range []float64{c.r.Good, l.S, c.r.Bad} {
			got := p.At(at)
			near(t, "exact Pa", got.Accept, c.accept[i], 1e-5)
			near(t, "exact length", got.Length, c.length[i], 1e-4)
		}
	}
	l := must[acceptance.Lines](t)(acceptance.Wald(acceptance.Risks{Good: .01, Bad: .10, Producer: .05, Consumer: .10}))
	near(t, "Pa at s", must[acceptance.Characteristics](t)(l.Approximate(acceptance.Risks{Good: .01, Bad: .10, Producer: .05, Consumer: .10}, l.S)).Accept, .56215, 0.5e-5)
}

// Truncated at 1.5 times the fixed plan, computed by other code. ISO 28591's own tables were not read.
func TestTruncatedSequential(t *testing.T) {
	for _, c := range []struct {
		r         acceptance.Risks
		longest   int
		allowed   int
		pa1, asn1 float64
		pa2, asn2 float64 // length 0: not given
	}{
		{acceptance.Risks{Good: .05, Bad: .20, Producer: .05, Consumer: .10}, 57, 6, .964263, 23.0439, .097490, 20.4059},
		{acceptance.Risks{Good: .01, Bad: .10, Producer: .05, Consumer: .10}, 78, 3, .977528, 29.9134, .106091, 0},
	} {
		l := must[acceptance.Lines](t)(acceptance.Wald(c.r))
		if n := must[int](t)(acceptance.LongestSequential(c.r)); n != c.longest {
			t.Errorf("cut off after %d trials, want %d", n, c.longest)
		}
		p := must[acceptance.Plan](t)(l.Sequential(c.longest, -1, false))
		if got := p.Accept[c.longest-1]; got != c.allowed {
			t.Errorf("%d failures allowed at the cut, want %d", got, c.allowed)
		}
		good, bad := p.At(c.r.Good), p.At(c.r.Bad)
		near(t, "Pa(good)", good.Accept, c.pa1, 1e-5)
		near(t, "length(good)", good.Length, c.asn1, 1e-3)
		near(t, "Pa(bad)", bad.Accept, c.pa2, 1e-5)
		if c.asn2 > 0 {
			near(t, "length(bad)", bad.Length, c.asn2, 1e-3)
		}
		early := must[acceptance.Plan](t)(l.Sequential(c.longest, -1, true))
		near(t, "Pa(good), stopped early", early.At(c.r.Good).Accept, c.pa1, 1e-5)
		if got := early.At(c.r.Good).Length; !(got < good.Length) {
			t.Errorf("stopping early takes %g trials, else %g", got, good.Length)
		}
	}
}

// Beta–binomial posteriors and assurance; computed with scipy 1.10.
func TestAssurance(t *testing.T) {
	uniform := acceptance.Beta{Successes: 1, Failures: 1}
	p := must[acceptance.Plan](t)(acceptance.Fixed(59, 0, true))
	s := must[acceptance.State](t)(p.Judge(outcomes(59, 0), uniform, 0.9))
	near(t, "mean", s.Posterior.Mean(), .983607, 0.5e-6)
	near(t, "P(p>.95)", s.Posterior.Beyond(.95), .953930, 0.5e-6)
	near(t, "5 % quantile", s.Posterior.Quantile(.05), .951297, 0.5e-6)
	jeffreys := acceptance.Beta{Successes: 59.5, Failures: .5}
	near(t, "Jeffreys P(p>.95)", jeffreys.Beyond(.95), .986316, 0.5e-6)
	near(t, "Jeffreys 5 %", jeffreys.Quantile(.05), .968103, 0.5e-6)
	one := acceptance.Beta{Successes: 59, Failures: 2}
	near(t, "58/59", one.Beyond(.95), .808447, 0.5e-6)
	near(t, "58/59, 5 %", one.Quantile(.05), .923360, 0.5e-6)
	some := acceptance.Beta{Successes: 19, Failures: 3}
	near(t, "18/20 mean", some.Mean(), .863636, 0.5e-6)
	near(t, "18/20 P(p>.9)", some.Beyond(.9), .351591, 0.5e-6)
	near(t, "18/20 low", some.Quantile(.025), .696226, 0.5e-6)
	near(t, "18/20 high", some.Quantile(.975), .969511, 0.5e-6)
	informed := acceptance.Beta{Successes: 26, Failures: 4}
	near(t, "prior (8,2) mean", informed.Mean(), .866667, 0.5e-6)
	near(t, "prior (8,2) P(p>.9)", informed.Beyond(.9), .328952, 0.5e-6)

	near(t, "next 20", acceptance.Beta{Successes: 60, Failures: 1}.NextAllSucceed(20, 0), .75, 1e-12)
	ten := acceptance.Beta{Successes: 18.5, Failures: 2.5}
	near(t, "next 10 all", ten.NextAllSucceed(10, 0), .351074, 0.5e-6)
	near(t, "next 10, nine", ten.NextAllSucceed(10, 1)-ten.NextAllSucceed(10, 0), .319158, 0.5e-6)

	for _, c := range []struct {
		prior      acceptance.Beta
		pass, good float64
	}{{acceptance.Beta{Successes: 18, Failures: 2}, .056943, .906576}, {acceptance.Beta{Successes: 48, Failures: 2}, .203530, .973746}, {uniform, 1. / 60, 0}} {
		a := p.Assure(c.prior, .95)
		near(t, "chance to pass", a.Pass, c.pass, 1e-6)
		if c.good > 0 {
			near(t, "good, given a pass", a.GoodGiven, c.good, 0.5e-6)
		}
	}
}

// outcomes gives so many successes, then so many failures.
func outcomes(successes, failures int) []bool {
	list := make([]bool, successes+failures)
	for i := range successes {
		list[i] = true
	}
	return list
}
