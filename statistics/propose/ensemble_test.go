package propose

import (
	"math"
	"math/rand/v2"
	"testing"

	"holdfast/numeric/dense"
)

// invent gives correlated draws of success at n candidates.
func invent(n int, seed uint64) [][]float64 {
	rng := rand.New(rand.NewPCG(seed, 1))
	rows := make([][]float64, n)
	common := make([]float64, draws)
	for d := range common {
		common[d] = rng.NormFloat64()
	}
	for i := range rows {
		rows[i] = make([]float64, draws)
		for d := range rows[i] {
			rows[i][d] = 1 / (1 + math.Exp(-float64(i%3)+1-common[d]-0.7*rng.NormFloat64()))
		}
	}
	return rows
}

func covariance(a, b []float64) float64 {
	ma, mb, s := mean(a), mean(b), 0.0
	for d := range a {
		s += (a[d] - ma) * (b[d] - mb)
	}
	return s / float64(len(a))
}

// Weighing the draws by an outcome's likelihood, p for held and 1 − p for not, is what that outcome tells exactly. Its
// expected reduction of a variance is the one that the ensemble reports.
func TestReductionIsThatOfWeighedDraws(t *testing.T) {
	plain, quantity := invent(6, 1), invent(1, 2)[0]
	for d := range quantity {
		quantity[d] += plain[2][d] - 0.4*plain[4][d]
	}
	reductions := newEnsemble(plain, [][]float64{quantity}).reductions()
	for x, row := range plain {
		after := 0.0
		for _, held := range []bool{true, false} {
			w, first, second := 0.0, 0.0, 0.0
			for d, p := range row {
				l := p
				if !held {
					l = 1 - p
				}
				w += l
				first += l * quantity[d]
				second += l * quantity[d] * quantity[d]
			}
			m := first / w
			after += w / draws * (second/w - m*m)
		}
		if want := covariance(quantity, quantity) - after; math.Abs(reductions[x]-want) > 1e-12 {
			t.Errorf("candidate %d: reduction %.12g, weighed draws say %.12g", x, reductions[x], want)
		}
	}
}

// Taking a trial as made must leave the covariances of linear conditioning, cov − c·cᵀ/(v + noise), trial after trial.
func TestObserveConditionsExactly(t *testing.T) {
	plain, quantities := invent(5, 3), invent(2, 4)
	e := newEnsemble(plain, quantities)
	n := e.n + e.q
	cov := make([][]float64, n)
	for i := range cov {
		cov[i] = make([]float64, n)
		for j := range cov[i] {
			cov[i][j] = dense.Dot(e.row(i), e.row(j)) / draws
		}
	}
	for _, x := range []int{3, 0, 3, 4} {
		foreseen := append([]float64(nil), e.reductions()...)
		before := e.variance(1)
		total := cov[x][x] + e.noise[x]
		c := make([]float64, n)
		for i := range c {
			c[i] = cov[i][x]
		}
		for i := range cov {
			for j := range cov[i] {
				cov[i][j] -= c[i] * c[j] / total
			}
		}
		e.observe(x)
		for i := range cov {
			for j := range cov[i] {
				if got := dense.Dot(e.row(i), e.row(j)) / draws; math.Abs(got-cov[i][j]) > 1e-12 {
					t.Fatalf("after a trial at %d, covariance %d, %d is %.12g, conditioning says %.12g", x, i, j, got, cov[i][j])
				}
			}
		}
		if got := before - e.variance(1); math.Abs(got-foreseen[e.n+x]) > 1e-12 {
			t.Errorf("a trial at %d took %.12g, %.12g was foreseen", x, got, foreseen[e.n+x])
		}
	}
}

func TestGainIsTheMeanOfThePositivePart(t *testing.T) {
	for _, c := range []struct{ mean, sd float64 }{{0, 1}, {-0.1, 0.05}, {-2, 1}, {0.3, 0.2}, {-0.05, 0.2}} {
		const n = 400000
		s := 0.0
		for i := range n {
			z := -10 + 20*(float64(i)+0.5)/n
			s += math.Max(0, c.mean+c.sd*z) * math.Exp(-z*z/2) / math.Sqrt(2*math.Pi) * 20 / n
		}
		if got := gain(c.mean, c.sd); math.Abs(got-s) > 1e-9 {
			t.Errorf("gain(%g, %g) = %.10g, quadrature %.10g", c.mean, c.sd, got, s)
		}
	}
	if gain(-1, 0) != 0 || gain(0.2, 0) != 0.2 {
		t.Error("without spread the gain is the positive part itself")
	}
}
