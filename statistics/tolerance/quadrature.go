package tolerance

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"

	"holdfast/orient"
)

// Both errors are split into a size and a direction. Nodes at fixed sizes serve every spread, since a spread only weighs
// the sizes anew (DESIGN.md eq. 2–4): the model is asked once, and any pair of errors costs one bilinear form.

const (
	positionRadii      = 48  // sizes of the position error
	positionDirections = 16  // directions a size
	positionReach      = 4.5 // standard deviations; e^{−10} of the error lies beyond

	angleSizes = 40  // sizes of the turn
	axisRings  = 5   // Gauss–Legendre heights of its axis
	axisAround = 10  // axes a height
	angleReach = 2.8 // root-mean-square angles; 3e-5 of the heat kernel lies beyond
)

// squeezed returns Gauss–Legendre nodes u and weights for ∫₀^top du, squeezed towards 0 by u = top·x², so that spreads
// much smaller than the largest still meet nodes.
func squeezed(n int, top float64) (nodes, weights []float64) {
	nodes, weights = make([]float64, n), make([]float64, n)
	quad.Legendre{}.FixedLocations(nodes, weights, 0, 1)
	for i, x := range nodes {
		nodes[i], weights[i] = top*x*x, weights[i]*2*top*x
	}
	return nodes, weights
}

// positionWeights returns the weights of the sizes r (m) for a position error whose standard deviation along its
// directions is sd: the Rayleigh density r/sd²·exp(−r²/2sd²), scaled to sum to one. sd must be positive.
func positionWeights(sizes, step []float64, sd float64) []float64 {
	w := make([]float64, len(sizes))
	sum := 0.0
	for i, r := range sizes {
		w[i] = step[i] * r * math.Exp(-r*r/(2*sd*sd))
		sum += w[i]
	}
	for i := range w {
		w[i] /= sum
	}
	return w
}

// angleWeights returns the weights of the turns' sizes (rad) at heat time t > 0: the density of the angle of a rotation
// drawn from the heat kernel, scaled to sum to one.
func angleWeights(sizes, step []float64, t float64) []float64 {
	w := make([]float64, len(sizes))
	sum := 0.0
	for i, angle := range sizes {
		w[i] = step[i] * angleDensity(angle, t)
		sum += w[i]
	}
	for i := range w {
		w[i] /= sum
	}
	return w
}

// angleDensity is (1−cos ω)/π times the heat kernel Σ (2l+1)·e^{−l(l+1)t}·χ_l(ω), summed by its images under turns of 2π
// instead, which converges at once for the small t of real errors (Poisson's formula; the series and its values are
// statistics checks 6.6):
//
//	K(ω) = e^{t/4}/sin(ω/2)·√(π/t)·Σ_k (−1)^k·(ω+2πk)/(2t)·exp(−(ω+2πk)²/4t)
func angleDensity(angle, t float64) float64 {
	half := math.Sin(angle / 2)
	return 2 * half / math.Pi * imageSum(angle, t)
}

// heatKernel is the density itself, with respect to uniform probability on rotations, for ω in (0, π].
func heatKernel(angle, t float64) float64 { return imageSum(angle, t) / math.Sin(angle/2) }

// imageSum is the kernel times sin(ω/2).
func imageSum(angle, t float64) float64 {
	sum := 0.0
	const images = 6
	for k := -images; k <= images; k++ {
		x := angle + 2*math.Pi*float64(k)
		term := x / (2 * t) * math.Exp(t/4-x*x/(4*t))
		if k&1 != 0 {
			term = -term
		}
		sum += term
	}
	return math.Sqrt(math.Pi/t) * sum
}

// axes spreads unit vectors over the sphere: equal steps around at the Gauss–Legendre heights, which is exact for
// polynomials up to degree 9. weights sum to one.
func axes() (directions []orient.Vec3, weights []float64) {
	heights, share := make([]float64, axisRings), make([]float64, axisRings)
	quad.Legendre{}.FixedLocations(heights, share, -1, 1)
	for i, z := range heights {
		side := math.Sqrt(1 - z*z)
		for k := range axisAround {
			// Every other ring is turned by half a step.
			around := 2 * math.Pi * (float64(k) + 0.5*float64(i&1)) / axisAround
			directions = append(directions, orient.Vec3{side * math.Cos(around), side * math.Sin(around), z})
			weights = append(weights, share[i]/2/axisAround)
		}
	}
	return directions, weights
}
