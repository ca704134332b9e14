package successmap

import (
	"math"

	"holdfast/numeric/dense"
)

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
func (e *engine) slope(m *mode) (gradient hyper, move [hypers][]float64, err error) {
	n := e.basis.Len()
	pull, err := e.pull(m)
	if err != nil {
		return gradient, move, err
	}
	if m.tie.shared != nil {
		e.slopeWithLean(m, &gradient, &move, pull)
		return gradient, move, nil
	}
	for k := range gradient {
		move[k] = make([]float64, n)
		for i, s := range m.prior.slope[k] {
			precision := math.Exp(-m.prior.logVariance[i])
			force := precision * s * m.coef[i]
			move[k][i] = force
			gradient[k] += 0.5 * (force*m.coef[i] - s + precision*s*e.inverse[i*n+i])
		}
		dense.Solve(e.factor, n, move[k])
		gradient[k] -= 0.5 * dense.Dot(pull, move[k])
	}
	return gradient, move, nil
}

// pull returns Σ_i h_i·w_i′·φ_i, minus twice the slope that the log posterior's third derivatives give to its logarithm
// averaged over the posterior, and leaves the posterior covariance in e.inverse.
func (e *engine) pull(m *mode) ([]float64, error) {
	e.covariance()
	form := make([]float64, e.double.Len())
	e.product.Quadratic(form, e.inverse)
	leverage := e.data
	if err := e.torus.Evaluate(leverage, e.double, form, e.points); err != nil {
		return nil, err
	}
	for i, f := range m.logOdds {
		p, q := expit(f), expit(-f)
		leverage[i] *= e.trials[i] * p * q * (q - p)
	}
	pull := make([]float64, e.basis.Len())
	return pull, e.torus.Moments(pull, e.basis, e.points, leverage)
}

// centre moves the coefficients of a mode just found from the mode to the mean of the posterior, to first order in its
// skewness: c − ½·Σ·pull (DESIGN.md eq. 7; the first term of L. Tierney, J. B. Kadane, "Accurate approximations for
// posterior moments and marginal densities", JASA 81 (1986) 82, there in another form; from memory). It leaves the
// posterior covariance in e.inverse. Where most trials fail, the mode is too near to even odds; the mean is not.
func (e *engine) centre(m *mode) error {
	pull, err := e.pull(m)
	if err != nil {
		return err
	}
	if e.atMode {
		return nil
	}
	dense.Solve(e.factor, e.basis.Len(), pull)
	for i, v := range pull {
		m.coef[i] -= v / 2
	}
	return nil
}

// covariance computes the lower triangle of the inverse of the curvature in e.factor into e.inverse.
func (e *engine) covariance() { dense.Invert(e.inverse, e.scratch, e.factor, e.basis.Len(), e.workers) }
