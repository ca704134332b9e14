package simfit

import (
	"math"

	"holdfast/orient"
)

// features are what conditions have in common, one row a condition: the constant, harmonics of the orientation by
// degree, and covariates with their squares and products. The surrogate lets the chance of success and its slopes by
// the parameters depend on them (DESIGN.md eq. 2).
type features struct {
	rows  [][]float64
	class []int  // of each feature: 0 the constant, 1 … 3 the harmonics' degree, 4 covariates
	slope []bool // slopes may depend on it too
}

const (
	mostFeatureDegree = 3
	slopeDegree       = 2
	covariateClass    = mostFeatureDegree + 1
	featureClasses    = covariateClass + 1
)

func newFeatures(conditions []Condition, s orient.Symmetry) (*features, error) {
	f := &features{rows: make([][]float64, len(conditions)), class: []int{0}, slope: []bool{false}}
	// No more functions than half the conditions: each condition has a level of its own anyway.
	h, err := orient.NewHarmonics(mostFeatureDegree, s)
	if err != nil {
		return nil, err
	}
	degree := mostFeatureDegree
	for degree > 0 && 2*h.LenUpTo(degree) > len(conditions) {
		degree--
	}
	count := h.LenUpTo(degree)
	for i := 1; i < count; i++ {
		f.class = append(f.class, h.At(i).L)
		f.slope = append(f.slope, h.At(i).L <= slopeDegree)
	}
	values := make([]float64, h.Len())
	covariates := standardised(conditions)
	for c, condition := range conditions {
		r, _ := condition.R.Normalized()
		h.Values(values, r)
		f.rows[c] = append([]float64{1}, values[1:count]...)
		for i, x := range covariates[c] {
			f.rows[c] = append(f.rows[c], x)
			if c == 0 {
				f.class, f.slope = append(f.class, covariateClass), append(f.slope, true)
			}
			for _, y := range covariates[c][:i+1] {
				f.rows[c] = append(f.rows[c], x*y)
				if c == 0 {
					f.class, f.slope = append(f.class, covariateClass), append(f.slope, false)
				}
			}
		}
	}
	return f, nil
}

// standardised are the covariates with mean 0 and standard deviation 1 over conditions; one that never varies is 0.
func standardised(conditions []Condition) [][]float64 {
	n := float64(len(conditions))
	out := make([][]float64, len(conditions))
	for c := range conditions {
		out[c] = make([]float64, len(conditions[c].Covariates))
	}
	for k := range conditions[0].Covariates {
		mean, square := 0.0, 0.0
		for _, c := range conditions {
			mean += c.Covariates[k] / n
		}
		for _, c := range conditions {
			square += (c.Covariates[k] - mean) * (c.Covariates[k] - mean) / n
		}
		if !(square > 0) {
			continue
		}
		for i, c := range conditions {
			out[i][k] = (c.Covariates[k] - mean) / math.Sqrt(square)
		}
	}
	return out
}
