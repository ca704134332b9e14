package successmap

import (
	"context"
	"errors"
	"fmt"
	"math"
	"runtime"
	"sync"

	"holdfast/orient"
)

// Options steer a fit. The zero value is the recommended automatic fit without symmetry.
type Options struct {
	Degree   int             // largest degree of the functions; 0 lets the trials decide
	Symmetry orient.Symmetry // of hand and surroundings
	Workers  int             // goroutines; 0 means one a processor. The result does not depend on it.
	Progress func(Progress)  // called now and then from the fitting goroutine; may be nil
	PlugIn   bool            // use the best hyperparameters only, instead of averaging over them
	Prior    *PriorMean      // what a simulation expects, times a factor that the trials choose; nil for nothing
}

// Progress says how far a fit is.
type Progress struct {
	Stage    string // what it does, in plain words
	Degree   int
	Evidence float64 // log evidence reached
}

// Map is the success probability over orientations with its uncertainty. It is safe for concurrent use.
type Map struct {
	basis, double *orient.Harmonics
	coef          []float64 // posterior mean of the coefficients
	covariance    []float64 // posterior covariance, lower triangle, row-major
	form          []float64 // the variance of the log-odds as one function of degree 2L
	tail          float64   // prior variance of what lies beyond the degree
	hyper         hyper     // best setting
	tune          tuning
	prior         *PriorMean
	workers       int
	summary       Summary

	meanTorus, varianceTorus *orient.Torus

	rootOnce sync.Once
	root     []float64 // Cholesky factor of the covariance, made when draws are asked for
}

// Summary describes a fit.
type Summary struct {
	Trials, Held float64
	Distinct     int     // distinct orientations tried
	BasisSize    int     // number of functions
	Degree       int     // their largest degree
	Amplitude    float64 // standard deviation of the log-odds over orientations
	LengthScale  float64 // rad
	Anisotropy   float64 // above 1: success changes faster with roll than with direction
	Evidence     float64 // log evidence (Laplace) at the best hyperparameters
	Averaged     int     // hyperparameter settings averaged over
	// PriorFactor is what the trials make of [Options.Prior]: 1 as it says, 0 none of it; with its standard deviation. Amplitude
	// and length scale are then those of the departure from it.
	PriorFactor, PriorFactorSD float64
	PriorTrust                 float64 // 0 … 1: its weight beside a map of the trials alone, by the evidence
	Warnings                   []string
}

// Summary returns the description of the fit.
func (m *Map) Summary() Summary { return m.summary }

// maxAutoDegree is the largest degree that an automatic fit uses.
const maxAutoDegree = 8

// tuning gathers what was tuned on some seeded truths and reported on others (DESIGN.md).
type tuning struct {
	intercept float64
	prior     hyperPrior
	gain      float64
	tolerance float64
	factor    factorPrior // of a prior mean
	amplitude [2]float64  // of ln amplitude beside a prior mean: mean and standard deviation
}

// firstSpread is the spread of the hyperparameters that a search starts with.
var firstSpread = hyperMatrix{{0.05, 0, 0, 0}, {0, 0.02, 0, 0}, {0, 0, 0.05, 0}, {0, 0, 0, 0.1}}

var standard = tuning{
	intercept: 9,
	prior:     hyperPrior{mean: hyper{math.Log(2), math.Log(0.8), 0, math.Log(2.5)}, sd: hyper{0.8, 0.6, 0.7, 0.35}},
	gain:      0.02,
	tolerance: 1e-4,
	factor:    factorPrior{mean: 0.7, sd: 0.5},
	amplitude: [2]float64{math.Log(1.2), 0.8},
}

// Fit estimates the success map. It fails on unusable input or when ctx ends; too few or one-sided trials give a wide
// map and warnings.
func Fit(ctx context.Context, obs []Observation, o Options) (*Map, error) {
	return fit(ctx, obs, o, standard)
}

