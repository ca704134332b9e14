package orient

import (
	"math"
	"math/rand/v2"
)

// Shoemake returns the rotation for three numbers u in [0, 1); uniform numbers give rotations uniform in the Haar
// measure (K. Shoemake, "Uniform random rotations", Graphics Gems III (1992) 124; the formula's order (x, y, z, w) is
// from memory).
func Shoemake(u1, u2, u3 float64) Rotation {
	r1, r2 := math.Sqrt(1-u1), math.Sqrt(u1)
	s2, c2 := math.Sincos(2 * math.Pi * u2)
	s3, c3 := math.Sincos(2 * math.Pi * u3)
	return Rotation{X: s2 * r1, Y: c2 * r1, Z: s3 * r2, W: c3 * r2}
}

// Random returns a rotation that is uniform over all rotations, drawn from rng.
func Random(rng *rand.Rand) Rotation {
	return Shoemake(rng.Float64(), rng.Float64(), rng.Float64())
}

// RandomWithin returns a rotation uniform over those of tilt up to maxTilt (rad; beyond π counts as π, below 0 as 0):
// directions uniform by solid angle, headings uniform.
func RandomWithin(maxTilt float64, rng *rand.Rand) Rotation {
	limit := math.Sin(math.Min(math.Max(maxTilt, 0), math.Pi) / 2)
	// Squared, the half tilt's sine is uniform, as 1−cos(tilt) is.
	s := math.Sqrt(rng.Float64()) * limit
	c := math.Sqrt(1 - s*s)
	s1, c1 := math.Sincos(2 * math.Pi * rng.Float64())
	s2, c2 := math.Sincos(2 * math.Pi * rng.Float64())
	return Rotation{W: c * c1, Z: c * s1, X: s * c2, Y: s * s2}
}

// RandomTurn returns a rotation by exactly angle (rad) about a uniformly random axis. It disturbs an orientation by a
// stated amount with no preferred direction.
func RandomTurn(angle float64, rng *rand.Rand) Rotation {
	z := 2*rng.Float64() - 1
	s, c := math.Sincos(2 * math.Pi * rng.Float64())
	l := math.Sqrt(1 - z*z)
	return AboutAxis(Vec3{l * c, l * s, z}, angle)
}

// HaarAngleCDF returns the chance that a uniformly random rotation turns by at most angle (rad): (ω − sin ω)/π.
func HaarAngleCDF(angle float64) float64 {
	switch {
	case !(angle > 0):
		return 0
	case angle >= math.Pi:
		return 1
	case angle < 0.01:
		// ω − sin ω loses digits; the series' next term is below 1e-15 of the first.
		return angle * angle * angle / 6 * (1 - angle*angle/20*(1-angle*angle/42)) / math.Pi
	}
	return (angle - math.Sin(angle)) / math.Pi
}
