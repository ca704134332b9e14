package successmap

import (
	"context"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"holdfast/numeric/dense"
	"holdfast/orient"
)

// leaningEngine has a prior mean fitted to trials of another truth, so that it is neither right nor nothing.
func leaningEngine(t *testing.T, degree int, obs []Observation) *engine {
	t.Helper()
	e := testEngine(t, degree, orient.Symmetry{}, obs, 1)
	m := mustFit(t, inventTruth(31, 1).trials(400, 31), Options{Degree: degree + 1})
	e.lean = newLean(m.PriorMean(), e.basis, factorPrior{0.7, 0.5})
	return e
}

func TestSlopeWithPriorMeanAgreesWithDifferences(t *testing.T) {
	e := leaningEngine(t, 3, inventTruth(3, 1).trials(200, 3))
	at := hyper{0.6, -0.3, 0.4, 0.9}
	find := func(at hyper) *mode {
		m, err := e.findMode(context.Background(), at, make([]float64, e.basis.Len()), 1e-12)
		if err != nil {
			t.Fatal(err)
		}
		return m
	}
	m := find(at)
	got, move, err := e.slope(m)
	if err != nil {
		t.Fatal(err)
	}
	for k := range got {
		const h = 1e-3
		up, down := at, at
		up[k] += h
		down[k] -= h
		mu, md := find(up), find(down)
		if want := (mu.evidence - md.evidence) / (2 * h); math.Abs(got[k]-want) > 2e-5*(1+math.Abs(want)) {
			t.Errorf("derivative %d is %.8f, differences give %.8f", k, got[k], want)
		}
		for i := range m.coef {
			if d := math.Abs(move[k][i] - (mu.coef[i]-md.coef[i])/(2*h)); d > 1e-5 {
				t.Fatalf("the mode's derivative %d of coefficient %d is off by %.2g", k, i, d)
			}
		}
	}
}

// The same in function space: mean b₀·s and kernel k + σ²·s·sᵀ at the trials, the factor integrated out.
func TestEvidenceWithPriorMeanAgreesWithFunctionSpace(t *testing.T) {
	obs := inventTruth(5, 1).trials(60, 5)
	e := leaningEngine(t, 3, obs)
	m, err := e.findMode(context.Background(), hyper{0.5, -0.2, -0.3, 0.7}, make([]float64, e.basis.Len()), 1e-13)
	if err != nil {
		t.Fatal(err)
	}
	n := len(obs)
	phi := make([][]float64, n)
	expected := make([]float64, n)
	for i, o := range obs {
		phi[i] = make([]float64, e.basis.Len())
		e.basis.Values(phi[i], o.R)
		expected[i] = dense.Dot(phi[i], e.lean.mean)
	}
	kernel := make([][]float64, n)
	for i := range kernel {
		kernel[i] = make([]float64, n)
		for j := range kernel[i] {
			kernel[i][j] = 0.5 * 0.5 * expected[i] * expected[j]
			for a, v := range m.prior.logVariance {
				kernel[i][j] += math.Exp(v) * phi[i][a] * phi[j][a]
			}
		}
	}
	mean := make([]float64, n)
	for i, v := range expected {
		mean[i] = 0.7 * v
	}
	evidence, mode := plainLaplaceAround(mean, kernel, obs)
	if math.Abs(m.evidence-evidence) > 1e-5 {
		t.Errorf("log evidence %.9f, in function space %.9f", m.evidence, evidence)
	}
	for i := range mode {
		if math.Abs(mode[i]-m.logOdds[i]) > 1e-5 {
			t.Fatalf("mode at trial %d: %.9f, in function space %.9f", i, m.logOdds[i], mode[i])
		}
	}
}

// The factor's moments against the joint normal distribution of factor and coefficients, worked out the long way.
func TestFactorOfPriorMean(t *testing.T) {
	l := &lean{mean: []float64{0.5, -1, 2}, prior: factorPrior{0.7, 0.5}}
	tie := priorTie{precision: []float64{1, 4, 0.5}}
	// b ~ N(0.7, 0.25), c = b·m + d; c known exactly.
	c := []float64{0.2, -0.3, 1.1}
	precision, sum := 1/0.25, 0.7/0.25
	for i, m := range l.mean {
		precision += tie.precision[i] * m * m
		sum += tie.precision[i] * m * c[i]
	}
	mean, sd := l.factor(tie, c, make([]float64, 9))
	if math.Abs(mean-sum/precision) > 1e-12 || math.Abs(sd-1/math.Sqrt(precision)) > 1e-12 {
		t.Errorf("factor %g ± %g, asked %g ± %g", mean, sd, sum/precision, 1/math.Sqrt(precision))
	}
	// Coefficients that are as spread as their prior leave the factor's prior.
	k := make([]float64, 9)
	for i := range 3 {
		for j := range i + 1 {
			k[i*3+j] = 0.25 * l.mean[i] * l.mean[j]
		}
		k[i*3+i] += 1 / tie.precision[i]
	}
	mean, sd = l.factor(tie, []float64{0.35, -0.7, 1.4}, k)
	if math.Abs(mean-0.7) > 1e-12 || math.Abs(sd-0.5) > 1e-12 {
		t.Errorf("factor %g ± %g without trials, its prior is 0.7 ± 0.5", mean, sd)
	}
}

