package finger

import "math"

// End says how the far end of a beam that is clamped at the near one is held.
type End int

// The far ends.
const (
	Free End = iota
	Clamped
	Pinned
)

// BeamRoots returns the first n roots β of the frequency equation of a uniform Euler–Bernoulli beam that is clamped at one
// end: cos β·cosh β = −1 (free), +1 (clamped), tan β = tanh β (pinned) (R. D. Blevins, "Formulas for natural frequency and
// mode shape", 1979; from memory). Frequencies go with β².
func BeamRoots(end End, n int) []float64 {
	roots := make([]float64, n)
	for k := range roots {
		// Divided by cosh, all three are tame, and β nears (2k+1)π/2 or (4k+1)π/4.
		var f func(b float64) float64
		start := (float64(k) + 0.5) * math.Pi
		switch end {
		case Free:
			f = func(b float64) float64 { return math.Cos(b) + 1/math.Cosh(b) }
		case Clamped:
			start += math.Pi
			f = func(b float64) float64 { return math.Cos(b) - 1/math.Cosh(b) }
		default:
			start = (float64(k) + 1.25) * math.Pi
			f = func(b float64) float64 { return math.Sin(b) - math.Cos(b)*math.Tanh(b) }
		}
		roots[k] = bisect(f, start-0.5, start+0.5)
	}
	return roots
}

// TipMassRoot returns the first root of a clamped–free beam with a mass at its tip, ratio being that mass by the beam's:
// 1 + cos β·cosh β + ratio·β·(cos β·sinh β − sin β·cosh β) = 0.
func TipMassRoot(ratio float64) float64 {
	return bisect(func(b float64) float64 {
		return (1+ratio*b*(math.Cos(b)*math.Sinh(b)-math.Sin(b)*math.Cosh(b)))/math.Cosh(b) + math.Cos(b)
	}, 0.2, 1.9)
}

// bisect finds the root of a function that changes its sign once between a and b.
func bisect(f func(float64) float64, a, b float64) float64 {
	low := math.Signbit(f(a))
	for range 200 {
		m := a + (b-a)/2
		if m == a || m == b {
			break
		}
		if math.Signbit(f(m)) == low {
			a = m
		} else {
			b = m
		}
	}
	return a + (b-a)/2
}

// ShapeConstant returns σ = (cosh β + cos β)/(sinh β + sin β) of a clamped–free mode.
func ShapeConstant(beta float64) float64 {
	return (math.Cosh(beta) + math.Cos(beta)) / (math.Sinh(beta) + math.Sin(beta))
}

// Shape returns a clamped–free mode's deflection at the place s of the length (0 clamp, 1 tip), and its slope by s:
// cosh βs − cos βs − σ(sinh βs − sin βs), ±2 at the tip.
func Shape(beta, s float64) (value, slope float64) {
	c, x := ShapeConstant(beta), beta*s
	// cosh − c·sinh is written with exponentials, so that high modes do not cancel.
	up, down := (1-c)/2*math.Exp(x), (1+c)/2*math.Exp(-x)
	sin, cos := math.Sincos(x)
	return up + down - cos + c*sin, beta * (up - down + sin + c*cos)
}

// Beam is a uniform finger of rectangular section, in SI units.
type Beam struct {
	ModulusPa, LengthM, WidthM, ThicknessM, DensityKgM3 float64
}

// FrequencyHz returns the natural frequency of the mode with root beta, β²/(2πL²)·√(EI/ρA).
func (b Beam) FrequencyHz(beta float64) float64 {
	return beta * beta / (2 * math.Pi * b.LengthM * b.LengthM) * math.Sqrt(b.ModulusPa/(12*b.DensityKgM3)) * b.ThicknessM
}

// TipStiffness returns 3EI/L³ in N/m.
func (b Beam) TipStiffness() float64 {
	return 3 * b.ModulusPa * b.WidthM * math.Pow(b.ThicknessM, 3) / 12 / math.Pow(b.LengthM, 3)
}
