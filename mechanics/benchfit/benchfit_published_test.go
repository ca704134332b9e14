package benchfit

import (
	"math"
	"testing"

	"holdfast/mechanics/hand"
)

// Textbook beams (S. P. Timoshenko, Strength of Materials, part I, 1930: cantilever with an end load, with an end moment; formulas
// from memory): tip stiffness 3EI/L³, angle of an end moment ML/EI.
func TestCantilever(t *testing.T) {
	const bending, sideways, moment, length = .002, .12, 2e-6, .082
	h := airHand(t, 6, bending, sideways, moment, length)
	f, _, err := view(h, 0)
	if err != nil {
		t.Fatal(err)
	}
	one := factors{moment: 1, closing: 1, sideways: 1, arms: 1}
	for _, c := range []struct {
		kind       Kind
		x          float64
		want, most float64
	}{
		{FreeBending, 5e4, moment * 5e4 * length / bending, 1e-9},
		{Guided, 5e4, moment * 5e4 / length, 1e-9},
		// Six segments, each bent at its middle, are 0.7 % too stiff or less: Σ((i − ½)/n)²/n misses ⅓ by 1/(12n²).
		{PushClosing, 1e-3, 3 * bending / (length * length * length) * 1e-3, .0075},
		{PushSideways, 1e-3, 3 * sideways / (length * length * length) * 1e-3, .0075},
	} {
		got := make([]float64, 1)
		f.predict(&Curve{Kind: c.kind, X: []float64{c.x}}, one, got)
		if math.Abs(got[0]-c.want) > c.most*c.want {
			t.Errorf("%s: %g, want %g", c.kind, got[0], c.want)
		}
	}
	// Held at the tip, little bent: a propped cantilever under a moment along its length pushes with 1.5·M/L.
	got := make([]float64, 1)
	f.predict(&Curve{Kind: TipHeld, X: []float64{100}}, one, got)
	if want := 1.5 * moment * 100 / length; math.Abs(got[0]-want) > 1e-3*want {
		t.Errorf("held tip: %g, want %g", got[0], want)
	}
	// Two numbers out of one reading each, as the room of fingers has them.
	c, err := hand.Calibrate(length, []hand.Reading{{Pressure: 4e4, Value: 1.2}}, []hand.Reading{{Pressure: 4e4, Value: .9}}, hand.Guided)
	if err != nil {
		t.Fatal(err)
	}
	r, err := Fit(t.Context(), h, 0, []Curve{{Kind: FreeBending, X: []float64{4e4, 4e4}, Y: []float64{1.2, 1.2}}, {Kind: Guided, X: []float64{4e4, 4e4}, Y: []float64{.9, .9}}}, .95)
	if err != nil {
		t.Fatal(err)
	}
	if got := r.Quantities[0].Fitted / 1e6; math.Abs(got-c.MomentPerPressure) > 1e-6*c.MomentPerPressure {
		t.Errorf("moment %g, want %g", got, c.MomentPerPressure)
	}
	if got := r.Quantities[1].Fitted / 1e3 * length; math.Abs(got-c.Bending) > 1e-6*c.Bending {
		t.Errorf("bending %g, want %g", got, c.Bending)
	}
}
