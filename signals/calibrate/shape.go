package calibrate

import (
	"fmt"
	"math"
)

// CurvatureFromStrains returns the curvature (1/m) of a strip from the strains on
// its two faces, apart by thickness (m): κ = (ε₁ − ε₂)/d for strains that fall
// linearly through it.
func CurvatureFromStrains(outer, inner, thickness float64) float64 {
	return (outer - inner) / thickness
}

// Stretch is a length of finger with one curvature.
type Stretch struct {
	Length      float64 // m, along the finger
	Curvature   float64 // 1/m; positive bends towards x
	CurvatureSD float64 // 1/m; its standard uncertainty, 0 for none
}

// Pose is a place along a finger in the plane it bends in: z runs straight out of
// the base, x across.
type Pose struct {
	Arc, X, Z float64 // m; Arc is the distance along the finger
	Turn      float64 // rad; how far the finger has turned from z
}

// Shape follows a finger from its base through stretches of constant curvature,
// each an exact arc, and returns pointsEach ≥ 1 poses of each after the base's.
func Shape(stretches []Stretch, pointsEach int) ([]Pose, error) {
	if pointsEach < 1 {
		return nil, fmt.Errorf("a shape needs at least one point for each stretch")
	}
	out := []Pose{{}}
	for i, s := range stretches {
		if !(s.Length > 0) || math.IsInf(s.Length, 0) || math.IsNaN(s.Curvature) || math.IsInf(s.Curvature, 0) {
			return nil, fmt.Errorf("stretch %d: length %g m and curvature %g 1/m must be finite, the length above 0", i+1, s.Length, s.Curvature)
		}
		base := out[len(out)-1]
		for k := 1; k <= pointsEach; k++ {
			l := s.Length * float64(k) / float64(pointsEach)
			x, z := arc(s.Curvature*l, l)
			sin, cos := math.Sincos(base.Turn)
			out = append(out, Pose{base.Arc + l, base.X + cos*x + sin*z, base.Z - sin*x + cos*z, base.Turn + s.Curvature*l})
		}
	}
	return out, nil
}

// arc returns how far an arc of length l that turns by t goes across and along.
func arc(t, l float64) (x, z float64) {
	half := t / 2
	chord := l
	if half != 0 {
		chord = l * math.Sin(half) / half
	}
	sin, cos := math.Sincos(half)
	return chord * sin, chord * cos
}

// PoseSlope is how a pose moves for each unit (1/m) that the curvature of one stretch grows.
type PoseSlope struct {
	X, Z float64 // m²
	Turn float64 // rad·m
}

// ShapeSlopes returns, for each pose that [Shape] gives of the same stretches, how it moves with the curvature of each.
func ShapeSlopes(stretches []Stretch, pointsEach int) ([][]PoseSlope, error) {
	poses, err := Shape(stretches, pointsEach)
	if err != nil {
		return nil, err
	}
	out := make([][]PoseSlope, len(poses))
	for k, p := range poses {
		out[k] = make([]PoseSlope, len(stretches))
		for i, s := range stretches {
			base, end := poses[i*pointsEach], poses[(i+1)*pointsEach]
			if k <= i*pointsEach {
				break
			}
			// Turning a stretch swings all beyond it about its end; within it, the arc itself moves.
			length := math.Min(p.Arc-base.Arc, s.Length)
			if k >= (i+1)*pointsEach {
				length = s.Length
			} else {
				end = p
			}
			dx, dz := arcSlope(s.Curvature*length, length)
			sin, cos := math.Sincos(base.Turn)
			out[k][i] = PoseSlope{cos*dx + sin*dz + length*(p.Z-end.Z), -sin*dx + cos*dz - length*(p.X-end.X), length}
		}
	}
	return out, nil
}

// TipUncertainty returns the standard uncertainties of the tip's x and z (m) and
// turn (rad) that follow from those of the curvatures, taken as independent, to
// first order.
func TipUncertainty(stretches []Stretch) (x, z, turn float64, err error) {
	slopes, err := ShapeSlopes(stretches, 1)
	if err != nil {
		return 0, 0, 0, err
	}
	for i, g := range slopes[len(stretches)] {
		sd := stretches[i].CurvatureSD
		x, z, turn = math.Hypot(x, g.X*sd), math.Hypot(z, g.Z*sd), math.Hypot(turn, g.Turn*sd)
	}
	return x, z, turn, nil
}

// arcSlope returns how an arc's end moves per unit of curvature.
func arcSlope(t, l float64) (dx, dz float64) {
	if math.Abs(t) < 1e-3 {
		return l * l * (0.5 - t*t/8), -l * l * (t/3 - t*t*t/30)
	}
	sin, cos := math.Sincos(t)
	return l * l * (sin/t - (1-cos)/(t*t)), l * l * (cos/t - sin/(t*t))
}
