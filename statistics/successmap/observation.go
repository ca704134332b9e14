package successmap

import (
	"fmt"
	"math"

	"holdfast/orient"
)

// Observation is the count of successes at one orientation: one trial (Trials 1, Held 0 or 1) or several together.
// Counts may be fractions where trials are weighted.
type Observation struct {
	R            orient.Rotation
	Held, Trials float64
}

// distinct are observations with equal orientations put together, in order of first appearance.
type distinct struct {
	rotations    []orient.Rotation
	held, trials []float64
	of           []int // observation → index here
}

func gather(obs []Observation) (*distinct, error) {
	d := &distinct{of: make([]int, len(obs))}
	known := make(map[orient.Rotation]int, len(obs))
	for i, o := range obs {
		r, ok := o.R.Normalized()
		if !ok {
			return nil, fmt.Errorf("observation %d: its orientation is not a quaternion of positive, finite length", i+1)
		}
		if !(o.Trials >= 0) || !(o.Held >= 0) || o.Held > o.Trials || math.IsInf(o.Trials, 0) {
			return nil, fmt.Errorf("observation %d: %g held of %g trials; held must lie between 0 and the number of trials", i+1, o.Held, o.Trials)
		}
		r = r.Canonical()
		at, seen := known[r]
		if !seen {
			at = len(d.rotations)
			known[r] = at
			d.rotations = append(d.rotations, r)
			d.held, d.trials = append(d.held, 0), append(d.trials, 0)
		}
		d.of[i] = at
		d.held[at] += o.Held
		d.trials[at] += o.Trials
	}
	return d, nil
}

func (d *distinct) totals() (held, trials float64) {
	for i, t := range d.trials {
		held += d.held[i]
		trials += t
	}
	return held, trials
}
