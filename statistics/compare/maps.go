package compare

import (
	"math"
	"slices"

	"holdfast/domain"
)

// Spot is the comparison at one orientation.
type Spot struct {
	Difference float64 // expected success of A minus that of B
	Low, High  float64 // central interval at the level
	Better     float64 // probability that A is better here
	Clear      bool    // the interval leaves 0 out
	Sure       bool    // a band over all orientations at once leaves 0 out here
}

// Maps is the comparison of two success maps.
type Maps struct {
	Spots []Spot
	Level float64
	// Shares of the orientations where A, or B, is clearly better at its own spot, and over all spots at once.
	ClearA, ClearB float64
	SureA, SureB   float64
	Factor         float64 // half-width of the band over all spots in standard deviations
}

// OverOrientations compares joint draws of two maps at the same orientations: a[d][i] is draw d of A's success at
// orientation i, drawn independently of b's. The band over all spots at once is the one whose largest standardised
// deviation is exceeded in 1 − level of the draws.
func OverOrientations(a, b [][]float64, level float64) (*Maps, error) {
	if len(a) < 100 || len(a) != len(b) || len(a[0]) != len(b[0]) || len(a[0]) == 0 {
		return nil, domain.Errorf(domain.KindInvalid, "maps are compared by draws at the same orientations, as many of both and 100 at least; these are %d and %d", len(a), len(b))
	}
	if !(level > 0 && level < 1) {
		return nil, domain.Errorf(domain.KindInvalid, "the level is %g; it must lie between 0 and 1", level)
	}
	draws, spots := len(a), len(a[0])
	m := &Maps{Spots: make([]Spot, spots), Level: level}
	column := make([]float64, draws)
	mean, sd := make([]float64, spots), make([]float64, spots)
	for i := range m.Spots {
		better := 0.0
		for d := range draws {
			column[d] = a[d][i] - b[d][i]
			mean[i] += column[d] / float64(draws)
			if column[d] > 0 {
				better++
			} else if column[d] == 0 {
				better += 0.5
			}
		}
		for _, v := range column {
			sd[i] += (v - mean[i]) * (v - mean[i]) / float64(draws-1)
		}
		sd[i] = math.Sqrt(sd[i])
		slices.Sort(column)
		m.Spots[i] = Spot{Difference: mean[i], Low: quantile(column, (1-level)/2), High: quantile(column, (1+level)/2), Better: better / float64(draws)}
	}
	worst := make([]float64, draws)
	for d := range draws {
		for i := range m.Spots {
			if sd[i] > 0 {
				worst[d] = math.Max(worst[d], math.Abs(a[d][i]-b[d][i]-mean[i])/sd[i])
			}
		}
	}
	slices.Sort(worst)
	m.Factor = quantile(worst, level)
	each := 1 / float64(spots)
	for i := range m.Spots {
		s := &m.Spots[i]
		s.Clear = s.Low > 0 || s.High < 0
		s.Sure = math.Abs(mean[i]) > m.Factor*sd[i] && sd[i] > 0
		switch {
		case s.Clear && mean[i] > 0:
			m.ClearA += each
		case s.Clear:
			m.ClearB += each
		}
		switch {
		case s.Sure && mean[i] > 0:
			m.SureA += each
		case s.Sure:
			m.SureB += each
		}
	}
	return m, nil
}

// quantile interpolates in a sorted list.
func quantile(sorted []float64, q float64) float64 {
	at := q * float64(len(sorted)-1)
	i := int(at)
	if i+1 >= len(sorted) {
		return sorted[len(sorted)-1]
	}
	return sorted[i] + (at-float64(i))*(sorted[i+1]-sorted[i])
}
