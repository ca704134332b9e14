package signals

import (
	"fmt"
	"math"
	"math/cmplx"
)

// Biquad is a filter of second order, y[t] = B0·x[t] + B1·x[t−1] + B2·x[t−2] − A1·y[t−1] − A2·y[t−2].
type Biquad struct{ B0, B1, B2, A1, A2 float64 }

// Cascade is a filter made of biquads in a row.
type Cascade []Biquad

// Response returns the cascade's complex gain at a frequency, in units of the sampling rate (0 to 0.5).
func (c Cascade) Response(cycles float64) complex128 {
	z := cmplx.Exp(complex(0, -2*math.Pi*cycles))
	h := complex(1, 0)
	for _, b := range c {
		h *= (complex(b.B0, 0) + z*(complex(b.B1, 0)+z*complex(b.B2, 0))) / (1 + z*(complex(b.A1, 0)+z*complex(b.A2, 0)))
	}
	return h
}

// Apply filters x from rest and returns the result.
func (c Cascade) Apply(x []float64) []float64 {
	y := append([]float64(nil), x...)
	for _, b := range c {
		b.run(y, 0)
	}
	return y
}

// ApplyBackward filters x from rest at its end towards its start. What the filter itself rings on then lies before a sound
// instead of in its decay.
func (c Cascade) ApplyBackward(x []float64) []float64 {
	y := append([]float64(nil), x...)
	reverse(y)
	for _, b := range c {
		b.run(y, 0)
	}
	reverse(y)
	return y
}

// run filters in place, starting in the state that a constant input of the given level has left.
func (b Biquad) run(x []float64, level float64) (settled float64) {
	gain := (b.B0 + b.B1 + b.B2) / (1 + b.A1 + b.A2)
	// Transposed direct form II; its two memories in the steady state of a constant input.
	s2 := (b.B2 - b.A2*gain) * level
	s1 := (b.B1-b.A1*gain)*level + s2
	for i, v := range x {
		y := b.B0*v + s1
		s1 = b.B1*v - b.A1*y + s2
		s2 = b.B2*v - b.A2*y
		x[i] = y
	}
	return gain * level
}

// ForwardBackward filters x forward and then backward, so nothing is shifted in time and the gain is squared. The record is
// lengthened at both ends by its mirror image through the end points, which keeps steps at the ends small; it needs more
// than 3·(2·len(c)+1) samples.
func (c Cascade) ForwardBackward(x []float64) ([]float64, error) {
	pad := 3 * (2*len(c) + 1)
	if first := 0; len(c) > 0 {
		for _, b := range c {
			if b.B2 == 0 && b.A2 == 0 {
				first++
			}
		}
		pad -= 3 * first
	}
	n := len(x)
	if n <= pad {
		return nil, fmt.Errorf("the record has %d samples; this filter needs more than %d", n, pad)
	}
	y := make([]float64, n+2*pad)
	copy(y[pad:], x)
	for i := 1; i <= pad; i++ {
		y[pad-i] = 2*x[0] - x[i]
		y[pad+n-1+i] = 2*x[n-1] - x[n-1-i]
	}
	for range 2 {
		level := y[0]
		for _, b := range c {
			level = b.run(y, level)
		}
		reverse(y)
	}
	return y[pad : pad+n], nil
}

func reverse(x []float64) {
	for i, j := 0, len(x)-1; i < j; i, j = i+1, j-1 {
		x[i], x[j] = x[j], x[i]
	}
}

// Butterworth filters fall maximally flat. The corner, where the gain is 1/√2, is pre-warped for the bilinear transform, so
// it lies where it was asked for (S. Butterworth, "On the theory of filter amplifiers", 1930; from memory).

// LowPass returns a Butterworth low pass of order 1 to 20 with its corner in hertz.
func LowPass(order int, cornerHz, rateHz float64) (Cascade, error) {
	if err := checkCorner(order, cornerHz, rateHz); err != nil {
		return nil, err
	}
	return sections(prototype(order, warp(cornerHz, rateHz)), -1, -1, func(c Cascade) complex128 { return c.Response(0) }), nil
}

