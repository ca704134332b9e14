package successmap

import (
	"context"
	"math"
	"testing"

	"holdfast/numeric"
	"holdfast/numeric/dense"
	"holdfast/orient"
)

// Matérn kernels on the rotations from our spectrum with roll and direction alike: V. Borovitskiy, A. Terenin,
// P. Mostowsky, M. P. Deisenroth, "Matérn Gaussian processes on Riemannian manifolds", NeurIPS 2020 (formula read);
// values computed with degrees up to 2000. Ours stop at 300
// here, so the slowest series is good to 2e-6.
func TestMaternKernelsPublished(t *testing.T) {
	h, err := orient.NewHarmonics(1, orient.Symmetry{})
	if err != nil {
		t.Fatal(err)
	}
	s := newSpectrumTo(h, 9, 300)
	for _, c := range []struct {
		nu, kappa, tolerance float64
		want                 [3]float64 // at 30°, 90°, 180°
	}{
		{1.5, .5, 2e-6, [3]float64{.4697319, .0325369, .0007781}},
		{1.5, 1, 2e-6, [3]float64{.7948072, .3058598, .1059367}},
		{2.5, .5, 2e-7, [3]float64{.5066061, .0250125, .0002170}},
		{2.5, 1, 2e-7, [3]float64{.8327241, .3063774, .0782185}},
	} {
		at := hyper{0, math.Log(c.kappa), 0, math.Log(c.nu)}
		z := normaliser(s, at)
		for i, angle := range []float64{math.Pi / 6, math.Pi / 2, math.Pi} {
			// Σ over the classes of s(l, n)·χ_l(ω), with one class a degree and |n|; each n of a degree has the same share of
			// the character when all have the same variance.
			kernel := classValue(at, 0, 0) / z
			total := kernel
			for _, class := range s.classes {
				v := classValue(at, class.l, class.n) / z * float64(class.count)
				total += v
				l := float64(2*class.l + 1)
				kernel += v * math.Sin(l*angle/2) / math.Sin(angle/2) / l
			}
			if got := kernel / total; math.Abs(got-c.want[i]) > c.tolerance {
				t.Errorf("ν = %g, κ = %g at %.0f°: %.7f, want %.7f", c.nu, c.kappa, angle*180/math.Pi, got, c.want[i])
			}
		}
	}
}

// classValue and normaliser restate ψ and Z, so that the test sees the spectrum's own variances through terms.
func classValue(t hyper, l, n int) float64 {
	nu := math.Exp(t[logSmoothness])
	u := 2*nu*math.Exp(-2*t[logLength]) + float64(l*(l+1)) + (math.Exp(t[logStiffness])-1)*float64(n*n)
	return math.Pow(u, -nu-1.5)
}

func normaliser(s *spectrum, t hyper) float64 {
	z := 0.0
	for _, c := range s.classes {
		z += float64(c.count) * classValue(t, c.l, c.n)
	}
	return z
}

func TestSpectrumVariances(t *testing.T) {
	h, err := orient.NewHarmonics(5, orient.Symmetry{HandFold: 2})
	if err != nil {
		t.Fatal(err)
	}
	s := newSpectrum(h, 9)
	at := hyper{math.Log(1.7), math.Log(0.6), 0.5, math.Log(2)}
	terms := s.terms(at, 5)
	if math.Abs(terms.logVariance[0]-math.Log(9)) > 1e-15 {
		t.Error("the constant has a prior of its own")
	}
	sum := terms.tail
	for i := 1; i < h.Len(); i++ {
		f := h.At(i)
		want := 2*math.Log(1.7) + math.Log(classValue(at, f.L, f.N)/normaliser(s, at))
		if math.Abs(terms.logVariance[i]-want) > 1e-10 {
			t.Errorf("%+v: log variance %.12f, want %.12f", f, terms.logVariance[i], want)
		}
		sum += math.Exp(terms.logVariance[i])
	}
	if math.Abs(sum-1.7*1.7) > 1e-10 {
		t.Errorf("variances add up to %.12f, want amplitude² = %.2f", sum, 1.7*1.7)
	}
}

