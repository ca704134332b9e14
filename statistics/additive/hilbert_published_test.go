package additive

import (
	"math"
	"testing"

	"holdfast/statistics/successmap"
)

// The functions and spectral densities of a smooth add up to the squared-exponential covariance (A. Solin, S. Särkkä,
// Statistics and Computing 30 (2020) 419, from memory; sums computed with a program of our own in another language).
func TestEigenfunctionSumsPublished(t *testing.T) {
	for _, c := range []struct {
		count    int
		half     float64
		k01, k22 float64
	}{
		{8, 4, .6076739623, .9987475717}, {16, 4, .6065306596, .9996645373}, {16, 6, .6065355193, .9999826386}, {32, 6, .6065306597, 1},
	} {
		k := func(x, y float64) (sum float64) {
			u, v := make([]float64, c.count), make([]float64, c.count)
			eigenfunctions(u, x, c.half)
			eigenfunctions(v, y, c.half)
			for j := range u {
				density, _ := logSpectralDensity(frequency(j+1, c.half), 0)
				sum += math.Exp(density) * u[j] * v[j]
			}
			return sum
		}
		near(t, "k(0, 1)", k(0, 1), c.k01, 1e-9)
		near(t, "k(2, 2)", k(2, 2), c.k22, 1e-9)
	}
}

// Averages of the chance over a normal effect (computed with scipy's quad).
func TestMarginalisedChancesPublished(t *testing.T) {
	for _, c := range []struct{ mean, sd, want float64 }{
		{1, 1, .6967347}, {2, 1.5, .8099465}, {-1.3983, .6421, .2161215}, {3, 2, .8704058},
	} {
		near(t, "E expit", successmap.ExpectedProbability(c.mean, c.sd), c.want, 1e-6)
	}
}

// Laplace's approximation for five points under a squared-exponential process, as levels of a factor with that
// covariance and no constant (C. E. Rasmussen, C. K. I. Williams 2006, algorithm 3.1 and 3.2, from memory; figures
// computed, confirmed with scikit-learn's GaussianProcessClassifier).
func TestLaplaceOfFivePointsPublished(t *testing.T) {
	f := FactorTerm("x")
	f.Kernel = line{}
	d := &Data{Held: []float64{0, 0, 1, 0, 1}, Trials: []float64{1, 1, 1, 1, 1}, Levels: map[string][]string{"x": {"-2", "-1", "0", "1", "2"}}}
	for _, c := range []struct{ length, variance, logq, mean, spread, p float64 }{
		{1, 1, -3.71113299, .00129042, .70495193, .50027950},
		{1, 4, -4.18048044, .02268690, 1.58715036, .50432515},
		{.5, 9, -3.85534378, -.00368252, 5.34994664, .49949125},
	} {
		m := fitted(t, d, []Term{f}, Options{ConstantSD: 1e-9, Hypers: []float64{math.Log(c.variance) / 2, math.Log(c.length)}})
		near(t, "log evidence", m.summary.Evidence, c.logq, 1e-7)
		// The published figures are the mode's; ours move on to the mean, so the mode is read.
		m.coef = m.mode
		e := estimates(t, m, &Data{Levels: map[string][]string{"x": {"0.5"}}})[0]
		near(t, "mean", e.Mean, c.mean, 1e-7)
		near(t, "variance", e.SD*e.SD, c.spread, 1e-7)
		near(t, "chance", e.P, c.p, 2e-6)
	}
}

// line is the squared-exponential covariance of levels that are numbers.
type line struct{}

func (line) Hypers() []Hyper { return []Hyper{{Name: "length", Mean: 0, SD: 1}} }

func (line) Covariance(levels []string, log []float64) (k []float64, slope [][]float64) {
	n := len(levels)
	k, slope = make([]float64, n*n), [][]float64{make([]float64, n*n)}
	for i, a := range levels {
		for j, b := range levels {
			d := (mustNumber(a) - mustNumber(b)) / math.Exp(log[0])
			k[i*n+j] = math.Exp(-d * d / 2)
			slope[0][i*n+j] = d * d * k[i*n+j]
		}
	}
	return k, slope
}
