package successmap

import (
	"context"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"holdfast/orient"
)

func mustFit(t *testing.T, obs []Observation, o Options) *Map {
	t.Helper()
	m, err := Fit(context.Background(), obs, o)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func mustPredict(m *Map, rs []orient.Rotation) []Estimate {
	est := make([]Estimate, len(rs))
	m.Predict(est, rs)
	return est
}

// differ returns the largest difference of mean and standard deviation of the log-odds.
func differ(a, b []Estimate) float64 {
	worst := 0.0
	for i := range a {
		worst = max(worst, math.Abs(a[i].Mean-b[i].Mean), math.Abs(a[i].SD-b[i].SD))
	}
	return worst
}

func TestTurningAllTrialsTurnsTheMap(t *testing.T) {
	obs := inventTruth(7, 1).trials(400, 7)
	m := mustFit(t, obs, Options{Degree: 4})
	rng := rand.New(rand.NewPCG(5, 5))
	rs := append(approaches(300, rng), orient.Identity, orient.RotX(math.Pi), orient.RotZ(2))
	before := mustPredict(m, rs)
	for range 3 {
		// Any turn of the setting, any roll of the hand: the prior knows no preferred direction and no preferred heading.
		left := approaches(1, rng)[0]
		right := orient.RotZ(2 * math.Pi * rng.Float64())
		turned := slices.Clone(obs)
		for i := range turned {
			turned[i].R = left.Mul(obs[i].R).Mul(right)
		}
		moved := make([]orient.Rotation, len(rs))
		for i := range rs {
			moved[i] = left.Mul(rs[i]).Mul(right)
		}
		if d := differ(before, mustPredict(mustFit(t, turned, Options{Degree: 4}), moved)); d > 2e-4 {
			t.Errorf("turned map differs by %.2g in log-odds", d)
		}
	}
}

func TestSymmetryCutIsTheFitOfSymmetrisedTrials(t *testing.T) {
	obs := inventTruth(8, 2).trials(150, 8)
	for _, s := range []orient.Symmetry{
		{HandFold: 2},
		{HandFold: 2, HandMirror: true, Surroundings: orient.Surroundings{Mirror: true}},
		{Surroundings: orient.Surroundings{Fold: 3}},
	} {
		var all []Observation
		for _, o := range obs {
			images := s.Images(o.R)
			share := 1 / float64(len(images))
			for _, r := range images {
				all = append(all, Observation{r, o.Held * share, o.Trials * share})
			}
		}
		cut, full := testEngine(t, 4, s, obs, 2), testEngine(t, 4, orient.Symmetry{}, all, 2)
		at := hyper{0.7, -0.2, 0.1, 1}
		// The same prior variance for every function that is left.
		scaled := at
		scaled[logAmplitude] += (classVariance(full.spectrum, at, 4) - classVariance(cut.spectrum, at, 4)) / 2
		a, err := cut.findMode(context.Background(), scaled, make([]float64, cut.basis.Len()), 1e-12)
		if err != nil {
			t.Fatal(err)
		}
		b, err := full.findMode(context.Background(), at, make([]float64, full.basis.Len()), 1e-12)
		if err != nil {
			t.Fatal(err)
		}
		position := map[orient.Harmonic]int{}
		for i := range full.basis.Len() {
			position[full.basis.At(i)] = i
		}
		for i, c := range a.coef {
			j := position[cut.basis.At(i)]
			if math.Abs(c-b.coef[j]) > 1e-5 {
				t.Errorf("%v: coefficient of %+v is %.7f, %.7f on symmetrised trials", s, cut.basis.At(i), c, b.coef[j])
			}
			b.coef[j] = 0
		}
		for j, c := range b.coef {
			if math.Abs(c) > 1e-5 {
				t.Errorf("%v: the symmetrised fit has %.2g of %+v, which the symmetry forbids", s, c, full.basis.At(j))
			}
		}
	}
}

// classVariance is the log prior variance of the functions of degree 2 and N = 0.
func classVariance(s *spectrum, t hyper, degree int) float64 {
	terms := s.terms(t, degree)
	for i, c := range s.member {
		if c >= 0 && s.classes[c].l == 2 && s.classes[c].n == 0 {
			return terms.logVariance[i]
		}
	}
	return math.NaN()
}

func TestSameBytesOnAnyNumberOfWorkers(t *testing.T) {
	obs := inventTruth(9, 1).trials(3000, 9)
	rs := approaches(2000, rand.New(rand.NewPCG(6, 6)))
	var want []Estimate
	for _, workers := range []int{1, 2, 3} {
		got := mustPredict(mustFit(t, obs, Options{Workers: workers}), rs)
		if want == nil {
			want = got
			continue
		}
		if !slices.Equal(got, want) {
			t.Errorf("%d workers give other bytes than one", workers)
		}
	}
}

func TestOneSidedTrialsStayWide(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 7))
	rs := approaches(200, rng)
	for name, c := range map[string]struct {
		n    int
		held float64
		says string
	}{
		"one trial":   {1, 1, "All of 1 trials held"},
		"none held":   {60, 0, "None of 60 trials held"},
		"all held":    {60, 1, "All of 60 trials held"},
		"all of many": {3000, 1, "All of 3000 trials held"},
	} {
		obs := make([]Observation, c.n)
		for i, r := range approaches(c.n, rng) {
			obs[i] = Observation{r, c.held, 1}
		}
		m := mustFit(t, obs, Options{})
		if w := m.Summary().Warnings; !strings.Contains(strings.Join(w, " "), c.says) {
			t.Errorf("%s: warnings %q", name, w)
		}
		for i, e := range mustPredict(m, rs) {
			if math.IsNaN(e.P) || math.IsInf(e.Mean, 0) || e.P <= 0 || e.P >= 1 || !(e.Low < e.P && e.P < e.High) {
				t.Fatalf("%s: estimate %d is %+v", name, i, e)
			}
			if (c.held == 1) != (e.P > 0.5) {
				t.Fatalf("%s: estimate %d is %+v", name, i, e)
			}
			if c.n == 1 && e.High-e.Low < 0.5 {
				t.Fatalf("%s: too sure: %+v", name, e)
			}
		}
	}
}

