package orient

import (
	"math"
	"testing"
)

// sphere is the symmetry under which only the direction counts: the functions are the spherical harmonics.
var sphere = Symmetry{HandFold: MaxFold}

// Spherical harmonics at colatitude 0.7, longitude 1.1 (computed, scipy 1.10.1 sph_harm, Condon–Shortley phase).
func TestSphericalHarmonicsPublished(t *testing.T) {
	const theta, phi = 0.7, 1.1
	h, err := NewHarmonics(3, sphere)
	if err != nil {
		t.Fatal(err)
	}
	values := make([]float64, h.Len())
	h.Values(values, RotZ(phi).Mul(RotY(theta)).Mul(RotZ(0.4)))
	for _, c := range []struct {
		l, m   int
		re, im float64
	}{
		{0, 0, .2820947918, 0}, {1, 0, .3737038139, 0}, {1, 1, -.1009584500, -.1983590896}, {2, 0, .2381050875, 0},
		{2, 1, -.1726630910, -.3392414754}, {2, 2, -.0943426964, .1296101715}, {3, 2, -.1909102029, .2622768385}, {3, 0, -.0214300205, 0},
	} {
		// Y_lm = √(1/4π)·φ for m = 0; for m > 0 cosine and sine carry √2 for real and imaginary part.
		scale := math.Sqrt(1 / (4 * math.Pi))
		if c.m > 0 {
			scale /= math.Sqrt2
		}
		for i := range h.Len() {
			f := h.At(i)
			if f.L != c.l || f.M != c.m {
				continue
			}
			want := c.re
			if f.Sine {
				want = c.im
			}
			if math.Abs(scale*values[i]-want) > 5e-11 {
				t.Errorf("Y_%d,%d sine %v: %.11f, want %.10f", c.l, c.m, f.Sine, scale*values[i], want)
			}
		}
	}
}

// degreeSums returns Σ φ(a)·φ(b) over the functions of each degree.
func degreeSums(t *testing.T, degree int, s Symmetry, a, b Rotation) []float64 {
	t.Helper()
	h, err := NewHarmonics(degree, s)
	if err != nil {
		t.Fatal(err)
	}
	x, y := make([]float64, h.Len()), make([]float64, h.Len())
	h.Values(x, a)
	h.Values(y, b)
	sums := make([]float64, degree+1)
	for i := range x {
		sums[h.At(i).L] += x[i] * y[i]
	}
	return sums
}

// The addition theorem Σ_m Y_lm(a)·Y*_lm(b) = (2l+1)/4π·P_l(cos γ) at a = (0.7, 1.1), b = (1.9, −0.4) (computed).
func TestAdditionTheoremPublished(t *testing.T) {
	got := degreeSums(t, 5, sphere, RotZ(1.1).Mul(RotY(0.7)), RotZ(-0.4).Mul(RotY(1.9)))
	for l, want := range []float64{.079577471546, -.048735421545, -.174071257196, .158726435142, .162089887395, -.272338545271} {
		if v := got[l] / (4 * math.Pi); math.Abs(v-want) > 1e-12 {
			t.Errorf("degree %d: %.13f, want %.12f", l, v, want)
		}
	}
}

// Wigner d-matrices (Varshalovich, Moskalev, Khersonskii 1988, tables of §4.19; computed).
func TestSmallDPublished(t *testing.T) {
	for _, c := range []struct {
		l, m int
		beta float64
		want []float64 // n = l … −l
	}{
		{1, 1, math.Pi / 3, []float64{.75, -.61237244, .25}},
		{1, 0, math.Pi / 3, []float64{.61237244, .5, -.61237244}},
		{1, -1, math.Pi / 3, []float64{.25, .61237244, .75}},
		{2, 2, math.Pi / 3, []float64{.5625, -.64951905, .45927933, -.21650635, .0625}},
		{2, 0, math.Pi / 3, []float64{.45927933, .53033009, -.125, -.53033009, .45927933}},
		{2, 2, math.Pi / 2, []float64{.25, -.5, .61237244, -.5, .25}},
	} {
		for i, want := range c.want {
			if got := SmallD(c.l, c.m, c.l-i, c.beta); math.Abs(got-want) > 5e-9 {
				t.Errorf("d^%d_{%d,%d}(%.4f) = %.10f, want %.8f", c.l, c.m, c.l-i, c.beta, got, want)
			}
		}
	}
	if got := SmallD(3, 0, 0, math.Pi/3); math.Abs(got+.4375) > 1e-15 {
		t.Errorf("d³_00(π/3) = %g, want −0.4375", got)
	}
	if SmallD(2, 3, 0, 1) != 0 || SmallD(-1, 0, 0, 1) != 0 {
		t.Error("outside its range d is 0")
	}
}

