package propose

import (
	"math"
	"math/rand/v2"
	"testing"
)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s is %.8g, published %.8g", what, got, want)
	}
}

// E. Kaufmann, O. Cappé, A. Garivier, "On the complexity of best-arm identification in multi-armed bandit models", JMLR
// 17 (2016) 1: kl(δ, 1−δ) and its lower bound ln(1/2.4δ). Formulas recalled, values computed.
func TestDivergenceOfRisk(t *testing.T) {
	for _, c := range []struct{ risk, kl, bound float64 }{
		{0.1, 1.7577797, 1.4271164}, {0.05, 2.6499951, 2.1202635}, {0.01, 4.5032175, 3.7297014},
	} {
		kl := divergence(c.risk, 1-c.risk)
		near(t, "kl", kl, c.kl, 1e-7)
		near(t, "bound", math.Log(1/(2.4*c.risk)), c.bound, 1e-7)
		if kl < c.bound {
			t.Errorf("kl(%g) lies below its bound", c.risk)
		}
	}
}

// Two arms: T* and the better arm's share at the optimum. Formulas as above, values computed by an independent program
// from the definition of the characteristic time.
func TestTwoIndependentArms(t *testing.T) {
	for _, c := range []struct{ better, worse, time float64 }{
		{0.9, 0.8, 100.1168}, {0.9, 0.7, 30.7004}, {0.8, 0.6, 41.3509}, {0.95, 0.9, 217.4918}, {0.5, 0.45, 797.6626},
	} {
		n, err := BestOf([]float64{c.worse, c.better}, 0)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "T*", n.Time, c.time, 1e-3*c.time)
	}
	n, _ := BestOf([]float64{0.9, 0.8}, 0)
	near(t, "share of the better arm", n.Weights[0], 0.52355, 1e-4)
	// Telling .9 from .8 with 5 % risk takes at least 265 trials on average.
	near(t, "trials", n.Trials(0.05), 265.3, 0.1)
}

// A. Garivier, E. Kaufmann, COLT 2016: the optimal weights of their experiments are (.417, .390, .136, .057) and (.336,
// .251, .177, .132, .104), recalled; more digits and the other sets computed. With half of the trials to the best arm
// (top two) the time is at most twice the optimal one (D. Russo 2020, read).
func TestCharacteristicTimes(t *testing.T) {
	for _, c := range []struct {
		success, weights []float64
		time, half       float64
	}{
		{[]float64{0.5, 0.45, 0.43, 0.4}, []float64{0.41652, 0.39026, 0.13622, 0.05699}, 989.792, 1019.371},
		{[]float64{0.3, 0.21, 0.2, 0.19, 0.18}, []float64{0.33589, 0.25150, 0.17663, 0.13242, 0.10357}, 326.642, 0},
		{[]float64{0.9, 0.8, 0.7}, []float64{0.48900, 0.43796, 0.07304}, 108.012, 108.067},
		{[]float64{0.95, 0.9, 0.85, 0.6}, []float64{0.48734, 0.43129, 0.07349, 0.00788}, 236.774, 236.933},
	} {
		n, err := BestOf(c.success, 0)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "T*", n.Time, c.time, 1e-3*c.time)
		for a, w := range c.weights {
			near(t, "weight", n.Weights[a], w, 1e-3)
		}
		half, err := BestOf(c.success, 0.5)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "share of the best", half.Weights[0], 0.5, 1e-6)
		if c.half > 0 {
			near(t, "T½", half.Time, c.half, 1e-3*c.half)
		}
		if half.Time < n.Time || half.Time > 2*n.Time {
			t.Errorf("T½ %g is not between T* %g and twice that", half.Time, n.Time)
		}
	}
}

func TestBestOfRefuses(t *testing.T) {
	for _, bad := range [][]float64{{0.5}, {0.5, 0.5}, {1, 0.5}, {0.5, 0}, {math.NaN(), 0.2}} {
		if n, err := BestOf(bad, 0); err == nil {
			t.Errorf("%v gives %+v", bad, n)
		}
	}
}

// Posterior sampling picks an arm with the probability that it is the best. Uniform priors, 18 of 20, 16 of 20 and 11 of
// 20: .793503, .204053, .002444 (computed by quadrature). Here the draws come from the beta distributions and go the way
// of a map's draws; the shares must agree within three standard errors of that many draws.
func TestSharesOfDrawsAreProbabilitiesOfBeingBest(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 3))
	gamma := func(k int) float64 {
		s := 0.0
		for range k {
			s += rng.ExpFloat64()
		}
		return s
	}
	const rounds = 200
	count := make([]float64, 3)
	for range rounds {
		var b belief
		for _, held := range []int{18, 16, 11} {
			row := make([]float64, draws)
			for d := range row {
				x := gamma(held + 1)
				row[d] = x / (x + gamma(20-held+1))
			}
			b.core = append(b.core, row)
		}
		at, _ := b.tops()
		for _, a := range at {
			count[a]++
		}
	}
	for a, want := range []float64{0.793503, 0.204053, 0.002444} {
		near(t, "share", count[a]/(rounds*draws), want, 3*math.Sqrt(want*(1-want)/(rounds*draws)))
	}
}

// A. Gotovos, N. Casati, G. Hitz, A. Krause, "Active learning for level set estimation", IJCAI 2013: β_t = 2 ln(|D|π²t²/6δ)
// and C₁ = 8/ln(1+σ⁻²) (theorem recalled, values computed). Its intervals are √β standard deviations wide, four at the
// first trial and nearly six at the hundredth, which is why the border is drawn with posterior probabilities instead.
func TestLevelSetConstants(t *testing.T) {
	beta := func(candidates, trial, risk float64) float64 {
		return 2 * math.Log(candidates*math.Pi*math.Pi*trial*trial/(6*risk))
	}
	near(t, "β₁", beta(100, 1, 0.05), 16.19721, 1e-5)
	near(t, "β₁₀₀", beta(100, 100, 0.05), 34.61789, 1e-5)
	for variance, want := range map[float64]float64{0.01: 1.73343, 0.1: 3.33626, 1: 11.54156} {
		near(t, "C₁", 8/math.Log(1+1/variance), want, 1e-5)
	}
}
