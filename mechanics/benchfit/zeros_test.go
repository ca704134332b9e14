package benchfit

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// A bench whose zeros are off is told so, and its numbers are those of one whose zeros are right.
func TestZerosOfTheBenchAreTold(t *testing.T) {
	h := tendonHand(t)
	truth := factors{1, 1.1, .9, 1.05, .06, 5e-5}
	fit := func(off float64) *Result {
		r, err := Fit(t.Context(), h, 0, measured(t, h, truth, noise{share: .001, zero: off}, 3, 30, Travel, Tension, PushSideways), .95)
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	right, off := fit(0), fit(.08)
	for i, q := range off.Quantities {
		if w := right.Quantities[i]; math.Abs(q.Fitted-w.Fitted) > .02*w.Fitted {
			t.Errorf("%s: %g with zeros off, %g without", q.Name, q.Fitted, w.Fitted)
		}
	}
	said := strings.Join(off.Notes, "\n")
	for _, want := range []string{"Tendon tension begins at -9.", "Tendon travel is off zero by 1.", "Push sideways is off zero by"} {
		if !strings.Contains(said, want) {
			t.Errorf("no %q in %s", want, said)
		}
	}
	if said := strings.Join(right.Notes, "\n"); strings.Contains(said, "zero") {
		t.Errorf("right zeros are told to be off: %s", said)
	}
}

// All forces of a bench larger by a factor are springs stiffer by it; friction and arms stay, stretch is the less.
func TestForcesAndSpringsGoTogether(t *testing.T) {
	h := tendonHand(t)
	rapid.Check(t, func(r *rapid.T) {
		by := math.Exp(rapid.Float64Range(-1, 1).Draw(r, "by"))
		run := rapid.IntRange(0, 1000).Draw(r, "run")
		curves := measured(t, h, factors{1, 1.2, .8, 1.1, .07, 8e-5}, noise{share: .005, loop: .05}, run, 26, Travel, Tension, PushClosing, PushSideways)
		first, err := Fit(t.Context(), h, 0, curves, .95)
		if err != nil {
			r.Fatal(err)
		}
		for i := range curves {
			for j := range curves[i].Y {
				if curves[i].Kind != Travel {
					curves[i].Y[j] *= by
				}
			}
		}
		second, err := Fit(t.Context(), h, 0, curves, .95)
		if err != nil {
			r.Fatal(err)
		}
		want := map[string]float64{"tendon travel per angle": 1, "friction of the tendon": 1, "stretch of the finger's tendon": 1 / by}
		for i, q := range second.Quantities {
			factor, known := want[q.Name]
			if !known {
				factor = by
			}
			for _, pair := range [][2]float64{{q.Fitted, first.Quantities[i].Fitted}, {q.Low, first.Quantities[i].Low}, {q.High, first.Quantities[i].High}} {
				if math.Abs(pair[0]-factor*pair[1]) > 1e-3*factor*first.Quantities[i].High {
					r.Errorf("%s: %g, was %g with forces of 1/%g", q.Name, pair[0], pair[1], by)
				}
			}
		}
	})
}
