package numeric

import (
	"math"
	"math/big"
	"testing"

	"pgregory.net/rapid"
)

func closeTo(got, want, relative float64) bool {
	if got == want {
		return true
	}
	return math.Abs(got-want) <= relative*math.Max(math.Abs(got), math.Abs(want))
}

// binomialTailExactly sums the binomial tail P(X > k) with 300 binary digits.
func binomialTailExactly(k, n int, p float64) float64 {
	wide := func() *big.Float { return new(big.Float).SetPrec(300) }
	odds := wide().SetFloat64(p)
	odds.Quo(odds, wide().Sub(wide().SetInt64(1), wide().SetFloat64(p)))
	term := wide().SetInt64(1)
	for range n {
		term.Mul(term, wide().Sub(wide().SetInt64(1), wide().SetFloat64(p)))
	}
	sum := wide()
	for i := 1; i <= n; i++ {
		term.Mul(term, odds)
		term.Mul(term, wide().SetInt64(int64(n-i+1)))
		term.Quo(term, wide().SetInt64(int64(i)))
		if i > k {
			sum.Add(sum, term)
		}
	}
	tail, _ := sum.Float64()
	return tail
}

func TestBinomialTailsMatchLongSums(t *testing.T) {
	for _, c := range []struct {
		k, n int
		p    float64
	}{
		{0, 1, 0.25}, {3, 10, 0.5}, {9, 10, 0.1}, {17, 20, 0.9375}, {30, 59, 0.05},
		{59, 60, 0.99}, {2, 200, 0.001}, {150, 200, 0.5}, {12, 148, 0.1},
	} {
		want := binomialTailExactly(c.k, c.n, c.p)
		if got := BinomialSurvival(c.k, c.n, c.p); !closeTo(got, want, 2e-13) {
			t.Errorf("P(X>%d; n=%d, p=%g) = %.17g, want %.17g", c.k, c.n, c.p, got, want)
		}
		if got := BinomialCDF(c.k, c.n, c.p); !closeTo(got, 1-want, 2e-13) {
			t.Errorf("P(X≤%d; n=%d, p=%g) = %.17g, want %.17g", c.k, c.n, c.p, got, 1-want)
		}
	}
}

func TestBinomialEdges(t *testing.T) {
	for _, c := range []struct {
		what      string
		got, want float64
	}{
		{"log pmf(0; 5, 0)", BinomialLogPMF(0, 5, 0), 0},
		{"log pmf(1; 5, 0)", BinomialLogPMF(1, 5, 0), math.Inf(-1)},
		{"log pmf(5; 5, 1)", BinomialLogPMF(5, 5, 1), 0},
		{"log pmf(4; 5, 1)", BinomialLogPMF(4, 5, 1), math.Inf(-1)},
		{"pmf(0; 0, .3)", BinomialPMF(0, 0, 0.3), 1},
		{"pmf(-1)", BinomialPMF(-1, 5, 0.3), 0},
		{"pmf(6; 5)", BinomialPMF(6, 5, 0.3), 0},
		{"cdf(-1)", BinomialCDF(-1, 5, 0.3), 0},
		{"cdf(5; 5)", BinomialCDF(5, 5, 0.3), 1},
		{"cdf(4; 5, 1)", BinomialCDF(4, 5, 1), 0},
		{"cdf(0; 5, 0)", BinomialCDF(0, 5, 0), 1},
		{"survival(0; 5, 0)", BinomialSurvival(0, 5, 0), 0},
		{"survival(4; 5, 1)", BinomialSurvival(4, 5, 1), 1},
		{"survival(-1)", BinomialSurvival(-1, 5, 0.3), 1},
		{"log choose(5, 0)", LogChoose(5, 0), 0},
		{"log choose(5, 6)", LogChoose(5, 6), math.Inf(-1)},
		{"beta cdf below 0", BetaCDF(2, 3, -1), 0},
		{"beta cdf above 1", BetaCDF(2, 3, 2), 1},
		{"beta quantile(0)", BetaQuantile(2, 3, 0), 0},
		{"beta quantile(1)", BetaQuantile(2, 3, 1), 1},
		{"beta upper quantile(0)", BetaUpperQuantile(2, 3, 0), 1},
		{"beta upper quantile(1)", BetaUpperQuantile(2, 3, 1), 0},
		{"normal quantile(0)", NormalQuantile(0), math.Inf(-1)},
		{"normal quantile(1)", NormalQuantile(1), math.Inf(1)},
		{"chi-square cdf(0)", ChiSquareCDF(0, 3), 0},
		{"chi-square survival(-1)", ChiSquareSurvival(-1, 3), 1},
		{"chi-square survival(inf)", ChiSquareSurvival(math.Inf(1), 3), 0},
		{"chi-square cdf(inf)", ChiSquareCDF(math.Inf(1), 3), 1},
	} {
		if c.got != c.want {
			t.Errorf("%s = %g, want %g", c.what, c.got, c.want)
		}
	}
	for what, got := range map[string]float64{
		"p > 1":            BinomialCDF(2, 5, 2),
		"p NaN":            BinomialLogPMF(2, 5, math.NaN()),
		"n < 0":            BinomialSurvival(0, -1, 0.5),
		"choose n < 0":     LogChoose(-1, 0),
		"beta a = 0":       BetaCDF(0, 1, 0.5),
		"beta b infinite":  BetaQuantile(1, math.Inf(1), 0.5),
		"beta q > 1":       BetaUpperQuantile(1, 1, 1.5),
		"normal p < 0":     NormalQuantile(-0.1),
		"chi-square df 0":  ChiSquareCDF(1, 0),
		"chi-square x NaN": ChiSquareSurvival(math.NaN(), 2),
	} {
		if !math.IsNaN(got) {
			t.Errorf("%s gives %g, want NaN", what, got)
		}
	}
}

