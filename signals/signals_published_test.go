package signals

import (
	"math"
	"math/cmplx"
	"testing"
)

// Values beside their sources. "Computed" means worked out with scipy 1.10.1 and numpy 1.24.2.

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %.12g, want %.12g (tolerance %g)", what, got, want, tol)
	}
}

// parkMiller is the portable noise of the check vectors (S. K. Park, K. W. Miller, "Random number generators: good ones are
// hard to find", 1988; from memory), uniform on (−1, 1).
type parkMiller uint64

func (p *parkMiller) next() float64 {
	*p = *p * 16807 % 2147483647
	return 2*float64(*p)/2147483647 - 1
}

func (p *parkMiller) take(n int) []float64 {
	x := make([]float64, n)
	for i := range x {
		x[i] = p.next()
	}
	return x
}

// The 10,000th number from seed 1 is 1043618065 (same paper; from memory).
func TestPortableNoise(t *testing.T) {
	p := parkMiller(1)
	p.take(10000)
	if p != 1043618065 {
		t.Errorf("got %d", p)
	}
}

// SAE J211-1 appendix C; coefficients computed from its formula, corners and gains computed.
func TestCFCCoefficients(t *testing.T) {
	for _, c := range []struct{ rate, cfc, a0, b1, b2, corner, gain, atFN, at2FN float64 }{
		{10e3, 60, 1.452367473553e-03, 1.889343224222, -0.895152694116, 99.917, -0.4535, -3.0085, -17.672},
		{10e3, 180, 1.179627109978e-02, 1.670117463268, -0.717302547667, 300.188, -0.4480, -2.9936, -17.869},
		{10e3, 600, 9.718462527937e-02, 0.945574009062, -0.334312510179, 1017.278, -0.3869, -2.8188, -20.493},
		{10e3, 1000, 2.192314172190e-01, 0.311896544996, -0.188822213872, 1749.603, -0.2790, -2.3454, -27.938},
		{20e3, 60, 3.730006309628e-04, 1.944633045526, -0.946125048050, 99.903, -0.4540, -3.0099, -17.654},
		{20e3, 180, 3.182636249274e-03, 1.834196421878, -0.846926966875, 299.818, -0.4526, -3.0062, -17.703},
		{20e3, 600, 2.980607203982e-02, 1.455728213907, -0.574952502066, 1003.552, -0.4370, -2.9636, -18.278},
		{20e3, 1000, 7.189309706838e-02, 1.111586176156, -0.399158564430, 1686.139, -0.4070, -2.7771, -19.151},
	} {
		b, err := CFCSection(c.cfc, c.rate)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "a0", b.B0, c.a0, 1e-11)
		near(t, "a1", b.B1, 2*c.a0, 2e-11)
		near(t, "b1", -b.A1, c.b1, 1e-11)
		near(t, "b2", -b.A2, c.b2, 1e-11)
		twice := func(hz float64) float64 { return 40 * math.Log10(cmplx.Abs(Cascade{b}.Response(hz/c.rate))) }
		near(t, "gain at 0", cmplx.Abs(Cascade{b}.Response(0)), 1, 1e-13)
		near(t, "gain at the corner, dB", twice(c.corner), -3, 1e-3)
		near(t, "gain at the class, dB", twice(c.cfc), c.gain, 1e-4)
		// FN of the standard's corridor: the frequency to which it asks for a passband.
		fn := map[float64]float64{60: 100, 180: 300, 600: 1000, 1000: 1650}[c.cfc]
		near(t, "gain at FN, dB", twice(fn), c.atFN, 1e-4)
		near(t, "gain at 2 FN, dB", twice(2*fn), c.at2FN, 1e-3)
	}
}

// ISO 6487 has the corner at 25/12 of the class instead of at 2.0775 times it (read in programs that follow it): the same filter of
// another class. Coefficients computed from its formula.
func TestCFCOfTheISOVariant(t *testing.T) {
	b, err := CFCSection(60*(25./12)/2.0775, 10e3)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "a0", b.B0, 1.4603163055e-03, 5e-14)
	near(t, "b1", -b.A1, 1.8890330794, 5e-11)
	near(t, "b2", -b.A2, -.8948743446, 5e-11)
}

