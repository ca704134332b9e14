package detect

import (
	"fmt"
	"math"
	"sort"

	"holdfast/numeric"
)

// JudgedRecord is a record of which it is known what happened, and what a detector told of it.
type JudgedRecord struct {
	From, To float64      // s, between which the detector was on duty
	Events   [][2]float64 // s, from and to of what it was to find, in order; none: nothing happened
	Alarms   []float64    // s, of its alarms
	Peak     float64      // its largest score
	After    float64      // s after an event in which an alarm is neither right nor false: a release, a ringing out
}

// Judgement says how well a detector did.
type Judgement struct {
	Records, With int // records, and those in which something happened
	Events, Found int
	Low, High     float64 // exact limits of the share found (C. J. Clopper and E. S. Pearson, Biometrika 26, 1934)
	Delays        []float64
	FalseAlarms   int
	Hours         float64    // without event
	RateLow, Rate float64    // false alarms an hour, with exact limits of a Poisson count (F. Garwood, Biometrika 28, 1936)
	RateHigh      float64    //
	Area          *Area      // of the records' peaks, those with events against those without; nil where one kind is missing
	Curve         []ROCPoint // likewise
}

// MedianDelay is that from the start of an event to the alarm, s; NaN when none was found.
func (j *Judgement) MedianDelay() float64 {
	n := len(j.Delays)
	if n == 0 {
		return math.NaN()
	}
	return (j.Delays[(n-1)/2] + j.Delays[n/2]) / 2
}

// Judge counts an event as found when an alarm falls between its start and its end; every alarm outside of events is false.
func Judge(list []JudgedRecord, level float64) (*Judgement, error) {
	if len(list) == 0 || !(level > 0 && level < 1) {
		return nil, fmt.Errorf("judging needs records and a level between 0 and 1; got %d and %g", len(list), level)
	}
	j := &Judgement{Records: len(list)}
	var with, without []float64
	for i, r := range list {
		if !(r.To > r.From) {
			return nil, fmt.Errorf("record %d lasts from %g s to %g s; nothing is left after its quiet start", i+1, r.From, r.To)
		}
		if err := j.count(&r); err != nil {
			return nil, fmt.Errorf("record %d: %w", i+1, err)
		}
		if len(r.Events) > 0 {
			with = append(with, r.Peak)
		} else {
			without = append(without, r.Peak)
		}
	}
	j.With = len(with)
	sort.Float64s(j.Delays)
	tail := (1 - level) / 2
	j.High = 1
	if n, k := float64(j.Events), float64(j.Found); j.Found > 0 {
		j.Low = numeric.BetaQuantile(k, n-k+1, tail)
	}
	if n, k := float64(j.Events), float64(j.Found); j.Found < j.Events {
		j.High = numeric.BetaQuantile(k+1, n-k, 1-tail)
	}
	if j.Hours > 0 {
		k := float64(j.FalseAlarms)
		j.Rate, j.RateHigh = k/j.Hours, numeric.ChiSquareQuantile(1-tail, 2*k+2)/2/j.Hours
		if k > 0 {
			j.RateLow = numeric.ChiSquareQuantile(tail, 2*k) / 2 / j.Hours
		}
	}
	if len(with) > 0 && len(without) > 0 {
		a, err := AUC(with, without, level)
		if err != nil {
			return nil, err
		}
		j.Area = &a
		if j.Curve, err = ROC(with, without); err != nil {
			return nil, err
		}
	}
	return j, nil
}

// count adds a record.
func (j *Judgement) count(r *JudgedRecord) error {
	busy, until := 0.0, r.From
	last := r.From
	for _, e := range r.Events {
		if !(e[0] >= last && e[1] > e[0] && e[1] <= r.To) {
			return fmt.Errorf("an event from %g s to %g s must lie after the one before, after the quiet start at %g s, and before the end at %g s", e[0], e[1], r.From, r.To)
		}
		last = e[1]
		end := math.Min(e[1]+r.After, r.To)
		busy += end - math.Max(e[0], until)
		until = end
		j.Events++
		for _, t := range r.Alarms {
			if t >= e[0] && t <= e[1] {
				j.Found++
				j.Delays = append(j.Delays, t-e[0])
				break
			}
		}
	}
	j.Hours += (r.To - r.From - busy) / 3600
	for _, t := range r.Alarms {
		inside := t < r.From
		for _, e := range r.Events {
			inside = inside || t >= e[0] && t <= e[1]+r.After
		}
		if !inside {
			j.FalseAlarms++
		}
	}
	return nil
}
