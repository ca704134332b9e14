package propose

import (
	"math"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"

	"holdfast/numeric/dense"
)

// ensemble follows, through the trials of a batch, what is still uncertain of one arm: deviations of draws from their
// mean, for the outcome at every candidate and for the quantities asked for. A trial's outcome is not known, but what it
// will tell is: the draws are pulled together as a linear update with that outcome would (DESIGN.md, equation 3).
type ensemble struct {
	n      int       // candidates
	q      int       // quantities
	spread []float64 // (n + q) × draws, deviations
	noise  []float64 // candidate: the part of an outcome's variance that stays once the success there is known, E[p(1−p)]
	cov    []float64 // q × n scratch
}

func newEnsemble(plain, quantities [][]float64) *ensemble {
	e := &ensemble{n: len(plain), q: len(quantities)}
	e.spread = make([]float64, (e.n+e.q)*draws)
	e.noise = make([]float64, e.n)
	for i, row := range plain {
		m := e.centre(i, row)
		e.noise[i] = math.Max(m*(1-m)-dense.Dot(e.row(i), e.row(i))/draws, 1e-6)
	}
	for i, row := range quantities {
		e.centre(e.n+i, row)
	}
	e.cov = make([]float64, e.q*e.n)
	return e
}

func (e *ensemble) centre(i int, row []float64) float64 {
	m := mean(row)
	dst := e.row(i)
	for d, v := range row {
		dst[d] = v - m
	}
	return m
}

func (e *ensemble) row(i int) []float64 { return e.spread[i*draws : (i+1)*draws] }

// reductions returns, for quantity k and candidate x, at k·n + x, by how much one trial at x is expected to reduce the
// variance of the quantity.
func (e *ensemble) reductions() []float64 {
	if e.q == 0 {
		return nil
	}
	blas64.Gemm(blas.NoTrans, blas.Trans, 1.0/draws, blas64.General{Rows: e.q, Cols: draws, Stride: draws, Data: e.spread[e.n*draws:]},
		blas64.General{Rows: e.n, Cols: draws, Stride: draws, Data: e.spread[:e.n*draws]}, 0, blas64.General{Rows: e.q, Cols: e.n, Stride: e.n, Data: e.cov})
	variance := make([]float64, e.n)
	for x := range variance {
		variance[x] = e.noise[x] + dense.Dot(e.row(x), e.row(x))/draws
	}
	for k := range e.q {
		line := e.cov[k*e.n : (k+1)*e.n]
		for x, c := range line {
			line[x] = c * c / variance[x]
		}
	}
	return e.cov
}

// variance of quantity k.
func (e *ensemble) variance(k int) float64 { r := e.row(e.n + k); return dense.Dot(r, r) / draws }

// observe takes a trial at x as made.
func (e *ensemble) observe(x int) {
	at := append([]float64(nil), e.row(x)...)
	own := dense.Dot(at, at) / draws
	noise := e.noise[x]
	total := own + noise
	// The root's factor keeps the covariance exact (J. S. Whitaker, T. M. Hamill, "Ensemble data assimilation without
	// perturbed observations", Mon. Weather Rev. 130 (2002) 1913, eq. 13; from memory).
	factor := 1 / (1 + math.Sqrt(noise/total))
	for i := range e.n + e.q {
		r := e.row(i)
		gain := factor * dense.Dot(r, at) / draws / total
		for d, v := range at {
			r[d] -= gain * v
		}
	}
}
