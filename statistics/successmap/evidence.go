package successmap

import "math"

// slope returns the derivatives of the log evidence by the hyperparameters at a mode just found (e.factor must still
// be its curvature), and the derivatives of the mode's coefficients, which predict the next mode. It leaves the
// posterior covariance in e.inverse.
//
// Besides the terms in which the hyperparameters stand openly there is one through the mode, because the curvature
// depends on it (Rasmussen and Williams 2006, eq. 5.22–5.24; from memory; here in weight space, DESIGN.md eq. 6):
//
//	∂/∂θ ln Z = ½ Σ_a s_a′/s_a · (P_a·c_a² − 1 + P_a·Σ_aa) + ½ Σ_i h_i·w_i′ · φ_iᵀ ∂c/∂θ · (−1)
//	∂c/∂θ     = Σ · (P·s′/s ∘ c),   h_i = φ_iᵀ Σ φ_i,   w′ = t·p(1−p)(1−2p)
//
// with Σ the inverse curvature. The leverages h are one function of degree 2L read at the data.
func (e *engine) slope(m *mode) (gradient [3]float64, move [3][]float64, err error) {
	n := e.basis.Len()
	e.covariance()
	form := make([]float64, e.double.Len())
	e.product.Quadratic(form, e.inverse)
	leverage := e.data
	if err := e.torus.Evaluate(leverage, e.double, form, e.points); err != nil {
		return gradient, move, err
	}
	for i, f := range m.logOdds {
		p, q := expit(f), expit(-f)
		leverage[i] *= e.trials[i] * p * q * (q - p)
	}
	pull := make([]float64, n)
	if err := e.torus.Moments(pull, e.basis, e.points, leverage); err != nil {
		return gradient, move, err
	}
	for k := range gradient {
		move[k] = make([]float64, n)
		for i, s := range m.prior.slope[k] {
			precision := math.Exp(-m.prior.logVariance[i])
			force := precision * s * m.coef[i]
			move[k][i] = force
			gradient[k] += 0.5 * (force*m.coef[i] - s + precision*s*e.inverse[i*n+i])
		}
		solve(e.factor, n, move[k])
		gradient[k] -= 0.5 * dot(pull, move[k])
	}
	return gradient, move, nil
}

// covariance computes the lower triangle of the inverse of the curvature in e.factor into e.inverse.
func (e *engine) covariance() { invert(e.inverse, e.scratch, e.factor, e.basis.Len(), e.workers) }
