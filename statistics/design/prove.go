package design

import (
	"math"

	"holdfast/domain"
	"holdfast/numeric"
)

// SuccessRun returns the smallest number of trials that, with at most the allowed
// failures among them, prove with the confidence that the success rate exceeds the
// one asked for: the smallest n with P(X ≤ failures; n, 1−rate) ≤ 1 − confidence.
// Without failures that is n ≥ ln(1−C)/ln R. More trials always do as well.
func SuccessRun(rate, confidence float64, failures int) (int, error) {
	if err := proofDomain(rate, confidence, failures); err != nil {
		return 0, err
	}
	return smallestProof(failures, func(n int) bool {
		return atMost(numeric.BinomialCDF(failures, n, 1-rate), 1-confidence)
	})
}

// BayesSuccessRun is [SuccessRun] judged by the posterior under a uniform prior:
// the smallest n after which P(success rate > rate) ≥ confidence. It is one trial
// fewer than SuccessRun asks, the prior being worth one success.
func BayesSuccessRun(rate, confidence float64, failures int) (int, error) {
	if err := proofDomain(rate, confidence, failures); err != nil {
		return 0, err
	}
	return smallestProof(failures, func(n int) bool {
		return atMost(numeric.BetaCDF(float64(n-failures)+1, float64(failures)+1, rate), 1-confidence)
	})
}

// ToleranceTrials returns the smallest number of measurements whose smallest and
// largest value enclose, with the confidence, at least the share of all future
// values, whatever their distribution: 1 − n·Pⁿ⁻¹ + (n−1)·Pⁿ ≥ C (S. S. Wilks,
// "Determination of sample sizes for setting tolerance limits", Annals of
// Mathematical Statistics 12 (1941) 91; from memory). For one side see [SuccessRun].
func ToleranceTrials(share, confidence float64) (int, error) {
	if err := inside("share", share, "confidence", confidence); err != nil {
		return 0, err
	}
	return smallestProof(1, func(n int) bool {
		return atMost(numeric.BinomialCDF(1, n, 1-share), 1-confidence)
	})
}

func proofDomain(rate, confidence float64, failures int) error {
	if err := inside("success_rate", rate, "confidence", confidence); err != nil {
		return err
	}
	if failures < 0 {
		return invalid("this proof can not be planned", []domain.FieldError{fieldError("failures", failures, "must not be negative")})
	}
	return nil
}

// smallestProof finds the smallest n above failures for which the monotone
// condition holds.
func smallestProof(failures int, proved func(n int) bool) (int, error) {
	low, high := failures, failures+1
	for !proved(high) {
		if high >= MaxTrials {
			return 0, tooMany()
		}
		low, high = high, min(2*high, MaxTrials)
	}
	for high-low > 1 {
		if mid := low + (high-low)/2; proved(mid) {
			high = mid
		} else {
			low = mid
		}
	}
	return high, nil
}

// OneSampleNormal holds real-valued numbers of trials to tell the rate p1 from p0
// by a one-sided normal test.
type OneSampleNormal struct {
	Plain      float64 // ((z_α·√p₀q₀ + z_β·√p₁q₁)/δ)²
	Corrected  float64 // with Fleiss' continuity correction, N/4·(1+√(1+2/(N·δ)))²
	PlusInvert float64 // with the handbook's simpler correction, N + 1/δ
}

// OneSampleNormalTrials returns the numbers of trials for a one-sided level alpha
// and the power (NIST/SEMATECH e-Handbook of Statistical Methods, §7.2.4.2; from
// memory). They are quick figures; [ExactTest] gives the ones to plan by.
func OneSampleNormalTrials(p0, p1, alpha, power float64) (OneSampleNormal, error) {
	if err := inside("p0", p0, "p1", p1, "alpha", alpha, "power", power); err != nil {
		return OneSampleNormal{}, err
	}
	shift := math.Abs(p1 - p0)
	if shift == 0 {
		return OneSampleNormal{}, invalid("equal rates can not be told apart", []domain.FieldError{fieldError("p1", p1, "must differ from p0")})
	}
	root := (-numeric.NormalQuantile(alpha)*math.Sqrt(p0*(1-p0)) + numeric.NormalQuantile(power)*math.Sqrt(p1*(1-p1))) / shift
	n := root * root
	fleiss := 1 + math.Sqrt(1+2/(n*shift))
	return OneSampleNormal{Plain: n, Corrected: n / 4 * fleiss * fleiss, PlusInvert: n + 1/shift}, nil
}