func TestBinomialFarTail(t *testing.T) {
	// The trap of taking 1 − CDF: about 1.1e-16 where the truth is 6.2e-21.
	want := binomialTailExactly(20, 1000, 0.001)
	if got := BinomialSurvival(20, 1000, 0.001); !closeTo(got, want, 1e-12) {
		t.Errorf("P(X>20; 1000, .001) = %g, want %g", got, want)
	}
}

func TestLogChooseMatchesIntegers(t *testing.T) {
	for _, c := range [][2]int{{4, 2}, {10, 3}, {52, 5}, {100, 50}, {1000, 17}} {
		exact, _ := new(big.Float).SetInt(new(big.Int).Binomial(int64(c[0]), int64(c[1]))).Float64()
		if got := LogChoose(c[0], c[1]); !closeTo(got, math.Log(exact), 1e-14) {
			t.Errorf("log C(%d, %d) = %.17g, want %.17g", c[0], c[1], got, math.Log(exact))
		}
	}
}

func TestBetaClosedForms(t *testing.T) {
	for _, x := range []float64{1e-12, 0.03, 0.5, 0.97} {
		for _, a := range []float64{0.5, 1, 7, 400} {
			if got, want := BetaCDF(a, 1, x), math.Pow(x, a); !closeTo(got, want, 1e-13) {
				t.Errorf("I_%g(%g, 1) = %g, want %g", x, a, got, want)
			}
			if got, want := BetaSurvival(1, a, x), math.Exp(a*math.Log1p(-x)); !closeTo(got, want, 1e-13) {
				t.Errorf("1 − I_%g(1, %g) = %g, want %g", x, a, got, want)
			}
		}
		arcsine := 2 / math.Pi * math.Asin(math.Sqrt(x))
		if got := BetaCDF(0.5, 0.5, x); !closeTo(got, arcsine, 1e-14) {
			t.Errorf("I_%g(½, ½) = %g, want %g", x, got, arcsine)
		}
	}
	for _, a := range []float64{0.5, 20, 1e4, 1e7} {
		if got := BetaCDF(a, a, 0.5); !closeTo(got, 0.5, 1e-9) {
			t.Errorf("I_½(%g, %g) = %.15g, want ½", a, a, got)
		}
	}
}

func TestBetaQuantileInvertsCDF(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := math.Exp(rapid.Float64Range(-3, 12).Draw(t, "log a"))
		b := math.Exp(rapid.Float64Range(-3, 12).Draw(t, "log b"))
		q := math.Exp(rapid.Float64Range(-200, math.Log(0.5)).Draw(t, "log p"))
		if x := BetaQuantile(a, b, q); x > 1e-300 && x < 0.99 {
			if got := BetaCDF(a, b, x); !closeTo(got, q, 1e-9) {
				t.Fatalf("I(quantile(%g)) = %g for Beta(%g, %g), x = %g", q, got, a, b, x)
			}
		}
		if x := BetaUpperQuantile(a, b, q); x > 0.01 && 1-x > 1e-9 {
			// The spacing of doubles near 1 limits how well x itself can say where the tail begins.
			tolerance := 1e-9 + 4e-16*(a+b)/(1-x)
			if got := BetaSurvival(a, b, x); !closeTo(got, q, tolerance) {
				t.Fatalf("upper tail of quantile(%g) = %g for Beta(%g, %g), x = %g", q, got, a, b, x)
			}
		}
	})
}

func TestBetaIsMonotoneAndMirrored(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := rapid.Float64Range(0.05, 500).Draw(t, "a")
		b := rapid.Float64Range(0.05, 500).Draw(t, "b")
		x := float64(rapid.IntRange(0, 1<<20).Draw(t, "x")) / (1 << 20)
		// A tail of e⁻ᵗ is known through t, whose rounding shows in the tail t times as large.
		got, want := BetaCDF(a, b, x), BetaSurvival(b, a, 1-x)
		if !closeTo(got, want, 1e-13+4e-16*math.Abs(math.Log(want))) {
			t.Fatalf("I_%g(%g, %g) = %g but mirrored %g", x, a, b, got, want)
		}
		if BetaCDF(a, b, x) > BetaCDF(a, b, math.Min(1, x+1e-3))+1e-15 {
			t.Fatal("I is not monotone")
		}
		if s := BetaCDF(a, b, x) + BetaSurvival(a, b, x); !closeTo(s, 1, 1e-14) {
			t.Fatalf("tails add up to %g", s)
		}
	})
}

func TestNormalAndChiSquareTails(t *testing.T) {
	for _, c := range []struct {
		what      string
		got, want float64
	}{
		// Widely tabled values; common practice, no source.
		{"Φ⁻¹(.975)", NormalQuantile(0.975), 1.959963984540054},
		{"Φ⁻¹(.95)", NormalQuantile(0.95), 1.6448536269514722},
		{"Φ(−10)", NormalCDF(-10), 7.619853024160525e-24},
		{"1−Φ(10)", NormalSurvival(10), 7.619853024160525e-24},
		{"χ²₁ 5 % point", ChiSquareSurvival(3.841458820694124, 1), 0.05},
		{"χ²₃ 5 % point", ChiSquareSurvival(7.814727903251179, 3), 0.05},
		{"χ²₂ far tail", ChiSquareSurvival(200, 2), math.Exp(-100)},
	} {
		if !closeTo(c.got, c.want, 1e-12) {
			t.Errorf("%s = %.17g, want %.17g", c.what, c.got, c.want)
		}
	}
}
