package successmap

import (
	"context"
	"math"
	"testing"

	"holdfast/numeric/dense"
	"holdfast/orient"
)

func testEngine(t *testing.T, degree int, s orient.Symmetry, obs []Observation, workers int) *engine {
	t.Helper()
	d, err := gather(obs)
	if err != nil {
		t.Fatal(err)
	}
	e, err := newEngine(degree, s, d, standard.intercept, workers)
	if err != nil {
		t.Fatal(err)
	}
	return e
}

func TestSlopeAgreesWithDifferences(t *testing.T) {
	obs := inventTruth(3, 2).trials(300, 3)
	for _, s := range []orient.Symmetry{{}, {HandFold: 2}, {Surroundings: orient.Surroundings{Axial: true}}} {
		e := testEngine(t, 3, s, obs, 1)
		at := hyper{0.6, -0.3, 0.4, 0.9}
		m, err := e.findMode(context.Background(), at, make([]float64, e.basis.Len()), 1e-12)
		if err != nil {
			t.Fatal(err)
		}
		got, move, err := e.slope(m)
		if err != nil {
			t.Fatal(err)
		}
		for k := range got {
			const h = 1e-3
			up, down := at, at
			up[k] += h
			down[k] -= h
			mu, err := e.findMode(context.Background(), up, m.coef, 1e-12)
			if err != nil {
				t.Fatal(err)
			}
			md, err := e.findMode(context.Background(), down, m.coef, 1e-12)
			if err != nil {
				t.Fatal(err)
			}
			if want := (mu.evidence - md.evidence) / (2 * h); math.Abs(got[k]-want) > 2e-5*(1+math.Abs(want)) {
				t.Errorf("%v: derivative %d is %.8f, differences give %.8f", s, k, got[k], want)
			}
			worst := 0.0
			for i := range m.coef {
				worst = math.Max(worst, math.Abs(move[k][i]-(mu.coef[i]-md.coef[i])/(2*h)))
			}
			if worst > 1e-5 {
				t.Errorf("%v: the mode's derivative %d is off by %.2g", s, k, worst)
			}
		}
	}
}

// The same Laplace approximation in function space, from the kernel that the spectrum implies, without any of the
// machinery: f = K·a, B = I + W½·K·W½ (Rasmussen and Williams 2006, algorithm 3.1).
func TestEvidenceAgreesWithFunctionSpace(t *testing.T) {
	obs := inventTruth(5, 1).trials(60, 5)
	e := testEngine(t, 3, orient.Symmetry{}, obs, 1)
	m, err := e.findMode(context.Background(), hyper{0.5, -0.2, -0.3, 0.7}, make([]float64, e.basis.Len()), 1e-13)
	if err != nil {
		t.Fatal(err)
	}
	n := len(obs)
	phi := make([][]float64, n)
	for i, o := range obs {
		phi[i] = make([]float64, e.basis.Len())
		e.basis.Values(phi[i], o.R)
	}
	kernel := make([][]float64, n)
	for i := range kernel {
		kernel[i] = make([]float64, n)
		for j := range kernel[i] {
			for a, v := range m.prior.logVariance {
				kernel[i][j] += math.Exp(v) * phi[i][a] * phi[j][a]
			}
		}
	}
	f, mode := plainLaplace(kernel, obs)
	if math.Abs(m.evidence-f) > 1e-5 {
		t.Errorf("log evidence %.9f, in function space %.9f", m.evidence, f)
	}
	for i := range mode {
		if math.Abs(mode[i]-m.logOdds[i]) > 1e-5 {
			t.Fatalf("mode at trial %d: %.9f, in function space %.9f", i, m.logOdds[i], mode[i])
		}
	}
}

// plainLaplace is algorithm 3.1 of Rasmussen and Williams 2006 (from memory) for the logistic likelihood.
func plainLaplace(kernel [][]float64, obs []Observation) (evidence float64, f []float64) {
	return plainLaplaceAround(make([]float64, len(obs)), kernel, obs)
}

// plainLaplaceAround is the same with a prior mean.
func plainLaplaceAround(mean []float64, kernel [][]float64, obs []Observation) (evidence float64, f []float64) {
	n := len(obs)
	f = append([]float64(nil), mean...)
	a := make([]float64, n)
	for range 100 {
		w, b := make([]float64, n), make([]float64, n)
		for i := range f {
			p := expit(f[i])
			w[i] = obs[i].Trials * p * (1 - p)
			b[i] = w[i]*(f[i]-mean[i]) + obs[i].Held - obs[i].Trials*p
		}
		l := make([]float64, n*n)
		for i := range n {
			for j := range n {
				l[i*n+j] = math.Sqrt(w[i]*w[j]) * kernel[i][j]
			}
			l[i*n+i]++
		}
		if !dense.Cholesky(l, n, 1) {
			panic("not positive definite")
		}
		kb := times(kernel, b)
		for i := range kb {
			kb[i] *= math.Sqrt(w[i])
		}
		dense.Solve(l, n, kb)
		for i := range a {
			a[i] = b[i] - math.Sqrt(w[i])*kb[i]
		}
		above := times(kernel, a)
		for i := range f {
			f[i] = mean[i] + above[i]
		}
		evidence = -0.5*dense.Dot(a, above) - 0.5*dense.LogDeterminant(l, n)
		for i := range f {
			evidence += obs[i].Held*f[i] - obs[i].Trials*softplus(f[i])
		}
	}
	return evidence, f
}

func times(k [][]float64, x []float64) []float64 {
	y := make([]float64, len(k))
	for i := range k {
		y[i] = dense.Dot(k[i], x)
	}
	return y
}
