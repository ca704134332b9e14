package additive

import (
	"context"
	"math"

	"holdfast/numeric/dense"
)

// site is a visited setting of the hyperparameters.
type site struct {
	mode     *mode
	value    float64 // log evidence + log prior
	gradient []float64
	move     [][]float64 // ∂ĉ/∂θ, which predicts the next mode
}

// visit finds the mode at log, starting from the straight-line prediction of the site before, with the slope there.
func (e *engine) visit(ctx context.Context, log []float64, from *site, tolerance float64) (*site, error) {
	m, err := e.findMode(ctx, log, predictCoef(from, log, e.columns), tolerance)
	if err != nil {
		return nil, err
	}
	s := &site{mode: m, value: m.evidence, gradient: make([]float64, len(log))}
	e.slope(s)
	for k, h := range e.hypers {
		z := (log[k] - h.Mean) / h.SD
		s.value -= z * z / 2
		s.gradient[k] -= z / h.SD
	}
	return s, nil
}

func predictCoef(from *site, log []float64, n int) []float64 {
	coef := make([]float64, n)
	if from == nil {
		return coef
	}
	copy(coef, from.mode.coef)
	for k, move := range from.move {
		step := log[k] - from.mode.log[k]
		// Far away the straight line is worse than no line.
		if math.Abs(step) > 0.7 {
			continue
		}
		for i, v := range move {
			coef[i] += step * v
		}
	}
	return coef
}

// skew returns Σ_i h_i·w′_i·φ_i (DESIGN.md eq. 6) and leaves the posterior covariance in e.inverse.
func (e *engine) skew(m *mode) []float64 {
	dense.Invert(e.inverse, e.scratch, e.factor, e.columns, e.workers)
	leverage := make([]float64, len(m.logOdds))
	e.quadratic(leverage, e.inverse, e.workers)
	for i, f := range m.logOdds {
		p, q := expit(f), expit(-f)
		leverage[i] *= e.trials[i] * p * q * (q - p)
	}
	u := make([]float64, e.columns)
	e.adjoint(u, leverage, e.workers)
	return u
}

// slope fills the derivatives of the log evidence by the hyperparameters, open and through the mode: DESIGN.md eq. (6),
// with the covariance K·s of a block in place of a diagonal.
func (e *engine) slope(s *site) {
	m := s.mode
	u := e.skew(m)
	dense.Solve(e.factor, e.columns, u)
	s.move = make([][]float64, len(s.gradient))
	for k := range s.move {
		s.move[k] = make([]float64, e.columns)
	}
	for i, b := range e.blocks {
		if len(b.hyper)+len(b.kernel) > 0 {
			e.blockSlope(s, b, &m.priors[i])
		}
	}
	for k := range s.gradient {
		s.gradient[k] -= 0.5 * dense.Dot(u, s.move[k])
		dense.Solve(e.factor, e.columns, s.move[k])
	}
}

// blockSlope adds a block's open part to the gradient and leaves the forces P·∂S·P·ĉ in the moves.
func (e *engine) blockSlope(s *site, b *block, p *blockPrior) {
	n, width := len(b.levels), e.columns
	c := make([]float64, n)
	pulled := make([]float64, n) // K⁻¹c
	for j := range b.size {
		precision := math.Exp(-p.logVariance[j])
		trace := 0.0 // of K⁻¹Σ
		for a := range n {
			c[a] = s.mode.coef[b.base+a*b.size+j]
		}
		for a := range n {
			row := b.base + a*b.size + j
			if p.inverse == nil {
				pulled[a] = c[a]
				trace += e.inverse[row*width+row]
				continue
			}
			pulled[a] = dense.Dot(p.inverse[a*n:(a+1)*n], c)
			for q := range n {
				trace += p.inverse[a*n+q] * e.covariance(row, b.base+q*b.size+j)
			}
		}
		open := precision*(dense.Dot(c, pulled)+trace) - float64(n)
		for h, k := range b.hyper {
			slope := p.slope[h][j]
			s.gradient[k] += 0.5 * slope * open
			for a := range n {
				s.move[k][b.base+a*b.size+j] += slope * precision * pulled[a]
			}
		}
		for h, k := range b.kernel {
			e.kernelSlope(s, b, p, k, h, j, precision, c, pulled)
		}
	}
}