func TestSeparatedTrialsStayFinite(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 8))
	obs := make([]Observation, 400)
	for i, r := range approaches(len(obs), rng) {
		obs[i] = Observation{R: r, Trials: 1}
		if r.Approach().Tilt < 0.8 {
			obs[i].Held = 1
		}
	}
	for i, e := range mustPredict(mustFit(t, obs, Options{}), approaches(300, rng)) {
		if math.IsNaN(e.P) || math.Abs(e.Mean) > 40 || !(e.SD > 0) {
			t.Fatalf("estimate %d is %+v", i, e)
		}
	}
}

func TestSupportFarFromTrials(t *testing.T) {
	var obs []Observation
	rng := rand.New(rand.NewPCG(9, 9))
	for range 300 {
		r := orient.FromApproach(orient.Approach{Tilt: 0.3 * rng.Float64(), Azimuth: 7 * rng.Float64(), Roll: 0.3 * rng.NormFloat64()})
		o := Observation{R: r, Trials: 1}
		if rng.Float64() < 0.4+r.Approach().Tilt {
			o.Held = 1
		}
		obs = append(obs, o)
	}
	m := mustFit(t, obs, Options{})
	near, far := m.SupportAt(obs[0].R), m.SupportAt(orient.RotX(math.Pi))
	if near.PriorShare > 0.3 || near.Equivalent < 10 || far.PriorShare < 0.6 || far.Equivalent > 3 {
		t.Errorf("near %+v, far %+v", near, far)
	}
	both := mustPredict(m, []orient.Rotation{obs[0].R, orient.RotX(math.Pi)})
	if w := m.RegionWarnings(both); len(w) != 1 || !strings.HasPrefix(w[0], "50 % of the orientations asked for have no trials near them (1 of 2)") {
		t.Errorf("warnings %q", w)
	}
	if w := m.RegionWarnings(both[:1]); w != nil {
		t.Errorf("warnings %q where trials are", w)
	}
	if w := m.RegionWarnings(both[1:]); len(w) != 1 || !strings.HasPrefix(w[0], "No trial is near") {
		t.Errorf("warnings %q", w)
	}
}

func TestFitRefuses(t *testing.T) {
	good := Observation{R: orient.Identity, Held: 1, Trials: 1}
	for name, c := range map[string]struct {
		obs  []Observation
		o    Options
		says string
	}{
		"nothing":         {nil, Options{}, "no trial"},
		"no rotation":     {[]Observation{good, {}}, Options{}, "observation 2"},
		"too many held":   {[]Observation{{orient.Identity, 2, 1}}, Options{}, "2 held of 1"},
		"not a number":    {[]Observation{{orient.Identity, math.NaN(), 1}}, Options{}, "NaN held"},
		"negative degree": {[]Observation{good}, Options{Degree: -1}, "degree -1"},
		"huge degree":     {[]Observation{good}, Options{Degree: 99}, "degree 99"},
	} {
		if _, err := Fit(context.Background(), c.obs, c.o); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: error %v", name, err)
		}
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Fit(ctx, []Observation{good}, Options{}); err != context.Canceled {
		t.Errorf("cancelled fit: error %v", err)
	}
}

