package detect

import (
	"fmt"
	"math"

	"holdfast/numeric"
)

// GLR looks for a change of mean of unknown size and time: it alarms when
// max over k of |S_n − S_k|/√(n − k) reaches Bound, S being the running sum of
// standardised readings.
type GLR struct {
	Bound  float64
	Window int // how many readings back a change is looked for; at least 1

	sums []float64 // the last Window+1 running sums, oldest first
	rose bool      // whether the likeliest change of the last reading is a rise
}

// Add takes one reading and reports the statistic, how many readings ago the
// change is likeliest to have begun, and whether it alarms. After an alarm the
// record starts anew.
func (g *GLR) Add(z float64) (statistic float64, ago int, alarm bool) {
	if len(g.sums) == 0 {
		g.sums = append(g.sums, 0)
	}
	now := g.sums[len(g.sums)-1] + z
	for i, s := range g.sums {
		n := len(g.sums) - i
		if v := math.Abs(now-s) / math.Sqrt(float64(n)); v > statistic {
			statistic, ago, g.rose = v, n, now > s
		}
	}
	if statistic >= g.Bound {
		g.sums = g.sums[:0]
		return statistic, ago, true
	}
	g.sums = append(g.sums, now)
	if extra := len(g.sums) - max(1, g.Window); extra > 0 {
		g.sums = append(g.sums[:0], g.sums[extra:]...)
	}
	return statistic, ago, false
}

// GLRRunLength returns the average number of readings between false alarms of a
// [GLR] with unlimited window (D. Siegmund and E. S. Venkatraman, "Using the
// generalized likelihood ratio statistic for sequential detection of a
// change-point", Annals of Statistics 23, 1995; from memory). A limited window
// alarms less often. NaN unless bound > 0.
func GLRRunLength(bound float64) float64 {
	if !(bound > 0) || math.IsInf(bound, 0) {
		return math.NaN()
	}
	x, w := gaussLegendre(nodes, 0, bound)
	integral := 0.0
	for i, v := range x {
		nu := 2 / v * (numeric.NormalCDF(v/2) - 0.5) / (v/2*numeric.NormalCDF(v/2) + density(v/2))
		integral += w[i] * v * nu * nu
	}
	return math.Sqrt(2*math.Pi) * math.Exp(bound*bound/2) / (bound * integral)
}

// GLRBound returns the bound with length readings between false alarms.
func GLRBound(length float64) (float64, error) {
	low, high := 2.0, 12.0
	if !(length >= GLRRunLength(low)) || length > GLRRunLength(high) {
		return 0, fmt.Errorf("the bound is known for %.0f to 1e30 readings between false alarms, not %g", GLRRunLength(low), length)
	}
	for range 80 {
		if m := (low + high) / 2; GLRRunLength(m) < length {
			low = m
		} else {
			high = m
		}
	}
	return high, nil
}

// Delay returns about how many readings a change of shift standard deviations goes
// unnoticed by the best detector with length readings between false alarms:
// ln(length)/(shift²/2) (G. Lorden, 1971; from memory).
func Delay(length, shift float64) float64 { return math.Log(length) / (shift * shift / 2) }

// Energy sums the squares of a window of standardised readings.
type Energy struct {
	Window int
	Bound  float64 // alarm at a sum at or above it
}

// NewEnergy returns the detector that a window of independent normal readings
// alarms with probability falseAlarm in (0, 1): the sum is chi-square.
func NewEnergy(window int, falseAlarm float64) (Energy, error) {
	if window < 1 || !(falseAlarm > 0 && falseAlarm < 1) {
		return Energy{}, fmt.Errorf("an energy detector needs a window of at least one reading and a chance of false alarm inside (0, 1); got %d and %g", window, falseAlarm)
	}
	if falseAlarm > 1e-10 {
		return Energy{window, numeric.ChiSquareQuantile(1-falseAlarm, float64(window))}, nil
	}
	low, high := float64(window), 20*float64(window)-20*math.Log(falseAlarm)
	for range 100 {
		if m := (low + high) / 2; numeric.ChiSquareSurvival(m, float64(window)) > falseAlarm {
			low = m
		} else {
			high = m
		}
	}
	return Energy{window, high}, nil
}

// Detects returns the chance that a window alarms which holds a signal whose
// squares sum to energy (in squared standard deviations): a non-central chi-square,
// summed over Poisson weights.
func (e Energy) Detects(energy float64) float64 {
	if !(energy >= 0) {
		return math.NaN()
	}
	half, n := energy/2, float64(e.Window)
	chance, seen := 0.0, 0.0
	start := max(0, int(half-10*math.Sqrt(half)-10))
	for j := start; j < start+int(20*math.Sqrt(half))+200; j++ {
		lg, _ := math.Lgamma(float64(j) + 1)
		weight := math.Exp(-half + float64(j)*math.Log(half) - lg)
		if half == 0 {
			weight = 0
			if j == 0 {
				weight = 1
			}
		}
		chance += weight * numeric.ChiSquareSurvival(e.Bound, n+2*float64(j))
		seen += weight
	}
	return chance / seen
}
