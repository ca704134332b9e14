package detect

import (
	"fmt"
	"math"

	"holdfast/numeric"
	"holdfast/numeric/leastsquares"
)

// CUSUM is a one-sided cumulative sum S ← max(0, S + z − K) that alarms at S ≥ H
// (E. S. Page, "Continuous inspection schemes", Biometrika 41, 1954). z are
// standardised readings; a change of 2K standard deviations is found soonest.
type CUSUM struct {
	K, H float64 // reference value and threshold, in standard deviations
	Head float64 // where the sum starts: 0, or H/2 for a fast first response (J. M. Lucas and R. B. Crosier, Technometrics 24, 1982)

	sum     float64
	started bool
}

// Add takes one reading and reports the sum and whether it alarms. After an alarm
// the sum starts anew with the next reading.
func (c *CUSUM) Add(z float64) (sum float64, alarm bool) {
	if !c.started {
		c.sum, c.started = c.Head, true
	}
	c.sum = max(0, c.sum+z-c.K)
	if c.sum >= c.H {
		c.started = false
		return c.sum, true
	}
	return c.sum, false
}

// nodes is how many points the integral equation is solved at.
const nodes = 80

// RunLength returns the average number of independent normal readings of mean
// (standard deviations) until a one-sided sum with k, h > 0 and the start head in
// [0, h) alarms: the integral equation of Page's scheme, solved at the nodes of
// Gauss and Legendre (method as in S. Knoth's description of the R package spc).
// NaN outside these bounds.
func RunLength(k, h, mean, head float64) float64 {
	if !(h > 0) || math.IsInf(h, 0) || math.IsNaN(k+mean) || math.IsInf(k+mean, 0) || !(head >= 0 && head < h) {
		return math.NaN()
	}
	x, w := gaussLegendre(nodes, 0, h)
	// Unknown 0 is the run length from 0, which the sum reaches with a probability of its own; the rest are those from the nodes.
	rows, ones := make([][]float64, nodes+1), make([]float64, nodes+1)
	from := func(s float64) []float64 {
		row := make([]float64, nodes+1)
		row[0] = numeric.NormalCDF(k - mean - s)
		for j := range x {
			row[j+1] = w[j] * density(x[j]+k-mean-s)
		}
		return row
	}
	for i := range rows {
		s := 0.0
		if i > 0 {
			s = x[i-1]
		}
		row := from(s)
		for j := range row {
			row[j] = -row[j]
		}
		row[i]++
		rows[i], ones[i] = row, 1
	}
	f, err := leastsquares.Linear(rows, ones)
	if err != nil {
		return math.Inf(1) // an alarm is so rare that the equation is singular to within rounding
	}
	length := 1.0
	for j, v := range from(head) {
		length += v * f.Coefficients[j]
	}
	if !(length >= 1) {
		return math.Inf(1)
	}
	return length
}

// TwoSidedRunLength is that of an upper and a lower sum run together, by
// 1/L = 1/L⁺ + 1/L⁻ (exact for sums from 0 with 2K reaching their sum; K. W. Kemp, 1961,
// from memory).
func TwoSidedRunLength(k, h, mean float64) float64 {
	return 1 / (1/RunLength(k, h, mean, 0) + 1/RunLength(k, h, -mean, 0))
}

// SiegmundRunLength is the closed form of D. Siegmund, Sequential Analysis, 1985
// (from memory), a check of [RunLength] within about one in a hundred.
func SiegmundRunLength(k, h, mean float64) float64 {
	d, b := mean-k, h+1.166
	if math.Abs(d*b) < 1e-4 {
		return b * b * (1 - 2*d*b/3)
	}
	return (math.Exp(-2*d*b) + 2*d*b - 1) / (2 * d * d)
}

// Threshold returns the h at which the average run length of independent readings
// without change is length > 1 readings, for one sum or two.
func Threshold(k, length float64, twoSided bool) (float64, error) {
	if !(k > 0) || math.IsInf(k, 0) || !(length > 2) || length > 1e10 {
		return 0, fmt.Errorf("a threshold needs a reference value above 0 and 2 to 1e10 readings between false alarms; got %g and %g", k, length)
	}
	run := func(h float64) float64 {
		if twoSided {
			return TwoSidedRunLength(k, h, 0)
		}
		return RunLength(k, h, 0, 0)
	}
	low, high := 1e-6, 1.0
	if run(low) >= length {
		return 0, fmt.Errorf("with the reference value %g single readings alarm less often than asked; take a smaller one", k)
	}
	for run(high) < length {
		low, high = high, 2*high
	}
	for range 60 {
		m := (low + high) / 2
		if run(m) < length {
			low = m
		} else {
			high = m
		}
		if high-low < 1e-10*high {
			break
		}
	}
	return high, nil
}

// Readings returns the run length that perHour false alarms in an hour allow at
// rate readings a second.
func Readings(perHour, rate float64) float64 { return 3600 * rate / perHour }

func density(x float64) float64 { return math.Exp(-x*x/2) / math.Sqrt(2*math.Pi) }

// gaussLegendre returns n nodes and weights on [a, b], by Newton's steps on the
// Legendre polynomial.
func gaussLegendre(n int, a, b float64) (x, w []float64) {
	x, w = make([]float64, n), make([]float64, n)
	for i := range n {
		t := math.Cos(math.Pi * (float64(i) + 0.75) / (float64(n) + 0.5))
		slope := 0.0
		for range 100 {
			p, last := 1.0, 0.0
			for k := 1; k <= n; k++ {
				p, last = ((2*float64(k)-1)*t*p-(float64(k)-1)*last)/float64(k), p
			}
			slope = float64(n) * (t*p - last) / (t*t - 1)
			step := p / slope
			if t -= step; math.Abs(step) < 1e-15 {
				break
			}
		}
		x[n-1-i] = (a+b)/2 + (b-a)/2*t
		w[n-1-i] = (b - a) / ((1 - t*t) * slope * slope)
	}
	return x, w
}
