package signals

import "math"

// The figures below describe a spectrum given as magnitudes (or powers) at bins `step` hertz apart, from 0 Hz on. A spectrum
// that is zero everywhere has centroid, bandwidth and roll-off 0.

// Centroid returns the mean frequency in hertz, weighed by the magnitudes.
func Centroid(magnitude []float64, step float64) float64 {
	sum, moment := 0.0, 0.0
	for k, m := range magnitude {
		sum += m
		moment += m * float64(k)
	}
	if sum == 0 {
		return 0
	}
	return step * moment / sum
}

// Bandwidth returns the standard deviation in hertz of frequency about the centroid, weighed by the magnitudes.
func Bandwidth(magnitude []float64, step float64) float64 {
	c := Centroid(magnitude, step) / step
	sum, moment := 0.0, 0.0
	for k, m := range magnitude {
		sum += m
		moment += m * (float64(k) - c) * (float64(k) - c)
	}
	if sum == 0 {
		return 0
	}
	return step * math.Sqrt(moment/sum)
}

// RollOff returns the lowest frequency in hertz below or at which the given share of the sum of magnitudes lies.
func RollOff(magnitude []float64, step, share float64) float64 {
	sum := 0.0
	for _, m := range magnitude {
		sum += m
	}
	if sum == 0 {
		return 0
	}
	part := 0.0
	for k, m := range magnitude {
		if part += m; part >= share*sum {
			return step * float64(k)
		}
	}
	return step * float64(len(magnitude)-1)
}

// Flux returns how far the shapes of two spectra are apart: the length of the difference of the magnitudes, each divided by
// its own length. 0 for the same shape, at most √2; a spectrum of zeros counts as no shape.
func Flux(a, b []float64) float64 {
	na, nb := 0.0, 0.0
	for k := range a {
		na += a[k] * a[k]
		nb += b[k] * b[k]
	}
	na, nb = math.Sqrt(na), math.Sqrt(nb)
	s := 0.0
	for k := range a {
		u, v := 0.0, 0.0
		if na > 0 {
			u = a[k] / na
		}
		if nb > 0 {
			v = b[k] / nb
		}
		s += (u - v) * (u - v)
	}
	return math.Sqrt(s)
}

// BandEnergies writes the sums of a power spectrum between neighbouring edges in hertz, low edge included, into dst: one
// fewer than edges.
func BandEnergies(dst, power []float64, step float64, edgesHz []float64) {
	for i := range len(edgesHz) - 1 {
		dst[i] = 0
		for _, p := range power[bin(edgesHz[i], step, len(power)):bin(edgesHz[i+1], step, len(power))] {
			dst[i] += p
		}
	}
}

// OctaveEdges returns the edges in hertz of the neighbouring octave bands whose middle lies from lowHz to highHz, both
// above 0; nil where none does. Middles are 1000·G^k, edges half an octave to either side, G = 10^(3/10) (IEC 61260-1:2014,
// base ten; from memory).
func OctaveEdges(lowHz, highHz float64) []float64 {
	place := func(hz float64) float64 { return math.Log10(hz/1000) / 0.3 }
	first, last := math.Ceil(place(lowHz)-1e-9), math.Floor(place(highHz)+1e-9)
	if !(first <= last) {
		return nil
	}
	edges := make([]float64, 0, int(last-first)+2)
	for k := first - 0.5; k < last+1; k++ {
		edges = append(edges, 1000*math.Pow(10, 0.3*k))
	}
	return edges
}

// bin returns the first bin at or above a frequency.
func bin(hz, step float64, bins int) int {
	return int(min(max(math.Ceil(hz/step-1e-9), 0), float64(bins)))
}