func fit(ctx context.Context, obs []Observation, o Options, tune tuning) (*Map, error) {
	if o.Degree < 0 || o.Degree > orient.MaxHarmonicDegree/2 {
		return nil, fmt.Errorf("degree %d is outside 1 to %d (0 for automatic)", o.Degree, orient.MaxHarmonicDegree/2)
	}
	d, err := gather(obs)
	if err != nil {
		return nil, err
	}
	held, trials := d.totals()
	if trials == 0 {
		return nil, errors.New("there is no trial to learn from: run or import some first")
	}
	workers := o.Workers
	if workers <= 0 {
		workers = runtime.GOMAXPROCS(0)
	}
	tell := func(stage string, e *engine) func(*site) {
		return func(s *site) {
			if o.Progress != nil {
				o.Progress(Progress{Stage: stage, Degree: e.basis.Degree(), Evidence: s.mode.evidence})
			}
		}
	}
	degree := o.Degree
	if degree == 0 {
		degree = 4
	}
	alone := tune.prior
	if o.Prior != nil {
		tune.prior.mean[logAmplitude], tune.prior.sd[logAmplitude] = tune.amplitude[0], tune.amplitude[1]
		if o.Degree == 0 {
			degree = max(degree, min(o.Prior.basis.Degree(), maxPriorDegree))
		}
	}
	var best *site
	start := hyper(tune.prior.mean)
	spread := firstSpread
	var e *engine
	for {
		if e, err = newEngine(degree, o.Symmetry, d, tune.intercept, workers); err != nil {
			return nil, err
		}
		e.lean = newLean(o.Prior, e.basis, tune.factor)
		if held == 0 || held == trials {
			// Trials that all ended alike fit every amplitude down to none, and the evidence would pick none: a map sure of
			// itself where nothing was tried. The prior's own scale stays instead, and the mode, which lies nearer to even
			// odds than the mean.
			e.atMode = true
			if best, err = e.visit(ctx, start, nil, tune.prior, tune.tolerance); err != nil {
				return nil, err
			}
			o.PlugIn = true
			break
		}
		if best, spread, err = e.climb(ctx, start, best, tune.prior, spread, tune.gain, tune.tolerance, tell("choosing the smoothness", e)); err != nil {
			return nil, err
		}
		if o.Degree != 0 {
			break
		}
		want := min(e.wantedDegree(best), maxAutoDegree)
		if want <= degree {
			break
		}
		degree = want
		start = best.mode.hyper
	}
	m := &Map{basis: e.basis, double: e.double, hyper: best.mode.hyper, tune: tune, prior: o.Prior, workers: workers}
	nodes, err := e.average(ctx, m, best, spread, tune, o.PlugIn)
	if err != nil {
		return nil, err
	}
	if e.lean != nil {
		m.summary.PriorFactor, m.summary.PriorFactorSD = e.lean.factor(best.mode.tie, m.coef, m.covariance)
		tune.prior = alone
		if best, err = e.hedge(ctx, m, best, tune, o.PlugIn, tell("doubting the simulation", e)); err != nil {
			return nil, err
		}
	}
	if err := m.prepare(e); err != nil {
		return nil, err
	}
	t := best.mode.hyper
	m.summary = Summary{
		PriorFactor: m.summary.PriorFactor, PriorFactorSD: m.summary.PriorFactorSD, PriorTrust: m.summary.PriorTrust,
		Trials: trials, Held: held, Distinct: len(d.held), BasisSize: e.basis.Len(), Degree: e.basis.Degree(),
		Amplitude: math.Exp(t[logAmplitude]), LengthScale: math.Exp(t[logLength]), Anisotropy: math.Exp(-t[logStiffness] / 2),
		Evidence: best.mode.evidence, Averaged: nodes,
	}
	m.summary.Warnings = m.warn()
	return m, nil
}

// wantedDegree returns the smallest degree beyond which the data have nothing to say: where the prior variance of a
// coefficient times the information on it, about Σw, is below a half.
func (e *engine) wantedDegree(s *site) int {
	info := 0.0
	for i, f := range s.mode.logOdds {
		info += e.trials[i] * expit(f) * expit(-f)
	}
	full, err := orient.NewHarmonics(2*maxAutoDegree, e.basis.Symmetry())
	if err != nil {
		return e.basis.Degree()
	}
	wide := newSpectrum(full, e.spectrum.intercept)
	terms := wide.terms(s.mode.hyper, full.Degree())
	degree := 1
	for i, v := range terms.logVariance {
		if math.Exp(v)*info > 0.5 {
			degree = max(degree, full.At(i).L)
		}
	}
	return degree
}

// prepare puts the posterior mean and variance onto grids for prediction.
func (m *Map) prepare(e *engine) error {
	m.form = make([]float64, m.double.Len())
	e.product.Quadratic(m.form, m.covariance)
	m.meanTorus, m.varianceTorus = e.torus, orient.NewTorus(m.double, m.workers)
	if err := m.meanTorus.Load(m.basis, m.coef); err != nil {
		return err
	}
	return m.varianceTorus.Load(m.double, m.form)
}
