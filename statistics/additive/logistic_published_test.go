package additive

import (
	"errors"
	"math"
	"testing"
)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: %.9g, published or computed %.9g", what, got, want)
	}
}

// Challenger's O-rings, 23 flights: temperature in °F and whether an O-ring showed thermal distress (S. R. Dalal, E. B.
// Fowlkes, B. Hoadley, "Risk analysis of the space shuttle", JASA 84 (1989) 945; data read in R's vcd, results computed
// with R's glm).
func orings() (rows [][]float64, distress, one []float64) {
	distressed := map[int]bool{1: true, 8: true, 9: true, 10: true, 13: true, 20: true, 22: true}
	for i, f := range []float64{66, 70, 69, 68, 67, 72, 73, 70, 57, 63, 70, 78, 67, 53, 67, 75, 70, 81, 76, 79, 75, 76, 58} {
		y := 0.0
		if distressed[i] {
			y = 1
		}
		rows, distress, one = append(rows, []float64{1, f}), append(distress, y), append(one, 1)
	}
	return rows, distress, one
}

func TestOringsPublished(t *testing.T) {
	rows, y, one := orings()
	// Where flights share a temperature it does not matter which of them had the distress.
	r, err := Logistic(rows, y, one)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "intercept", r.Coef[0], 15.0429016, 1e-5)
	near(t, "slope", r.Coef[1], -.2321627, 1e-6)
	// R's glm takes covariances from the weights of the iteration before the last, which costs it the sixth digit.
	near(t, "SE of intercept", r.SE(0), 7.378630, 2e-5)
	near(t, "SE of slope", r.SE(1), .1082364, 1e-6)
	near(t, "covariance", r.Covariance[1], -.7963855, 2e-6)
	near(t, "deviance", r.Deviance, 20.31519, 1e-5)
	near(t, "log-likelihood", r.LogLikelihood, -10.157596, 1e-6)
	near(t, "chance at 31 °F", expit(r.Coef[0]+31*r.Coef[1]), .999609, 1e-6)
	low, high := r.Wald(1, 0.95)
	near(t, "Wald low", low, -.444302, 1e-5)
	near(t, "Wald high", high, -.020023, 1e-5)
	if low, high, err = r.Profile(1, 0.95); err != nil {
		t.Fatal(err)
	}
	// R's confint interpolates the profile by a spline, which is good to some 1e-3 of an end.
	near(t, "profile low", low, -.515472, 1e-3)
	near(t, "profile high", high, -.060821, 1e-3)
	c, err := r.Cross(0, 1, 0.5, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "T50", c.At, 64.79464, 1e-4)
	near(t, "its SE", c.SE, 2.80903, 1e-4)
	near(t, "Fieller low", c.Low, 27.6334, 1e-3)
	near(t, "Fieller high", c.High, 69.7365, 1e-3)
	near(t, "g", c.G, .834945, 1e-5)
	if c, err = r.Cross(0, 1, 0.5, 0.99); err != nil || c.Bounded || !math.IsInf(c.Low, -1) || !math.IsInf(c.High, 1) {
		t.Errorf("at 99 %% g is %.3f; the interval %v, %v is not told to be unbounded", c.G, c.Low, c.High)
	}
}

// The number of the six O-rings of each flight with distress (same source; 5.085, −.1156 from memory, digits computed
// with R's glm).
func TestOringsOfSixPublished(t *testing.T) {
	rows, y, six := orings()
	for i := range six {
		six[i] = 6
	}
	y[13], y[20] = 2, 2
	r, err := Logistic(rows, y, six)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "intercept", r.Coef[0], 5.084977, 1e-5)
	near(t, "slope", r.Coef[1], -.1156012, 1e-6)
	near(t, "SE of intercept", r.SE(0), 3.052474, 2e-5) // see above
	near(t, "SE of slope", r.SE(1), .0470236, 1e-6)
	near(t, "deviance", r.Deviance, 18.08633, 1e-5)
	near(t, "chance at 31 °F", expit(r.Coef[0]+31*r.Coef[1]), .817774, 1e-5)
}

// Bliss's beetles (C. I. Bliss 1935; A. J. Dobson, "An Introduction to Generalized Linear Models", Table 7.2 and 7.4, D
// from memory; digits computed with R's glm; ED50 by the delta method and Fieller computed).
func TestBeetlesPublished(t *testing.T) {
	var rows [][]float64
	for _, dose := range []float64{1.6907, 1.7242, 1.7552, 1.7842, 1.8113, 1.8369, 1.8610, 1.8839} {
		rows = append(rows, []float64{1, dose})
	}
	killed, exposed := []float64{6, 13, 18, 28, 52, 53, 61, 60}, []float64{59, 60, 62, 56, 63, 59, 62, 60}
	r, err := Logistic(rows, killed, exposed)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "intercept", r.Coef[0], -60.71745, 1e-5)
	near(t, "slope", r.Coef[1], 34.27033, 1e-5)
	near(t, "SE of intercept", r.SE(0), 5.18070, 2e-5)
	near(t, "SE of slope", r.SE(1), 2.91213, 2e-5)
	near(t, "deviance", r.Deviance, 11.23223, 1e-5)
	for i, want := range []float64{3.46, 9.84, 22.45, 33.90, 50.10, 53.29, 59.22, 58.74} {
		near(t, "fitted", exposed[i]*expit(r.Coef[0]+rows[i][1]*r.Coef[1]), want, 0.005)
	}
	for _, c := range []struct{ p, at, se, low, high float64 }{
		{.5, 1.7717210, .00385805, 1.7638582, 1.7792005},
		{.9, 1.8358355, .00619253, 1.8250555, 1.8498905},
	} {
		got, err := r.Cross(0, 1, c.p, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "ED", got.At, c.at, 1e-6)
		near(t, "its SE", got.SE, c.se, 1e-7)
		near(t, "Fieller low", got.Low, c.low, 1e-6)
		near(t, "Fieller high", got.High, c.high, 1e-6)
		near(t, "g", got.G, .0277385, 1e-6)
	}
	// The Bayesian model with two flat columns is the same likelihood; its mode is the estimate.
	d := &Data{Held: killed, Trials: exposed, Numbers: map[string][]float64{"dose": make([]float64, 8)}}
	for i := range rows {
		d.Numbers["dose"][i] = rows[i][1]
	}
	m := fitted(t, d, []Term{LinearTerm("dose", 0)}, Options{ConstantSD: math.Inf(1)})
	near(t, "mode's slope", m.mode[0], 34.27033, 1e-4)
	near(t, "mode's constant", m.mode[1], -60.71745, 2e-4)
	near(t, "its SD", math.Sqrt(m.covariance[0]), 2.91213, 1e-4)
}

// Firth's estimate of a 2×2 table adds a half to each cell (exact; D. Firth, Biometrika 80 (1993) 27, from memory;
// agrees with R's brglm2 to 1e-9).
func TestFirthClosedForm(t *testing.T) {
	r, err := Firth([][]float64{{1, 0}, {1, 1}}, []float64{0, 6}, []float64{10, 10})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "intercept", r.Coef[0], -3.0445224377, 1e-8)
	near(t, "slope", r.Coef[1], 3.4122472179, 1e-8)
	if _, err := Logistic([][]float64{{1, 0}, {1, 1}}, []float64{0, 6}, []float64{10, 10}); !errors.Is(err, ErrSeparated) {
		t.Errorf("maximum likelihood of a separated table gives %v", err)
	}
}