// kernelSlope does the same for one hyperparameter of the covariance between levels, with G = K⁻¹∂K:
// ½ (cᵀG K⁻¹c/s − tr G + tr(G K⁻¹Σ)/s).
func (e *engine) kernelSlope(s *site, b *block, p *blockPrior, k, h, j int, precision float64, c, pulled []float64) {
	n, g := len(b.levels), p.kSlope[h]
	open := 0.0
	for a := range n {
		force := dense.Dot(g[a*n:(a+1)*n], pulled) // G K⁻¹c
		open += precision*c[a]*force - g[a*n+a]
		s.move[k][b.base+a*b.size+j] += precision * force
		for q := range n {
			product := 0.0 // (G K⁻¹)_aq
			for r := range n {
				product += g[a*n+r] * p.inverse[r*n+q]
			}
			open += precision * product * e.covariance(b.base+q*b.size+j, b.base+a*b.size+j)
		}
	}
	s.gradient[k] += 0.5 * open
}

// covariance reads the posterior covariance of two coefficients.
func (e *engine) covariance(i, j int) float64 { return e.inverse[max(i, j)*e.columns+min(i, j)] }

// climb maximises log evidence + log prior by a quasi-Newton method (BFGS) with shortened steps, until the expected
// gain is below gain, in nats.
func (e *engine) climb(ctx context.Context, start []float64, from *site, gain, tolerance float64, report func(*site)) (*site, error) {
	here, err := e.visit(ctx, start, from, tolerance)
	if err != nil {
		return nil, err
	}
	report(here)
	h := len(start)
	spread := make([]float64, h*h)
	for k, hyper := range e.hypers {
		spread[k*h+k] = math.Min(0.1, hyper.SD*hyper.SD/2)
	}
	const maxVisits, maxStep = 60, 1.2
	for range maxVisits {
		direction := make([]float64, h)
		for i := range direction {
			direction[i] = dense.Dot(spread[i*h:(i+1)*h], here.gradient)
		}
		expected := dense.Dot(direction, here.gradient)
		if expected/2 < gain {
			break
		}
		size := 1.0
		for _, d := range direction {
			size = math.Min(size, maxStep/math.Abs(d))
		}
		var next *site
		for range 8 {
			log := append([]float64(nil), here.mode.log...)
			for k := range log {
				log[k] += size * direction[k]
			}
			if next, err = e.visit(ctx, log, here, tolerance); err != nil {
				return nil, err
			}
			report(next)
			if next.value >= here.value+1e-4*size*expected || size*expected < gain {
				break
			}
			size /= 3
		}
		updateSpread(spread, here, next)
		if next.value < here.value {
			if size*expected < gain {
				break
			}
			continue
		}
		here = next
	}
	return here, nil
}

// updateSpread is the BFGS update of the inverse Hessian (J. Nocedal, S. J. Wright, "Numerical Optimization", 2nd ed.
// 2006, eq. 6.17; from memory), with signs for a maximum.
func updateSpread(b []float64, here, next *site) {
	h := len(here.gradient)
	s, y, by := make([]float64, h), make([]float64, h), make([]float64, h)
	for k := range s {
		s[k] = next.mode.log[k] - here.mode.log[k]
		y[k] = here.gradient[k] - next.gradient[k]
	}
	sy := dense.Dot(s, y)
	if sy <= 1e-8*math.Sqrt(dense.Dot(s, s)*dense.Dot(y, y)) {
		return
	}
	for i := range by {
		by[i] = dense.Dot(b[i*h:(i+1)*h], y)
	}
	yby := dense.Dot(y, by)
	for i := range h {
		for j := range h {
			b[i*h+j] += (1+yby/sy)*s[i]*s[j]/sy - (by[i]*s[j]+s[i]*by[j])/sy
		}
	}
}
