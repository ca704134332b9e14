package acceptance

import (
	"fmt"
	"math"

	"holdfast/domain"
	"holdfast/numeric"
)

// Target returns the success probability that a design is about: what a success run shows, or what two-point and
// sequential plans take for bad. The other kinds name none: 0.
func Target(d domain.ProofDesign) float64 {
	switch d.Kind {
	case domain.ProofSuccessRun:
		return d.Success
	case domain.ProofTwoPoint, domain.ProofSequential:
		return 1 - d.Bad
	}
	return 0
}

// ShowAt picks shares of failures, rising, that show how a design tells good from bad.
func ShowAt(d domain.ProofDesign) []float64 {
	if d.Good > 0 {
		return []float64{0, d.Good / 2, d.Good, (d.Good + d.Bad) / 2, d.Bad, math.Min(1.5*d.Bad, 1), math.Min(2*d.Bad, 1)}
	}
	var bad float64
	switch d.Kind {
	case domain.ProofTable:
		bad = 3 * d.Quality / 100
	case domain.ProofDouble:
		bad = float64(d.BothAllowed+2) / float64(d.First+d.Second)
	default:
		bad = 1 - d.Success
	}
	return []float64{0, bad / 10, bad / 4, bad / 2, bad, math.Min(1.5*bad, 1), math.Min(2*bad, 1)}
}

// Tell says in words what a plan does at one truth.
func (c Characteristics) Tell() string {
	return fmt.Sprintf("If the true success is %.4g, the run passes %.0f times in 1000 and takes %.3g trials on average.", 1-c.P, 1000*c.Accept, c.Length)
}

// MatchBeta returns the beta distribution of the success probability with the mean, and with the chance of lying at low or
// below; 0 < low < mean < 1. It turns what a map says of a region into a prior worth so many successes and failures.
func MatchBeta(mean, low, chance float64) (Beta, error) {
	if !(low > 0 && low < mean && mean < 1) || !(chance > 0 && chance < 0.5) {
		return Beta{}, wrong("no beta distribution has the mean %g and lies at or below %g with chance %g; low must lie between 0 and the mean, the chance below one half", mean, low, chance)
	}
	// The more a distribution is worth, the less of it lies far below its mean.
	lo, hi := -7.0, 14.0 // logarithm of what it is worth in all
	for range 80 {
		worth := math.Exp((lo + hi) / 2)
		if numeric.BetaCDF(mean*worth, (1-mean)*worth, low) > chance {
			lo = (lo + hi) / 2
		} else {
			hi = (lo + hi) / 2
		}
	}
	worth := math.Exp((lo + hi) / 2)
	return Beta{mean * worth, (1 - mean) * worth}, nil
}
