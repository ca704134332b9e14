package successmap

import "holdfast/numeric/dense"

// link is meanExpit for one standard deviation, tabulated: posterior draws put millions of log-odds through it, all
// with the same standard deviation, that of what lies beyond the degree.
type link struct {
	value []float64 // at the nodes
	slope []float64 // per node step
}

// The table reaches where the link is flat to 1e-9 for the standard deviations that priors have; beyond it the end
// values hold. Cubic interpolation between nodes 1/16 apart errs by less than 1e-8.
const (
	linkReach = 24.0
	linkSteps = 16 // a unit of log-odds
)

func newLink(sd float64) *link {
	n := int(2*linkReach*linkSteps) + 1
	l := &link{value: make([]float64, n), slope: make([]float64, n)}
	for i := range n {
		l.value[i] = meanExpit(float64(i)/linkSteps-linkReach, sd)
	}
	for i := 2; i < n-2; i++ {
		// Central difference of fourth order.
		l.slope[i] = (l.value[i-2] - 8*l.value[i-1] + 8*l.value[i+1] - l.value[i+2]) / 12
	}
	return l
}

func (l *link) at(f float64) float64 {
	x := (f + linkReach) * linkSteps
	if !(x > 0) {
		return l.value[0]
	}
	i := int(x)
	if i >= len(l.value)-1 {
		return l.value[len(l.value)-1]
	}
	t := x - float64(i)
	a, b := l.value[i], l.value[i+1]
	// Hermite's cubic.
	u := 1 - t
	return a*(1+2*t)*u*u + b*t*t*(3-2*t) + t*u*(l.slope[i]*u-l.slope[i+1]*t)
}

// through puts values through the link in place, by several goroutines.
func (l *link) through(values []float64, workers int) {
	const chunk = 4096
	dense.InParallel((len(values)+chunk-1)/chunk, workers, func(c int) {
		part := values[c*chunk : min(len(values), (c+1)*chunk)]
		for i, f := range part {
			part[i] = l.at(f)
		}
	})
}
