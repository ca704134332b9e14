package leastsquares

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestRefusals(t *testing.T) {
	for name, c := range map[string]struct {
		a [][]float64
		y []float64
	}{
		"nothing":      {nil, nil},
		"too few":      {[][]float64{{1, 2}}, []float64{1}},
		"ragged":       {[][]float64{{1}, {1, 2}}, []float64{1, 2}},
		"not a number": {[][]float64{{1}, {math.NaN()}}, []float64{1, 2}},
		"reading":      {[][]float64{{1}, {1}}, []float64{1, math.Inf(1)}},
	} {
		if f, err := Linear(c.a, c.y); err == nil || errors.Is(err, ErrDependent) {
			t.Errorf("%s: %v %v", name, f, err)
		}
	}
	for name, a := range map[string][][]float64{"zero column": {{0}, {0}}, "twice the same": {{.1, .3}, {.2, .6}, {.7, 2.1}}} {
		if _, err := Linear(a, make([]float64, len(a))); !errors.Is(err, ErrDependent) {
			t.Errorf("%s: %v", name, err)
		}
	}
	flat := Model{Readings: 3, Residual: func(b, r []float64) {
		for i := range r {
			r[i] = 1 + float64(i) - b[0] + 0*b[1]
		}
	}}
	if f, err := Nonlinear(flat, []float64{0, 0}); !errors.Is(err, ErrDependent) {
		t.Errorf("a coefficient without effect: %v %v", f, err)
	}
	wild := Model{Readings: 2, Residual: func(b, r []float64) { r[0], r[1] = math.Log(b[0]), 1 }}
	if f, err := Nonlinear(wild, []float64{-1}); err == nil {
		t.Errorf("no finite start: %v", f)
	}
}

// Whatever the readings, residuals of a linear fit are orthogonal to its columns, and a nonlinear fit of the same model agrees.
func TestBothFitsAgree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(4, 30).Draw(t, "n")
		a, y := make([][]float64, n), make([]float64, n)
		for i := range n {
			x := float64(i) + rapid.Float64Range(0, .5).Draw(t, "x")
			a[i], y[i] = []float64{1, x, x * x}, rapid.Float64Range(-100, 100).Draw(t, "y")
		}
		f, err := Linear(a, y)
		if err != nil {
			t.Fatal(err)
		}
		for j := range 3 {
			s, column, size := 0.0, 0.0, 0.0
			for i := range n {
				s += a[i][j] * f.Residuals[i]
				column, size = math.Hypot(column, a[i][j]), math.Hypot(size, y[i])
			}
			if math.Abs(s) > 1e-13*column*size {
				t.Fatalf("column %d: %g beside %g", j, s, column*size)
			}
		}
		g, err := Nonlinear(Model{Readings: n, Residual: func(b, r []float64) {
			for i := range r {
				r[i] = y[i] - b[0]*a[i][0] - b[1]*a[i][1] - b[2]*a[i][2]
			}
		}}, []float64{0, 0, 0})
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(g.RSS-f.RSS) > 1e-9*(1+f.RSS) {
			t.Fatalf("RSS %g and %g", f.RSS, g.RSS)
		}
	})
}