// Laplace approximation of Gaussian-process classification with the logistic likelihood (C. E. Rasmussen,
// C. K. I. Williams 2006, algorithms 3.1 and 3.2; values computed and confirmed by scikit-learn 1.2.1). It checks the
// function-space reference that the weight-space fit is tested against.
func TestLaplacePublished(t *testing.T) {
	x := []float64{-2, -1, 0, 1, 2}
	y := []float64{0, 0, 1, 0, 1}
	for _, c := range []struct {
		length, variance, evidence, mean, spread, p float64
		mode                                        []float64
	}{
		{1, 1, -3.71113299, .00129042, .70495193, .50027950, []float64{-.548775, -.38263709, -.03251664, .01701793, .20678237}},
		{1, 4, -4.18048044, .02268690, 1.58715036, .50432515, nil},
		{.5, 9, -3.85534378, -.00368252, 5.34994664, .49949125, nil},
	} {
		k := func(a, b float64) float64 {
			return c.variance * math.Exp(-(a-b)*(a-b)/(2*c.length*c.length))
		}
		kernel := make([][]float64, len(x))
		obs := make([]Observation, len(x))
		cross := make([]float64, len(x))
		for i := range x {
			obs[i] = Observation{Held: y[i], Trials: 1}
			cross[i] = k(x[i], .5)
			for j := range x {
				kernel[i] = append(kernel[i], k(x[i], x[j]))
			}
		}
		evidence, mode := plainLaplace(kernel, obs)
		if math.Abs(evidence-c.evidence) > 5e-9 {
			t.Errorf("ℓ = %g, s² = %g: log evidence %.9f, want %.8f", c.length, c.variance, evidence, c.evidence)
		}
		for i, want := range c.mode {
			if math.Abs(mode[i]-want) > 5e-9*100 {
				t.Errorf("mode %d: %.9f, want %.8f", i, mode[i], want)
			}
		}
		n := len(x)
		l, v := make([]float64, n*n), make([]float64, n)
		mean := 0.0
		for i := range n {
			w := expit(mode[i]) * expit(-mode[i])
			for j := range n {
				l[i*n+j] = math.Sqrt(w*expit(mode[j])*expit(-mode[j])) * kernel[i][j]
			}
			l[i*n+i]++
			v[i] = math.Sqrt(w) * cross[i]
			mean += cross[i] * (y[i] - expit(mode[i]))
		}
		if !dense.Cholesky(l, n, 1) {
			t.Fatal("not positive definite")
		}
		dense.SolveLower(l, n, v)
		spread := c.variance - dense.Dot(v, v)
		if math.Abs(mean-c.mean) > 5e-8 || math.Abs(spread-c.spread) > 5e-8 || math.Abs(meanExpit(mean, math.Sqrt(spread))-c.p) > 5e-7 {
			t.Errorf("prediction %.8f, %.8f, %.8f; want %.8f, %.8f, %.8f", mean, spread, meanExpit(mean, math.Sqrt(spread)), c.mean, c.spread, c.p)
		}
	}
}

