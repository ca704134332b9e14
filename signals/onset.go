package signals

import (
	"math"
	"sort"
)

// OnsetByAIC returns the sample k at which x is best split into two stretches of different variance, the least of
// k·ln var(x[:k]) + (N−k−1)·ln var(x[k:]) (N. Maeda, "A method for reading and checking phase times in auto-processing
// system of seismic wave data", 1985; from memory), and that value. It always finds one: ask OnsetByAverages first whether
// there is an onset. −1 for fewer than 4 samples or when no split has two positive variances.
func OnsetByAIC(x []float64) (k int, value float64) {
	n := len(x)
	k, value = -1, math.Inf(1)
	if n < 4 {
		return k, value
	}
	// Variances by running sums of deviations from the first sample, which keeps a constant offset from eating the digits.
	after := make([]float64, n)
	var m moments
	for i := n - 1; i >= 0; i-- {
		m.add(x[i])
		after[i] = m.variance()
	}
	m = moments{}
	for i := range n - 1 {
		m.add(x[i])
		before, rest := m.variance(), after[i+1]
		at := i + 1
		if before <= 0 || rest <= 0 {
			continue
		}
		if v := float64(at)*math.Log(before) + float64(n-at-1)*math.Log(rest); v < value {
			k, value = at, v
		}
	}
	return k, value
}

// moments gathers mean and variance one number at a time (B. P. Welford, 1962; from memory).
type moments struct{ n, mean, sum float64 }

func (m *moments) add(v float64) {
	m.n++
	d := v - m.mean
	m.mean += d / m.n
	m.sum += d * (v - m.mean)
}

func (m *moments) variance() float64 { return m.sum / m.n }

// PowerRatios returns, for every sample, the mean square of the last `short` samples by that of the last `long` ones, both
// up to and with that sample; NaN before there are `long` of them, or in silence.
func PowerRatios(x []float64, short, long int) []float64 {
	r := make([]float64, len(x))
	sum := make([]float64, len(x)+1)
	for i, v := range x {
		sum[i+1] = sum[i] + v*v
	}
	for i := range r {
		if i+1 < long || short < 1 || long < short || sum[i+1] == sum[i+1-long] {
			r[i] = math.NaN()
			continue
		}
		s := (sum[i+1] - sum[i+1-short]) / float64(short)
		l := (sum[i+1] - sum[i+1-long]) / float64(long)
		r[i] = s / l
	}
	return r
}

// OnsetByAverages returns the first sample at which PowerRatios exceeds a threshold, or −1.
func OnsetByAverages(x []float64, short, long int, threshold float64) int {
	for i, r := range PowerRatios(x, short, long) {
		if r > threshold {
			return i
		}
	}
	return -1
}

// RobustDeviation returns 1.4826 times the median distance from the median: the standard deviation for normal noise, hardly
// moved by a few large samples. 0 for no sample.
func RobustDeviation(x []float64) float64 {
	if len(x) == 0 {
		return 0
	}
	d := append([]float64(nil), x...)
	m := median(d)
	for i, v := range d {
		d[i] = math.Abs(v - m)
	}
	return 1.4826 * median(d)
}

// median sorts x.
func median(x []float64) float64 {
	sort.Float64s(x)
	n := len(x)
	if n%2 == 1 {
		return x[n/2]
	}
	return (x[n/2-1] + x[n/2]) / 2
}