func TestMeanExpitAgainstFineQuadrature(t *testing.T) {
	for _, sd := range []float64{0, 0.1, 0.7, 1.5, 2, 3, 6, 12} {
		for _, mean := range []float64{-20, -4, -0.3, 0, 1, 5, 30} {
			const n = 20000
			sum, total := 0.0, 0.0
			for i := range n {
				z := -9 + 18*(float64(i)+0.5)/n
				w := math.Exp(-z * z / 2)
				sum += w * expit(mean+sd*z)
				total += w
			}
			if d := math.Abs(meanExpit(mean, sd) - sum/total); d > 2e-6 || sd <= 2 && d > 5e-8 {
				t.Errorf("mean %g, sd %g: off by %.2g", mean, sd, d)
			}
		}
	}
}

func TestCrossValidation(t *testing.T) {
	obs := inventTruth(10, 1).trials(500, 10)
	m := mustFit(t, obs, Options{})
	v, err := m.CrossValidate(context.Background(), obs, nil, 5, 3)
	if err != nil {
		t.Fatal(err)
	}
	if v.Folds != 5 || v.Groups != 500 || v.Map.Trials != 500 {
		t.Errorf("%d folds, %d groups, %g trials", v.Folds, v.Groups, v.Map.Trials)
	}
	if !(v.Map.LogLoss < v.Base.LogLoss-0.02 && v.Map.Brier < v.Base.Brier) {
		t.Errorf("the map (%+v) should beat the base rate (%+v) on a truth with strong bumps", v.Map, v.Base)
	}
	trials := 0.0
	for _, b := range v.Calibration {
		trials += b.Trials
	}
	if trials != 500 {
		t.Errorf("calibration table counts %g trials", trials)
	}
	again, err := m.CrossValidate(context.Background(), obs, nil, 5, 3)
	if err != nil {
		t.Fatal(err)
	}
	if again.Map != v.Map {
		t.Error("the same seed gave other scores")
	}
	// Coin flips: knowing orientations must not pay, since groups hide nothing of a held-out group's outcome.
	rng := rand.New(rand.NewPCG(1, 1))
	var flips []Observation
	var labels []string
	for i, r := range approaches(60, rng) {
		for range 5 {
			o := Observation{R: r, Trials: 1}
			if i%2 == 0 {
				o.Held = 1
			}
			flips = append(flips, o)
			labels = append(labels, string(rune('A'+i)))
		}
	}
	f, err := mustFit(t, flips, Options{}).CrossValidate(context.Background(), flips, labels, 10, 1)
	if err != nil {
		t.Fatal(err)
	}
	if f.Map.LogLoss < math.Ln2-0.05 {
		t.Errorf("log loss %.3f on coin flips: held-out groups leak", f.Map.LogLoss)
	}
}

func TestCellsCountAtTheNearestPlannedOrientation(t *testing.T) {
	s := orient.Symmetry{HandFold: 2}
	planned := []orient.Rotation{orient.Identity, orient.RotY(-0.5)}
	obs := []Observation{
		{orient.Identity, 1, 1},
		{orient.RotZ(math.Pi), 1, 1},                      // the same orientation for a two-fold hand
		{orient.RotY(-0.45).Mul(orient.RotZ(0.02)), 0, 1}, // executed a little off
	}
	cells := Cells(planned, obs, s)
	if cells[0].Held != 2 || cells[0].Trials != 2 || cells[0].Farthest > 1e-9 {
		t.Errorf("straight down: %+v", cells[0])
	}
	if cells[1].Held != 0 || cells[1].Trials != 1 || math.Abs(cells[1].Farthest-0.0538) > 1e-3 {
		t.Errorf("leaning: %+v", cells[1])
	}
	groups := GroupEquivalent(obs, s, 1e-6)
	if len(groups) != 2 || groups[0].Trials != 2 {
		t.Errorf("groups %+v", groups)
	}
}

func TestMapRecoversTheTruth(t *testing.T) {
	for _, c := range []struct {
		fold   int
		excess float64
	}{{1, 0.02}, {2, 0.02}} {
		truth := inventTruth(21, c.fold)
		m := mustFit(t, truth.trials(2000, 21), Options{Symmetry: orient.Symmetry{HandFold: c.fold}})
		excess, coverage := truth.score(m, 5000)
		t.Logf("fold %d: excess %.4f, coverage %.3f, %+v", c.fold, excess, coverage, m.Summary())
		if excess > c.excess || coverage < 0.83 || coverage > 0.98 {
			t.Errorf("fold %d: excess log loss %.4f, asked at most %g; the 90 %% intervals cover %.3f of the truth, asked 0.83 to 0.98", c.fold, excess, c.excess, coverage)
		}
	}
}