// Half-sine pulses of 500 at 10 kHz from sample 1950 of 4000: computed.
func TestCFCPulses(t *testing.T) {
	for _, c := range []struct {
		seconds, cfc, peak, sum float64
	}{
		{0.011, 60, 484.052463, 3.501170745}, {0.011, 180, 499.887354, 3.501170745}, {0.011, 600, 499.999285, 3.501170745},
		{0.011, 1000, 499.999939, 3.501170745}, {0.001, 60, 86.260620, 0.315687576}, {0.001, 180, 238.107639, 0.315687576},
		{0.001, 600, 479.049306, 0.315687576}, {0.001, 1000, 500.504073, 0.315687576},
	} {
		x := make([]float64, 4000)
		for i := 0; float64(i) <= c.seconds*1e4+1e-9; i++ {
			x[1950+i] = 500 * math.Sin(math.Pi*float64(i)/(c.seconds*1e4))
		}
		y, err := CFC(x, c.cfc, 1e4)
		if err != nil {
			t.Fatal(err)
		}
		top, raw, sum, at, rawAt := 0.0, 0.0, 0.0, 0, 0
		for i, v := range y {
			if v > top {
				top, at = v, i
			}
			if x[i] > raw {
				raw, rawAt = x[i], i
			}
			sum += v / 1e4
		}
		near(t, "peak", top, c.peak, 1e-5)
		near(t, "impulse", sum, c.sum, 1e-8)
		if at != rawAt {
			t.Errorf("class %g moves the peak of %g s from %d to %d", c.cfc, c.seconds, rawAt, at)
		}
	}
	x := make([]float64, 4000)
	x[2000] = 1
	for cfc, want := range map[float64][]float64{
		600:  {0.2636064977, 0.2218143517, 0.1310597873, 0.0497714157},
		1000: {0.4220258638, 0.2850456216, 0.0572793009, -0.0359577293},
	} {
		y, err := CFC(x, cfc, 1e4)
		if err != nil {
			t.Fatal(err)
		}
		for k, w := range want {
			near(t, "impulse response", y[2000+k], w, 1e-10)
			near(t, "mirrored", y[2000-k], w, 1e-10)
		}
	}
}

// Computed with scipy's lfilter, welch and csd; H2 and coherence follow.
func TestFrequencyResponseVector(t *testing.T) {
	p := parkMiller(1)
	x, e := p.take(4096), p.take(4096)
	y := make([]float64, len(x))
	at := func(v []float64, i int) float64 {
		if i < 0 {
			return 0
		}
		return v[i]
	}
	for i := range y {
		y[i] = .2*x[i] + .3*at(x, i-1) + .1*at(x, i-2) + .9*at(y, i-1) - .4*at(y, i-2)
	}
	for i := range y {
		y[i] += .3 * e[i]
	}
	c, err := CrossSpectra(x, y, Segments{RateHz: 1000, Length: 256, Overlap: 128, Window: Hann})
	if err != nil {
		t.Fatal(err)
	}
	if c.Count != 31 || c.FrequencyHz[8] != 31.25 {
		t.Errorf("%d segments, bin 8 at %g Hz", c.Count, c.FrequencyHz[8])
	}
	relative := func(what string, got, want float64) { t.Helper(); near(t, what, got, want, 1e-9*math.Abs(want)) }
	g, err := c.Coherence()
	if err != nil {
		t.Fatal(err)
	}
	h1, h2 := c.H1(), c.H2()
	relative("Pxx 8", c.Sxx[8], 5.279597307781e-4)
	relative("Pyy 8", c.Syy[8], 8.801352830982e-4)
	near(t, "H1 8", real(h1[8]), 1.2281500060, 1e-9)
	near(t, "H1 8", imag(h1[8]), -0.2055863640, 1e-9)
	near(t, "H2 8", real(h2[8]), 1.3203685554, 1e-9)
	near(t, "H2 8", imag(h2[8]), -0.2210233027, 1e-9)
	near(t, "H1 32", real(h1[32]), .3909311420, 1e-9)
	near(t, "H1 32", imag(h1[32]), -1.0005000153, 1e-9)
	for bin, want := range map[int]float64{8: .930156963342, 32: .920042365073, 64: .490022482617, 100: .016975646314} {
		near(t, "coherence", g[bin], want, 1e-11)
	}
	relative("Pxx 0", c.Sxx[0], 1.387595845458e-4)
	relative("Pxx 128", c.Sxx[128], 2.515531046926e-4)
	sum := 0.0
	for k, s := range c.Sxx {
		sum += s * 1000 / 256
		near(t, "|H1/H2| is the coherence", cmplx.Abs(h1[k]/h2[k]), g[k], 1e-13)
	}
	relative("sum", sum, .3290972117649725)
	// Bendat & Piersol's formula and the limit of unrelated records: computed.
	near(t, "response error", ResponseError(.9, 10), .07454, 5e-6)
	near(t, "coherence limit", CoherenceLimit(.05, 16), .18104, 5e-6)
}

