package signals

import (
	"fmt"
	"math"
)

// MelScale is a scale of perceived pitch.
type MelScale string

// The two mel scales in use. They differ by more than a factor, so a feature's description names its own.
const (
	HTK    MelScale = "htk"    // 2595·lg(1 + f/700)
	Slaney MelScale = "slaney" // linear to 1 kHz, then logarithmic: 27 steps to a factor of 6.4
)

// FromHz returns the place of a frequency on the scale.
func (s MelScale) FromHz(hz float64) float64 {
	if s == Slaney {
		if hz < 1000 {
			return 3 * hz / 200
		}
		return 15 + 27*math.Log(hz/1000)/math.Log(6.4)
	}
	return 2595 * math.Log10(1+hz/700)
}

// ToHz returns the frequency in hertz of a place on the scale.
func (s MelScale) ToHz(mel float64) float64 {
	if s == Slaney {
		if mel < 15 {
			return 200 * mel / 3
		}
		return 1000 * math.Exp((mel-15)*math.Log(6.4)/27)
	}
	return 700 * (math.Pow(10, mel/2595) - 1)
}

// Frequencies returns n frequencies in hertz from low to high, evenly spaced on the scale.
func (s MelScale) Frequencies(n int, lowHz, highHz float64) []float64 {
	a, b := s.FromHz(lowHz), s.FromHz(highHz)
	f := make([]float64, n)
	for i := range f {
		f[i] = s.ToHz(a + (b-a)*float64(i)/float64(max(n-1, 1)))
	}
	return f
}

// Bank weighs the bins of a spectrum into overlapping triangles.
type Bank struct {
	EdgesHz []float64   // corner frequencies: band b rises from edge b to b+1 and falls to b+2
	First   []int       // first bin of each band
	Weights [][]float64 // weights from the first bin on; may be empty for a band narrower than a bin
}

// NewBank makes bands triangles, evenly spaced on the scale between lowHz and highHz, for spectra of `transform` samples at
// rateHz. Peaks are 1, or with unitArea 2/(width in hertz), so that each band has the same area.
func NewBank(scale MelScale, bands, transform int, rateHz, lowHz, highHz float64, unitArea bool) (*Bank, error) {
	switch {
	case scale != HTK && scale != Slaney:
		return nil, fmt.Errorf("mel scale %q is not known: htk or slaney", scale)
	case bands < 1 || bands > 1024:
		return nil, fmt.Errorf("%d mel bands are not made: choose 1 to 1024", bands)
	case transform < 2 || transform > MaxTransform || !(rateHz > 0):
		return nil, fmt.Errorf("a transform of %d samples at %g Hz has no bands", transform, rateHz)
	case !(lowHz >= 0 && lowHz < highHz && highHz <= rateHz/2):
		return nil, fmt.Errorf("mel bands from %g to %g Hz do not fit between 0 and half the sampling rate of %g Hz", lowHz, highHz, rateHz)
	}
	b := &Bank{EdgesHz: scale.Frequencies(bands+2, lowHz, highHz), First: make([]int, bands), Weights: make([][]float64, bands)}
	step := rateHz / float64(transform)
	for i := range bands {
		low, top, high := b.EdgesHz[i], b.EdgesHz[i+1], b.EdgesHz[i+2]
		area := 1.0
		if unitArea {
			area = 2 / (high - low)
		}
		b.First[i] = int(low/step) + 1
		for k := b.First[i]; k <= transform/2 && float64(k)*step < high; k++ {
			f := float64(k) * step
			b.Weights[i] = append(b.Weights[i], area*max(0, min((f-low)/(top-low), (high-f)/(high-top))))
		}
	}
	return b, nil
}

// Apply writes the bands' sums of a spectrum into dst, a place for each band.
func (b *Bank) Apply(dst, spectrum []float64) {
	dst = dst[:len(b.Weights)]
	for i, w := range b.Weights {
		s := 0.0
		part := spectrum[b.First[i]:]
		part = part[:len(w)]
		for k, v := range w {
			s += v * part[k]
		}
		dst[i] = s
	}
}

// Cosine is the orthonormal discrete cosine transform of type II of one length, truncated to its first terms.
type Cosine struct{ rows [][]float64 }

// NewCosine plans the first `terms` of transforms of n numbers, 1 ≤ terms ≤ n ≤ 4096.
func NewCosine(n, terms int) (*Cosine, error) {
	if n < 1 || n > 4096 || terms < 1 || terms > n {
		return nil, fmt.Errorf("%d cosine terms of %d numbers are not made", terms, n)
	}
	c := &Cosine{rows: make([][]float64, terms)}
	for k := range c.rows {
		row := make([]float64, n)
		scale := math.Sqrt(2 / float64(n))
		if k == 0 {
			scale = math.Sqrt(1 / float64(n))
		}
		for i := range row {
			row[i] = scale * real(unit(k*(2*i+1), 4*n))
		}
		c.rows[k] = row
	}
	return c, nil
}

// Apply writes the terms of x into dst. Of logarithms of mel bands they are cepstral coefficients.
func (c *Cosine) Apply(dst, x []float64) {
	for k, row := range c.rows {
		s := 0.0
		for i, v := range row {
			s += v * x[i]
		}
		dst[k] = s
	}
}

// Lifter returns the weights 1 + (length/2)·sin(πk/length) that bring cepstral coefficients k = 0 … n−1 to like size
// (the HTK convention; from memory).
func Lifter(n int, length float64) []float64 {
	w := make([]float64, n)
	for k := range w {
		w[k] = 1 + length/2*math.Sin(math.Pi*float64(k)/length)
	}
	return w
}
