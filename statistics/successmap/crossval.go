package successmap

import (
	"context"
	"errors"
	"fmt"
	"math"

	"holdfast/numeric"
)

// Validation is the result of grouped cross-validation.
type Validation struct {
	Folds       int
	Groups      int
	Map, Base   Scores // of the map and of the plain success rate of the other folds
	Calibration []Bin  // of the map's forecasts
}

// Warning is a sentence when the map forecasts no better than the plain success rate does, else empty.
func (v *Validation) Warning() string {
	if v.Map.LogLoss < v.Base.LogLoss {
		return ""
	}
	return fmt.Sprintf("Scored on trials it had not seen, the map does no better than the plain success rate (log loss %.3f against %.3f): either orientation hardly matters here, or there are too few trials to see how.",
		v.Map.LogLoss, v.Base.LogLoss)
}

// CrossValidate predicts each fold of the observations by a map of the others. Observations of one group always go
// together; groups has one label an observation, or is nil, and then each distinct orientation is a group, so that a
// repeated trial never predicts its twin. Groups are dealt to folds at random by the seed.
//
// The folds' maps keep the hyperparameters of m, which all trials together chose; with four numbers for hundreds of
// trials that flatters the score very little, and it makes a fold cost a few Newton steps.
func (m *Map) CrossValidate(ctx context.Context, obs []Observation, groups []string, folds int, seed uint64) (*Validation, error) {
	if groups != nil && len(groups) != len(obs) {
		return nil, fmt.Errorf("%d group labels for %d observations", len(groups), len(obs))
	}
	d, err := gather(obs)
	if err != nil {
		return nil, err
	}
	group := d.of
	count := len(d.held)
	if groups != nil {
		number := map[string]int{}
		group = make([]int, len(obs))
		for i, g := range groups {
			if _, ok := number[g]; !ok {
				number[g] = len(number)
			}
			group[i] = number[g]
		}
		count = len(number)
	}
	folds = min(folds, count)
	if folds < 2 {
		return nil, errors.New("cross-validation needs at least two groups and two folds")
	}
	fold := make([]int, count)
	for i, g := range numeric.Stream(seed, "cross-validation folds").Perm(count) {
		fold[g] = i % folds
	}
	e, err := newEngine(m.basis.Degree(), m.basis.Symmetry(), d, m.tune.intercept, m.workers)
	if err != nil {
		return nil, err
	}
	e.lean = newLean(m.prior, e.basis, m.tune.factor)
	v := &Validation{Folds: folds, Groups: count}
	var mine, base []Forecast
	for f := range folds {
		heldOut, trialsOut := make([]float64, len(d.held)), make([]float64, len(d.held))
		for i, o := range obs {
			if fold[group[i]] == f {
				heldOut[d.of[i]] += o.Held
				trialsOut[d.of[i]] += o.Trials
			}
		}
		e.held, e.trials = make([]float64, len(d.held)), make([]float64, len(d.held))
		held, trials := 0.5, 1.0
		for i := range e.held {
			e.held[i], e.trials[i] = d.held[i]-heldOut[i], d.trials[i]-trialsOut[i]
			held += e.held[i]
			trials += e.trials[i]
		}
		forecasts, err := m.without(ctx, e)
		if err != nil {
			return nil, err
		}
		for i, p := range forecasts {
			if trialsOut[i] > 0 {
				mine = append(mine, Forecast{p, heldOut[i], trialsOut[i]})
				base = append(base, Forecast{held / trials, heldOut[i], trialsOut[i]})
			}
		}
	}
	if v.Map, err = Score(mine); err != nil {
		return nil, err
	}
	if v.Base, err = Score(base); err != nil {
		return nil, err
	}
	v.Calibration = Calibrate(mine)
	return v, nil
}

// without fits the engine's remaining trials at the map's hyperparameters and returns the probability at every
// distinct orientation.
func (m *Map) without(ctx context.Context, e *engine) ([]float64, error) {
	mode, err := e.findMode(ctx, m.hyper, m.coef, m.tune.tolerance)
	if err != nil {
		return nil, err
	}
	e.covariance()
	form := make([]float64, e.double.Len())
	e.product.Quadratic(form, e.inverse)
	variance := e.data
	if err := e.torus.Evaluate(variance, e.double, form, e.points); err != nil {
		return nil, err
	}
	p := make([]float64, len(variance))
	for i, f := range mode.logOdds {
		p[i] = meanExpit(f, math.Sqrt(math.Max(variance[i], 0)+mode.prior.tail))
	}
	return p, nil
}
