package finger

import "math"

// SpeedOfSound returns the speed of sound in dry air in m/s, 331.3·√(1 + T/273.15), from the temperature in °C (ideal gas;
// common practice).
func SpeedOfSound(celsius float64) float64 { return 331.3 * math.Sqrt(1+celsius/273.15) }

// What an open end of a tube adds to its length, in radii (H. Levine, J. Schwinger, "On the radiation of sound from an
// unflanged circular pipe", 1948, for the first; the second from memory).
const (
	Unflanged = 0.6133
	Flanged   = 0.8217
)

// TubeFrequencyHz returns resonance n = 1, 2 … of a tube that is closed at one end and open at the other,
// (2n−1)·c/(4(L + end·a)), from the speed of sound in m/s, length and radius in m and the end's addition in radii.
func TubeFrequencyHz(n int, speed, length, radius, end float64) float64 {
	return float64(2*n-1) * speed / (4 * (length + end*radius))
}

// SoftWallSpeed returns the speed of sound in a tube whose wall gives, c/√(1 + 2RK/(Eh)), K = ρc² the air's bulk modulus
// (D. J. Korteweg, 1878, thin wall; from memory): speed and density of the air in SI units, the wall's modulus in Pa and its
// radius by its thickness. A soft finger rings well below a rigid tube.
func SoftWallSpeed(speed, density, wallPa, radiusByThickness float64) float64 {
	return speed / math.Sqrt(1+2*radiusByThickness*density*speed*speed/wallPa)
}
