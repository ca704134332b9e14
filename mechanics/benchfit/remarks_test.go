package benchfit

import (
	"strings"
	"testing"
)

func TestRemarksSayWhatWasChanged(t *testing.T) {
	h := tendonHand(t)
	h.Fingers[0].Name = "index"
	curves := measured(t, h, factors{1, 1.3, .9, .95, .08, 5e-5}, noise{}, 0, 24, Travel, Tension)
	curves[0].From = "draw.csv"
	r, err := Fit(t.Context(), h, 0, curves, .9)
	if err != nil {
		t.Fatal(err)
	}
	said := strings.Join(r.Remarks(), "\n")
	for _, want := range []string{"finger index. Limits hold 90 %.", "stiffness against closing, all joints in series: from 18.46 to 24 N mm/rad (", "friction of the tendon: from 0 to 0.08 (",
		"stiffness sideways; it needs a push sideways", "draw.csv, tendon travel: 24, misfit ", "half a turn before each finger", "no proof"} {
		if !strings.Contains(said, want) {
			t.Errorf("no %q in\n%s", want, said)
		}
	}
	one, err := Fit(t.Context(), h, 0, []Curve{{Kind: PushSideways, X: []float64{.001}, Y: []float64{.3}}}, .95)
	if err != nil {
		t.Fatal(err)
	}
	if said := strings.Join(one.Remarks(), "\n"); !strings.Contains(said, "no limits: too few readings") {
		t.Errorf("one reading has limits:\n%s", said)
	}
}
