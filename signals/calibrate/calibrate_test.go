package calibrate

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"holdfast/numeric"
)

func TestTemperatureIsTakenOut(t *testing.T) {
	r := numeric.Stream(3, "temperature")
	var x, y, temp []float64
	for i := range 60 {
		x, temp = append(x, float64(i%12)*5), append(temp, 18+float64(i/12)*4)
		y = append(y, .2+.03*x[i]+1e-4*x[i]*x[i]+.05*(temp[i]-20)+.001*r.NormFloat64())
	}
	p, err := FitPolynomial(x, y, temp, 2)
	if err != nil {
		t.Fatal(err)
	}
	shift, low, high := p.TemperatureShift(.95)
	if !(low < .05 && .05 < high) || high-low > .001 || math.Abs(shift-.05) > .001 {
		t.Errorf("shift %g [%g, %g]", shift, low, high)
	}
	inv, err := p.Invert(.2+.03*33+1e-4*33*33+.05*8, 28, .95)
	if err != nil || math.Abs(inv.Value-33) > .05 || !(inv.Low < 33 && 33 < inv.High) || inv.High-inv.Low > .5 {
		t.Errorf("inverse %+v %v", inv, err)
	}
	plain, err := FitPolynomial(x, y, nil, 2)
	if err != nil || plain.SD < 50*p.SD {
		t.Errorf("without temperature the scatter is %g, with it %g", plain.SD, p.SD)
	}
}

func TestInverseHasNoLimitsWhereTheSlopeIsUnclear(t *testing.T) {
	p, err := FitPolynomial([]float64{0, 1, 2, 3}, []float64{0, 5, -4, 2}, nil, 1)
	if err != nil {
		t.Fatal(err)
	}
	inv, err := p.Invert(1, 0, .95)
	if err != nil || !math.IsInf(inv.Low, -1) || !math.IsInf(inv.High, 1) {
		t.Errorf("%+v %v", inv, err)
	}
}

// The band's crossings and the closed form are the same limits.
func TestInverseOfALineByBothWays(t *testing.T) {
	line, err := FitPolynomial(norrisX, norrisY, nil, 1)
	if err != nil {
		t.Fatal(err)
	}
	closed, err := line.Invert(500, 0, .95)
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range []float64{closed.Low, closed.High} {
		b := line.Predict(x, 0, .95)
		if math.Min(math.Abs(b.Low-500), math.Abs(b.High-500)) > 1e-8 {
			t.Errorf("the band at %g is %+v", x, b)
		}
	}
	bent, err := FitPolynomial(norrisX, norrisY, nil, 3)
	if err != nil {
		t.Fatal(err)
	}
	inv, err := bent.Invert(500, 0, .95)
	if err != nil || math.Abs(inv.Value-closed.Value) > .5 || math.Abs(inv.Low-closed.Low) > .5 || math.Abs(inv.High-closed.High) > .5 {
		t.Errorf("%+v beside %+v, %v", inv, closed, err)
	}
}

func TestRefusals(t *testing.T) {
	x, y := []float64{0, 1, 2, 3, 4, 5}, []float64{0, 1, 4, 4, 1, 0}
	for want, f := range map[string]func() error{
		"degree must be":   func() error { _, err := FitPolynomial(x, y, nil, 0); return err },
		"belong together":  func() error { _, err := FitPolynomial(x, y[1:], nil, 1); return err },
		"no readings":      func() error { _, err := FitPolynomial(nil, nil, nil, 1); return err },
		"over the range":   func() error { _, err := FitPolynomial([]float64{2, 2, 2}, y[:3], nil, 1); return err },
		"without any left": func() error { _, err := FitPolynomial(x, y, nil, 5); return err },
		"tell the model":   func() error { _, err := FitPolynomial([]float64{0, 0, 0, 1, 1, 1}, y, nil, 2); return err },
		"curve turns back": func() error { p, _ := FitPolynomial(x, y, nil, 2); _, err := p.Invert(1, 0, .9); return err },
		"lies outside":     func() error { m, _ := NewMonotone(x, x); _, _, err := m.Invert(7); return err },
		"read backwards": func() error {
			m, _ := NewMonotone(x, []float64{0, 1, 0, 2, 3, 4})
			_, _, err := m.Invert(1)
			return err
		},
		"two points":          func() error { _, err := NewMonotone(x[:1], y[:1]); return err },
		"rise strictly":       func() error { _, err := NewMonotone([]float64{0, 0}, []float64{1, 2}); return err },
		"two references":      func() error { _, err := Characterise([]Reading{{1, true, 1, 1}}); return err },
		"already read":        func() error { _, err := Characterise([]Reading{{1, true, 1, 1}, {1, true, 1, 2}}); return err },
		"same at both ends":   func() error { _, err := Characterise([]Reading{{1, true, 1, 1}, {1, true, 2, 1}}); return err },
		"not finite":          func() error { _, err := Characterise([]Reading{{1, true, 1, math.NaN()}}); return err },
		"stretch 1":           func() error { _, err := Shape([]Stretch{{Length: 0}}, 2); return err },
		"at least one point ": func() error { _, err := Shape(nil, 0); return err },
	} {
		if err := f(); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("want %q, got %v", want, err)
		}
	}
}

