package successmap

import (
	"math"

	"holdfast/numeric/dense"
	"holdfast/orient"
)

// Estimate is the map's answer at one orientation.
type Estimate struct {
	P         float64 // expected probability of success
	Low, High float64 // 5 % and 95 % quantiles of the probability
	Mean, SD  float64 // of the log-odds
}

// z95 is the 95 % quantile of the standard normal distribution.
const z95 = 1.6448536269514722

// meanExpit returns E[1/(1+exp(−f))] for f normal with the mean and standard deviation given. The trapezoidal rule on
// the whole line converges geometrically, since the integrand is analytic in a strip whose half-width is π/sd; with
// the step chosen here the error is below 5e-8 for sd ≤ 2 and below 2e-6 for any (measured; see the test). The nodes'
// exponentials form a geometric series, so only two are computed.
func meanExpit(mean, sd float64) float64 {
	if !(sd > 1e-9) {
		return expit(mean)
	}
	step := math.Min(0.5, 1/sd)
	half := int(math.Ceil(6.5 / step))
	// Symmetric pairs: expit(mean + x) + expit(mean − x).
	front := math.Exp(-mean)
	ratio := math.Exp(-sd * step)
	up, down := front, front
	sum, total := 1/(1+front), 1.0
	weight, shrink, decay := 1.0, math.Exp(-step*step/2), math.Exp(-step*step)
	for range half {
		weight *= shrink
		shrink *= decay
		up *= ratio
		down /= ratio
		sum += weight * (1/(1+up) + 1/(1+down))
		total += 2 * weight
	}
	return sum / total
}

// predictChunk bounds the memory of a prediction.
const predictChunk = 8192

// Predict writes the estimate at every orientation into dst, which must be as long as rs. It may be called by several
// goroutines at once.
func (m *Map) Predict(dst []Estimate, rs []orient.Rotation) {
	for from := 0; from < len(rs); from += predictChunk {
		to := min(from+predictChunk, len(rs))
		m.predictSome(dst[from:to], rs[from:to])
	}
}

func (m *Map) predictSome(dst []Estimate, rs []orient.Rotation) {
	points := m.meanTorus.Points(rs)
	mean, variance := make([]float64, len(rs)), make([]float64, len(rs))
	m.meanTorus.Read(mean, points)
	m.varianceTorus.Read(variance, points)
	const chunk = 1024
	dense.InParallel((len(rs)+chunk-1)/chunk, m.workers, func(c int) {
		for i := c * chunk; i < min(len(rs), (c+1)*chunk); i++ {
			sd := math.Sqrt(math.Max(variance[i], 0) + m.tail)
			dst[i] = Estimate{
				P: meanExpit(mean[i], sd), Low: expit(mean[i] - z95*sd), High: expit(mean[i] + z95*sd),
				Mean: mean[i], SD: sd,
			}
		}
	})
}
