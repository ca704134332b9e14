package compare

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"holdfast/domain"
	"holdfast/numeric"
	"holdfast/statistics/proportion"
)

// WholePlots is what two samples say when A and B were changed only between whole plots, as hands are: the plots, not the
// trials in them, are the units. Taking trials as units would count one lucky day many times over.
type WholePlots struct {
	PlotsA, PlotsB int
	Difference     float64             // mean share held over A's plots minus that over B's
	Interval       proportion.Interval // Welch's t interval of it, at Level
	Level          float64
	Permuted       PValues // of the difference when plots change their labels
	Simulated      bool    // labels were permuted at random, since there are too many ways to try them all
}

// mostRelabelings is how many ways of labelling the plots are tried one by one.
const mostRelabelings = 200_000

// PerWholePlot compares the shares held of whole plots, each with one entry in its sample's list. With fewer than two plots
// of either there is nothing to tell chance by, and that is said.
func PerWholePlot(a, b []float64, level float64, seed uint64) (WholePlots, error) {
	r := WholePlots{PlotsA: len(a), PlotsB: len(b), Level: level}
	if len(a) < 2 || len(b) < 2 {
		return r, domain.Errorf(domain.KindInvalid, "%d and %d whole plots can not be compared: what differs between them could be the day; run at least two of each", len(a), len(b))
	}
	if !(level > 0 && level < 1) {
		return r, domain.Errorf(domain.KindInvalid, "the level is %g; it must lie between 0 and 1", level)
	}
	meanA, varA := moments(a)
	meanB, varB := moments(b)
	r.Difference = meanA - meanB
	ea, eb := varA/float64(len(a)), varB/float64(len(b))
	half := 0.0
	if ea+eb > 0 {
		// Degrees of freedom by B. L. Welch 1947 and F. E. Satterthwaite 1946 (from memory).
		df := (ea + eb) * (ea + eb) / (ea*ea/float64(len(a)-1) + eb*eb/float64(len(b)-1))
		half = distuv.StudentsT{Mu: 0, Sigma: 1, Nu: df}.Quantile((1+level)/2) * math.Sqrt(ea+eb)
	}
	r.Interval = proportion.Interval{Low: math.Max(-1, r.Difference-half), High: math.Min(1, r.Difference+half)}
	r.permute(a, b, seed)
	return r, nil
}

func moments(x []float64) (mean, variance float64) {
	for _, v := range x {
		mean += v / float64(len(x))
	}
	for _, v := range x {
		variance += (v - mean) * (v - mean) / float64(len(x)-1)
	}
	return mean, variance
}

// permute finds how often labels dealt at random give a sum of A as large, or as small, as the one seen.
func (r *WholePlots) permute(a, b []float64, seed uint64) {
	all := slices.Concat(a, b)
	seen := 0.0
	for _, v := range a {
		seen += v
	}
	const slack = 1e-9 // sums of the same plots in another order
	greater, less, total := 0, 0, 0
	count := func(sum float64) {
		total++
		if sum >= seen-slack {
			greater++
		}
		if sum <= seen+slack {
			less++
		}
	}
	if numeric.LogChoose(len(all), len(a)) <= math.Log(mostRelabelings) {
		var pick func(from, left int, sum float64)
		pick = func(from, left int, sum float64) {
			if left == 0 {
				count(sum)
				return
			}
			for i := from; i <= len(all)-left; i++ {
				pick(i+1, left-1, sum+all[i])
			}
		}
		pick(0, len(a), 0)
	} else {
		r.Simulated = true
		random := numeric.Stream(seed, "whole plots relabelled")
		count(seen) // the labels seen are one of the ways
		for range mostRelabelings / 10 {
			random.Shuffle(len(all), func(i, j int) { all[i], all[j] = all[j], all[i] })
			sum := 0.0
			for _, v := range all[:len(a)] {
				sum += v
			}
			count(sum)
		}
	}
	r.Permuted = PValues{Greater: float64(greater) / float64(total), Less: float64(less) / float64(total)}
	r.Permuted.TwoSided = math.Min(1, 2*math.Min(r.Permuted.Greater, r.Permuted.Less))
}
