package workflow

import (
	"math"
	"testing"

	"holdfast/numeric"
)

// A region that hardly ever fails is matched by a beta distribution that no whole counts have: with one failure before the trials
// it would be believed too little.
func TestBetaOfDraws(t *testing.T) {
	for _, c := range []struct{ a, b, target float64 }{{9, 0.3, 0.8}, {2, 0.1, 0.85}, {30, 4, 0.8}, {0.5, 6, 0.3}, {4, 4, 0.5}} {
		draws := make([]float64, 20000)
		for k := range draws {
			draws[k] = numeric.BetaQuantile(c.a, c.b, (float64(k)+0.5)/float64(len(draws)))
		}
		a, b := betaOf(draws, c.target)
		if math.Abs(a/c.a-1) > 0.03 || math.Abs(b/c.b-1) > 0.03 {
			t.Errorf("draws of beta(%g, %g) give beta(%g, %g)", c.a, c.b, a, b)
		}
	}
	// A few draws far below widen the spread, not the chance to reach the target.
	draws := []float64{0.2}
	for len(draws) < 100 {
		draws = append(draws, 0.97)
	}
	a, b := betaOf(draws, 0.8)
	if got, mean := numeric.BetaSurvival(a, b, 0.8), a/(a+b); math.Abs(got-0.99) > 1e-6 || math.Abs(mean-0.9623) > 1e-6 {
		t.Errorf("beta(%g, %g) has the mean %g and reaches the target with %g, want 0.9623 and 0.99", a, b, mean, got)
	}
	for _, draws := range [][]float64{{1, 1, 1}, {0, 0, 0}, {0, 1}} {
		if a, b := betaOf(draws, 0.8); !(a > 0 && b > 0 && a+b <= 1e6*1.01) {
			t.Errorf("%v give beta(%g, %g)", draws, a, b)
		}
	}
}
