package design

import "testing"

func TestTrendPublished(t *testing.T) {
	for _, c := range []struct {
		source  string
		blocks  []ReferenceBlock
		chi     float64 // N/(N−1) times the square of our conditional Z
		half, p float64
	}{
		// P. Armitage, "Tests for linear trends in proportions and frequencies", Biometrics 11 (1955) 375: carriers
		// among children by tonsil size, trend chi-square 7.19 (recalled); 7.1927 computed with R.
		{"tonsils", []ReferenceBlock{{1, "", 19, 516}, {2, "", 29, 589}, {3, "", 24, 293}}, 7.1927, 5e-5, .0073},
		// J. L. Fleiss, "Statistical Methods for Rates and Proportions" (1981): smokers in four patient groups, the
		// documented example of R's trend test, 8.2249 (recalled and computed with R).
		{"smokers", []ReferenceBlock{{1, "", 83, 86}, {2, "", 90, 93}, {3, "", 129, 136}, {4, "", 70, 82}}, 8.2249, 5e-5, .0041},
	} {
		d, err := ReferenceDrift(c.blocks)
		if err != nil {
			t.Fatal(err)
		}
		n := float64(d.Overall.Trials)
		near(t, c.source, d.Z*d.Z*n/(n-1), c.chi, c.half)
		// The exact probability is another number than the normal one, but close for counts like these.
		near(t, c.source+" p", d.P, c.p, .003)
		if !d.Exact || !d.Drifting {
			t.Errorf("%s: %+v", c.source, d)
		}
	}
}