func TestMonotoneStaysMonotoneAndReadsBackwards(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 12).Draw(t, "n")
		raw := make([]float64, n)
		x := make([]float64, n)
		for i := range n {
			raw[i] = rapid.Float64Range(-10, 10).Draw(t, "y")
			x[i] = float64(i) + rapid.Float64Range(0, .9).Draw(t, "x")
		}
		y := Isotonic(raw, nil)
		sum, pooled := 0.0, 0.0
		for i := range n {
			sum, pooled = sum+raw[i], pooled+y[i]
			if i > 0 && y[i] < y[i-1] {
				t.Fatalf("falls at %d: %v", i, y)
			}
		}
		if math.Abs(sum-pooled) > 1e-9 {
			t.Fatalf("pooling moved the mean: %g, %g", sum, pooled)
		}
		m, err := NewMonotone(x, y)
		if err != nil {
			t.Fatal(err)
		}
		last := math.Inf(-1)
		for k := range 201 {
			at := x[0] + (x[n-1]-x[0])*float64(k)/200
			v := m.At(at)
			if v < last-1e-12*(1+math.Abs(last)) {
				t.Fatalf("falls at %g: %g after %g", at, v, last)
			}
			last = v
		}
		share := rapid.Float64Range(0, 1).Draw(t, "share")
		v := max(y[0], min(y[n-1], (1-share)*y[0]+share*y[n-1]))
		low, high, err := m.Invert(v)
		if err != nil || low > high || math.Abs(m.At(low)-v) > 1e-9 || math.Abs(m.At(high)-v) > 1e-9 {
			t.Fatalf("%g: %g %g %v", v, low, high, err)
		}
	})
}

// No other line through the points has a smaller largest deviation, and those of the minimax line alternate in sign.
func TestMinimaxLineIsBest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(3, 12).Draw(t, "n")
		x, y := make([]float64, n), make([]float64, n)
		for i := range n {
			x[i], y[i] = float64(i)*1.5, rapid.Float64Range(-10, 10).Draw(t, "y")
		}
		offset, slope := minimaxLine(x, y)
		worst := func(a, b float64) (w float64) {
			for i := range x {
				w = max(w, math.Abs(y[i]-a-b*x[i]))
			}
			return w
		}
		best := worst(offset, slope)
		for range 50 {
			a, b := rapid.Float64Range(-2, 2).Draw(t, "a"), rapid.Float64Range(-.5, .5).Draw(t, "b")
			if worst(offset+a, slope+b) < best-1e-9 {
				t.Fatalf("%g + %gx is better", offset+a, slope+b)
			}
		}
	})
}

func TestTipUncertaintyMatchesDifferences(t *testing.T) {
	s := []Stretch{{.03, 20, 1}, {.04, -5, .5}, {.02, 0, 2}, {.03, 40, .1}}
	x, z, turn, err := TipUncertainty(s)
	if err != nil {
		t.Fatal(err)
	}
	var vx, vz, vt float64
	for i := range s {
		tip := func(d float64) Pose {
			c := append([]Stretch(nil), s...)
			c[i].Curvature += d
			p, _ := Shape(c, 1)
			return p[len(p)-1]
		}
		const h = 1e-4
		a, b := tip(h), tip(-h)
		vx = math.Hypot(vx, (a.X-b.X)/(2*h)*s[i].CurvatureSD)
		vz = math.Hypot(vz, (a.Z-b.Z)/(2*h)*s[i].CurvatureSD)
		vt = math.Hypot(vt, (a.Turn-b.Turn)/(2*h)*s[i].CurvatureSD)
	}
	near(t, "x", x, vx, 1e-9)
	near(t, "z", z, vz, 1e-9)
	near(t, "turn", turn, vt, 1e-9)
}

// Every pose's slopes are those that differences show, also within a stretch.
func TestShapeSlopesMatchDifferences(t *testing.T) {
	s := []Stretch{{.03, 20, 0}, {.04, -5, 0}, {.02, 0, 0}}
	slopes, err := ShapeSlopes(s, 3)
	if err != nil {
		t.Fatal(err)
	}
	for i := range s {
		shape := func(d float64) []Pose {
			c := append([]Stretch(nil), s...)
			c[i].Curvature += d
			p, _ := Shape(c, 3)
			return p
		}
		const h = 1e-4
		a, b := shape(h), shape(-h)
		for k := range a {
			near(t, "x", slopes[k][i].X, (a[k].X-b[k].X)/(2*h), 1e-9)
			near(t, "z", slopes[k][i].Z, (a[k].Z-b[k].Z)/(2*h), 1e-9)
			near(t, "turn", slopes[k][i].Turn, (a[k].Turn-b[k].Turn)/(2*h), 1e-9)
		}
	}
}