// Computed.
func TestDamping(t *testing.T) {
	near(t, "log decrement", LogDecrementDamping(5, 1, 5), .0511629050, 1e-10)
	for zeta, want := range map[float64]float64{.01: .01000200, .05: .05025189, .1: .10206230, .2: .21826131} {
		// Half-power points of 1/((1−r²)² + (2ζr)²): r² = 1 − 2ζ² ± 2ζ√(1−ζ²), peak r² = 1 − 2ζ².
		top := 1 - 2*zeta*zeta
		d := 2 * zeta * math.Sqrt(1-zeta*zeta)
		near(t, "half power", HalfPowerDamping(math.Sqrt(top-d), math.Sqrt(top), math.Sqrt(top+d)), want, 1e-8)
	}
}

// HTK and Slaney formulas; 11025 Hz = 49.91059448015905 read in the documentation of a mel_filter package, the rest computed.
func TestMelScales(t *testing.T) {
	for hz, want := range map[float64]float64{60: 92.68185813, 440: 549.63867538, 1000: 999.98553714, 4000: 2146.06452751, 11025: 3176.31843551} {
		near(t, "HTK", HTK.FromHz(hz), want, 1e-8)
		near(t, "HTK back", HTK.ToHz(want), hz, 1e-6)
	}
	for hz, want := range map[float64]float64{60: 0.9, 110: 1.65, 220: 3.3, 440: 6.6, 200: 3, 11025: 49.91059448015905} {
		near(t, "Slaney", Slaney.FromHz(hz), want, 1e-12)
		near(t, "Slaney back", Slaney.ToHz(want), hz, 1e-9)
	}
	f := Slaney.Frequencies(40, 0, 11025)
	for i, want := range map[int]float64{0: 0, 1: 85.317, 2: 170.635, 3: 255.952, 11: 938.490, 12: 1024.856, 13: 1119.114, 14: 1222.042, 38: 10096.408, 39: 11025} {
		near(t, "Slaney frequencies", f[i], want, 6e-4)
	}
}

// Computed.
func TestMelBanks(t *testing.T) {
	b, err := NewBank(HTK, 26, 512, 16000, 0, 8000, false)
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range map[int]float64{0: 0, 1: 68.479, 2: 143.658, 3: 226.191, 4: 316.798, 26: 7224.742, 27: 8000} {
		near(t, "edges", b.EdgesHz[i], want, 6e-4)
	}
	row := func(b *Bank, i int, want ...float64) {
		t.Helper()
		if len(b.Weights[i]) != len(want) {
			t.Fatalf("band %d has %d bins", i, len(b.Weights[i]))
		}
		for k, w := range want {
			near(t, "row", b.Weights[i][k], w, 1e-10)
		}
	}
	row(b, 0, .4563424549, .9126849098, .6638567050, .2481789773)
	if b.First[0] != 1 || b.First[10] != 35 || len(b.Weights[10]) != 12 {
		t.Errorf("bands start at %d and %d, the latter with %d bins", b.First[0], b.First[10], len(b.Weights[10]))
	}
	near(t, "row 10", b.Weights[10][40-35], .9757694329, 1e-10)
	if b, err = NewBank(Slaney, 128, 2048, 22050, 0, 11025, true); err != nil {
		t.Fatal(err)
	}
	row(b, 0, .0161828532, .0323657064, .0289900880, .0128072348)
	sum := 0.0
	for _, r := range b.Weights {
		for _, w := range r {
			sum += w
		}
	}
	near(t, "sum of all", sum, 11.886681289558, 1e-11)
}

// Computed.
func TestCepstrum(t *testing.T) {
	c, err := NewCosine(26, 5)
	if err != nil {
		t.Fatal(err)
	}
	x, y := make([]float64, 26), make([]float64, 5)
	for i := range x {
		x[i] = math.Log(float64(i + 1))
	}
	c.Apply(y, x)
	for k, want := range []float64{12.0144081814, -3.7662225504, -1.2472364059, -.9463331715, -.5589565995} {
		near(t, "cosine", y[k], want, 1e-10)
	}
	for k, want := range []float64{1, 2.5654632, 4.0990581, 5.5695651} {
		near(t, "lifter", Lifter(4, 22)[k], want, 1e-7)
	}
}

