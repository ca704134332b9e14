package successmap

import (
	"fmt"
	"math"
	"sort"
)

// Forecast is a probability stated before, and the counts that came after.
type Forecast struct {
	P            float64
	Held, Trials float64
}

// Scores are proper scores of forecasts: a forecaster can only worsen their expectation by stating anything but what
// he believes (T. Gneiting, A. E. Raftery, "Strictly proper scoring rules, prediction, and estimation", JASA 102 (2007)
// 359; from memory).
type Scores struct {
	Trials  float64
	LogLoss float64 // mean of −ln(probability given to what happened), nats a trial
	Brier   float64 // mean squared difference of probability and outcome
	// Reliability − Resolution + Uncertainty is the Brier score of forecasts grouped by value (A. H. Murphy, "A new
	// vector partition of the probability score", J. Appl. Meteor. 12 (1973) 595; from memory).
	Reliability, Resolution, Uncertainty float64
}

// Score computes the scores. Forecasts of exactly 0 or 1 that were wrong give an infinite log loss.
func Score(forecasts []Forecast) (Scores, error) {
	var s Scores
	held := 0.0
	type group struct{ held, trials float64 }
	groups := map[float64]*group{}
	var order []float64
	for i, f := range forecasts {
		if !(f.P >= 0 && f.P <= 1) || !(f.Held >= 0) || !(f.Trials >= f.Held) || math.IsInf(f.Trials, 0) {
			return s, fmt.Errorf("forecast %d: probability %g, %g held of %g; probabilities lie between 0 and 1, held between 0 and trials", i+1, f.P, f.Held, f.Trials)
		}
		missed := f.Trials - f.Held
		s.Trials += f.Trials
		held += f.Held
		s.LogLoss -= timesLog(f.Held, f.P) + timesLog(missed, 1-f.P)
		s.Brier += f.Held*(1-f.P)*(1-f.P) + missed*f.P*f.P
		g, ok := groups[f.P]
		if !ok {
			g = &group{}
			groups[f.P] = g
			order = append(order, f.P)
		}
		g.held += f.Held
		g.trials += f.Trials
	}
	if s.Trials == 0 {
		return s, fmt.Errorf("there is no trial to score")
	}
	base := held / s.Trials
	sort.Float64s(order)
	for _, p := range order {
		g := groups[p]
		if g.trials == 0 {
			continue
		}
		rate := g.held / g.trials
		s.Reliability += g.trials * (p - rate) * (p - rate)
		s.Resolution += g.trials * (rate - base) * (rate - base)
	}
	s.LogLoss /= s.Trials
	s.Brier /= s.Trials
	s.Reliability /= s.Trials
	s.Resolution /= s.Trials
	s.Uncertainty = base * (1 - base)
	return s, nil
}

// timesLog is n·ln p with 0·ln 0 = 0.
func timesLog(n, p float64) float64 {
	if n == 0 {
		return 0
	}
	return n * math.Log(p)
}

// Bin is a row of a calibration table: forecasts in [From, To), the last bin closed above.
type Bin struct {
	From, To float64
	Trials   float64
	Forecast float64 // mean forecast; NaN without trials
	Held     float64 // share held; NaN without trials
}

// calibrationEdges are the bins' edges, ten of equal width. An error of calibration depends on the bins, so tables
// always show them.
var calibrationEdges = []float64{0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1}

// Calibrate puts forecasts into ten bins of equal width.
func Calibrate(forecasts []Forecast) []Bin {
	bins := make([]Bin, len(calibrationEdges)-1)
	for i := range bins {
		bins[i].From, bins[i].To = calibrationEdges[i], calibrationEdges[i+1]
	}
	for _, f := range forecasts {
		i := min(sort.SearchFloat64s(calibrationEdges, math.Nextafter(f.P, 2))-1, len(bins)-1)
		b := &bins[max(i, 0)]
		b.Trials += f.Trials
		b.Forecast += f.Trials * f.P
		b.Held += f.Held
	}
	for i := range bins {
		bins[i].Forecast /= bins[i].Trials
		bins[i].Held /= bins[i].Trials
	}
	return bins
}
