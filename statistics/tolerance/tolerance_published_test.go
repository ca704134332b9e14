package tolerance

import (
	"math"
	"testing"

	"holdfast/orient"
)

// The heat kernel on rotations: statistics checks 6.6, computed there from the series Σ (2l+1)·e^{−l(l+1)t}·χ_l(ω).
func TestPublishedHeatKernel(t *testing.T) {
	for _, c := range []struct{ t, angle, want float64 }{
		{0.1, math.Pi / 4, 12.6158305453}, {0.1, math.Pi / 2, 0.1336873982},
		{0.5, math.Pi / 4, 4.2823362054}, {0.5, math.Pi / 2, 1.8377636709}, {0.5, math.Pi, 0.1283509974},
		{1, math.Pi / 4, 2.0101490053}, {1, math.Pi / 2, 1.3935690979}, {1, math.Pi, 0.6063449202},
	} {
		near(t, "kernel", heatKernel(c.angle, c.t), c.want, 1e-8)
	}
}

// A linear predictor under normal error: E expit(μ + σZ), statistics checks 5.6 (computed there; the values of the
// logistic-normal integral have no closed form).
func TestPublishedLogisticNormalIntegral(t *testing.T) {
	for _, c := range []struct{ mean, sd, want float64 }{
		{1, 1, 0.6967347}, {2, 1.5, 0.8099465}, {-1.3983, 0.6421, 0.2161215}, {3, 2, 0.8704058},
	} {
		const spread = 0.004
		line := sure(func(p Pose) float64 { return c.mean + c.sd*p.X/spread })
		s := measure(t, line, Question{MaxPosition: 2 * spread})
		near(t, "logistic-normal", s.At(spread, 0).P, c.want, 2e-5)
	}
}

// axes integrate polynomials of degree 9 exactly: the mean of z^2k over the sphere is 1/(2k+1).
func TestAxesAreExact(t *testing.T) {
	directions, weights := axes()
	for power, want := range map[int]float64{0: 1, 2: 1.0 / 3, 4: 1.0 / 5, 6: 1.0 / 7, 8: 1.0 / 9, 3: 0, 9: 0} {
		for _, u := range []orient.Vec3{{1, 0, 0}, {0, 0, 1}, {0.48, 0.6, 0.64}} {
			sum := 0.0
			for i, a := range directions {
				sum += weights[i] * math.Pow(u.Dot(a), float64(power))
			}
			near(t, "axes", sum, want, 1e-13)
		}
	}
}
