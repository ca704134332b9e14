package successmap

import (
	"math"
	"testing"
)

func TestTabulatedLinkIsTheMean(t *testing.T) {
	for _, sd := range []float64{0, 0.05, 0.3, 1, 2.5, 4} {
		l := newLink(sd)
		worst := 0.0
		for f := -30.0; f <= 30; f += 0.0137 {
			worst = max(worst, math.Abs(l.at(f)-meanExpit(f, sd)))
		}
		// meanExpit itself is good to 5e-8 for standard deviations up to 2, and to 2e-6 for any.
		if limit := 5e-8; worst > limit && sd <= 2 || worst > 2e-6 {
			t.Errorf("sd %g: off by %.2g", sd, worst)
		}
	}
	if v := newLink(1).at(math.NaN()); v != newLink(1).at(math.Inf(-1)) {
		t.Errorf("not a number gives %g", v)
	}
}
