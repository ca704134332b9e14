package numeric

import "math"

// StudentSurvival returns the probability that a Student t variable with df > 0
// degrees of freedom exceeds t, with full relative accuracy in the upper tail.
// NaN for other df.
func StudentSurvival(t, df float64) float64 {
	switch {
	case math.IsNaN(t) || !(df > 0):
		return math.NaN()
	case math.IsInf(df, 1):
		return NormalSurvival(t)
	case t < 0:
		return 1 - StudentSurvival(-t, df)
	case t*t > df:
		return BetaCDF(df/2, 0.5, df/(df+t*t)) / 2
	default:
		return BetaSurvival(0.5, df/2, t*t/(df+t*t)) / 2
	}
}

// StudentQuantile returns the t that a Student variable with df > 0 degrees of
// freedom stays below with probability p: −∞ at 0, +∞ at 1, NaN for p outside
// [0, 1] or other df.
func StudentQuantile(p, df float64) float64 {
	switch {
	case !(p >= 0 && p <= 1) || !(df > 0):
		return math.NaN()
	case math.IsInf(df, 1):
		return NormalQuantile(p)
	case p > 0.5:
		return -StudentQuantile(1-p, df)
	case p == 0:
		return math.Inf(-1)
	case p < 0.25:
		x := BetaQuantile(df/2, 0.5, 2*p)
		return -math.Sqrt(df * (1 - x) / x)
	default:
		y := BetaQuantile(0.5, df/2, 1-2*p)
		return -math.Sqrt(df * y / (1 - y))
	}
}

// FSurvival returns the probability that a Fisher F variable with d1 and d2 > 0
// degrees of freedom exceeds x: 1 for x ≤ 0, 0 at +∞. NaN for other degrees.
func FSurvival(x, d1, d2 float64) float64 {
	switch {
	case math.IsNaN(x) || !(d1 > 0) || !(d2 > 0):
		return math.NaN()
	case x <= 0:
		return 1
	case math.IsInf(x, 1):
		return 0
	case d1*x > d2:
		return BetaCDF(d2/2, d1/2, d2/(d2+d1*x))
	default:
		return BetaSurvival(d1/2, d2/2, d1*x/(d2+d1*x))
	}
}

// ChiSquareQuantile returns the x that a chi-square variable with df > 0 degrees
// of freedom stays below with probability p: 0 at 0, +∞ at 1, NaN for p outside
// [0, 1] or other df.
func ChiSquareQuantile(p, df float64) float64 {
	switch {
	case !(p >= 0 && p <= 1) || !(df > 0):
		return math.NaN()
	case p == 0:
		return 0
	case p == 1 || math.IsInf(df, 1):
		return math.Inf(1)
	}
	low, high := math.Inf(-1), math.Inf(1)
	at := math.Log(df)
	for step := 1.0; math.IsInf(low, -1) || math.IsInf(high, 1); step *= 2 {
		if chiSquareBelow(math.Exp(at), df, p) {
			low, at = at, at+step
		} else {
			high, at = at, at-step
		}
		if at < -740 {
			return 0
		}
	}
	for i := 0; i < 200 && high-low > 1e-16*math.Abs(low); i++ {
		mid := (low + high) / 2
		if mid == low || mid == high {
			break
		}
		if chiSquareBelow(math.Exp(mid), df, p) {
			low = mid
		} else {
			high = mid
		}
	}
	return math.Exp((low + high) / 2)
}

// chiSquareBelow compares in the smaller tail, where the digits are.
func chiSquareBelow(x, df, p float64) bool {
	if p > 0.5 {
		return ChiSquareSurvival(x, df) > 1-p
	}
	return ChiSquareCDF(x, df) < p
}
