package signals

import "fmt"

// SmoothingWeights returns the weights with which an odd number of neighbours give the value (derivative 0) or the slope, the
// curvature … of their least-squares polynomial at the place `at`, counted from the middle one (A. Savitzky, M. J. E. Golay,
// "Smoothing and differentiation of data by simplified least squares procedures", 1964). A derivative is by sample: divide it
// by the sampling interval as often.
func SmoothingWeights(window, order, derivative, at int) ([]float64, error) {
	m := window / 2
	switch {
	case window < 1 || window%2 == 0 || window > 10001:
		return nil, fmt.Errorf("a smoothing window of %d samples is not made: choose an odd number up to 10001", window)
	case order < 0 || order >= window || order > 12:
		return nil, fmt.Errorf("a polynomial of order %d does not go with a window of %d samples (at most 12 and less than the window)", order, window)
	case derivative < 0:
		return nil, fmt.Errorf("derivative %d does not exist", derivative)
	case at < -m || at > m:
		return nil, fmt.Errorf("place %d is outside a window of %d samples", at, window)
	}
	// Gram's polynomials are orthogonal on the window, so no system has to be solved:
	// p[k+1](t) = t·p[k](t) − β[k]·p[k−1](t).
	weights := make([]float64, window)
	prev, cur := make([]float64, window), make([]float64, window)
	for i := range cur {
		cur[i] = 1
	}
	// d[j] is the j-th derivative of the current polynomial at the place.
	dPrev, dCur := make([]float64, derivative+1), make([]float64, derivative+1)
	dCur[0] = 1
	normPrev := 1.0
	for k := 0; ; k++ {
		norm := 0.0
		for _, v := range cur {
			norm += v * v
		}
		for i, v := range cur {
			weights[i] += v * dCur[derivative] / norm
		}
		if k == order {
			return weights, nil
		}
		beta := 0.0
		if k > 0 {
			beta = norm / normPrev
		}
		next, dNext := make([]float64, window), make([]float64, derivative+1)
		for i, v := range cur {
			next[i] = float64(i-m)*v - beta*prev[i]
		}
		for j := range dNext {
			dNext[j] = float64(at)*dCur[j] - beta*dPrev[j]
			if j > 0 {
				dNext[j] += float64(j) * dCur[j-1]
			}
		}
		prev, cur, dPrev, dCur, normPrev = cur, next, dCur, dNext, norm
	}
}

// Smooth replaces each sample by what SmoothingWeights makes of its neighbours; near the ends it uses the polynomial of the
// first or last full window.
func Smooth(x []float64, window, order, derivative int) ([]float64, error) {
	if len(x) < window {
		return nil, fmt.Errorf("the record has %d samples, fewer than the smoothing window of %d", len(x), window)
	}
	middle, err := SmoothingWeights(window, order, derivative, 0)
	if err != nil {
		return nil, err
	}
	m := window / 2
	y := make([]float64, len(x))
	for i := range y {
		from, w := i-m, middle
		if from < 0 || from+window > len(x) {
			from = min(max(from, 0), len(x)-window)
			if w, err = SmoothingWeights(window, order, derivative, i-from-m); err != nil {
				return nil, err
			}
		}
		for k, c := range w {
			y[i] += c * x[from+k]
		}
	}
	return y, nil
}
