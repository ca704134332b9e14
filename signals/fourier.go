package signals

import (
	"fmt"
	"math"
	"math/bits"
)

// MaxTransform is the longest transform that NewTransform makes, in samples.
const MaxTransform = 1 << 26

// Transform computes discrete Fourier transforms of real signals of one length, X[k] = Σ x[n]·exp(−2πi·kn/N), without
// allocating. It holds scratch memory, so one goroutine at a time may use it; Clone gives another its own.
type Transform struct {
	n     int
	half  *complexTransform // of n/2 points when n is even, of n points when it is odd
	twist []complex128      // exp(−2πi·k/n), k ≤ n/4
	z     []complex128
	out   []complex128
}

// NewTransform plans transforms of n real samples, 1 ≤ n ≤ MaxTransform. Powers of two go by radix 4, other lengths by
// Bluestein's chirp (L. I. Bluestein, "A linear filtering approach to the computation of discrete Fourier transform",
// 1970; from memory), at several times the cost.
func NewTransform(n int) (*Transform, error) {
	if n < 1 || n > MaxTransform {
		return nil, fmt.Errorf("a Fourier transform of %d samples is not made: choose between 1 and %d", n, MaxTransform)
	}
	t := &Transform{n: n}
	m := n
	if n%2 == 0 {
		m = n / 2
		t.twist = make([]complex128, m/2+1)
		for k := range t.twist {
			t.twist[k] = unit(-k, n)
		}
	}
	t.half = newComplexTransform(m)
	t.z = make([]complex128, m)
	t.out = make([]complex128, n/2+1)
	return t, nil
}

// Clone returns a transform of the same length with scratch memory of its own.
func (t *Transform) Clone() *Transform {
	c := *t
	c.half = t.half.clone()
	c.z = make([]complex128, len(t.z))
	c.out = make([]complex128, len(t.out))
	return &c
}

// Len returns the number of samples.
func (t *Transform) Len() int { return t.n }

// Bins returns the number of frequencies from 0 to half the sampling rate, Len/2 + 1.
func (t *Transform) Bins() int { return t.n/2 + 1 }

// Forward writes the transform of x, which has Len samples, at the frequencies 0 … Bins−1 into dst, which has Bins places.
func (t *Transform) Forward(dst []complex128, x []float64) {
	x, dst = x[:t.n], dst[:t.Bins()]
	if t.n%2 == 1 {
		for i, v := range x {
			t.z[i] = complex(v, 0)
		}
		copy(dst, t.half.forward(t.z))
		return
	}
	z := t.z
	for i := range z {
		z[i] = complex(x[2*i], x[2*i+1])
	}
	z = t.half.forward(z)
	m := len(z)
	a, b := real(z[0]), imag(z[0])
	dst[0], dst[m] = complex(a+b, 0), complex(a-b, 0)
	// The even samples' spectrum is (z[k] + z*[m−k])/2, the odd samples' −i(z[k] − z*[m−k])/2.
	for k := 1; k <= m/2; k++ {
		p, q := z[k], z[m-k]
		er, ei := 0.5*(real(p)+real(q)), 0.5*(imag(p)-imag(q))
		or, oi := 0.5*(imag(p)+imag(q)), -0.5*(real(p)-real(q))
		wr, wi := real(t.twist[k]), imag(t.twist[k])
		tr, ti := wr*or-wi*oi, wr*oi+wi*or
		dst[k] = complex(er+tr, ei+ti)
		dst[m-k] = complex(er-tr, ti-ei)
	}
}

// Power writes |X[k]|² of x into dst, which has Bins places; in units of the signal squared.
func (t *Transform) Power(dst, x []float64) {
	t.Forward(t.out, x)
	dst = dst[:len(t.out)]
	for k, v := range t.out {
		dst[k] = real(v)*real(v) + imag(v)*imag(v)
	}
}

