package calibrate

import (
	"math"
	"testing"
)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.12g, want %.12g within %g", what, got, want, tolerance)
	}
}

// Readings of the Statistical Reference Datasets (NIST, StRD, Norris: calibration of ozone monitors; public domain).
var (
	norrisX = []float64{.2, 337.4, 118.2, 884.6, 10.1, 226.5, 666.3, 996.3, 448.6, 777, 558.2, .4, .6, 775.5, 666.9, 338, 447.5, 11.6, 556, 228.1, 995.8, 887.6,
		120.2, .3, .3, 556.8, 339.1, 887.2, 999, 779, 11.1, 118.3, 229.2, 669.1, 448.9, .5}
	norrisY = []float64{.1, 338.8, 118.1, 888, 9.2, 228.1, 668.5, 998.5, 449.1, 778.9, 559.2, .3, .1, 778.1, 668.8, 339.3, 448.9, 10.8, 557.7, 228.3, 998, 888.8,
		119.6, .3, .6, 557.6, 339.3, 888, 998.5, 778.9, 10.2, 117.6, 228.9, 668.4, 449.2, .2}
)

// Coefficients are certified; the intervals at 500 and 0 and Fieller's limits were computed with numpy 1.24 and scipy 1.10 from the
// textbook formulas for a straight line.
func TestNorrisIntervals(t *testing.T) {
	p, err := FitPolynomial(norrisX, norrisY, nil, 1)
	if err != nil {
		t.Fatal(err)
	}
	b := p.Coefficients()
	near(t, "B0", b[0], -.262323073774029, 1e-12)
	near(t, "B1", b[1], 1.00211681802045, 1e-13)
	near(t, "SD", p.SD, .884796396144373, 1e-13)
	near(t, "R²", p.R2, .999993745883712, 1e-14)
	at500 := p.Predict(500, 0, .95)
	near(t, "curve at 500", at500.Value, 500.7960859365, 1e-9)
	near(t, "its standard error", at500.SE, .1515021758, 1e-9)
	near(t, "lower limit at 500", at500.Low, 498.97179405, 1e-7)
	near(t, "upper limit at 500", at500.High, 502.62037782, 1e-7)
	at0 := p.Predict(0, 0, .95)
	near(t, "lower limit at 0", at0.Low, -2.12165354, 1e-7)
	near(t, "upper limit at 0", at0.High, 1.59700740, 1e-7)
	inv, err := p.Invert(500, 0, .95)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "inverse", inv.Value, 499.2055956729, 1e-9)
	near(t, "Fieller's lower limit", inv.Low, 497.38524409, 1e-7)
	near(t, "Fieller's upper limit", inv.High, 501.02606885, 1e-7)
}

// Computed with numpy 1.24 and, for the straight lines, a linear programme of scipy 1.10, from readings made up for the purpose;
// the deviation about the least-squares line in exact fractions.
func TestCharacteristics(t *testing.T) {
	up := [][]float64{{.02, 1.01, 2.03, 3.02, 4.01, 5}, {.01, 1, 2.02, 3.03, 4.02, 5.01}, {.02, 1.02, 2.02, 3.01, 4, 5}}
	down := [][]float64{{.03, 1.06, 2.09, 3.08, 4.05, 5}, {.02, 1.05, 2.08, 3.08, 4.04, 5.01}, {.03, 1.06, 2.08, 3.07, 4.05, 5}}
	var readings []Reading
	var x, y []float64
	for cycle := range up {
		for k := range 6 {
			readings = append(readings, Reading{cycle, true, float64(20 * k), up[cycle][k]}, Reading{cycle, false, float64(20 * k), down[cycle][k]})
			x, y = append(x, float64(20*k), float64(20*k)), append(y, up[cycle][k], down[cycle][k])
		}
	}
	c, err := Characterise(readings)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "full scale", c.FullScale, 4.98166667, 1e-8)
	near(t, "hysteresis", c.Hysteresis, .0120441619, 1e-10)
	near(t, "where", c.HysteresisAt, 40, 0)
	near(t, "repeatability", c.Repeatability, .0040147206, 1e-10)
	near(t, "repeat SD", c.RepeatSD, .0070710678, 1e-10)
	for i, want := range []float64{.0078287053, .00408481894, .0039143526} {
		near(t, string(c.Linearity[i].Line), c.Linearity[i].Deviation, want, 1e-10)
	}
	near(t, "minimax offset", c.Linearity[2].Offset, .04116667, 1e-8)
	near(t, "minimax slope", c.Linearity[2].Slope, .04981667, 1e-8)
	near(t, "combined about least squares", c.Linearity[1].Combined, .01144514, 1e-8)
	p, err := FitPolynomial(x, y, nil, 1)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "offset of all readings", p.Coefficients()[0], .0393650794, 1e-10)
	near(t, "slope of all readings", p.Coefficients()[1], .0498404762, 1e-10)
	near(t, "scatter of all readings", p.SD, .0275263222, 1e-10)
}

// Computed with scikit-learn 1.2.1 (isotonic regression) and scipy 1.10.1 (PchipInterpolator).
func TestMonotoneValues(t *testing.T) {
	got := Isotonic([]float64{1, 2, 1.5, 1.2, 3, 2.8, 4, 3.9, 5, 6}, nil)
	for i, want := range []float64{1, 4.7 / 3, 4.7 / 3, 4.7 / 3, 2.9, 2.9, 3.95, 3.95, 5, 6} {
		near(t, "pooled", got[i], want, 1e-14)
	}
	m, err := NewMonotone([]float64{0, 1, 2, 4, 7, 10}, []float64{0, .1, 1, 1.2, 3, 3.1})
	if err != nil {
		t.Fatal(err)
	}
	for x, want := range map[float64]float64{.5: .0275, 1.5: .5478048780, 3: 1.1084811530, 5: 1.7253588517, 9: 3.0881091618} {
		near(t, "curve", m.At(x), want, 1e-10)
	}
	for i, want := range []float64{0, .18, .1975609756, .1636363636, .0631578947, 0} {
		near(t, "slope", m.slope[i], want, 1e-10)
	}
}

// Constant curvature, R. J. Webster and B. A. Jones 2010: x/L = (1 − cos t)/t, z/L = sin t/t; values recomputed from these.
func TestShapeConstantCurvature(t *testing.T) {
	for deg, want := range map[float64][2]float64{30: {.255873, .954930}, 60: {.477465, .826993}, 90: {.636620, .636620}, 120: {.716197, .413497}, 180: {.636620, 0}, 270: {.212207, -.212207}} {
		turn := deg * math.Pi / 180
		// The same bend in one stretch and in three unequal ones.
		for _, s := range [][]Stretch{{{Length: 1, Curvature: turn}}, {{Length: .2, Curvature: turn}, {Length: .5, Curvature: turn}, {Length: .3, Curvature: turn}}} {
			poses, err := Shape(s, 4)
			if err != nil {
				t.Fatal(err)
			}
			tip := poses[len(poses)-1]
			near(t, "x", tip.X, want[0], 5e-7)
			near(t, "z", tip.Z, want[1], 5e-7)
			near(t, "turn", tip.Turn, turn, 1e-14)
			near(t, "arc", tip.Arc, 1, 1e-14)
		}
	}
	near(t, "curvature of a strip 1 mm off its middle at R = 20 mm", CurvatureFromStrains(.05, -.05, .002), 50, 1e-12)
}
