package simfit

import (
	"flag"
	"math"
	"testing"

	"holdfast/numeric"
)

// calibrations is the number of repetitions of each world; DESIGN.md tells what many gave.
var calibrations = flag.Int("calibrations", 6, "repetitions of the calibration check per simulation")

// Simulation-based calibration (S. Talts, M. Betancourt, D. Simpson, A. Vehtari, A. Gelman, "Validating Bayesian inference
// algorithms with simulation-based calibration", arXiv 1804.06788, 2018; abstract and section 1 read): for parameters drawn
// from the prior and a bench run with them, the true value's rank among posterior draws is uniform, so 90 % intervals cover
// 90 % of true values.
func TestIntervalsAreCalibrated(t *testing.T) {
	const bench, budget, bins = 60, 2000, 5
	for name, w := range map[string]world{"logistic": logisticWorld(), "threshold": thresholdWorld()} {
		d := len(w.parameters)
		covered, ranks := make([]int, d), make([][bins]int, d)
		named, differs := 0, 0
		for i := range *calibrations {
			seed := uint64(i)
			theta := w.fromPrior(numeric.Stream(seed, "true parameters"))
			p := w.problem(theta, bench, nil, 1000+seed)
			r := mustFit(t, p, Options{Seed: seed, Budget: budget})
			for k, e := range r.Parameters {
				if e.Low <= theta[k] && theta[k] <= e.High {
					covered[k]++
				}
				below := 0
				for _, s := range r.samples {
					if w.parameters[k].value(s[k]) < theta[k] {
						below++
					}
				}
				ranks[k][min(below*bins/len(r.samples), bins-1)]++
			}
			if len(r.Disagreements) > 0 {
				named++
			}
			if r.Discrepancy.Probability >= surelyDiffers {
				differs++
			}
		}
		n := float64(*calibrations)
		t.Logf("%s: %v of %d covered, ranks in fifths %v; of right models %d had a region named, %d a discrepancy told", name, covered, *calibrations, ranks, named, differs)
		for k := range covered {
			// Three standard deviations of a binomial count.
			if low := 0.9*n - 3*math.Sqrt(0.09*n); float64(covered[k]) < low {
				t.Errorf("%s: 90 %% intervals of %s cover %d of %d, asked at least %.1f", name, w.parameters[k].Name, covered[k], *calibrations, low)
			}
			chi := 0.0
			for _, c := range ranks[k] {
				chi += (float64(c) - n/bins) * (float64(c) - n/bins) / (n / bins)
			}
			if p := numeric.ChiSquareSurvival(chi, bins-1); p < 0.001 {
				t.Errorf("%s: ranks of %s in fifths %v are not uniform (chance %.2g)", name, w.parameters[k].Name, ranks[k], p)
			}
		}
		if float64(named) > 0.05*n+3*math.Sqrt(0.0475*n) {
			t.Errorf("%s: %d of %d right models had a region named", name, named, *calibrations)
		}
	}
}

// The posterior without a discrepancy against plain quadrature of the known likelihood; with one it may only grow wider.
func TestPosteriorAgainstQuadrature(t *testing.T) {
	for name, c := range map[string]struct {
		world
		off float64
	}{
		// Half a standard deviation costs a 90 % interval 3 % of its coverage. The threshold's chance is exactly 0 beyond an
		// edge that the stand-in rounds off: DESIGN.md says what that costs.
		"logistic": {logisticWorld(), 0.5}, "threshold": {thresholdWorld(), 0.8},
	} {
		w := c.world
		p := w.problem([]float64{0.7, 300, 0.003}, 100, nil, 21)
		f, err := newFitting(p, Options{Seed: 1})
		if err != nil {
			t.Fatal(err)
		}
		f.discrepancy = f.discrepancy.none()
		r, err := f.run(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		exact, sds := w.exact(p, 36)
		for k, e := range r.Parameters {
			par := w.parameters[k]
			off := (par.place(e.Mean) - par.place(exact[k].Mean)) / sds[k]
			wide := (par.place(e.High) - par.place(e.Low)) / (par.place(exact[k].High) - par.place(exact[k].Low))
			t.Logf("%s, %s: %.4g (%.4g to %.4g), quadrature %.4g (%.4g to %.4g): off by %.2f standard deviations, %.2f times as wide",
				name, e.Name, e.Mean, e.Low, e.High, exact[k].Mean, exact[k].Low, exact[k].High, off, wide)
			// What the stand-in does not know makes intervals wider, never much narrower.
			if math.Abs(off) > c.off || wide < 0.85 || wide > 1.4 {
				t.Errorf("%s, %s: off by %.2f standard deviations, %.2f times as wide", name, e.Name, off, wide)
			}
		}
	}
}
