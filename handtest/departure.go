package handtest

import (
	"fmt"
	"math"
	"slices"

	"holdfast/numeric"
	"holdfast/numeric/leastsquares"
)

// departure adds how far readings leave a line through the origin: the largest distance of the mean reading of one abscissa, as a share
// of the largest such mean, which counts as exact. A largest one has no derivative, and the bootstrap of it fails; so each distance gets
// limits that hold for all together (Bonferroni's; R. G. Miller, Simultaneous Statistical Inference, 1981; from memory), and the largest
// lies between the highest lower and the highest upper one. They are wider than they need be. The scatter is that of readings of one
// abscissa, or, where they were read once, that about a cubic through the origin.
func (r *Report) departure(group string, x, y []float64, slope float64) {
	places := slices.Compact(slices.Sorted(slices.Values(x)))
	sums, counts := map[float64]float64{}, map[float64]float64{}
	squares := 0.0
	for i, v := range x {
		sums[v], counts[v], squares = sums[v]+y[i], counts[v]+1, squares+v*v
	}
	largest, off := 0.0, 0.0
	for _, v := range places {
		mean := sums[v] / counts[v]
		largest, off = max(largest, mean), max(off, math.Abs(mean-slope*v))
	}
	if !(largest > 0) {
		return
	}
	add := func(low, high float64, basis string) {
		r.add("largest departure from the line", group, "share of the largest", off/largest, low, high, basis)
	}
	scatter, df, from := scatterOf(x, y, places, sums, counts)
	if df < 2 {
		add(math.NaN(), math.NaN(), "of the mean at each pressure; no interval: take five pressures or more, or read each twice")
		return
	}
	low, high := 0.0, 0.0
	c := numeric.StudentQuantile(1-(1-r.Level)/(2*float64(len(places))), float64(df))
	for _, v := range places {
		at := math.Abs(sums[v]/counts[v] - slope*v)
		half := c * scatter * math.Sqrt(max(0, 1/counts[v]-v*v/squares))
		low, high = max(low, at-half), max(high, at+half)
	}
	add(low/largest, high/largest, fmt.Sprintf("of the mean at each pressure; Bonferroni's limits of %d, scatter %s", len(places), from))
}

// scatterOf returns the standard deviation of a single reading, its degrees of freedom and what it rests on; 0 degrees where it can not be told.
func scatterOf(x, y, places []float64, sums, counts map[float64]float64) (sd float64, df int, from string) {
	if df = len(x) - len(places); df >= 2 {
		within := 0.0
		for i, v := range x {
			d := y[i] - sums[v]/counts[v]
			within += d * d
		}
		return math.Sqrt(within / float64(df)), df, "of readings of one pressure"
	}
	if len(places) < 5 {
		return 0, 0, ""
	}
	a := make([][]float64, len(x))
	for i, v := range x {
		a[i] = []float64{v, v * v, v * v * v}
	}
	f, err := leastsquares.Linear(a, y)
	if err != nil {
		return 0, 0, ""
	}
	return f.SD, f.DF, "about a cubic through the origin"
}