// Characters of the rotation group, sin((2l+1)ω/2)/sin(ω/2), as sums over our functions divided by 2l+1; the last case
// is the trace at z–y–z angles (0.4, 0.9, −0.3) (computed).
func TestCharactersPublished(t *testing.T) {
	axis := Vec3{1, -2, 0.5}
	for _, c := range []struct {
		r    Rotation
		want []float64
	}{
		{AboutAxis(axis, math.Pi/3), []float64{1, 2, 1, -1, -2}},
		{AboutAxis(axis, math.Pi/2), []float64{1, 1, -1, -1, 1}},
		{AboutAxis(axis, 2*math.Pi/3), []float64{1, 0, -1, 1, 0}},
		{AboutAxis(axis, math.Pi), []float64{1, -1, 1, -1, 1}},
		{AboutAxis(axis, 1), []float64{1, 2.0806046, 1.2483109, -.7316741, -2.0389613}},
		{RotZ(.4).Mul(RotY(.9)).Mul(RotZ(-.3)), []float64{1, 2.235118641, 1.760636699, -.060523434}},
	} {
		base := RotX(0.7).Mul(RotZ(0.2))
		for l, v := range degreeSums(t, len(c.want)-1, Symmetry{}, base, base.Mul(c.r)) {
			if got := v / float64(2*l+1); math.Abs(got-c.want[l]) > 5e-8 {
				t.Errorf("%+v: character of degree %d is %.9f, want %.8f", c.r, l, got, c.want[l])
			}
		}
	}
}

// Numbers of functions: (L+1)² on the sphere, (L+1)(2L+1)(2L+3)/3 on the rotations (reference values).
func TestNumberOfHarmonicsPublished(t *testing.T) {
	for degree, want := range map[int]int{2: 35, 4: 165, 6: 455, 8: 969, 10: 1771, 12: 2925} {
		h, err := NewHarmonics(degree, Symmetry{})
		if err != nil {
			t.Fatal(err)
		}
		if h.Len() != want || h.LenUpTo(degree) != want || h.LenUpTo(0) != 1 {
			t.Errorf("degree %d: %d functions, want %d", degree, h.Len(), want)
		}
		s, err := NewHarmonics(degree, sphere)
		if err != nil {
			t.Fatal(err)
		}
		if s.Len() != (degree+1)*(degree+1) {
			t.Errorf("degree %d on the sphere: %d functions", degree, s.Len())
		}
	}
}

// Heat kernels (computed series): on the sphere per unit area, on the rotations against uniform probability.
func TestHeatKernelsPublished(t *testing.T) {
	kernel := func(s Symmetry, time float64, b Rotation) float64 {
		sum := 0.0
		for l, v := range degreeSums(t, 32, s, Identity, b) {
			sum += math.Exp(-float64(l*(l+1))*time) * v
		}
		return sum
	}
	for _, c := range []struct {
		time, angle, want float64
	}{
		{.05, 0, 1.6183430714}, {.1, 0, .8228414232}, {.1, math.Pi / 4, .1855866117}, {.1, math.Pi / 2, .0021639538},
		{.5, 0, .1886254176}, {.5, math.Pi / 4, .1463739592}, {.5, math.Pi / 2, .0696848420}, {.5, math.Pi, .0102138478},
		{1, 0, .1128760787}, {1, math.Pi / 4, .1026692876}, {1, math.Pi / 2, .0790843400}, {1, math.Pi, .0482513956},
	} {
		if got := kernel(sphere, c.time, RotZ(0.3).Mul(RotY(c.angle))) / (4 * math.Pi); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("sphere, t = %g, angle %.3f: %.11f, want %.10f", c.time, c.angle, got, c.want)
		}
	}
	for _, c := range []struct {
		time, angle, want float64
	}{
		{.1, 0, 57.4688224458}, {.1, math.Pi / 4, 12.6158305453}, {.1, math.Pi / 2, .1336873982},
		{.5, 0, 5.6807650732}, {.5, math.Pi / 4, 4.2823362054}, {.5, math.Pi / 2, 1.8377636709}, {.5, math.Pi, .1283509974},
		{1, 0, 2.2802875869}, {1, math.Pi / 4, 2.0101490053}, {1, math.Pi / 2, 1.3935690979}, {1, math.Pi, .6063449202},
	} {
		if got := kernel(Symmetry{}, c.time, AboutAxis(Vec3{0.3, 1, -0.6}, c.angle)); math.Abs(got-c.want) > 1e-9*math.Max(1, c.want) {
			t.Errorf("rotations, t = %g, angle %.3f: %.11f, want %.10f", c.time, c.angle, got, c.want)
		}
	}
}

// Orthogonality of the coupling coefficients, and ⟨1 1 1 −1|l 0⟩ = 1/√3, 1/√2, 1/√6 (common tables; from memory).
func TestClebschGordanPublished(t *testing.T) {
	for l, want := range []float64{1 / math.Sqrt(3), 1 / math.Sqrt2, 1 / math.Sqrt(6)} {
		if got := ClebschGordan(1, 1, 1, -1, l, 0); math.Abs(got-want) > 1e-15 {
			t.Errorf("⟨1 1 1 −1|%d 0⟩ = %g, want %g", l, got, want)
		}
	}
	for _, pair := range [][2]int{{1, 1}, {4, 2}, {8, 8}, {10, 10}, {12, 9}} {
		a, b := pair[0], pair[1]
		for m := -2; m <= 3; m++ {
			for l := a - b; l <= a+b; l++ {
				for k := a - b; k <= l; k++ {
					sum := 0.0
					for p := -a; p <= a; p++ {
						sum += ClebschGordan(a, p, b, m-p, l, m) * ClebschGordan(a, p, b, m-p, k, m)
					}
					want := 0.0
					if k == l && l >= abs(m) {
						want = 1
					}
					if math.Abs(sum-want) > 1e-9 {
						t.Errorf("%d, %d, m = %d: degrees %d and %d have product %g", a, b, m, l, k, sum)
					}
				}
			}
		}
	}
}
