package successmap

import (
	"context"
	"errors"
	"math"

	"holdfast/numeric/dense"
	"holdfast/orient"
)

// engine holds everything that repeated fits to the same trials with functions of one degree share.
type engine struct {
	basis    *orient.Harmonics
	product  *orient.HarmonicProduct
	double   *orient.Harmonics
	torus    *orient.Torus
	points   *orient.TorusPoints
	held     []float64
	trials   []float64
	spectrum *spectrum
	workers  int
	atMode   bool  // keep the mode: the step to the mean is not to be trusted
	lean     *lean // nil without a prior mean

	factor, scratch, inverse []float64
	moments                  []float64 // double set
	data                     []float64 // one a distinct orientation
}

var errNotConverged = errors.New("successmap: the fit did not settle; the counts may not be finite numbers")

func newEngine(degree int, symmetry orient.Symmetry, d *distinct, intercept float64, workers int) (*engine, error) {
	basis, err := orient.NewHarmonics(degree, symmetry)
	if err != nil {
		return nil, err
	}
	product, err := orient.NewHarmonicProduct(basis, workers)
	if err != nil {
		return nil, err
	}
	double := product.Double()
	torus := orient.NewTorus(double, workers)
	n := basis.Len()
	return &engine{
		basis: basis, product: product, double: double, torus: torus, points: torus.Points(d.rotations),
		held: d.held, trials: d.trials, spectrum: newSpectrum(basis, intercept), workers: workers,
		factor: make([]float64, n*n), scratch: make([]float64, n*n), inverse: make([]float64, n*n),
		moments: make([]float64, double.Len()), data: make([]float64, len(d.held)),
	}, nil
}

// mode is the posterior's mode at one setting of the hyperparameters, with the curvature there.
type mode struct {
	hyper     hyper
	prior     priorTerms
	tie       priorTie
	coef      []float64
	logOdds   []float64 // at the data
	evidence  float64   // Laplace approximation of the log evidence (DESIGN.md eq. 5)
	decrement float64
	steps     int
}

// findMode climbs to the posterior mode by Newton's method from coef, halving steps that do not climb, until the
// expected gain is below tolerance. Afterwards e.factor holds the Cholesky factor of the curvature at the mode.
// The iteration is that of C. E. Rasmussen, C. K. I. Williams, "Gaussian Processes for Machine Learning" (2006)
// algorithm 3.1 in weight space (from memory).
func (e *engine) findMode(ctx context.Context, t hyper, coef []float64, tolerance float64) (*mode, error) {
	n := e.basis.Len()
	m := &mode{hyper: t, prior: e.spectrum.terms(t, e.basis.Degree()), coef: append([]float64(nil), coef...), logOdds: make([]float64, len(e.held))}
	m.tie = e.tie(m.prior)
	gradient, step, trial := make([]float64, n), make([]float64, n), make([]float64, n)
	next := make([]float64, len(e.held))
	if err := e.torus.Evaluate(m.logOdds, e.basis, m.coef, e.points); err != nil {
		return nil, err
	}
	height := e.logLikelihood(m.logOdds) - m.tie.penalty(m.coef)
	const maxSteps = 60
	for m.steps = 1; ; m.steps++ {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if err := e.curvature(m.logOdds, m.tie, gradient); err != nil {
			return nil, err
		}
		m.tie.pullBack(gradient, m.coef)
		copy(step, gradient)
		dense.Solve(e.factor, n, step)
		m.decrement = dense.Dot(gradient, step)
		if m.decrement < tolerance {
			break
		}
		if m.steps == maxSteps || math.IsNaN(m.decrement) {
			return nil, errNotConverged
		}
		size := 1.0
		for ; ; size /= 2 {
			for i := range trial {
				trial[i] = m.coef[i] + size*step[i]
			}
			if err := e.torus.Evaluate(next, e.basis, trial, e.points); err != nil {
				return nil, err
			}
			reached := e.logLikelihood(next) - m.tie.penalty(trial)
			if reached >= height || size < 1e-6 {
				height = reached
				break
			}
		}
		copy(m.coef, trial)
		m.logOdds, next = next, m.logOdds
		if size < 1e-6 {
			// Rounding, not the function, decides the last bits here: the mode is as good as it gets.
			break
		}
	}
	m.evidence = height - 0.5*dense.LogDeterminant(e.factor, n) - 0.5*m.tie.logDeterminant
	for _, v := range m.prior.logVariance {
		m.evidence -= 0.5 * v
	}
	return m, nil
}

// curvature computes Φᵀ(y − t·μ) into gradient and the Cholesky factor of ΦᵀWΦ + P into e.factor.
func (e *engine) curvature(logOdds []float64, tie priorTie, gradient []float64) error {
	const chunk = 2048
	residual, weight := e.data, make([]float64, len(logOdds))
	dense.InParallel((len(logOdds)+chunk-1)/chunk, e.workers, func(c int) {
		for i := c * chunk; i < min(len(logOdds), (c+1)*chunk); i++ {
			p := expit(logOdds[i])
			residual[i] = e.held[i] - e.trials[i]*p
			weight[i] = e.trials[i] * p * expit(-logOdds[i])
		}
	})
	if err := e.torus.Moments(gradient, e.basis, e.points, residual); err != nil {
		return err
	}
	if err := e.torus.Moments(e.moments, e.double, e.points, weight); err != nil {
		return err
	}
	e.product.Gram(e.factor, e.moments)
	n := e.basis.Len()
	tie.addTo(e.factor)
	if !dense.Cholesky(e.factor, n, e.workers) {
		return errNotConverged
	}
	return nil
}

// logLikelihood returns Σ held·f − trials·ln(1+eᶠ). Chunks are fixed, so the sum's last bit is too.
func (e *engine) logLikelihood(logOdds []float64) float64 {
	const chunk = 2048
	parts := make([]float64, (len(logOdds)+chunk-1)/chunk)
	dense.InParallel(len(parts), e.workers, func(c int) {
		for i := c * chunk; i < min(len(logOdds), (c+1)*chunk); i++ {
			parts[c] += e.held[i]*logOdds[i] - e.trials[i]*softplus(logOdds[i])
		}
	})
	sum := 0.0
	for _, p := range parts {
		sum += p
	}
	return sum
}

// expit is the logistic function.
func expit(x float64) float64 {
	if x >= 0 {
		return 1 / (1 + math.Exp(-x))
	}
	e := math.Exp(x)
	return e / (1 + e)
}

// softplus is ln(1 + eˣ).
func softplus(x float64) float64 {
	if x > 0 {
		return x + math.Log1p(math.Exp(-x))
	}
	return math.Log1p(math.Exp(x))
}
