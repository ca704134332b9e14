package signals

import "math"

// Window names a taper.
type Window string

// The tapers that are known.
const (
	Rectangle Window = "rectangle"
	Hann      Window = "hann"
	Hamming   Window = "hamming"
	Blackman  Window = "blackman"
)

// Known says whether the taper is one of those above.
func (w Window) Known() bool {
	switch w {
	case Rectangle, Hann, Hamming, Blackman:
		return true
	}
	return false
}

// Samples returns the n weights of the taper, periodic: the weight that would follow the last equals the first, as spectra
// want it. An unknown taper is a rectangle.
func (w Window) Samples(n int) []float64 {
	s := make([]float64, n)
	for i := range s {
		c := func(k int) float64 { return real(unit(k*i%max(n, 1), max(n, 1))) }
		switch w {
		case Hann:
			s[i] = 0.5 - 0.5*c(1)
		case Hamming:
			s[i] = 0.54 - 0.46*c(1)
		case Blackman:
			s[i] = 0.42 - 0.5*c(1) + 0.08*c(2)
		default:
			s[i] = 1
		}
	}
	return s
}

// NoiseBandwidth returns the equivalent noise bandwidth of weights in bins, N·Σw²/(Σw)²: 1 for the rectangle, 1.5 for Hann.
func NoiseBandwidth(weights []float64) float64 {
	sum, square := 0.0, 0.0
	for _, w := range weights {
		sum += w
		square += w * w
	}
	return float64(len(weights)) * square / (sum * sum)
}

// RootMeanSquare returns √(mean of x²), in the unit of x; 0 for no sample.
func RootMeanSquare(x []float64) float64 {
	if len(x) == 0 {
		return 0
	}
	s := 0.0
	for _, v := range x {
		s += v * v
	}
	return math.Sqrt(s / float64(len(x)))
}
