package signals

import (
	"fmt"
	"math"
)

// CFCSection returns one pass of the filter of channel frequency class cfc (60, 180, 600, 1000 or any positive number) of
// SAE J211-1, appendix C, for a sampling rate in hertz. The class is not the corner: after both passes the gain is down by
// 3 dB near 5/3 of it. The class asks for more than six times that corner as sampling rate, ten times the class.
//
// It is the formula of that appendix and no statement of conformity: the filter may leave the corridor of the standard
// (K. Grenke, "Digital filtering for J211 requirements using a fast Fourier transform based filter", 2002).
func CFCSection(cfc, rateHz float64) (Biquad, error) {
	if !(cfc > 0) || !(rateHz >= 10*cfc) || math.IsInf(rateHz, 0) {
		return Biquad{}, fmt.Errorf("channel frequency class %g needs a sampling rate of at least %g Hz, and it is %g Hz", cfc, 10*cfc, rateHz)
	}
	w := math.Tan(math.Pi * cfc * 2.0775 / rateHz)
	q := 1 + math.Sqrt2*w + w*w
	a := w * w / q
	return Biquad{a, 2 * a, a, 2 * (w*w - 1) / q, (1 - math.Sqrt2*w + w*w) / q}, nil
}

// CFC filters a record forward and backward with CFCSection. Each pass starts from the record's own first two samples, as
// the appendix does; keep 10 ms of data beyond either end of what matters.
func CFC(x []float64, cfc, rateHz float64) ([]float64, error) {
	b, err := CFCSection(cfc, rateHz)
	if err != nil {
		return nil, err
	}
	if len(x) < 3 {
		return nil, fmt.Errorf("the record has %d samples; the filter needs at least 3", len(x))
	}
	y := append([]float64(nil), x...)
	for range 2 {
		x2, x1 := y[0], y[1]
		for t := 2; t < len(y); t++ {
			v := y[t]
			y[t] = b.B0*v + b.B1*x1 + b.B2*x2 - b.A1*y[t-1] - b.A2*y[t-2]
			x2, x1 = x1, v
		}
		reverse(y)
	}
	return y, nil
}