// ExactTest is the exact one-sided binomial test that a success rate exceeds P0.
type ExactTest struct {
	Trials   int
	Critical int     // the rate is judged better than P0 from this many successes on; Trials+1: never
	Alpha    float64 // chance to reach Critical at P0
	Power    float64 // chance to reach Critical at P1
}

// ExactTestAt returns the test with the smallest critical count whose level does
// not exceed alpha.
func ExactTestAt(trials int, p0, p1, alpha float64) (ExactTest, error) {
	if err := exactDomain(p0, p1, alpha, 0.5); err != nil {
		return ExactTest{}, err
	}
	if trials < 0 || trials > MaxTrials {
		return ExactTest{}, invalid("this test can not be computed", []domain.FieldError{fieldError("trials", trials, "must be 0 to 1000000")})
	}
	low, high := -1, trials+1 // above alpha at low, within it at high
	for high-low > 1 {
		if mid := (low + high) / 2; atMost(numeric.BinomialSurvival(mid-1, trials, p0), alpha) {
			high = mid
		} else {
			low = mid
		}
	}
	return exactTest(trials, high, p0, p1), nil
}

func exactTest(trials, critical int, p0, p1 float64) ExactTest {
	return ExactTest{trials, critical, numeric.BinomialSurvival(critical-1, trials, p0), numeric.BinomialSurvival(critical-1, trials, p1)}
}

// ExactTestTrials returns how many trials the exact test needs to find, with the
// power, that the success rate is p1 > p0 at the one-sided level alpha, and the
// tests at the first such number and at the number from which on all do.
func ExactTestTrials(p0, p1, alpha, power float64) (size Size, first, fromOn ExactTest, err error) {
	if err := exactDomain(p0, p1, alpha, power); err != nil {
		return Size{}, ExactTest{}, ExactTest{}, err
	}
	normal, err := OneSampleNormalTrials(p0, p1, alpha, power)
	if err != nil {
		return Size{}, ExactTest{}, ExactTest{}, err
	}
	if normal.Plain > maxExactScan {
		return Size{}, ExactTest{}, ExactTest{}, invalid("the exact search stops at 50000 trials; plan by the normal figure with continuity correction, which hardly differs there",
			[]domain.FieldError{fieldError("p1", p1, "is too close to p0 for the exact search")})
	}
	critical := 0
	size, err = scan(1, func(n int) bool {
		for !atMost(numeric.BinomialSurvival(critical-1, n, p0), alpha) {
			critical++ // one more trial raises it by one at most
		}
		return numeric.BinomialSurvival(critical-1, n, p1) >= power
	})
	if err != nil {
		return Size{}, ExactTest{}, ExactTest{}, err
	}
	if first, err = ExactTestAt(size.First, p0, p1, alpha); err != nil {
		return Size{}, ExactTest{}, ExactTest{}, err
	}
	fromOn, err = ExactTestAt(size.FromOn, p0, p1, alpha)
	return size, first, fromOn, err
}

// maxExactScan bounds the search of ExactTestTrials, which looks at every number.
const maxExactScan = 50_000

func exactDomain(p0, p1, alpha, power float64) error {
	if err := inside("p0", p0, "p1", p1, "alpha", alpha, "power", power); err != nil {
		return err
	}
	if p1 <= p0 {
		return invalid("this test asks whether the rate is better than p0", []domain.FieldError{
			fieldError("p1", p1, "must be larger than p0; to look for a fall, count failures instead of successes")})
	}
	return nil
}
