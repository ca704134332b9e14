package numeric

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

// NormalCDF returns the standard normal distribution function Φ(x), with full
// relative accuracy in the lower tail.
func NormalCDF(x float64) float64 { return 0.5 * math.Erfc(-x/math.Sqrt2) }

// NormalSurvival returns 1 − Φ(x), with full relative accuracy in the upper tail.
func NormalSurvival(x float64) float64 { return 0.5 * math.Erfc(x/math.Sqrt2) }

// NormalQuantile returns Φ⁻¹(p): −∞ at 0, +∞ at 1, NaN outside [0, 1]. For an
// upper tail q use −NormalQuantile(q), which keeps the digits of a small q.
func NormalQuantile(p float64) float64 {
	if !(p >= 0 && p <= 1) {
		return math.NaN()
	}
	return mathext.NormalQuantile(p)
}

// ChiSquareCDF returns the probability that a chi-square variable with df > 0
// degrees of freedom is at most x: 0 for x ≤ 0, 1 at +∞. NaN for other df.
func ChiSquareCDF(x, df float64) float64 {
	switch {
	case !(df > 0) || math.IsInf(df, 1) || math.IsNaN(x):
		return math.NaN()
	case x <= 0:
		return 0
	case math.IsInf(x, 1):
		return 1
	}
	return mathext.GammaIncReg(df/2, x/2)
}

// ChiSquareSurvival returns the probability that a chi-square variable with
// df > 0 degrees of freedom exceeds x, accurate in the upper tail: 1 for x ≤ 0,
// 0 at +∞. NaN for other df.
func ChiSquareSurvival(x, df float64) float64 {
	switch {
	case !(df > 0) || math.IsInf(df, 1) || math.IsNaN(x):
		return math.NaN()
	case x <= 0:
		return 1
	case math.IsInf(x, 1):
		return 0
	case df == 1:
		return math.Erfc(math.Sqrt(x / 2))
	case df == 2:
		return math.Exp(-x / 2)
	}
	return mathext.GammaIncRegComp(df/2, x/2)
}