// A smooth truth on the sphere of directions, seen through 200 yes-or-no answers that a low-discrepancy sequence
// decides, so that any program gets the same data. R's mgcv 1.8.41 (spline on the sphere, k = 50, REML) has a mean
// squared error to the truth of 0.0049767, log loss 0.495754 and covers all five points below by ±2 standard errors
// (computed).
func TestDirectionMapAgainstSplinePublished(t *testing.T) {
	const n = 200
	at := func(x, y, z float64) float64 { return expit(-.5 + 2*z + 1.5*x*y - x*x) }
	place := func(x, y, z float64) orient.Rotation {
		return orient.RotZ(math.Atan2(y, x)).Mul(orient.RotY(math.Acos(z)))
	}
	var obs []Observation
	var rs []orient.Rotation
	var truth []float64
	first, held := "", 0.0
	for i := range n {
		z := 1 - float64(2*i+1)/n
		phi := 2 * math.Pi * float64(i) / ((1 + math.Sqrt(5)) / 2)
		r := math.Sqrt(1 - z*z)
		x, y := r*math.Cos(phi), r*math.Sin(phi)
		p := at(x, y, z)
		o := Observation{R: place(x, y, z), Trials: 1}
		mark := "0"
		if numeric.RadicalInverse(2, uint32(i+1)) < p {
			o.Held, mark = 1, "1"
		}
		if i < 20 {
			first += mark
		}
		held += o.Held
		obs, rs, truth = append(obs, o), append(rs, o.R), append(truth, p)
	}
	if first != "11111101110111011101" || held != 76 {
		t.Fatalf("the data differ from the published set: %g held, first %s", held, first)
	}
	m, err := Fit(context.Background(), obs, Options{Symmetry: orient.Symmetry{HandFold: orient.MaxFold}})
	if err != nil {
		t.Fatal(err)
	}
	mse := 0.0
	var forecasts []Forecast
	for i, e := range mustPredict(m, rs) {
		mse += (e.P - truth[i]) * (e.P - truth[i]) / n
		forecasts = append(forecasts, Forecast{e.P, obs[i].Held, 1})
	}
	s, err := Score(forecasts)
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("mean squared error %.5f (spline 0.00498), log loss %.4f (0.4958), Brier %.4f (0.1625), %+v", mse, s.LogLoss, s.Brier, m.Summary())
	if mse > 0.006 {
		t.Errorf("mean squared error to the truth %.5f, asked at most 0.006", mse)
	}
	for _, c := range []struct{ lat, lon, p float64 }{
		{90, 0, .817574}, {0, 0, .182426}, {0, 90, .377541}, {-45, -120, .152587}, {30, 45, .665411},
	} {
		lat, lon := c.lat*math.Pi/180, c.lon*math.Pi/180
		x, y, z := math.Cos(lat)*math.Cos(lon), math.Cos(lat)*math.Sin(lon), math.Sin(lat)
		if p := at(x, y, z); math.Abs(p-c.p) > 5e-7 {
			t.Errorf("truth at (%g, %g) is %.6f, want %.6f", c.lat, c.lon, p, c.p)
		}
		e := mustPredict(m, []orient.Rotation{place(x, y, z)})[0]
		f := math.Log(c.p / (1 - c.p))
		if f < e.Mean-2*e.SD || f > e.Mean+2*e.SD {
			t.Errorf("(%g, %g): log-odds %.3f are outside %.3f ± 2·%.3f", c.lat, c.lon, f, e.Mean, e.SD)
		}
	}
}

// Proper scores: eight forecasts (computed, scikit-learn 1.2.1), the example of scikit-learn's manual, and the
// decomposition of A. H. Murphy 1973 (J. Appl. Meteor. 12:595) on forty forecasts of three values (computed).
func TestScoresPublished(t *testing.T) {
	score := func(p, y []float64) Scores {
		var f []Forecast
		for i := range p {
			f = append(f, Forecast{p[i], y[i], 1})
		}
		s, err := Score(f)
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
	s := score([]float64{.1, .4, .35, .8, .9, .6, .7, .2}, []float64{0, 0, 1, 1, 1, 0, 1, 0})
	if math.Abs(s.LogLoss-.4363276948) > 5e-11 || math.Abs(s.Brier-.1415625) > 1e-12 {
		t.Errorf("log loss %.11f, Brier %.8f", s.LogLoss, s.Brier)
	}
	if s := score([]float64{.1, .9, .8, .3}, []float64{0, 1, 1, 0}); math.Abs(s.Brier-.0375) > 1e-12 {
		t.Errorf("Brier %.8f, want 0.0375", s.Brier)
	}
	m, err := Score([]Forecast{{.2, 3, 10}, {.5, 4, 10}, {.9, 17, 20}})
	if err != nil {
		t.Fatal(err)
	}
	for what, pair := range map[string][2]float64{
		"Brier": {m.Brier, .1825}, "reliability": {m.Reliability, .00625}, "resolution": {m.Resolution, .06375},
		"uncertainty": {m.Uncertainty, .24}, "log loss": {m.LogLoss, .5505168612},
	} {
		if math.Abs(pair[0]-pair[1]) > 5e-11 {
			t.Errorf("%s %.11f, want %g", what, pair[0], pair[1])
		}
	}
	bins := Calibrate([]Forecast{{.2, 3, 10}, {.5, 4, 10}, {.9, 17, 20}, {1, 1, 1}, {0, 0, 1}})
	if bins[2].Held != .3 || bins[9].Trials != 21 || bins[0].Trials != 1 || !math.IsNaN(bins[1].Held) {
		t.Errorf("bins %+v", bins)
	}
	for _, bad := range []Forecast{{-.1, 0, 1}, {.5, 2, 1}, {math.NaN(), 0, 1}} {
		if _, err := Score([]Forecast{bad}); err == nil {
			t.Errorf("%+v was accepted", bad)
		}
	}
	if _, err := Score(nil); err == nil {
		t.Error("no forecasts were accepted")
	}
}