// WindowedPower writes |X[k]|² of x times a window into dst and returns the largest of them: what [Transform.Power] writes of the
// product, to the bit, without keeping what lies between. x and window have Len samples, dst Bins places.
func (t *Transform) WindowedPower(dst, x, window []float64) (top float64) {
	x, window, dst = x[:t.n], window[:t.n], dst[:t.Bins()]
	z := t.z
	// Numbers that are not negative rank like their bits, and whole numbers are compared without a branch that fails on noise.
	var most uint64
	if t.n%2 == 1 {
		for i, v := range x {
			z[i] = complex(v*window[i], 0)
		}
		for k, v := range t.half.forward(z)[:len(dst)] {
			dst[k] = real(v)*real(v) + imag(v)*imag(v)
			most = max(most, math.Float64bits(dst[k]))
		}
		return math.Float64frombits(most)
	}
	for i := range z {
		v, w := x[2*i:2*i+2:2*i+2], window[2*i:2*i+2:2*i+2]
		z[i] = complex(v[0]*w[0], v[1]*w[1])
	}
	z = t.half.forward(z)
	m := len(z)
	first, last := real(z[0])+imag(z[0]), real(z[0])-imag(z[0])
	dst[0], dst[m] = first*first, last*last
	most = max(math.Float64bits(dst[0]), math.Float64bits(dst[m]))
	for k, w := range t.twist[1:] {
		k++
		p, q := z[k], z[m-k]
		er, ei := 0.5*(real(p)+real(q)), 0.5*(imag(p)-imag(q))
		or, oi := 0.5*(imag(p)+imag(q)), -0.5*(real(p)-real(q))
		tr, ti := real(w)*or-imag(w)*oi, real(w)*oi+imag(w)*or
		low, high := (er+tr)*(er+tr)+(ei+ti)*(ei+ti), (er-tr)*(er-tr)+(ti-ei)*(ti-ei)
		dst[k], dst[m-k] = low, high
		most = max(most, math.Float64bits(low), math.Float64bits(high))
	}
	return math.Float64frombits(most)
}

// unit returns exp(2πi·k/n), exact at the quarters.
func unit(k, n int) complex128 {
	k = ((k % n) + n) % n
	switch 4 * k {
	case 0:
		return 1
	case n:
		return 1i
	case 2 * n:
		return -1
	case 3 * n:
		return -1i
	}
	s, c := math.Sincos(2 * math.Pi * float64(k) / float64(n))
	return complex(c, s)
}

// complexTransform is a transform of complex numbers.
type complexTransform struct {
	n      int
	passes [][]complex128 // three twiddles a butterfly, for each radix-4 pass
	work   []complex128
	chirp  *chirp // for lengths that are no power of two
}

type chirp struct {
	inner    *complexTransform
	w        []complex128 // exp(−πi·k²/n)
	spectrum []complex128 // of the conjugate chirp, divided by the inner length
	a        []complex128
}

func newComplexTransform(n int) *complexTransform {
	t := &complexTransform{n: n, work: make([]complex128, n)}
	if n&(n-1) != 0 {
		t.chirp = newChirp(n)
		return t
	}
	for m := n; m >= 4; m /= 4 {
		w := make([]complex128, 0, 3*m/4)
		for p := range m / 4 {
			w = append(w, unit(-p, m), unit(-2*p, m), unit(-3*p, m))
		}
		t.passes = append(t.passes, w)
	}
	return t
}

func newChirp(n int) *chirp {
	size := 1 << bits.Len(uint(2*n-2))
	c := &chirp{inner: newComplexTransform(size), w: make([]complex128, n), a: make([]complex128, size)}
	b := make([]complex128, size)
	for k := range n {
		// k² is reduced modulo 2n first: the chirp has that period, and large angles lose digits.
		c.w[k] = unit(-int(uint64(k)*uint64(k)%uint64(2*n)), 2*n)
		v := complex(real(c.w[k]), -imag(c.w[k]))
		b[k] = v
		if k > 0 {
			b[size-k] = v
		}
	}
	c.spectrum = append([]complex128(nil), c.inner.forward(b)...)
	for i := range c.spectrum {
		c.spectrum[i] /= complex(float64(size), 0)
	}
	return c
}

func (t *complexTransform) clone() *complexTransform {
	c := *t
	c.work = make([]complex128, len(t.work))
	if t.chirp != nil {
		own := *t.chirp
		own.inner = own.inner.clone()
		own.a = make([]complex128, len(own.a))
		c.chirp = &own
	}
	return &c
}

// forward transforms x and returns where the result lies: x or the scratch memory. Both are overwritten.
func (t *complexTransform) forward(x []complex128) []complex128 {
	if t.chirp != nil {
		return t.bluestein(x)
	}
	y := t.work
	stride := 1
	for i, w := range t.passes {
		switch {
		case stride == 1 && t.n > 4:
			radix4First(y, x, w)
		case i == len(t.passes)-1 && 4*stride == t.n:
			radix4Last(y, x)
		default:
			radix4(y, x, w, stride)
		}
		x, y = y, x
		stride *= 4
	}
	if stride < t.n { // one factor of two is left
		for q := range stride {
			a, b := x[q], x[q+stride]
			y[q], y[q+stride] = a+b, a-b
		}
		x = y
	}
	return x
}