func TestGoodSimulationHelpsAndBadOneHardlyHurts(t *testing.T) {
	truth := inventTruth(12, 1)
	obs := truth.trials(60, 12)
	alone, _ := truth.score(mustFit(t, obs, Options{}), 3000)
	simulated := func(seed uint64) *PriorMean {
		return mustFit(t, inventTruth(seed, 1).trials(4000, 77), Options{}).PriorMean()
	}
	good := mustFit(t, obs, Options{Prior: simulated(12)})
	with, covered := truth.score(good, 3000)
	bad := mustFit(t, obs, Options{Prior: simulated(44)})
	misled, _ := truth.score(bad, 3000)
	g, b := good.Summary(), bad.Summary()
	t.Logf("excess %.4f alone, %.4f with a good simulation (factor %.2f ± %.2f, cover %.2f), %.4f with an unrelated one (factor %.2f ± %.2f)", alone, with, g.PriorFactor, g.PriorFactorSD, covered, misled, b.PriorFactor, b.PriorFactorSD)
	if with > 0.5*alone {
		t.Errorf("a good simulation leaves %.4f of %.4f", with, alone)
	}
	if misled > 1.15*alone {
		t.Errorf("an unrelated simulation makes %.4f of %.4f", misled, alone)
	}
	if g.PriorFactor < 0.7 || b.PriorFactor > 0.6 {
		t.Errorf("factors %.2f of a good and %.2f of an unrelated simulation", g.PriorFactor, b.PriorFactor)
	}
}

func TestMapWithPriorMeanIsAMapLikeAnyOther(t *testing.T) {
	truth := inventTruth(13, 2)
	prior := mustFit(t, truth.trials(1500, 1), Options{}).PriorMean()
	obs := truth.trials(120, 13)
	rs := approaches(200, rand.New(rand.NewPCG(1, 2)))
	var want []Estimate
	for _, workers := range []int{1, 3} {
		// A prior mean without symmetry serves a hand with one.
		m := mustFit(t, obs, Options{Prior: prior, Workers: workers, Symmetry: orient.Symmetry{HandFold: 2}})
		got := mustPredict(m, rs)
		if want != nil && !slices.Equal(got, want) {
			t.Error("the bytes depend on the number of workers")
		}
		want = got
		v, err := m.CrossValidate(context.Background(), obs, nil, 5, 1)
		if err != nil {
			t.Fatal(err)
		}
		if !(v.Map.LogLoss < v.Base.LogLoss) {
			t.Errorf("scored on unseen trials: %+v, the plain rate %+v", v.Map, v.Base)
		}
		if _, err := m.Draws(4, 1, rs); err != nil {
			t.Fatal(err)
		}
	}
	for _, held := range []float64{0, 1} {
		few := []Observation{{orient.Identity, held, 1}, {orient.RotX(1), held, 1}}
		for _, e := range mustPredict(mustFit(t, few, Options{Prior: prior}), rs) {
			if !(e.P > 0 && e.P < 1 && e.Low < e.High) {
				t.Fatalf("estimate %+v", e)
			}
		}
	}
}

func TestTrialsSaved(t *testing.T) {
	truth := inventTruth(12, 1)
	obs := truth.trials(60, 12)
	among := approaches(200, rand.New(rand.NewPCG(4, 4)))
	alone := mustFit(t, obs, Options{})
	saved := func(prior *PriorMean) float64 {
		n, err := TrialsSaved(context.Background(), mustFit(t, obs, Options{Prior: prior}), alone, obs, among)
		if err != nil {
			t.Fatal(err)
		}
		return n
	}
	good := saved(mustFit(t, truth.trials(4000, 77), Options{}).PriorMean())
	bad := saved(mustFit(t, inventTruth(44, 1).trials(4000, 77), Options{}).PriorMean())
	t.Logf("a good simulation saves %.0f trials, an unrelated one %.0f", good, bad)
	if good < 60 || bad > 30 || bad > good/4 {
		t.Errorf("a good simulation saves %.0f trials, an unrelated one %.0f", good, bad)
	}
	if n, err := TrialsSaved(context.Background(), alone, alone, obs, among); err != nil || n != 0 {
		t.Errorf("a map without a simulation saves %.0f trials (error %v)", n, err)
	}
	if _, err := TrialsSaved(context.Background(), alone, alone, obs, nil); err == nil {
		t.Error("nowhere to compare, no error")
	}
}

func TestLossToCome(t *testing.T) {
	// From a sample of the log-odds.
	rng := rand.New(rand.NewPCG(5, 5))
	for _, c := range [][2]float64{{0, 0.5}, {-2, 1}, {3, 2}, {0, 4}} {
		const n = 400000
		p, inner := 0.0, 0.0
		for range n {
			q := expit(c[0] + c[1]*rng.NormFloat64())
			p += q / n
			inner -= (timesLog(q, q) + timesLog(1-q, 1-q)) / n
		}
		want := -timesLog(p, p) - timesLog(1-p, 1-p) - inner
		if got := lossToCome(c[0], c[1]); math.Abs(got-want) > 2e-3 {
			t.Errorf("mean %g, sd %g: %.5f, sampled %.5f", c[0], c[1], got, want)
		}
	}
	if lossToCome(1, 0) != 0 {
		t.Error("a known chance loses nothing")
	}
}

func TestPriorMeanIsMadeAgainFromItsCoefficients(t *testing.T) {
	m := mustFit(t, inventTruth(31, 1).trials(300, 31), Options{Symmetry: orient.Symmetry{HandFold: 2}})
	symmetry, degree, coef := m.PriorMean().Coefficients()
	again, err := NewPriorMean(symmetry, degree, coef)
	if err != nil {
		t.Fatal(err)
	}
	obs := inventTruth(32, 1).trials(60, 32)
	a, b := mustFit(t, obs, Options{Prior: m.PriorMean()}), mustFit(t, obs, Options{Prior: again})
	if !slices.Equal(a.coef, b.coef) {
		t.Error("maps with the prior mean and with the one made again differ")
	}
	if _, err := NewPriorMean(symmetry, degree+1, coef); err == nil {
		t.Error("too few coefficients were taken")
	}
}
