package design

import (
	"math"
	"slices"

	"holdfast/numeric"
)

// rarer returns the total of the rarer outcome in a stratum, the way to count it
// in a block, and whether it is the failures. The exact distribution follows the
// rarer outcome: fewer states, the same probability.
func rarer(stratum []ReferenceBlock) (total int, count func(ReferenceBlock) int, failures bool) {
	held, failed := 0, 0
	for _, b := range stratum {
		held += b.Held
		failed += b.Trials - b.Held
	}
	if failed < held {
		return failed, func(b ReferenceBlock) int { return b.Trials - b.Held }, true
	}
	return held, func(b ReferenceBlock) int { return b.Held }, false
}

// scoreWidth returns how many scores a total spread over the stratum can have.
func scoreWidth(stratum []ReferenceBlock, total int) int {
	return total*stratum[len(stratum)-1].Block + 1
}

// exactSteps returns about how many additions exactTrend needs, in real numbers so
// that distant block numbers cannot overflow.
func exactSteps(strata [][]ReferenceBlock) float64 {
	steps, widest := 0.0, 1.0
	for _, s := range strata {
		total, _, _ := rarer(s)
		width := float64(total)*float64(s[len(s)-1].Block) + 1
		for _, b := range s {
			steps += float64(total+1) * width * float64(min(b.Trials, total)+1)
		}
		steps += widest * width
		widest += width
	}
	return steps
}

// exactTrend returns the probability, given each stratum's totals, of a score at
// least as far from its mean as the observed one. A stratum that counts failures
// is mirrored, so that all strata point the same way.
func exactTrend(strata [][]ReferenceBlock) float64 {
	all := []float64{1}
	observed, mean := 0.0, 0.0
	for _, s := range strata {
		total, count, failures := rarer(s)
		score, n, moment := 0.0, 0.0, 0.0
		for _, b := range s {
			score += float64(b.Block * count(b))
			n += float64(b.Trials)
			moment += float64(b.Trials * b.Block)
		}
		expected := float64(total) * moment / n
		scores := stratumScores(s, total, n)
		if failures {
			slices.Reverse(scores)
			top := float64(len(scores) - 1)
			score, expected = top-score, top-expected
		}
		observed += score
		mean += expected
		all = convolve(all, scores)
	}
	reach := math.Abs(observed-mean) * (1 - 1e-9)
	p := 0.0
	for v, q := range all {
		if math.Abs(float64(v)-mean) >= reach {
			p += q
		}
	}
	return math.Min(1, p)
}

// stratumScores returns the distribution of Σ block·count given that the counts
// add up to total of n trials. Binomial weights at the observed share stay far
// from underflow, and the share drops out once the total is given.
func stratumScores(stratum []ReferenceBlock, total int, n float64) []float64 {
	width := scoreWidth(stratum, total)
	share := float64(total) / n
	state := make([]float64, (total+1)*width)
	state[0] = 1
	for _, b := range stratum {
		next := make([]float64, len(state))
		for x := 0; x <= min(b.Trials, total); x++ {
			weight := numeric.BinomialPMF(x, b.Trials, share)
			shift := x * b.Block
			for c := 0; c+x <= total; c++ {
				from, to := state[c*width:(c+1)*width], next[(c+x)*width:(c+x+1)*width]
				for v := 0; v+shift < width; v++ {
					to[v+shift] += weight * from[v]
				}
			}
		}
		state = next
	}
	scores := state[total*width:]
	sum := 0.0
	for _, q := range scores {
		sum += q
	}
	for v := range scores {
		scores[v] /= sum
	}
	return scores
}

func convolve(a, b []float64) []float64 {
	out := make([]float64, len(a)+len(b)-1)
	for i, p := range a {
		for j, q := range b {
			out[i+j] += p * q
		}
	}
	return out
}
