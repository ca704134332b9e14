package simfit

import (
	"context"
	"fmt"
	"math"
	"runtime"

	"holdfast/numeric"
)

// Estimate is what the bench trials say about one parameter.
type Estimate struct {
	Name                string
	Mean                float64 // of the posterior, in the parameter's unit, as are the next
	Low, High           float64 // 5 % and 95 % quantiles
	PriorLow, PriorHigh float64 // the same of the prior
	Told                float64 // 0 … 1: the share of the prior's standard deviation, on the scale, that the trials took away
}

// Prediction is what the fitted simulation says about one bench trial.
type Prediction struct {
	P         float64 // chance of success
	Low, High float64 // 5 % and 95 % quantiles of the chance, over parameters and surrogate
}

// Discrepancy is what is known about how far the bench follows another function of orientation than the simulation does.
type Discrepancy struct {
	Probability float64 // that there is any
	Size        float64 // expected standard deviation over the bench trials, log-odds
}

// Result is a fitted simulation. It is safe for concurrent use.
type Result struct {
	Parameters    []Estimate
	Correlation   [][]float64 // of the parameters on their scales
	Predictions   []Prediction
	Disagreements []Region // at most five, not overlapping much, least likely first
	Tilts         []Band   // by tilt, ascending; every trial is in one
	Azimuths      []Band   // by azimuth of the trials tilted by 15° or more; none where a symmetry leaves it without meaning
	Discrepancy   Discrepancy
	Surrogate     SurrogateCheck
	Simulated     int // trials
	Used          int // of them those that the last surrogate was learned from
	Warnings      []string

	parameters []Parameter
	samples    [][]float64
}

// Agrees reports whether nothing speaks against the simulation at the fitted parameters.
func (r *Result) Agrees() bool {
	return len(r.Disagreements) == 0 && r.Discrepancy.Probability < surelyDiffers
}

// surelyDiffers is the probability of a discrepancy from which on the simulation counts as wrong.
const surelyDiffers = 0.95

// Draws returns n equally probable draws of the parameters, in their units.
func (r *Result) Draws(n int, seed uint64) [][]float64 {
	rng := numeric.Stream(seed, "draws of fitted parameters")
	out := make([][]float64, n)
	var order []int
	for i := range out {
		if i%len(r.samples) == 0 {
			order = rng.Perm(len(r.samples))
		}
		place := r.samples[order[i%len(r.samples)]]
		out[i] = make([]float64, len(place))
		for k, p := range r.parameters {
			out[i][k] = p.value(place[k])
		}
	}
	return out
}

// Outcomes runs n trials of the fitted simulation and returns whether each held. Every trial has parameters of its own, drawn
// from the posterior, so shares of held trials carry what is not known of them. run simulates trial i; the result does not
// depend on the number of workers (0: one a processor).
func (r *Result) Outcomes(ctx context.Context, n int, seed uint64, workers int, run func(ctx context.Context, theta []float64, i int, seed uint64) (held bool, err error)) ([]bool, error) {
	if workers <= 0 {
		workers = runtime.GOMAXPROCS(0)
	}
	theta := r.Draws(n, seed)
	held := make([]bool, n)
	failed, err := inBatches(ctx, n, workers, func(int) {}, func(i int) (err error) {
		held[i], err = run(ctx, theta[i], i, numeric.Stream(seed, "trial of the fitted simulation", i).Uint64())
		return err
	})
	switch {
	case ctx.Err() != nil:
		return nil, ctx.Err()
	case err != nil:
		return nil, fmt.Errorf("trial %d of the fitted simulation: %w", failed+1, err)
	}
	return held, nil
}

