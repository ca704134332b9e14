package simfit

import (
	"fmt"
	"math"
	"sort"

	"holdfast/numeric"
)

// Parameter is a quantity of the simulation that the bench trials shall tell.
type Parameter struct {
	Name     string
	Min, Max float64 // range, in the simulation's unit
	Log      bool    // the scale is the natural logarithm, so the range must be positive; else linear

	// The prior is uniform on the scale when SD is 0, else normal on the scale with the mean Mean (given in the
	// parameter's unit) and the standard deviation SD (on the scale: for a logarithmic one of the natural logarithm),
	// cut off at the range.
	Mean, SD float64
}

func (p Parameter) check() error {
	switch {
	case p.Name == "":
		return fmt.Errorf("a parameter has no name")
	case !(p.Min < p.Max) || math.IsInf(p.Max-p.Min, 0):
		return fmt.Errorf("parameter %s: its range %g to %g is empty or not finite", p.Name, p.Min, p.Max)
	case p.Log && p.Min <= 0:
		return fmt.Errorf("parameter %s: a logarithmic scale needs a range above 0, not from %g", p.Name, p.Min)
	case !(p.SD >= 0) || math.IsInf(p.SD, 0):
		return fmt.Errorf("parameter %s: its prior's standard deviation is %g; it must be 0 (uniform) or a positive number", p.Name, p.SD)
	case p.SD > 0 && !(p.Mean >= p.Min && p.Mean <= p.Max):
		return fmt.Errorf("parameter %s: its prior's mean %g lies outside its range %g to %g", p.Name, p.Mean, p.Min, p.Max)
	}
	return nil
}

func (p Parameter) scale(x float64) float64 {
	if p.Log {
		return math.Log(x)
	}
	return x
}

// value turns a place in the range, 0 … 1 along the scale, into the parameter's unit.
func (p Parameter) value(u float64) float64 {
	if p.Log {
		return math.Min(math.Max(math.Exp(math.Log(p.Min)+u*math.Log(p.Max/p.Min)), p.Min), p.Max)
	}
	return p.Min + u*(p.Max-p.Min)
}

// place is the inverse of value.
func (p Parameter) place(x float64) float64 {
	return (p.scale(x) - p.scale(p.Min)) / (p.scale(p.Max) - p.scale(p.Min))
}

// logPrior is the logarithm of the prior density over places, up to a constant.
func (p Parameter) logPrior(u float64) float64 {
	if p.SD == 0 {
		return 0
	}
	z := (u - p.place(p.Mean)) * (p.scale(p.Max) - p.scale(p.Min)) / p.SD
	return -z * z / 2
}

// quantile returns the place below which the prior has the probability q.
func (p Parameter) quantile(q float64) float64 {
	if p.SD == 0 {
		return q
	}
	width := p.scale(p.Max) - p.scale(p.Min)
	at := p.place(p.Mean)
	low, high := numeric.NormalCDF(-at*width/p.SD), numeric.NormalCDF((1-at)*width/p.SD)
	u := at + numeric.NormalQuantile(low+q*(high-low))*p.SD/width
	return math.Min(math.Max(u, 0), 1)
}

// priorMoments returns mean and standard deviation of the prior over places.
func (p Parameter) priorMoments() (mean, sd float64) {
	if p.SD == 0 {
		return 0.5, 1 / math.Sqrt(12)
	}
	const n = 400
	square := 0.0
	for i := range n {
		u := p.quantile((float64(i) + 0.5) / n)
		mean += u / n
		square += u * u / n
	}
	return mean, math.Sqrt(math.Max(square-mean*mean, 1e-12))
}

// weightedQuantile returns the value below which a share q of the weight lies; values and weights go together and stay
// as they are.
func weightedQuantile(values, weights []float64, q float64) float64 {
	order := make([]int, len(values))
	total := 0.0
	for i := range order {
		order[i] = i
		total += weights[i]
	}
	sort.Slice(order, func(a, b int) bool {
		if values[order[a]] != values[order[b]] {
			return values[order[a]] < values[order[b]]
		}
		return order[a] < order[b]
	})
	// A value stands for the middle of its own weight; between two values the quantile goes straight.
	below, lastX, lastW := 0.0, math.NaN(), 0.0
	for _, i := range order {
		if weights[i] <= 0 {
			continue
		}
		middle := below + weights[i]/2
		if middle >= q*total {
			if math.IsNaN(lastX) {
				return values[i]
			}
			return lastX + (values[i]-lastX)*(q*total-lastW)/(middle-lastW)
		}
		below += weights[i]
		lastX, lastW = values[i], middle
	}
	return lastX
}
