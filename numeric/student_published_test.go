package numeric

import (
	"math"
	"testing"
)

// Computed with scipy.stats 1.10.1: t.ppf, t.sf, f.sf, chi2.ppf.
func TestStudentFisherChiSquareValues(t *testing.T) {
	for _, c := range []struct {
		what      string
		got, want float64
	}{
		{"t.ppf(.975, 34)", StudentQuantile(0.975, 34), 2.032244509318717},
		{"t.ppf(.975, 1)", StudentQuantile(0.975, 1), 12.706204736432095},
		{"t.ppf(.6, 3)", StudentQuantile(0.6, 3), 0.27667066230490933},
		{"t.ppf(1e-9, 5)", StudentQuantile(1e-9, 5), -98.93722464837131},
		{"t.sf(2.5, 7)", StudentSurvival(2.5, 7), 0.020496109292876437},
		{"t.sf(.1, 7)", StudentSurvival(0.1, 7), 0.4615740298023962},
		{"f.sf(1.18046237440255, 4, 20)", FSurvival(1.18046237440255, 4, 20), 0.34944749340219244},
		{"chi2.ppf(.025, 9)", ChiSquareQuantile(0.025, 9), 2.7003894999803584},
		{"chi2.ppf(.975, 9)", ChiSquareQuantile(0.975, 9), 19.02276779864163},
		{"chi2.ppf(1e-6, 1)", ChiSquareQuantile(1e-6, 1), 1.5707963267957187e-12},
	} {
		if !(math.Abs(c.got/c.want-1) < 1e-9) {
			t.Errorf("%s: got %.15g, want %.15g", c.what, c.got, c.want)
		}
	}
	for _, v := range []float64{StudentQuantile(2, 3), StudentQuantile(0.5, 0), StudentSurvival(1, -1), FSurvival(1, 0, 1), ChiSquareQuantile(-1, 2), ChiSquareQuantile(0.5, math.NaN())} {
		if !math.IsNaN(v) {
			t.Errorf("outside the domain gave %g", v)
		}
	}
	if StudentQuantile(0.5, 4) != 0 || !math.IsInf(StudentQuantile(1, 4), 1) || ChiSquareQuantile(0, 2) != 0 || FSurvival(-1, 2, 2) != 1 {
		t.Error("edges")
	}
}
