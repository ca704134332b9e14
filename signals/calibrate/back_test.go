package calibrate

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"holdfast/numeric"
)

// Readings about a curve that levels off are read backwards with limits that hold as often as they say.
func TestMonotoneLimitsHold(t *testing.T) {
	random := numeric.Stream(4, "monotone limits")
	const sd, fits, each = 0.01, 60, 40
	inside := 0
	for range fits {
		var x, y []float64
		for k := range 60 {
			at := float64(k%15) * 2
			x, y = append(x, at), append(y, -math.Tanh(at/25)+sd*random.NormFloat64())
		}
		m, err := FitMonotone(x, y)
		if err != nil || m.Rising {
			t.Fatal(m, err)
		}
		for range each {
			at := 4 + 16*random.Float64()
			inv, err := m.Invert(-math.Tanh(at/25)+sd*random.NormFloat64(), 0.9)
			if err != nil {
				t.Fatal(err)
			}
			if inv.Low <= at && at <= inv.High {
				inside++
			}
		}
	}
	if share := float64(inside) / (fits * each); share < 0.86 || share > 0.96 {
		t.Errorf("90 %% limits hold %g of the truths", share)
	}
}

// Backwards is forwards undone, inside the range and beyond it.
func TestBackUndoesTheCurve(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		slope := rapid.Float64Range(0.1, 5).Draw(t, "slope") * rapid.SampledFrom([]float64{-1, 1}).Draw(t, "sign")
		var x, y []float64
		for k := range 12 {
			x = append(x, float64(k/2))
			y = append(y, 3+slope*float64(k/2)+1e-3*float64(k%2))
		}
		p, err := FitPolynomial(x, y, nil, 1)
		if err != nil {
			t.Fatal(err)
		}
		m, err := FitMonotone(x, y)
		if err != nil {
			t.Fatal(err)
		}
		at := rapid.Float64Range(-2, 8).Draw(t, "at")
		for _, made := range []func() (*Back, error){p.Back, m.Back} {
			b, err := made()
			if err != nil {
				t.Fatal(err)
			}
			value, sd, beyond := b.Read(3 + slope*at + 5e-4)
			if math.Abs(value-at) > 1e-6 || at > 0.01 && at < 4.99 && beyond || (at < -0.01 || at > 5.01) != beyond && math.Abs(at) > 0.01 && math.Abs(at-5) > 0.01 {
				t.Fatalf("%g came back as %g, beyond %t", at, value, beyond)
			}
			if want := b.sd / math.Abs(slope); math.Abs(sd-want) > 1e-6 {
				t.Fatalf("uncertainty %g, want %g", sd, want)
			}
		}
	})
}

func TestBackRefuses(t *testing.T) {
	if m, err := FitMonotone([]float64{0, 1, 2}, []float64{0, 1, 3}); err != nil {
		t.Error(err)
	} else if _, err := m.Back(); err == nil {
		t.Error("scatter that is not known was taken as known")
	}
	if _, err := FitMonotone([]float64{1, 1}, []float64{0, 1}); err == nil {
		t.Error("one reference was enough")
	}
	if _, err := FitMonotone([]float64{0, 1, 1}, []float64{1, 1, 1}); err == nil {
		t.Error("a signal that does not change was fitted")
	}
	p, err := FitPolynomial([]float64{-2, -1, 0, 1, 2}, []float64{4, 1, 0, 1, 4}, nil, 2)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := p.Back(); err == nil {
		t.Error("a parabola was read backwards")
	}
}
