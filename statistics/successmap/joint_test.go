package successmap

import (
	"math"
	"math/rand/v2"
	"testing"

	"holdfast/orient"
)

func TestJointDrawsAreTheMapsDraws(t *testing.T) {
	rs := approaches(150, rand.New(rand.NewPCG(3, 3)))
	const n = 40
	for _, c := range []struct {
		trials int
		blur   float64 // rad
	}{{60, 0.14}, {600, 0.14}, {600, 0.5}, {600, 0}} {
		m := mustFit(t, inventTruth(31, 1).trials(c.trials, 31), Options{})
		plain, blurred, err := m.JointDraws(n, 9, rs, c.blur)
		if err != nil {
			t.Fatal(err)
		}
		want, err := m.Draws(n, 9, rs)
		if err != nil {
			t.Fatal(err)
		}
		seen := want
		if c.blur > 0 {
			b, err := m.Blur(c.blur)
			if err != nil {
				t.Fatal(err)
			}
			if seen, err = b.Draws(n, 9, rs); err != nil {
				t.Fatal(err)
			}
		}
		worst, sum, spread := 0.0, 0.0, 0.0
		for i := range rs {
			mean := 0.0
			for d := range n {
				mean += seen[d][i] / n
			}
			for d := range n {
				spread += math.Pow(seen[d][i]-mean, 2)
				worst = max(worst, math.Abs(plain[i][d]-want[d][i]))
				sum += math.Pow(blurred[i][d]-seen[d][i], 2)
			}
		}
		// The shorter expansion must not matter beside what the draws are about: the spread of success.
		if share := math.Sqrt(sum / spread); share > 0.02 || worst > 1e-6 {
			t.Errorf("%d trials, blur %g: plain off by %.2g, blurred by %.3f of the spread", c.trials, c.blur, worst, share)
		}
	}
	if _, _, err := mustFit(t, inventTruth(31, 1).trials(60, 31), Options{}).JointDraws(n, 9, []orient.Rotation{orient.Identity}, math.Inf(1)); err == nil {
		t.Error("an infinite blur is accepted")
	}
}
