package numeric

import (
	"math"
	"sort"
	"testing"
)

func TestRadicalInversePublished(t *testing.T) {
	// J. G. van der Corput, "Verteilungsfunktionen" (1935); the first terms by definition, computed.
	for base, want := range map[uint32][]float64{
		2: {.5, .25, .75, .125, .625, .375, .875, .0625},
		3: {1. / 3, 2. / 3, 1. / 9, 4. / 9, 7. / 9, 2. / 9, 5. / 9, 8. / 9},
	} {
		for i, w := range want {
			if got := RadicalInverse(base, uint32(i+1)); math.Abs(got-w) > 1e-15 {
				t.Errorf("base %d, term %d: %g, want %g", base, i+1, got, w)
			}
		}
	}
}

func TestSobolPublished(t *testing.T) {
	// I. M. Sobol' (1967) in Gray-code order with the direction numbers of S. Joe and F. Y. Kuo (2008):
	// two first dimensions, computed with a general-purpose library.
	want := [][2]float64{{0, 0}, {.5, .5}, {.75, .25}, {.25, .75}, {.375, .375}, {.875, .875}, {.625, .125}, {.125, .625}}
	s, err := NewSobol(2)
	if err != nil {
		t.Fatal(err)
	}
	for i, w := range want {
		if got := s.At(uint32(i)); got[0] != w[0] || got[1] != w[1] {
			t.Errorf("point %d is %v, want %v", i, got, w)
		}
	}
}

func TestStarDiscrepancyPublished(t *testing.T) {
	// Exact star discrepancies D*, computed by an independent program; digits as given, half a unit in the last.
	sobol, err := NewSobol(2)
	if err != nil {
		t.Fatal(err)
	}
	halton := func(i uint32) [2]float64 { return [2]float64{RadicalInverse(2, i), RadicalInverse(3, i)} }
	plain := func(i uint32) [2]float64 { p := sobol.At(i); return [2]float64{p[0], p[1]} }
	for _, c := range []struct {
		name  string
		point func(uint32) [2]float64
		n     int
		want  float64
		half  float64
	}{
		{"Sobol'", plain, 8, .312500, 5e-7}, {"Sobol'", plain, 16, .171875, 5e-7}, {"Sobol'", plain, 32, .089844, 5e-7},
		{"Sobol'", plain, 64, .053711, 5e-7}, {"Sobol'", plain, 128, .025146, 5e-7},
		{"Halton", halton, 8, .319444, 5e-7}, {"Halton", halton, 16, .201389, 5e-7}, {"Halton", halton, 32, .104167, 5e-7},
		{"Halton", halton, 64, .052083, 5e-7}, {"Halton", halton, 128, .036651, 5e-7},
	} {
		points := make([][2]float64, c.n)
		for i := range points {
			points[i] = c.point(uint32(i))
		}
		got, err := StarDiscrepancy(points)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(got-c.want) > c.half*1.0001 {
			t.Errorf("%s n=%d: D* = %.7f, want %.7f", c.name, c.n, got, c.want)
		}
	}
}

func TestVanDerCorputDiscrepancyPublished(t *testing.T) {
	// Terms 1…N in base 2, computed by an independent program: 1/N at powers of two.
	for _, c := range []struct {
		n    int
		want float64
	}{{4, .25}, {8, .125}, {10, .175}, {16, .0625}, {32, .03125}, {100, .023125}, {128, .0078125}, {1000, .002453}} {
		x := make([]float64, c.n)
		for i := range x {
			x[i] = RadicalInverse(2, uint32(i+1))
		}
		sort.Float64s(x)
		worst := 0.0 // on a line: the largest of i/n − x₍ᵢ₎ and x₍ᵢ₎ − (i−1)/n
		for i, v := range x {
			worst = max(worst, float64(i+1)/float64(c.n)-v, v-float64(i)/float64(c.n))
		}
		if math.Abs(worst-c.want) > 5e-7 {
			t.Errorf("n=%d: D* = %.7f, want %.7f", c.n, worst, c.want)
		}
	}
}
