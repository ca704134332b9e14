package signals

import (
	"fmt"
	"math"
	"sort"
)

// Resonance is a peak of a power spectrum.
type Resonance struct {
	FrequencyHz float64 // of the top, between bins by a parabola through the logarithms
	Q           float64 // top frequency by the width at half power; for light damping 1/(2ζ)
	Power       float64 // at the top, in the spectrum's unit
}

// Resonances returns up to `most` peaks of a power spectrum with bins `step` hertz apart, lowest frequency first: the
// strongest of those that stand `aboveDB` decibels above the higher of the two valleys beside them, and above the
// spectrum's largest value less 60 dB. A peak whose half-power points are not reached before the next valley has Q 0: it
// has no width of its own. The window widens narrow peaks: Q is limited by the record's length.
func Resonances(power []float64, step float64, most int, aboveDB float64) []Resonance {
	top := 0.0
	for _, p := range power {
		top = max(top, p)
	}
	ratio := math.Pow(10, aboveDB/10)
	var list []Resonance
	for k := 1; k+1 < len(power); k++ {
		p := power[k]
		if !(p > power[k-1] && p >= power[k+1]) || p < 1e-6*top {
			continue
		}
		low, leftValley := crossing(power, k, -1)
		high, rightValley := crossing(power, k, +1)
		if p < ratio*max(leftValley, rightValley) {
			continue
		}
		r := Resonance{FrequencyHz: step * float64(k), Power: p}
		if power[k-1] > 0 && power[k+1] > 0 {
			a, b, c := math.Log(power[k-1]), math.Log(p), math.Log(power[k+1])
			d := 0.5 * (a - c) / (a - 2*b + c)
			r.FrequencyHz = step * (float64(k) + d)
			r.Power = math.Exp(b - 0.25*(a-c)*d)
		}
		if low >= 0 && high >= 0 {
			r.Q = r.FrequencyHz / (step * (high - low))
		}
		list = append(list, r)
	}
	sort.SliceStable(list, func(i, j int) bool { return list[i].Power > list[j].Power })
	list = list[:min(len(list), max(most, 0))]
	sort.SliceStable(list, func(i, j int) bool { return list[i].FrequencyHz < list[j].FrequencyHz })
	return list
}

// crossing walks from a peak downhill and returns where half of its power is crossed, in bins, or −1, and the least power
// before something as high as the peak stands.
func crossing(power []float64, peak, dir int) (at, valley float64) {
	at, valley = -1, power[peak]
	for k := peak + dir; k >= 0 && k < len(power) && power[k] <= power[peak]; k += dir {
		if at < 0 && power[k] <= power[peak]/2 {
			above, below := power[k-dir], power[k]
			at = float64(k-dir) + float64(dir)*(above-power[peak]/2)/(above-below)
		}
		valley = min(valley, power[k])
	}
	return at, valley
}

// HalfPowerDamping returns the damping ratio (f2 − f1)/(2·f) from the half-power frequencies around a peak at f. It is biased:
// ζ = 0.1 reads 0.1021 from a displacement response.
func HalfPowerDamping(low, top, high float64) float64 { return (high - low) / (2 * top) }

// LogDecrementDamping returns the damping ratio ζ = δ/√(4π² + δ²), δ = ln(first/last)/cycles, of an oscillation whose
// amplitude falls from first to last in the given number of cycles; NaN where that is not a fall.
func LogDecrementDamping(first, last float64, cycles int) float64 {
	if !(first > last && last > 0 && cycles > 0) {
		return math.NaN()
	}
	d := math.Log(first/last) / float64(cycles)
	return d / math.Sqrt(4*math.Pi*math.Pi+d*d)
}

// DecayTime returns the time constant in seconds with which the amplitude of x dies away: of a line through the logarithm of
// the energy that is still to come, from 5 to 25 dB below the whole (backward integration: M. R. Schroeder, "New method of
// measuring reverberation time", 1965; from memory). noisePower, in units², is taken off each sample's power first, 0 if not
// known. An error when the record does not fall by 25 dB.
func DecayTime(x []float64, rateHz, noisePower float64) (float64, error) {
	left := make([]float64, len(x)+1)
	for i := len(x) - 1; i >= 0; i-- {
		left[i] = max(left[i+1]+x[i]*x[i]-noisePower, 0)
	}
	if len(x) == 0 || left[0] <= 0 {
		return 0, fmt.Errorf("the record has no energy above its noise, so nothing dies away")
	}
	var n, st, sy, stt, sty float64
	reached := false
	for i, e := range left {
		db := 10 * math.Log10(e/left[0])
		if db < -25 {
			reached = true
			break
		}
		if db <= -5 {
			t := float64(i) / rateHz
			n, st, sy, stt, sty = n+1, st+t, sy+db, stt+t*t, sty+t*db
		}
	}
	slope := (n*sty - st*sy) / (n*stt - st*st)
	if !reached || n < 3 || !(slope < 0) {
		return 0, fmt.Errorf("the record does not die away by 25 dB over several samples; it is too short, too noisy or too sudden")
	}
	// The energy of an amplitude exp(−t/τ) falls by 20/ln 10 dB in τ.
	return -20 / math.Ln10 / slope, nil
}
