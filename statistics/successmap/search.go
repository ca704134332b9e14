package successmap

import (
	"context"
	"math"

	"holdfast/numeric/dense"
)

// priors on the hyperparameters: independent normals of their logarithms. They are weak and only keep the search off
// the flat ends of the evidence; DESIGN.md says how they were chosen.
type hyperPrior struct{ mean, sd hyper }

func (p hyperPrior) logDensity(t hyper) (v float64, gradient hyper) {
	for k := range t {
		z := (t[k] - p.mean[k]) / p.sd[k]
		v -= z*z/2 + math.Log(p.sd[k]) + 0.5*math.Log(2*math.Pi)
		gradient[k] = -z / p.sd[k]
	}
	return v, gradient
}

// site is a visited setting of the hyperparameters.
type site struct {
	mode     *mode
	value    float64 // log evidence + log prior
	gradient hyper
	move     [hypers][]float64
}

// visit finds the mode at t, starting from the linear prediction of the nearest known site, and its gradient.
func (e *engine) visit(ctx context.Context, t hyper, from *site, prior hyperPrior, tolerance float64) (*site, error) {
	m, err := e.findMode(ctx, t, e.predictCoef(from, t), tolerance)
	if err != nil {
		return nil, err
	}
	s := &site{mode: m}
	if s.gradient, s.move, err = e.slope(m); err != nil {
		return nil, err
	}
	v, g := prior.logDensity(t)
	s.value = m.evidence + v
	for k := range g {
		s.gradient[k] += g[k]
	}
	return s, nil
}

func (e *engine) predictCoef(from *site, t hyper) []float64 {
	coef := make([]float64, e.basis.Len())
	if from == nil {
		if e.lean != nil {
			copy(coef, e.lean.centre())
		}
		return coef
	}
	copy(coef, from.mode.coef)
	for k := range t {
		step := t[k] - from.mode.hyper[k]
		// Far away the straight line is worse than no line.
		if math.Abs(step) > 0.7 {
			continue
		}
		for i, v := range from.move[k] {
			coef[i] += step * v
		}
	}
	return coef
}

// hyperMatrix is a matrix between hyperparameters.
type hyperMatrix [hypers][hypers]float64

func (a hyperMatrix) times(v hyper) (u hyper) {
	for i := range u {
		for j := range v {
			u[i] += a[i][j] * v[j]
		}
	}
	return u
}

func (v hyper) dot(u hyper) float64 { return dense.Dot(v[:], u[:]) }

// climb maximises log evidence + log prior from the start by a quasi-Newton method (BFGS) with halved steps. spread is
// the first guess of the inverse Hessian's negative, which it returns improved. It stops when the expected gain is
// below gain, in nats: averaging over the neighbourhood follows, so the last hundredth would be wasted.
func (e *engine) climb(ctx context.Context, start hyper, from *site, prior hyperPrior, spread hyperMatrix, gain, tolerance float64, report func(*site)) (*site, hyperMatrix, error) {
	here, err := e.visit(ctx, start, from, prior, tolerance)
	if err != nil {
		return nil, spread, err
	}
	report(here)
	const maxVisits, maxStep = 40, 1.0
	for range maxVisits {
		direction := spread.times(here.gradient)
		expected := direction.dot(here.gradient)
		if expected/2 < gain {
			break
		}
		size := 1.0
		for _, d := range direction {
			size = math.Min(size, maxStep/math.Abs(d))
		}
		var next *site
		for range 8 {
			t := here.mode.hyper
			for k := range t {
				t[k] += size * direction[k]
			}
			if next, err = e.visit(ctx, t, here, prior, tolerance); err != nil {
				return nil, spread, err
			}
			report(next)
			if next.value >= here.value+1e-4*size*expected {
				break
			}
			size /= 3
			if size*expected < gain {
				break
			}
		}
		spread = updateSpread(spread, here, next)
		if next.value < here.value {
			if size*expected < gain {
				break
			}
			continue
		}
		here = next
	}
	return here, spread, nil
}

// updateSpread is the BFGS update of the inverse Hessian (J. Nocedal, S. J. Wright, "Numerical Optimization", 2nd ed.
// 2006, eq. 6.17; from memory), with signs for a maximum.
func updateSpread(b hyperMatrix, here, next *site) hyperMatrix {
	var s, y hyper
	for k := range s {
		s[k] = next.mode.hyper[k] - here.mode.hyper[k]
		y[k] = here.gradient[k] - next.gradient[k]
	}
	sy := s.dot(y)
	if sy <= 1e-8*math.Sqrt(s.dot(s)*y.dot(y)) {
		return b
	}
	by := b.times(y)
	yby := y.dot(by)
	for i := range s {
		for j := range s {
			b[i][j] += (1+yby/sy)*s[i]*s[j]/sy - (by[i]*s[j]+s[i]*by[j])/sy
		}
	}
	return b
}
