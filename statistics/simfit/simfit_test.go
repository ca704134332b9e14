package simfit

import (
	"context"
	"errors"
	"math"
	"reflect"
	"strings"
	"sync/atomic"
	"testing"

	"holdfast/numeric"
	"holdfast/orient"
)

func mustFit(t *testing.T, p Problem, o Options) *Result {
	t.Helper()
	r, err := Fit(context.Background(), p, o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func TestParameterThatDoesNothingKeepsItsPrior(t *testing.T) {
	w := logisticWorld()
	full := w.chance
	w.chance = func(theta []float64, r orient.Rotation) float64 {
		return full([]float64{theta[0], 300, 0.003}, r)
	}
	w.parameters = []Parameter{
		w.parameters[0],
		{Name: "stiffness", Min: 50, Max: 2000, Log: true, Mean: 200, SD: 0.5},
		w.parameters[2],
	}
	p := w.problem([]float64{0.7, 300, 0.003}, 80, nil, 3)
	r := mustFit(t, p, Options{Seed: 1, Budget: 4000})
	for k, e := range r.Parameters[1:] {
		par := w.parameters[k+1]
		sd := (par.quantile(0.95) - par.quantile(0.05)) / 3.3
		for _, pair := range [][2]float64{{e.Low, e.PriorLow}, {e.High, e.PriorHigh}} {
			// A quarter of a standard deviation: the stand-in learns from a finite number of trials that it does nothing.
			if math.Abs(par.place(pair[0])-par.place(pair[1])) > 0.25*sd {
				t.Errorf("%s: interval %.4g to %.4g, the prior's %.4g to %.4g", e.Name, e.Low, e.High, e.PriorLow, e.PriorHigh)
			}
		}
		if e.Told > hardlyTold {
			t.Errorf("%s: told %.2f, asked about none", e.Name, e.Told)
		}
		if !strings.Contains(strings.Join(r.Warnings, "\n"), "hardly tell "+e.Name) {
			t.Errorf("%s: no warning that nothing was learned: %q", e.Name, r.Warnings)
		}
		if c := r.Correlation[0][k+1]; math.Abs(c) > 0.25 {
			t.Errorf("%s: correlation %.2f with friction", e.Name, c)
		}
	}
	if r.Parameters[0].Told < 0.5 {
		t.Errorf("friction: told %.2f", r.Parameters[0].Told)
	}
	if r.Simulated != 4000 || r.Used > r.Simulated || r.Used < 1000 {
		t.Errorf("%d simulated, %d used", r.Simulated, r.Used)
	}
	for _, row := range r.Draws(600, 4) {
		for k, par := range p.Parameters {
			if row[k] < par.Min || row[k] > par.Max {
				t.Fatalf("draw %v leaves the range of %s", row, par.Name)
			}
		}
	}
}

// A bench that holds better on one side and worse on the other than the simulation at any parameters.
func TestWrongModelIsTold(t *testing.T) {
	w := thresholdWorld()
	p := w.problem([]float64{0.7, 300, 0.003}, 200, func(r orient.Rotation) float64 {
		d := r.Direction()
		if d[0] > 0 {
			return -2.5
		}
		return 1.5
	}, 5)
	r := mustFit(t, p, Options{Seed: 2, Budget: 4000})
	if r.Agrees() || r.Discrepancy.Probability < 0.95 || len(r.Disagreements) == 0 {
		t.Fatalf("a wrong model is not told: discrepancy %+v, regions %+v", r.Discrepancy, r.Disagreements)
	}
	if !strings.Contains(strings.Join(r.Warnings, "\n"), "another pattern over orientations") {
		t.Errorf("warnings %q", r.Warnings)
	}
	for _, region := range r.Disagreements {
		// Neighbourhoods that are told must lie where the bench was moved that way.
		if d := region.Centre.Direction(); region.Radius > 0 && region.Radius < 0.6 && math.Abs(d[0]) > 0.4 && (d[0] > 0) != (region.Held < region.Expected) {
			t.Errorf("%s: the bench was moved the other way there", region.Sentence)
		}
		if region.P > surprising || region.Low > region.High || region.Trials < leastInRegion {
			t.Errorf("%+v", region)
		}
	}
}

// Where every chance is right, one answer in twenty may name a region by chance, however many regions there are.
func TestRegionsAreNamedByChanceOnceInTwenty(t *testing.T) {
	w := logisticWorld()
	theta := []float64{0.7, 300, 0.003}
	const repeats = 200
	named := 0
	for seed := range uint64(repeats) {
		p := w.problem(theta, 100, nil, 100+seed)
		f := &fitting{problem: &p, tallies: make([]tally, len(p.Conditions))}
		success := make([]float64, len(p.Conditions))
		for i, tr := range p.Trials {
			f.tallies[i].trials = 1
			if tr.Held {
				f.tallies[i].held = 1
			}
			success[i] = w.chance(theta, p.Conditions[i].R)
		}
		post := &posterior{success: [][]float64{success}}
		if len(post.disagreements(&p, f.tallies, seed)) > 0 {
			named++
		}
	}
	// Binomial(200, 0.05): 10 ± 3.1; 2 and 20 are beyond three standard deviations.
	if named < 2 || named > 20 {
		t.Errorf("%d of %d right models have a region named, asked about 10", named, repeats)
	}
}

func TestSameBytesOnAnyNumberOfWorkers(t *testing.T) {
	w := thresholdWorld()
	p := w.problem([]float64{0.7, 300, 0.003}, 40, nil, 8)
	p.Symmetry = orient.Symmetry{HandFold: 2}
	var want *Result
	for _, workers := range []int{1, 2, 5} {
		got := mustFit(t, p, Options{Seed: 3, Budget: 800, Workers: workers})
		if want == nil {
			want = got
			continue
		}
		if !reflect.DeepEqual(got, want) {
			t.Errorf("%d workers give another result than one", workers)
		}
	}
	if other := mustFit(t, p, Options{Seed: 4, Budget: 800}); reflect.DeepEqual(other.Parameters, want.Parameters) {
		t.Error("another seed gives the same result")
	}
}

func TestRepeatedConditionsAndCovariates(t *testing.T) {
	// Success depends on a placement offset only; five conditions, 40 trials each.
	par := []Parameter{{Name: "capture", Min: 0.002, Max: 0.02, Log: true}}
	chance := func(capture, offset float64) float64 { return expit((capture - offset) / 0.002) }
	p := Problem{Parameters: par}
	rng := numeric.Stream(1, "offsets")
	const truth = 0.008
	for c := range 5 {
		offset := 0.003 * float64(c)
		p.Conditions = append(p.Conditions, Condition{orient.Identity, []float64{offset, 7}})
		for range 40 {
			p.Trials = append(p.Trials, Trial{c, rng.Float64() < chance(truth, offset)})
		}
	}
	p.Simulate = func(_ context.Context, theta []float64, c int, seed uint64) (bool, error) {
		return numeric.Stream(seed, "outcome").Float64() < chance(theta[0], p.Conditions[c].Covariates[0]), nil
	}
	r := mustFit(t, p, Options{Seed: 1, Budget: 12000})
	// The posterior by plain quadrature over the logarithm.
	const n = 2000
	logs, values := make([]float64, n), make([]float64, n)
	for i := range n {
		values[i] = par[0].value((float64(i) + 0.5) / n)
		for _, tr := range p.Trials {
			q := chance(values[i], p.Conditions[tr.Condition].Covariates[0])
			if !tr.Held {
				q = 1 - q
			}
			logs[i] += math.Log(q)
		}
	}
	normalise(logs)
	low, high := weightedQuantile(values, logs, 0.05), weightedQuantile(values, logs, 0.95)
	// With 60 simulated trials a bench trial the stand-in's own noise moves an end by a fifth to a half of a standard
	// deviation (measured over seeds).
	e, within := r.Parameters[0], (high-low)/3.3/2
	if math.Abs(e.Low-low) > within || math.Abs(e.High-high) > within {
		t.Errorf("capture %.6f to %.6f, quadrature %.6f to %.6f", e.Low, e.High, low, high)
	}
	if len(r.Predictions) != 200 || r.Discrepancy.Probability != 0 || len(r.Disagreements) != 0 {
		t.Errorf("%d predictions, discrepancy %+v, regions %v", len(r.Predictions), r.Discrepancy, r.Disagreements)
	}
	for i, q := range r.Predictions {
		if want := chance(e.Mean, p.Conditions[p.Trials[i].Condition].Covariates[0]); math.Abs(q.P-want) > 0.06 || !(q.Low <= q.P && q.P <= q.High) {
			t.Fatalf("trial %d: predicted %+v, the simulation has %.3f", i, q, want)
		}
	}
}

func TestFitRefuses(t *testing.T) {
	w := logisticWorld()
	good := w.problem([]float64{0.7, 300, 0.003}, 10, nil, 1)
	change := func(do func(p *Problem)) Problem {
		p := good
		p.Parameters = append([]Parameter(nil), good.Parameters...)
		p.Conditions = append([]Condition(nil), good.Conditions...)
		p.Trials = append([]Trial(nil), good.Trials...)
		do(&p)
		return p
	}
	for says, p := range map[string]Problem{
		"no simulation":          change(func(p *Problem) { p.Simulate = nil }),
		"0 parameters":           change(func(p *Problem) { p.Parameters = nil }),
		"no name":                change(func(p *Problem) { p.Parameters[0].Name = "" }),
		"range 2 to 1.2":         change(func(p *Problem) { p.Parameters[0].Min = 2 }),
		"range above 0":          change(func(p *Problem) { p.Parameters[1].Min = 0 }),
		"deviation is NaN":       change(func(p *Problem) { p.Parameters[1].SD = math.NaN() }),
		"mean 9 lies outside":    change(func(p *Problem) { p.Parameters[0].Mean, p.Parameters[0].SD = 9, 1 }),
		"two parameters":         change(func(p *Problem) { p.Parameters[0].Name = "stiffness" }),
		"no bench trial":         change(func(p *Problem) { p.Trials = nil }),
		"condition 3: its orien": change(func(p *Problem) { p.Conditions[2].R = orient.Rotation{} }),
		"condition 2 has 1":      change(func(p *Problem) { p.Conditions[1].Covariates = []float64{1} }),
		"covariate is +Inf": change(func(p *Problem) {
			for c := range p.Conditions {
				p.Conditions[c].Covariates = []float64{math.Inf(1)}
			}
		}),
		"trial 1 names condition 11": change(func(p *Problem) { p.Trials[0].Condition = 10 }),
		"jammed": change(func(p *Problem) {
			p.Simulate = func(context.Context, []float64, int, uint64) (bool, error) { return false, errors.New("jammed") }
		}),
	} {
		if _, err := Fit(context.Background(), p, Options{Budget: 400}); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%s: error %v", says, err)
		}
	}
	if _, err := Fit(context.Background(), good, Options{Budget: 50}); err == nil || !strings.Contains(err.Error(), "too small") {
		t.Errorf("small budget: error %v", err)
	}
}

func TestOutcomesOfTheFittedSimulation(t *testing.T) {
	w := logisticWorld()
	p := w.problem([]float64{0.7, 300, 0.003}, 60, nil, 1)
	r := mustFit(t, p, Options{Budget: 2000})
	run := func(ctx context.Context, theta []float64, i int, seed uint64) (bool, error) {
		return p.Simulate(ctx, theta, i%60, seed)
	}
	held, err := r.Outcomes(t.Context(), 6000, 3, 2, run)
	if err != nil {
		t.Fatal(err)
	}
	again, _ := r.Outcomes(t.Context(), 6000, 3, 5, run)
	if !reflect.DeepEqual(held, again) {
		t.Error("the outcomes depend on the number of workers")
	}
	share, want := 0.0, 0.0
	for i, h := range held {
		if h {
			share += 1.0 / 6000
		}
		want += r.Predictions[i%60].P / 6000
	}
	// Three standard errors of the share and what the stand-in may be off.
	if math.Abs(share-want) > 0.03 {
		t.Errorf("%.3f held, predicted %.3f", share, want)
	}
	if _, err := r.Outcomes(t.Context(), 100, 3, 2, func(_ context.Context, _ []float64, i int, _ uint64) (bool, error) {
		if i >= 70 {
			return false, errors.New("jammed")
		}
		return true, nil
	}); err == nil || !strings.Contains(err.Error(), "trial 71") {
		t.Errorf("error %v", err)
	}
}

func TestCancelAndProgress(t *testing.T) {
	w := logisticWorld()
	p := w.problem([]float64{0.7, 300, 0.003}, 10, nil, 1)
	inner := p.Simulate
	var ran atomic.Int64
	ctx, cancel := context.WithCancel(context.Background())
	p.Simulate = func(ctx context.Context, theta []float64, c int, seed uint64) (bool, error) {
		if ran.Add(1) == 500 {
			cancel()
		}
		return inner(ctx, theta, c, seed)
	}
	last := 0
	_, err := Fit(ctx, p, Options{Budget: 1000, Progress: func(s Progress) {
		if s.Simulated < last || s.Simulated > s.Budget || s.Stage == "" {
			t.Errorf("progress %+v after %d", s, last)
		}
		last = s.Simulated
	}})
	if err != context.Canceled {
		t.Errorf("cancelled fit: error %v", err)
	}
	if n := ran.Load(); n > 600 {
		t.Errorf("%d trials were simulated after the fit was cancelled at 500", n)
	}
	if last == 0 {
		t.Error("no progress was told")
	}
}