// Computed.
func TestSpectralShape(t *testing.T) {
	w := Hann.Samples(512)
	frame := func(second float64) []float64 {
		x := make([]float64, 512)
		for i := range x {
			x[i] = w[i] * (math.Sin(2*math.Pi*float64(i)/16) + second*math.Sin(2*math.Pi*3*float64(i)/16))
		}
		tr, _ := NewTransform(512)
		p := make([]float64, tr.Bins())
		tr.Power(p, x)
		for k := range p {
			p[k] = math.Sqrt(p[k])
		}
		return p
	}
	m := frame(.5)
	near(t, "bin 32", m[32], 128, 1e-10)
	near(t, "bin 96", m[96], 64, 1e-10)
	near(t, "centroid", Centroid(m, 31.25), 1666.66666667, 1e-7)
	near(t, "bandwidth", Bandwidth(m, 31.25), 943.06795627, 1e-7)
	near(t, "roll-off", RollOff(m, 31.25, .85), 3000, 1e-9)
	near(t, "flux", Flux(m, frame(0)), .4595058411, 1e-10)
	// A unit sine on a bin: density 0.5/(1.5·df).
	x := make([]float64, 4096)
	for i := range x {
		x[i] = math.Sin(2 * math.Pi * float64(i) / 16)
	}
	d, err := PowerDensity(x, Segments{RateHz: 16000, Length: 512, Overlap: 256, Window: Hann})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "density", d[32], .5/(1.5*31.25), 1e-12)
	near(t, "noise bandwidth", NoiseBandwidth(w), 1.5, 1e-14)
}

// Computed; AIC after Maeda 1985 (from memory).
func TestOnsetVector(t *testing.T) {
	p := parkMiller(1)
	x := p.take(1000)
	for i := range x {
		x[i] *= .05
		if i >= 600 {
			x[i] += math.Exp(-float64(i-600)/80) * math.Sin(2*math.Pi*float64(i-600)/25)
		}
	}
	k, v := OnsetByAIC(x)
	if k != 601 {
		t.Errorf("AIC onset at %d", k)
	}
	near(t, "AIC", v, -5480.429175, 1e-6)
	if at := OnsetByAverages(x, 20, 200, 4); at != 602 {
		t.Errorf("averages: onset at %d", at)
	}
	top := 0.0
	for _, r := range PowerRatios(x, 20, 200)[:600] {
		if r > top {
			top = r
		}
	}
	near(t, "largest ratio before", top, 1.4358, 5e-5)
	near(t, "robust deviation", RobustDeviation(x[:500]), .03541345, 1e-8)
}

// A. Savitzky, M. J. E. Golay 1964: exact fractions, computed.
func TestSmoothingWeights(t *testing.T) {
	for _, c := range []struct {
		window, order, derivative int
		by                        float64
		want                      []float64
	}{
		{5, 2, 0, 35, []float64{-3, 12, 17, 12, -3}},
		{7, 2, 0, 21, []float64{-2, 3, 6, 7, 6, 3, -2}},
		{9, 2, 0, 231, []float64{-21, 14, 39, 54, 59, 54, 39, 14, -21}},
		{7, 4, 0, 231, []float64{5, -30, 75, 131, 75, -30, 5}},
		{5, 2, 1, 10, []float64{-2, -1, 0, 1, 2}},
		{7, 2, 1, 28, []float64{-3, -2, -1, 0, 1, 2, 3}},
		{5, 4, 1, 12, []float64{1, -8, 0, 8, -1}},
		{5, 2, 2, 7, []float64{2, -1, -2, -1, 2}},
	} {
		w, err := SmoothingWeights(c.window, c.order, c.derivative, 0)
		if err != nil {
			t.Fatal(err)
		}
		for i := range w {
			near(t, "weight", w[i], c.want[i]/c.by, 1e-14)
		}
	}
	for window, want := range map[int]float64{5: .69693205, 7: .57735027, 9: .50538229} {
		w, _ := SmoothingWeights(window, 2, 0, 0)
		near(t, "noise gain", math.Sqrt(float64(window))*RootMeanSquare(w), want, 1e-8)
	}
	for window, want := range map[int]float64{5: .31622777, 7: .18898224} {
		w, _ := SmoothingWeights(window, 2, 1, 0)
		near(t, "noise gain of the slope", math.Sqrt(float64(window))*RootMeanSquare(w), want, 1e-8)
	}
}

// Nominal octaves' exact middles and edges at base ten, IEC 61260-1:2014, from memory (the middles also in the definition that
// octaves are 10^(n/10) Hz for band numbers n = 21, 24 … 42).
func TestPublishedOctaves(t *testing.T) {
	edges := OctaveEdges(100, 20000)
	middles := []float64{125.89, 251.19, 501.19, 1000, 1995.26, 3981.07, 7943.28, 15848.93}
	if len(edges) != len(middles)+1 {
		t.Fatalf("%.2f", edges)
	}
	for i, m := range middles {
		near(t, "middle", math.Sqrt(edges[i]*edges[i+1]), m, 0.005)
		near(t, "width of an octave", edges[i+1]/edges[i], 1.99526, 1e-5)
	}
	near(t, "lowest edge", edges[0], 89.125, 0.001)
	if e := OctaveEdges(710, 990); e != nil {
		t.Errorf("no middle lies there, and edges are %v", e)
	}
}
