package numeric

import "math"

// BinomialLogPMF returns the logarithm of the probability of exactly k successes
// in n independent trials with success probability p. It is exact at p = 0 and
// p = 1 (0 for the certain count, −∞ for any other) and −∞ for k outside 0…n.
// NaN for n < 0 or p outside [0, 1].
func BinomialLogPMF(k, n int, p float64) float64 {
	switch {
	case n < 0 || !(p >= 0 && p <= 1):
		return math.NaN()
	case k < 0 || k > n:
		return math.Inf(-1)
	case p == 0:
		return certain(k == 0)
	case p == 1:
		return certain(k == n)
	case k == 0:
		return float64(n) * math.Log1p(-p)
	case k == n:
		return float64(n) * math.Log(p)
	}
	return logBinomialKernel(float64(k), float64(n-k), p, 1-p)
}

func certain(is bool) float64 {
	if is {
		return 0
	}
	return math.Inf(-1)
}

// BinomialPMF returns the probability of exactly k successes in n trials; see
// [BinomialLogPMF] for its edges.
func BinomialPMF(k, n int, p float64) float64 { return math.Exp(BinomialLogPMF(k, n, p)) }

// BinomialCDF returns the probability of at most k successes in n trials with
// success probability p: 0 for k < 0, 1 for k ≥ n, exact at p = 0 and 1. NaN for
// n < 0 or p outside [0, 1].
func BinomialCDF(k, n int, p float64) float64 {
	switch {
	case n < 0 || !(p >= 0 && p <= 1):
		return math.NaN()
	case k < 0:
		return 0
	case k >= n:
		return 1
	}
	return BetaSurvival(float64(k)+1, float64(n-k), p)
}

// BinomialSurvival returns the probability of more than k successes, with full
// relative accuracy however small it is; its edges mirror [BinomialCDF].
func BinomialSurvival(k, n int, p float64) float64 {
	switch {
	case n < 0 || !(p >= 0 && p <= 1):
		return math.NaN()
	case k < 0:
		return 1
	case k >= n:
		return 0
	}
	return BetaCDF(float64(k)+1, float64(n-k), p)
}

// LogChoose returns the logarithm of the number of ways to choose k of n, −∞ for
// k outside 0…n, NaN for n < 0.
func LogChoose(n, k int) float64 {
	switch {
	case n < 0:
		return math.NaN()
	case k < 0 || k > n:
		return math.Inf(-1)
	case k == 0 || k == n:
		return 0
	}
	share := float64(k) / float64(n)
	rest := float64(n-k) / float64(n)
	return logBinomialKernel(float64(k), float64(n-k), share, rest) -
		float64(k)*math.Log(share) - float64(n-k)*math.Log(rest)
}