// radix4 is one pass of Stockham's self-sorting transform (C. Van Loan, "Computational Frameworks for the Fast Fourier
// Transform", 1992; from memory): it reads quarters of x and writes neighbours of y, so no bit reversal is needed.
func radix4(y, x, w []complex128, s int) {
	quarter := len(x) / 4
	x0, x1, x2, x3 := x[:quarter], x[quarter:2*quarter], x[2*quarter:3*quarter], x[3*quarter:4*quarter]
	for p := 0; p*s < quarter; p++ {
		w1, w2, w3 := w[3*p], w[3*p+1], w[3*p+2]
		out := y[4*s*p : 4*s*(p+1)]
		y0, y1, y2, y3 := out[:s], out[s:2*s], out[2*s:3*s], out[3*s:4*s]
		a0, b0, c0, d0 := x0[s*p:s*(p+1)], x1[s*p:s*(p+1)], x2[s*p:s*(p+1)], x3[s*p:s*(p+1)]
		b0, c0, d0 = b0[:len(a0)], c0[:len(a0)], d0[:len(a0)]
		y0, y1, y2, y3 = y0[:len(a0)], y1[:len(a0)], y2[:len(a0)], y3[:len(a0)]
		for q, a := range a0 {
			b, c, d := b0[q], c0[q], d0[q]
			apc, amc, bpd := a+c, a-c, b+d
			jbmd := complex(imag(d)-imag(b), real(b)-real(d))
			y0[q] = apc + bpd
			y1[q] = w1 * (amc - jbmd)
			y2[q] = w2 * (apc - bpd)
			y3[q] = w3 * (amc + jbmd)
		}
	}
}

// radix4First is radix4 for stride 1, where an inner loop would turn once only.
func radix4First(y, x, w []complex128) {
	quarter := len(x) / 4
	x0, x1, x2, x3 := x[:quarter], x[quarter:2*quarter], x[2*quarter:3*quarter], x[3*quarter:4*quarter]
	x1, x2, x3 = x1[:len(x0)], x2[:len(x0)], x3[:len(x0)]
	w, y = w[:3*len(x0)], y[:4*len(x0)]
	for p, a := range x0 {
		b, c, d := x1[p], x2[p], x3[p]
		apc, amc, bpd := a+c, a-c, b+d
		jbmd := complex(imag(d)-imag(b), real(b)-real(d))
		t, out := w[3*p:3*p+3:3*p+3], y[4*p:4*p+4:4*p+4]
		out[0] = apc + bpd
		out[1] = t[0] * (amc - jbmd)
		out[2] = t[1] * (apc - bpd)
		out[3] = t[2] * (amc + jbmd)
	}
}

// radix4Last is radix4 for the largest stride, where every twiddle is 1.
func radix4Last(y, x []complex128) {
	quarter := len(x) / 4
	x0, x1, x2, x3 := x[:quarter], x[quarter:2*quarter], x[2*quarter:3*quarter], x[3*quarter:4*quarter]
	y0, y1, y2, y3 := y[:quarter], y[quarter:2*quarter], y[2*quarter:3*quarter], y[3*quarter:4*quarter]
	x1, x2, x3 = x1[:len(x0)], x2[:len(x0)], x3[:len(x0)]
	y0, y1, y2, y3 = y0[:len(x0)], y1[:len(x0)], y2[:len(x0)], y3[:len(x0)]
	for q, a := range x0 {
		b, c, d := x1[q], x2[q], x3[q]
		apc, amc, bpd := a+c, a-c, b+d
		jbmd := complex(imag(d)-imag(b), real(b)-real(d))
		y0[q] = apc + bpd
		y1[q] = amc - jbmd
		y2[q] = apc - bpd
		y3[q] = amc + jbmd
	}
}

// bluestein writes a transform as a convolution with a chirp.
func (t *complexTransform) bluestein(x []complex128) []complex128 {
	c := t.chirp
	clear(c.a)
	for k, w := range c.w {
		c.a[k] = x[k] * w
	}
	f := c.inner.forward(c.a)
	for i, v := range f {
		v *= c.spectrum[i]
		// The inverse transform is the forward one of the conjugate.
		c.a[i] = complex(real(v), -imag(v))
	}
	f = c.inner.forward(c.a)
	for k, w := range c.w {
		t.work[k] = complex(real(f[k]), -imag(f[k])) * w
	}
	return t.work
}
