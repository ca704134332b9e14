package scenes

import (
	"math"
	"strconv"

	"holdfast/mechanics/hand"
	"holdfast/orient"
)

// Small units become SI by division: it rounds once, so that 35 mm become the very number that 0.035 stands for.

// milli takes mm to m, g to kg, mm/s to m/s.
func milli(x float64) float64 { return x / 1e3 }

// kilo takes N/mm to N/m, N·s/mm to N·s/m, kPa to Pa.
func kilo(x float64) float64 { return x * 1e3 }

// micro takes N·mm² to N·m² and N·mm/kPa to N·m/Pa.
func micro(x float64) float64 { return x / 1e6 }

// nano takes g·mm² to kg·m².
func nano(x float64) float64 { return x / 1e9 }

func radians(degrees float64) float64 { return degrees * (math.Pi / 180) }

func metres(v [3]float64) orient.Vec3 {
	return orient.Vec3{milli(v[0]), milli(v[1]), milli(v[2])}
}

func vec(v [3]float64) hand.Vec { return hand.Vec{X: milli(v[0]), Y: milli(v[1]), Z: milli(v[2])} }

// edge returns the shortest decimal that the way into SI takes to x; there are values that no decimal leads to, then one that
// leads as near as can be.
func edge(x, factor float64, into func(float64) float64) float64 {
	raw := x * factor
	best, off := raw, math.Abs(into(raw)-x)
	try := func(y float64) bool {
		if d := math.Abs(into(y) - x); d < off {
			best, off = y, d
		} else if d == 0 {
			best = y
		}
		return off == 0
	}
	for digits := 1; digits <= 16; digits++ {
		y, err := strconv.ParseFloat(strconv.FormatFloat(raw, 'e', digits-1, 64), 64)
		if err == nil && into(y) == x {
			return y
		}
	}
	for low, high, k := raw, raw, 0; k < 4; k++ {
		low, high = math.Nextafter(low, math.Inf(-1)), math.Nextafter(high, math.Inf(1))
		if try(low) || try(high) {
			break
		}
	}
	return best
}

func toMilli(x float64) float64 { return edge(x, 1e3, milli) }

func toDegrees(x float64) float64 { return edge(x, 180/math.Pi, radians) }

func toKilo(x float64) float64 { return edge(x, 1e-3, kilo) }

func toMicro(x float64) float64 { return edge(x, 1e6, micro) }

func toNano(x float64) float64 { return edge(x, 1e9, nano) }

func toMillis(v orient.Vec3) [3]float64 {
	return [3]float64{toMilli(v[0]), toMilli(v[1]), toMilli(v[2])}
}

func toMilliVec(v hand.Vec) [3]float64 { return [3]float64{toMilli(v.X), toMilli(v.Y), toMilli(v.Z)} }