// HighPass returns a Butterworth high pass of order 1 to 20 with its corner in hertz.
func HighPass(order int, cornerHz, rateHz float64) (Cascade, error) {
	if err := checkCorner(order, cornerHz, rateHz); err != nil {
		return nil, err
	}
	w := warp(cornerHz, rateHz)
	poles := prototype(order, 1)
	for i, p := range poles {
		poles[i] = complex(w, 0) / p
	}
	return sections(poles, 1, 1, func(c Cascade) complex128 { return c.Response(0.5) }), nil
}

// BandPass returns a Butterworth band pass with corners in hertz, lowHz < highHz; it has twice the order's poles.
func BandPass(order int, lowHz, highHz, rateHz float64) (Cascade, error) {
	if err := checkCorner(order, lowHz, rateHz); err != nil {
		return nil, err
	}
	if err := checkCorner(order, highHz, rateHz); err != nil {
		return nil, err
	}
	if lowHz >= highHz {
		return nil, fmt.Errorf("a band from %g to %g Hz is empty", lowHz, highHz)
	}
	l, h := warp(lowHz, rateHz), warp(highHz, rateHz)
	middle, width := math.Sqrt(l*h), h-l
	var poles []complex128
	for _, p := range prototype(order, width/2) {
		root := cmplx.Sqrt(p*p - complex(middle*middle, 0))
		poles = append(poles, p+root, p-root)
	}
	centre := math.Atan(middle) / math.Pi
	return sections(poles, 1, -1, func(c Cascade) complex128 { return complex(cmplx.Abs(c.Response(centre)), 0) }), nil
}

func checkCorner(order int, cornerHz, rateHz float64) error {
	if order < 1 || order > 20 {
		return fmt.Errorf("a filter of order %d is not made: choose 1 to 20", order)
	}
	if !(cornerHz > 0 && cornerHz < rateHz/2) || math.IsInf(rateHz, 0) {
		return fmt.Errorf("a corner at %g Hz is not between 0 and half the sampling rate of %g Hz", cornerHz, rateHz)
	}
	return nil
}

func warp(hz, rateHz float64) float64 { return math.Tan(math.Pi * hz / rateHz) }

// prototype returns the poles of the analogue low pass with corner w.
func prototype(order int, w float64) []complex128 {
	poles := make([]complex128, order)
	for k := range poles {
		s, c := math.Sincos(math.Pi * float64(2*k+1+order) / float64(2*order))
		poles[k] = complex(w*c, w*s)
		if 2*k+1 == order {
			poles[k] = complex(-w, 0)
		}
	}
	return poles
}

// sections maps analogue poles by the bilinear transform, pairs conjugates, puts zeros at z = first and second by turns,
// and makes the gain one where reference asks.
func sections(analogue []complex128, first, second float64, reference func(Cascade) complex128) Cascade {
	var c Cascade
	var alone []float64
	for _, s := range analogue {
		z := (1 + s) / (1 - s)
		switch {
		case math.Abs(imag(z)) < 1e-14:
			alone = append(alone, real(z))
		case imag(z) > 0:
			c = append(c, Biquad{1, -first - second, first * second, -2 * real(z), real(z)*real(z) + imag(z)*imag(z)})
		}
	}
	for ; len(alone) > 1; alone = alone[2:] {
		c = append(c, Biquad{1, -first - second, first * second, -alone[0] - alone[1], alone[0] * alone[1]})
	}
	if len(alone) == 1 {
		c = append(c, Biquad{1, -first, 0, -alone[0], 0})
	}
	// Spread the gain over all sections, so that none overflows.
	g := math.Pow(1/real(reference(c)), 1/float64(len(c)))
	for i := range c {
		c[i].B0, c[i].B1, c[i].B2 = c[i].B0*g, c[i].B1*g, c[i].B2*g
	}
	return c
}
