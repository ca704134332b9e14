package leastsquares

import (
	"errors"
	"fmt"
	"math"
)

// Model is what a nonlinear fit adjusts.
type Model struct {
	Readings int                            // n
	Residual func(b, r []float64)           // fills r (n) with reading minus model at the coefficients b
	Jacobian func(b []float64, j []float64) // fills j (n×p, row-major) with the residuals' derivatives; nil for central differences
}

// ErrNoProgress says that no further step makes a nonlinear fit better although it
// is not at a minimum.
var ErrNoProgress = errors.New("the fit does not settle; start nearer, or take a model with fewer coefficients")

// mostSteps bounds a nonlinear fit. The certified problems of hardest kind need some hundred.
const mostSteps = 2000

// Nonlinear fits the model's p coefficients from the start given, by damped
// Gauss–Newton steps solved by orthogonal triangles (K. Levenberg 1944;
// D. W. Marquardt 1963; scaling by the largest columns met so far after J. J. Moré,
// "The Levenberg–Marquardt algorithm: implementation and theory", 1978, and the
// damping's update after H. B. Nielsen, 1999; from memory). A place where the
// model is not finite counts as worse than any other. Standard errors are those of
// the linear model at the minimum.
func Nonlinear(m Model, start []float64) (*Fit, error) {
	n, p := m.Readings, len(start)
	if p == 0 || n < p {
		return nil, fmt.Errorf("%d readings are too few for %d coefficients", n, p)
	}
	b := append([]float64(nil), start...)
	r, trial, next := make([]float64, n), make([]float64, n), make([]float64, p)
	jac, scale := make([]float64, n*p), make([]float64, p)
	m.Residual(b, r)
	rss := squares(r)
	if !finite(rss) {
		return nil, errors.New("the model has no finite value at the start; start elsewhere")
	}
	lambda, grow := 1e-3, 2.0
	steps, fresh := 0, false
	for ; steps < mostSteps; steps++ {
		if !fresh {
			m.derivatives(b, jac)
			for j := range p {
				s := 0.0
				for i := range n {
					s = math.Hypot(s, jac[i*p+j])
				}
				if !finite(s) {
					return nil, ErrNoProgress
				}
				scale[j] = max(scale[j], s)
			}
			fresh = true
		}
		d, foreseen, ok := damped(jac, r, scale, lambda, n, p)
		if !ok {
			return nil, ErrDependent
		}
		small := true
		for j := range p {
			next[j] = b[j] + d[j]
			small = small && math.Abs(d[j]) <= 1e-13*(math.Abs(b[j])+1e-300)
		}
		m.Residual(next, trial)
		got := squares(trial)
		if finite(got) && got < rss {
			gain := (rss - got) / foreseen
			flat := rss-got <= 1e-16*rss && foreseen <= 1e-16*rss
			copy(b, next)
			copy(r, trial)
			rss, fresh = got, false
			lambda *= max(1./3, 1-math.Pow(2*min(gain, 1)-1, 3))
			lambda, grow = max(lambda, 1e-18), 2
			if small || flat {
				break
			}
			continue
		}
		if small || foreseen <= 1e-15*rss || rss == 0 {
			break
		}
		if lambda *= grow; lambda > 1e60 {
			return nil, ErrNoProgress
		}
		grow *= 2
	}
	if steps == mostSteps {
		return nil, ErrNoProgress
	}
	m.derivatives(b, jac)
	q := &triangle{n: n, p: p, a: jac, scale: make([]float64, p)}
	for j := range p {
		q.scale[j] = 1
	}
	if !q.reduce() {
		return nil, ErrDependent
	}
	f := &Fit{Coefficients: b, SE: make([]float64, p), Residuals: r, DF: n - p, Steps: steps, unscaled: q.inverseGram()}
	f.finish()
	return f, nil
}

// derivatives fills j by the model's own Jacobian or by central differences.
func (m Model) derivatives(b, j []float64) {
	if m.Jacobian != nil {
		m.Jacobian(b, j)
		return
	}
	p := len(b)
	at := append([]float64(nil), b...)
	up, down := make([]float64, m.Readings), make([]float64, m.Readings)
	for k := range p {
		h := 6e-6 * math.Abs(b[k])
		if h == 0 {
			h = 6e-6
		}
		at[k] = b[k] + h
		high := at[k]
		m.Residual(at, up)
		at[k] = b[k] - h
		width := high - at[k]
		m.Residual(at, down)
		at[k] = b[k]
		for i := range up {
			j[i*p+k] = (up[i] - down[i]) / width
		}
	}
}

// damped solves min ‖J·d + r‖² + λ‖D·d‖² and says how far the squares should fall.
func damped(jac, r, scale []float64, lambda float64, n, p int) (d []float64, foreseen float64, ok bool) {
	q := &triangle{n: n + p, p: p, a: make([]float64, (n+p)*p)}
	copy(q.a, jac)
	rhs := make([]float64, n+p)
	for i, v := range r {
		rhs[i] = -v
	}
	for j, s := range scale {
		if s == 0 {
			s = 1
		}
		q.a[(n+j)*p+j] = math.Sqrt(lambda) * s
	}
	if !q.reduce() {
		return nil, 0, false
	}
	d = q.solve(rhs)
	for i := range n {
		s := 0.0
		for j := range p {
			s += jac[i*p+j] * d[j]
		}
		foreseen += s * s
	}
	for j, s := range scale {
		foreseen += 2 * lambda * s * s * d[j] * d[j]
	}
	return d, foreseen, true
}

func squares(r []float64) float64 {
	s := 0.0
	for _, v := range r {
		s += v * v
	}
	return s
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
