package calibrate

import (
	"fmt"
	"math"
	"sort"
)

// Isotonic returns the never-falling values nearest to y in least squares with
// weights w (nil for equal ones): neighbours that fall are pooled until none does.
// M. Ayer et al., "An empirical distribution function for sampling with incomplete
// information", Annals of Mathematical Statistics 26, 1955; from memory.
func Isotonic(y, w []float64) []float64 {
	type block struct {
		mean, weight float64
		count        int
	}
	var blocks []block
	for i, v := range y {
		weight := 1.0
		if w != nil {
			weight = w[i]
		}
		b := block{v, weight, 1}
		for len(blocks) > 0 && blocks[len(blocks)-1].mean >= b.mean {
			last := blocks[len(blocks)-1]
			total := last.weight + b.weight
			b = block{(last.mean*last.weight + b.mean*b.weight) / total, total, last.count + b.count}
			blocks = blocks[:len(blocks)-1]
		}
		blocks = append(blocks, b)
	}
	out := make([]float64, 0, len(y))
	for _, b := range blocks {
		for range b.count {
			out = append(out, b.mean)
		}
	}
	return out
}

// Monotone is a smooth curve through points that never turns between them.
type Monotone struct{ x, y, slope []float64 }

// NewMonotone puts a piecewise cubic through at least two points whose x rise
// strictly, with the slopes of F. N. Fritsch and J. Butland, "A method for
// constructing local monotone piecewise cubic interpolants", SIAM Journal on
// Scientific and Statistical Computing 5, 1984 (weighted harmonic means, three-point
// ends; from memory). Where the points rise the curve rises.
func NewMonotone(x, y []float64) (*Monotone, error) {
	n := len(x)
	if n < 2 || len(y) != n {
		return nil, fmt.Errorf("a curve needs at least two points; got %d x and %d y", n, len(y))
	}
	for i := range n {
		if math.IsNaN(x[i]+y[i]) || math.IsInf(x[i], 0) || math.IsInf(y[i], 0) || i > 0 && !(x[i] > x[i-1]) {
			return nil, fmt.Errorf("point %d (%g, %g): x must rise strictly and both be finite", i+1, x[i], y[i])
		}
	}
	m := &Monotone{append([]float64(nil), x...), append([]float64(nil), y...), make([]float64, n)}
	h, d := make([]float64, n-1), make([]float64, n-1)
	for i := range n - 1 {
		h[i] = x[i+1] - x[i]
		d[i] = (y[i+1] - y[i]) / h[i]
	}
	if n == 2 {
		m.slope[0], m.slope[1] = d[0], d[0]
		return m, nil
	}
	for i := 1; i < n-1; i++ {
		if d[i-1]*d[i] > 0 {
			w1, w2 := 2*h[i]+h[i-1], h[i]+2*h[i-1]
			m.slope[i] = (w1 + w2) / (w1/d[i-1] + w2/d[i])
		}
	}
	m.slope[0] = endSlope(h[0], h[1], d[0], d[1])
	m.slope[n-1] = endSlope(h[n-2], h[n-3], d[n-2], d[n-3])
	return m, nil
}

// endSlope is the three-point slope at an end, held back so that the curve does not turn.
func endSlope(h0, h1, d0, d1 float64) float64 {
	s := ((2*h0+h1)*d0 - h0*d1) / (h0 + h1)
	switch {
	case s*d0 <= 0:
		return 0
	case d0*d1 <= 0 && math.Abs(s) > 3*math.Abs(d0):
		return 3 * d0
	}
	return s
}

// At returns the curve at x; outside the points it goes on straight with the end's
// slope.
func (m *Monotone) At(x float64) float64 {
	n := len(m.x)
	switch {
	case x <= m.x[0]:
		return m.y[0] + m.slope[0]*(x-m.x[0])
	case x >= m.x[n-1]:
		return m.y[n-1] + m.slope[n-1]*(x-m.x[n-1])
	}
	i := sort.SearchFloat64s(m.x, x)
	if m.x[i] > x {
		i--
	}
	h := m.x[i+1] - m.x[i]
	s := (x - m.x[i]) / h
	return m.y[i]*(1+2*s)*(1-s)*(1-s) + m.slope[i]*h*s*(1-s)*(1-s) + m.y[i+1]*s*s*(3-2*s) + m.slope[i+1]*h*s*s*(s-1)
}

// Invert returns the x at which a curve through rising or falling points gives y,
// and the two ends of a level stretch when it does so on one. y outside the points
// or a curve that is neither rising nor falling is an error.
func (m *Monotone) Invert(y float64) (low, high float64, err error) {
	n := len(m.x)
	sign := math.Copysign(1, m.y[n-1]-m.y[0])
	for i := 1; i < n; i++ {
		if sign*(m.y[i]-m.y[i-1]) < 0 {
			return 0, 0, fmt.Errorf("the curve turns back at x = %g; it can not be read backwards", m.x[i-1])
		}
	}
	if sign*(y-m.y[0]) < 0 || sign*(y-m.y[n-1]) > 0 || math.IsNaN(y) {
		return 0, 0, fmt.Errorf("the signal %.6g lies outside what was calibrated, %.6g to %.6g", y, m.y[0], m.y[n-1])
	}
	first := sort.Search(n, func(i int) bool { return sign*(m.y[i]-y) >= 0 })
	if m.y[first] == y {
		last := first
		for last+1 < n && m.y[last+1] == y {
			last++
		}
		return m.x[first], m.x[last], nil
	}
	x := bisect(func(x float64) float64 { return sign * (m.At(x) - y) }, m.x[first-1], m.x[first])
	return x, x, nil
}
