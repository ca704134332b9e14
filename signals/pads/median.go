package pads

import "slices"

func median(list []float64) float64 {
	sorted := slices.Clone(list)
	slices.Sort(sorted)
	if n := len(sorted); n%2 == 0 {
		return (sorted[n/2-1] + sorted[n/2]) / 2
	}
	return sorted[len(sorted)/2]
}