func (f *fitting) result(post *posterior, checked SurrogateCheck, used int) *Result {
	p := f.problem
	r := &Result{Surrogate: checked, Simulated: len(f.runs), Used: used, parameters: p.Parameters, samples: post.samples}
	d := len(p.Parameters)
	column := make([]float64, len(post.places))
	means, sds := make([]float64, d), make([]float64, d)
	for k, par := range p.Parameters {
		e := Estimate{Name: par.Name, PriorLow: par.value(par.quantile(0.05)), PriorHigh: par.value(par.quantile(0.95))}
		square := 0.0
		for i, u := range post.places {
			column[i] = u[k]
			e.Mean += post.weights[i] * par.value(u[k])
			means[k] += post.weights[i] * u[k]
			square += post.weights[i] * u[k] * u[k]
		}
		sds[k] = math.Sqrt(math.Max(square-means[k]*means[k], 1e-18))
		e.Low, e.High = par.value(weightedQuantile(column, post.weights, 0.05)), par.value(weightedQuantile(column, post.weights, 0.95))
		_, prior := par.priorMoments()
		e.Told = math.Min(math.Max(1-sds[k]/prior, 0), 1)
		r.Parameters = append(r.Parameters, e)
	}
	for a := range d {
		row := make([]float64, d)
		for b := range d {
			for i, u := range post.places {
				row[b] += post.weights[i] * (u[a] - means[a]) * (u[b] - means[b]) / (sds[a] * sds[b])
			}
		}
		row[a] = 1
		r.Correlation = append(r.Correlation, row)
	}
	predictions := make([]Prediction, len(p.Conditions))
	chances, ones := make([]float64, len(post.success)), make([]float64, len(post.success))
	for c := range predictions {
		for i, success := range post.success {
			chances[i], ones[i] = success[c], 1
			predictions[c].P += success[c] / float64(len(chances))
		}
		predictions[c].Low, predictions[c].High = weightedQuantile(chances, ones, 0.05), weightedQuantile(chances, ones, 0.95)
	}
	for _, t := range p.Trials {
		r.Predictions = append(r.Predictions, predictions[t.Condition])
	}
	for k, w := range post.sizes {
		r.Discrepancy.Size += w * f.discrepancy.sizes[k]
		if k > 0 {
			r.Discrepancy.Probability += w
		}
	}
	r.Tilts, r.Azimuths = post.bands(p, f.tallies, f.options.Seed)
	r.Disagreements = post.disagreements(p, f.tallies, f.options.Seed)
	r.Warnings = r.warn(post)
	return r
}

// A surrogate whose forecasts lose this much (nats a trial) beyond their own expectation, and surely more than chance,
// is told to be wrong.
const (
	poorExcess     = 0.01
	thinEffective  = 100
	borderShare    = 0.02
	hardlyTold     = 0.1
	surelyErrSigma = 3
)

func (r *Result) warn(post *posterior) []string {
	var w []string
	if r.Discrepancy.Probability >= surelyDiffers {
		w = append(w, fmt.Sprintf("The bench follows another pattern over orientations than the simulation at any parameters (probability %.3f): the intervals allow for that, but the parameters may stand in for what the simulation lacks.", r.Discrepancy.Probability))
	}
	for _, e := range r.Parameters {
		if e.Told < hardlyTold {
			w = append(w, fmt.Sprintf("The bench trials hardly tell %s: its interval is about the one put in.", e.Name))
		}
	}
	if s := r.Surrogate; s.Trials > 0 && s.Excess > poorExcess && s.Excess > surelyErrSigma*s.SE {
		w = append(w, fmt.Sprintf("The smooth stand-in of the simulation foretells simulated trials badly (%.3f nats a trial beyond what it expects): give a larger budget or narrower ranges.", s.Excess))
	}
	if post.border > borderShare {
		w = append(w, fmt.Sprintf("%.0f %% of the posterior lies at the edge of where the simulation was tried last: give a larger budget or narrower ranges.", 100*post.border))
	}
	if n := effective(post.weights); n < thinEffective {
		w = append(w, fmt.Sprintf("The intervals rest on only %.0f places of the parameters: read them as rough.", n))
	}
	return w
}
