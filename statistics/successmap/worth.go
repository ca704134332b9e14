package successmap

import (
	"context"
	"errors"
	"math"

	"holdfast/orient"
)

// mostSaved bounds what [TrialsSaved] searches.
const mostSaved = 20000

// TrialsSaved returns how many further trials, spread evenly over the orientations among, the map without a prior mean
// needs until its expected log loss there is what that of the map with one is now; both were fitted to the observations.
// Each map's expected loss is by its own uncertainty, further trials hold as often as the map with a prior mean expects,
// and the map without keeps its hyperparameters. As a simulation that says nothing of the bench saves none, the number is
// taken times the trust in it. It is 0 when there is nothing saved and at most 20,000.
func TrialsSaved(ctx context.Context, with, without *Map, obs []Observation, among []orient.Rotation) (float64, error) {
	if len(among) == 0 {
		return 0, errors.New("trials saved need at least one orientation to be compared at")
	}
	est := make([]Estimate, len(among))
	with.Predict(est, among)
	target := 0.0
	for _, e := range est {
		target += lossToCome(e.Mean, e.SD) / float64(len(among))
	}
	reached := func(further float64) (bool, error) {
		all := append([]Observation(nil), obs...)
		for i, e := range est {
			each := further / float64(len(among))
			all = append(all, Observation{among[i], each * e.P, each})
		}
		d, err := gather(all)
		if err != nil {
			return false, err
		}
		e, err := newEngine(without.basis.Degree(), without.basis.Symmetry(), d, without.tune.intercept, without.workers)
		if err != nil {
			return false, err
		}
		mode, err := e.findMode(ctx, without.hyper, without.coef, without.tune.tolerance)
		if err != nil {
			return false, err
		}
		e.covariance()
		form := make([]float64, e.double.Len())
		e.product.Quadratic(form, e.inverse)
		variance := e.data
		if err := e.torus.Evaluate(variance, e.double, form, e.points); err != nil {
			return false, err
		}
		loss := 0.0
		for i := range among {
			at := d.of[len(obs)+i]
			loss += lossToCome(mode.logOdds[at], math.Sqrt(math.Max(variance[at], 0)+mode.prior.tail)) / float64(len(among))
		}
		return loss <= target, nil
	}
	low, high := 0.0, 8.0
	if done, err := reached(0); done || err != nil {
		return 0, err
	}
	for {
		done, err := reached(high)
		if err != nil {
			return 0, err
		}
		if done {
			break
		}
		if low = high; high >= mostSaved {
			return mostSaved * with.summary.PriorTrust, nil
		}
		high = math.Min(2*high, mostSaved)
	}
	for range 6 {
		middle := (low + high) / 2
		done, err := reached(middle)
		if err != nil {
			return 0, err
		}
		if done {
			high = middle
		} else {
			low = middle
		}
	}
	return (low + high) / 2 * with.summary.PriorTrust, nil
}

// lossToCome is the expected log loss, beyond the truth's own, of stating the expected probability where the log-odds are
// normal: the entropy of the mean less the mean entropy.
func lossToCome(mean, sd float64) float64 {
	if !(sd > 0) {
		return 0
	}
	step := math.Min(0.25, 0.5/sd)
	p, inner, total := 0.0, 0.0, 0.0
	for i, half := 0, int(6.5/step); i <= 2*half; i++ {
		z := step * float64(i-half)
		w := math.Exp(-z * z / 2)
		f := mean + sd*z
		q := expit(f)
		p += w * q
		inner += w * (softplus(f) - q*f)
		total += w
	}
	p, inner = p/total, inner/total
	return math.Max(-timesLog(p, p)-timesLog(1-p, 1-p)-inner, 0)
}
