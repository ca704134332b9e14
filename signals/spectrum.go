package signals

import (
	"fmt"
	"math"
	"math/cmplx"
)

// Segments says how a long record is cut for averaged spectra.
type Segments struct {
	RateHz  float64 // samples a second, > 0
	Length  int     // samples of a segment, ≥ 2
	Overlap int     // samples that neighbours share, 0 ≤ Overlap < Length
	Window  Window
}

func (s Segments) check(n int) error {
	switch {
	case !(s.RateHz > 0) || math.IsInf(s.RateHz, 0):
		return fmt.Errorf("a sampling rate of %g Hz is not possible", s.RateHz)
	case s.Length < 2:
		return fmt.Errorf("segments of %d samples are too short for a spectrum; use at least 2", s.Length)
	case s.Overlap < 0 || s.Overlap >= s.Length:
		return fmt.Errorf("an overlap of %d samples does not go with segments of %d", s.Overlap, s.Length)
	case !s.Window.Known():
		return fmt.Errorf("window %q is not known: rectangle, hann, hamming or blackman", s.Window)
	case n < s.Length:
		return fmt.Errorf("the record has %d samples, fewer than one segment of %d", n, s.Length)
	}
	return nil
}

// FrequenciesHz returns the frequencies of the bins of a segment's spectrum, from 0 to half the sampling rate.
func (s Segments) FrequenciesHz() []float64 {
	f := make([]float64, s.Length/2+1)
	for k := range f {
		f[k] = float64(k) * s.RateHz / float64(s.Length)
	}
	return f
}

// PowerDensity returns Welch's averaged one-sided power spectral density in units² a hertz, at FrequenciesHz (P. D. Welch,
// "The use of fast Fourier transform for the estimation of power spectra", 1967; from memory). Each segment loses its mean
// first. Its sum times the bins' spacing is the mean square of the segments without their means.
func PowerDensity(x []float64, s Segments) ([]float64, error) {
	c, err := CrossSpectra(x, x, s)
	if err != nil {
		return nil, err
	}
	return c.Sxx, nil
}

// Cross holds averaged one-sided spectral densities of an excitation x and a response y.
type Cross struct {
	FrequencyHz []float64
	Sxx, Syy    []float64    // units² a hertz
	Sxy         []complex128 // mean of conj(X)·Y, units² a hertz
	Count       int          // segments averaged
}

// CrossSpectra averages the spectra of two records of the same length.
func CrossSpectra(x, y []float64, s Segments) (*Cross, error) {
	if len(x) != len(y) {
		return nil, fmt.Errorf("the records have %d and %d samples; they must be equally long", len(x), len(y))
	}
	if err := s.check(len(x)); err != nil {
		return nil, err
	}
	t, err := NewTransform(s.Length)
	if err != nil {
		return nil, err
	}
	bins := t.Bins()
	c := &Cross{FrequencyHz: s.FrequenciesHz(), Sxx: make([]float64, bins), Syy: make([]float64, bins), Sxy: make([]complex128, bins)}
	w := s.Window.Samples(s.Length)
	square := 0.0
	for _, v := range w {
		square += v * v
	}
	part, fx, fy := make([]float64, s.Length), make([]complex128, bins), make([]complex128, bins)
	spectrum := func(dst []complex128, x []float64) {
		mean := 0.0
		for _, v := range x {
			mean += v
		}
		mean /= float64(len(x))
		for i, v := range x {
			part[i] = (v - mean) * w[i]
		}
		t.Forward(dst, part)
	}
	for at := 0; at+s.Length <= len(x); at += s.Length - s.Overlap {
		spectrum(fx, x[at:at+s.Length])
		spectrum(fy, y[at:at+s.Length])
		for k, p := range fx {
			q := fy[k]
			c.Sxx[k] += real(p)*real(p) + imag(p)*imag(p)
			c.Syy[k] += real(q)*real(q) + imag(q)*imag(q)
			c.Sxy[k] += cmplx.Conj(p) * q
		}
		c.Count++
	}
	scale := 1 / (square * s.RateHz * float64(c.Count))
	for k := range c.Sxx {
		f := 2 * scale
		if k == 0 || 2*k == s.Length {
			f = scale // zero and half the sampling rate have no mirror image
		}
		c.Sxx[k] *= f
		c.Syy[k] *= f
		c.Sxy[k] *= complex(f, 0)
	}
	return c, nil
}

// Coherence returns γ² = |Sxy|²/(Sxx·Syy) by frequency, between 0 and 1; NaN where a spectrum is 0. One segment always gives
// 1 and so says nothing: that is an error.
func (c *Cross) Coherence() ([]float64, error) {
	if c.Count < 2 {
		return nil, fmt.Errorf("coherence needs at least two segments, and there is %d; use a longer record or shorter segments", c.Count)
	}
	g := make([]float64, len(c.Sxx))
	for k, s := range c.Sxy {
		g[k] = (real(s)*real(s) + imag(s)*imag(s)) / (c.Sxx[k] * c.Syy[k])
	}
	return g, nil
}

// H1 returns the frequency response Sxy/Sxx, right when the noise sits in the response; response units an excitation unit.
func (c *Cross) H1() []complex128 {
	h := make([]complex128, len(c.Sxx))
	for k, s := range c.Sxy {
		h[k] = s / complex(c.Sxx[k], 0)
	}
	return h
}

// H2 returns the frequency response Syy/Syx, right when the noise sits in the excitation.
func (c *Cross) H2() []complex128 {
	h := make([]complex128, len(c.Sxx))
	for k, s := range c.Sxy {
		h[k] = complex(c.Syy[k], 0) / cmplx.Conj(s)
	}
	return h
}

// ResponseError returns the normalised random error of |H1| for a coherence γ² and a number of independent averages,
// √((1−γ²)/(2·n·γ²)) (J. S. Bendat, A. G. Piersol, "Random Data"; from memory).
func ResponseError(coherence float64, averages int) float64 {
	return math.Sqrt((1 - coherence) / (2 * float64(averages) * coherence))
}

// CoherenceLimit returns the coherence that unrelated records exceed with probability p when n ≥ 2 independent segments are
// averaged, 1 − p^(1/(n−1)).
func CoherenceLimit(p float64, n int) float64 { return 1 - math.Pow(p, 1/float64(n-1)) }
