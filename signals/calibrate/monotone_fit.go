package calibrate

import (
	"fmt"
	"math"
	"slices"

	"holdfast/numeric"
)

// MonotoneFit is a signal as a curve of the reference that never turns back, for sensors that no polynomial fits.
type MonotoneFit struct {
	Curve  *Monotone
	Rising bool
	// References are the distinct ones, rising, and Signals what the curve has there: means of the readings, pooled with their
	// neighbours' where they would turn back.
	References, Signals []float64
	SD                  float64 // residual standard deviation of the signal; NaN where no reading is left to tell it
	DF                  int     // of SD: readings less the distinct levels of the curve
	R2                  float64

	each float64 // readings behind a level, on the average
}

// FitMonotone fits signal by a rising or falling curve, whichever is nearer: means at each reference, [Isotonic], and
// [NewMonotone] through them. The degrees of freedom count a level as one (M. Meyer and M. Woodroofe, "On the degrees of
// freedom in shape-restricted regression", Annals of Statistics 28, 2000; from memory).
func FitMonotone(reference, signal []float64) (*MonotoneFit, error) {
	n := len(reference)
	if len(signal) != n || n < 2 {
		return nil, fmt.Errorf("%d references and %d signals; two or more pairs are needed", n, len(signal))
	}
	order := make([]int, n)
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		switch {
		case reference[a] < reference[b]:
			return -1
		case reference[a] > reference[b]:
			return 1
		}
		return 0
	})
	var at, mean, weight []float64
	for _, i := range order {
		if k := len(at) - 1; k >= 0 && at[k] == reference[i] {
			weight[k]++
			mean[k] += (signal[i] - mean[k]) / weight[k]
			continue
		}
		at, mean, weight = append(at, reference[i]), append(mean, signal[i]), append(weight, 1)
	}
	if len(at) < 2 {
		return nil, fmt.Errorf("all readings were taken at the reference %g; take them over the range that is to be read", at[0])
	}
	best := &MonotoneFit{}
	least := math.Inf(1)
	for _, rising := range []bool{true, false} {
		levels := pooled(mean, weight, rising)
		rest := 0.0
		for k, v := range levels {
			rest += weight[k] * (mean[k] - v) * (mean[k] - v)
		}
		if rest < least {
			least, best.Rising, best.Signals = rest, rising, levels
		}
	}
	if best.Signals[0] == best.Signals[len(at)-1] {
		return nil, fmt.Errorf("the signal does not change with the reference")
	}
	best.References = at
	var err error
	if best.Curve, err = NewMonotone(at, best.Signals); err != nil {
		return nil, err
	}
	best.scatter(reference, signal)
	return best, nil
}

func pooled(mean, weight []float64, rising bool) []float64 {
	if rising {
		return Isotonic(mean, weight)
	}
	turned := make([]float64, len(mean))
	for i, v := range mean {
		turned[i] = -v
	}
	turned = Isotonic(turned, weight)
	for i := range turned {
		turned[i] = -turned[i]
	}
	return turned
}

func (m *MonotoneFit) scatter(reference, signal []float64) {
	levels := 1
	for k := 1; k < len(m.Signals); k++ {
		if m.Signals[k] != m.Signals[k-1] {
			levels++
		}
	}
	mean, rest, whole := 0.0, 0.0, 0.0
	for _, v := range signal {
		mean += v / float64(len(signal))
	}
	for i, v := range signal {
		d := v - m.Curve.At(reference[i])
		rest += d * d
		whole += (v - mean) * (v - mean)
	}
	m.R2 = 1 - rest/whole
	m.DF, m.SD, m.each = len(signal)-levels, math.NaN(), float64(len(signal))/float64(levels)
	if m.DF > 0 {
		m.SD = math.Sqrt(rest / float64(m.DF))
	}
}

// Invert returns the reference at which the curve gives the signal, the middle of them where it does so on a level stretch, and
// the references at which a further reading would give it with the level asked: those between signal ± t·SD·√(1 + 1/m), m
// readings behind a level (common practice, no source). −∞ or +∞ where the readings set no limit. A signal outside what was
// calibrated is an error.
func (m *MonotoneFit) Invert(signal, level float64) (Inverse, error) {
	a, b, err := m.Curve.Invert(signal)
	if err != nil {
		return Inverse{}, err
	}
	out := Inverse{Value: (a + b) / 2, Low: math.Inf(-1), High: math.Inf(1)}
	if m.DF < 1 {
		return out, nil
	}
	half := numeric.StudentQuantile((1+level)/2, float64(m.DF)) * m.SD * math.Sqrt(1+1/m.each)
	if !m.Rising {
		half = -half
	}
	if low, _, err := m.Curve.Invert(signal - half); err == nil {
		out.Low = low
	}
	if _, high, err := m.Curve.Invert(signal + half); err == nil {
		out.High = high
	}
	return out, nil
}
