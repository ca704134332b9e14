package additive

import (
	"context"
	"errors"
	"math"

	"holdfast/numeric/dense"
)

// engine fits the coefficients of one layout of trials at given hyperparameters.
type engine struct {
	*layout
	held, trials, known []float64 // by position in the layout
	hypers              []Hyper
	workers             int
	atMode              bool // keep the mode: the step to the mean is not to be trusted

	factor, scratch, inverse []float64
}

var errNotConverged = errors.New("additive: the fit did not settle; two flat terms may say the same")

func newEngine(d *Data, blocks []*block, shapes []shape, hypers []Hyper, workers int) *engine {
	e := &engine{layout: arrange(d, blocks, shapes), hypers: hypers, workers: workers}
	e.held, e.trials = take(d.Held, e.order), take(d.Trials, e.order)
	e.known = take(d.Known, e.order)
	n := e.columns
	e.factor, e.scratch, e.inverse = make([]float64, n*n), make([]float64, n*n), make([]float64, n*n)
	return e
}

// blockPrior is a block's prior at a setting: coefficients of function j have the covariance K·variance_j over levels.
type blockPrior struct {
	logVariance []float64
	slope       [][]float64
	beyond      float64
	k, inverse  []float64   // over levels; nil for exchangeable levels
	kSlope      [][]float64 // K⁻¹·∂K
	logDet      float64     // of K
}

// priors evaluates every block's prior at the logarithms of the hyperparameters.
func (e *engine) priors(log []float64) ([]blockPrior, error) {
	list := make([]blockPrior, len(e.blocks))
	for i, b := range e.blocks {
		p := &list[i]
		p.logVariance, p.slope, p.beyond = b.prior.variances(pickLog(log, b.hyper))
		p.logVariance = p.logVariance[:b.size]
		for k := range p.slope {
			p.slope[k] = p.slope[k][:b.size]
		}
		if b.term.Kernel == nil {
			continue
		}
		if err := p.addKernel(b, pickLog(log, b.kernel)); err != nil {
			return nil, err
		}
	}
	return list, nil
}

func (p *blockPrior) addKernel(b *block, log []float64) error {
	n := len(b.levels)
	k, slope := b.term.Kernel.Covariance(b.levels, log)
	factor, scratch := append([]float64(nil), k...), make([]float64, n*n)
	p.k, p.inverse = k, make([]float64, n*n)
	if !dense.Cholesky(factor, n, 1) {
		return errors.New("term " + b.term.Name + ": the covariance between levels is not positive definite")
	}
	dense.Invert(p.inverse, scratch, factor, n, 1)
	for i := range n {
		for j := range i {
			p.inverse[j*n+i] = p.inverse[i*n+j]
		}
	}
	p.logDet = dense.LogDeterminant(factor, n)
	for _, s := range slope {
		product := make([]float64, n*n)
		for i := range n {
			for j := range n {
				for q := range n {
					product[i*n+j] += p.inverse[i*n+q] * s[q*n+j]
				}
			}
		}
		p.kSlope = append(p.kSlope, product)
	}
	return nil
}

func pickLog(log []float64, at []int) []float64 {
	out := make([]float64, len(at))
	for i, k := range at {
		out[i] = log[k]
	}
	return out
}

// pull writes P·c into dst: each block's precision times its coefficients.
func (e *engine) pull(dst, c []float64, priors []blockPrior) {
	for i, b := range e.blocks {
		p := &priors[i]
		n := len(b.levels)
		for j := range b.size {
			precision := math.Exp(-p.logVariance[j])
			for a := range n {
				at := b.base + a*b.size + j
				if p.inverse == nil {
					dst[at] = precision * c[at]
					continue
				}
				sum := 0.0
				for q := range n {
					sum += p.inverse[a*n+q] * c[b.base+q*b.size+j]
				}
				dst[at] = precision * sum
			}
		}
	}
}

// addPrecision adds P to the lower triangle of a.
func (e *engine) addPrecision(a []float64, priors []blockPrior) {
	for i, b := range e.blocks {
		p := &priors[i]
		n := len(b.levels)
		for j := range b.size {
			precision := math.Exp(-p.logVariance[j])
			for r := range n {
				row := b.base + r*b.size + j
				if p.inverse == nil {
					a[row*e.columns+row] += precision
					continue
				}
				for q := range r + 1 {
					a[row*e.columns+b.base+q*b.size+j] += precision * p.inverse[r*n+q]
				}
			}
		}
	}
}

// mode is the posterior's mode at one setting of the hyperparameters.
type mode struct {
	log       []float64
	priors    []blockPrior
	coef      []float64
	logOdds   []float64 // by position
	evidence  float64   // Laplace approximation of the log evidence (DESIGN.md eq. 5)
	decrement float64
	steps     int
}

// findMode climbs to the posterior mode by Newton's method, halving steps that do not climb, until the expected gain is
// below tolerance. Afterwards e.factor holds the Cholesky factor of the curvature at the last coefficients but one step.
func (e *engine) findMode(ctx context.Context, log, start []float64, tolerance float64) (*mode, error) {
	n, rows := e.columns, len(e.order)
	m := &mode{log: append([]float64(nil), log...), coef: append([]float64(nil), start...), logOdds: make([]float64, rows)}
	var err error
	if m.priors, err = e.priors(log); err != nil {
		return nil, err
	}
	gradient, step, trial, pulled := make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
	next := make([]float64, rows)
	height := e.height(m.logOdds, m.coef, pulled, m.priors)
	const maxSteps = 60
	for m.steps = 1; ; m.steps++ {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if !e.curvature(m.logOdds, gradient, m.priors) {
			return nil, errNotConverged
		}
		for i := range gradient {
			gradient[i] -= pulled[i]
		}
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
			reached := e.height(next, trial, pulled, m.priors)
			if reached >= height || size < 1e-6 {
				height = reached
				break
			}
		}
		copy(m.coef, trial)
		m.logOdds, next = next, m.logOdds
		if size < 1e-6 {
			break // rounding decides the last bits here
		}
	}
	m.evidence = height - 0.5*dense.LogDeterminant(e.factor, n)
	for i, b := range e.blocks {
		p := &m.priors[i]
		for _, v := range p.logVariance {
			if !math.IsInf(v, 1) {
				m.evidence -= 0.5 * (float64(len(b.levels))*v + p.logDet)
			}
		}
	}
	return m, nil
}

// height computes Φc into logOdds, P·c into pulled, and returns the log posterior without its constants.
func (e *engine) height(logOdds, c, pulled []float64, priors []blockPrior) float64 {
	e.apply(logOdds, c, e.workers)
	for i, k := range e.known {
		logOdds[i] += k
	}
	e.pull(pulled, c, priors)
	sum := -0.5 * dense.Dot(c, pulled)
	for i, f := range logOdds {
		sum += e.held[i]*f - e.trials[i]*softplus(f)
	}
	return sum
}

// curvature computes Φᵀ(y − tμ) into gradient and the Cholesky factor of ΦᵀWΦ + P into e.factor.
func (e *engine) curvature(logOdds, gradient []float64, priors []blockPrior) bool {
	residual, weight := make([]float64, len(logOdds)), make([]float64, len(logOdds))
	for i, f := range logOdds {
		p := expit(f)
		residual[i] = e.held[i] - e.trials[i]*p
		weight[i] = e.trials[i] * p * expit(-f)
	}
	e.adjoint(gradient, residual, e.workers)
	e.gram(e.factor, weight, e.workers)
	e.addPrecision(e.factor, priors)
	return dense.Cholesky(e.factor, e.columns, e.workers)
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
