package calibrate

import (
	"fmt"
	"math"

	"holdfast/numeric"
)

// Inverse is the reference that belongs to a signal.
type Inverse struct {
	Value     float64
	Low, High float64 // limits at the level asked; −∞ or +∞ where the readings set none
}

// Invert returns the reference at which the curve gives the signal, and the
// references whose prediction interval holds it. For a straight line these are
// Fieller's limits (E. C. Fieller, "Some problems in interval estimation", Journal
// of the Royal Statistical Society B 16, 1954; from memory). Signals that the curve
// does not reach within its range, widened by a tenth, and curves that turn back
// inside the range are errors.
func (p *Polynomial) Invert(signal, temperature, level float64) (Inverse, error) {
	if p.Degree == 1 && !p.Temperature {
		return p.invertLine(signal, level)
	}
	const cells = 400
	wide := 0.1 * (p.High - p.Low)
	low, high := p.Low-wide, p.High+wide
	at := func(i int) float64 { return low + (high-low)*float64(i)/cells }
	value := func(x float64) float64 { return p.Predict(x, temperature, level).Value }
	sign := 0.0
	for i := range cells {
		if at(i) < p.Low || at(i+1) > p.High {
			continue
		}
		step := value(at(i+1)) - value(at(i))
		if step == 0 || sign*step < 0 {
			return Inverse{}, fmt.Errorf("the curve turns back near %.4g, so a signal does not say which side; take a lower degree or a monotone curve", at(i))
		}
		sign = step
	}
	sign = math.Copysign(1, sign)
	// crossing goes from a place outwards, cell by cell, to where f changes its sign; NaN when it never does.
	crossing := func(f func(x float64) float64, from, to float64) float64 {
		last := f(from)
		for i := 1; i <= cells; i++ {
			a, b := from+(to-from)*float64(i-1)/cells, from+(to-from)*float64(i)/cells
			next := f(b)
			if (last <= 0) != (next <= 0) {
				return bisect(f, a, b)
			}
			last = next
		}
		return math.NaN()
	}
	x := crossing(func(x float64) float64 { return sign * (value(x) - signal) }, low, high)
	if math.IsNaN(x) {
		return Inverse{}, fmt.Errorf("the signal %.6g lies outside what was calibrated; the curve gives %.6g to %.6g", signal, value(p.Low), value(p.High))
	}
	outside := func(x float64) float64 {
		b := p.Predict(x, temperature, level)
		return max(signal-b.High, b.Low-signal)
	}
	out := Inverse{Value: x, Low: crossing(outside, x, low), High: crossing(outside, x, high)}
	if math.IsNaN(out.Low) {
		out.Low = math.Inf(-1)
	}
	if math.IsNaN(out.High) {
		out.High = math.Inf(1)
	}
	return out, nil
}

func (p *Polynomial) invertLine(signal, level float64) (Inverse, error) {
	slope := p.fit.Coefficients[1]
	if slope == 0 {
		return Inverse{}, fmt.Errorf("the signal does not change with the reference")
	}
	n := float64(p.DF + 2)
	// u has mean zero, so the constant's error does not mix with the slope's.
	u := (signal - p.fit.Coefficients[0]) / slope
	t := numeric.StudentQuantile((1+level)/2, float64(p.DF))
	leverage := p.fit.Leverage([]float64{0, 1})
	g := t * t * p.SD * p.SD * leverage / (slope * slope)
	out := Inverse{Value: p.Center + p.Scale*u, Low: math.Inf(-1), High: math.Inf(1)}
	if g >= 1 {
		return out, nil
	}
	half := t * p.SD / math.Abs(slope) * math.Sqrt(u*u*leverage+(1-g)*(1+1/n))
	out.Low = p.Center + p.Scale*(u-half)/(1-g)
	out.High = p.Center + p.Scale*(u+half)/(1-g)
	return out, nil
}

// bisect returns the root of f between two places where its sign differs.
func bisect(f func(float64) float64, a, b float64) float64 {
	below := f(a) <= 0
	for range 100 {
		m := (a + b) / 2
		if m == a || m == b {
			break
		}
		if (f(m) <= 0) == below {
			a = m
		} else {
			b = m
		}
	}
	return (a + b) / 2
}
