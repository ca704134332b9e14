package leastsquares

import (
	"errors"
	"fmt"
	"math"
)

// ErrDependent says that the columns of a model can not be told apart with the
// readings given, so that its coefficients have no answer.
var ErrDependent = errors.New("the readings can not tell the model's terms apart; take readings at more different places or leave a term out")

// Fit is a model fitted to n readings by p coefficients.
type Fit struct {
	Coefficients []float64 // p numbers, in the order of the columns or of the start
	SE           []float64 // their standard errors; NaN without degrees of freedom
	Residuals    []float64 // n numbers: reading minus model
	RSS          float64   // sum of the squared residuals
	DF           int       // n − p
	SD           float64   // residual standard deviation √(RSS/DF); NaN for DF = 0
	Steps        int       // damped steps of a nonlinear fit, 0 for a linear one

	unscaled []float64 // (AᵀA)⁻¹, p×p, row-major
}

// Covariance returns the covariance of coefficients i and j; NaN for DF = 0.
func (f *Fit) Covariance(i, j int) float64 {
	return f.SD * f.SD * f.unscaled[i*len(f.Coefficients)+j]
}

// Leverage returns rowᵀ(AᵀA)⁻¹row: the variance of the model at a row of p
// terms, in units of SD².
func (f *Fit) Leverage(row []float64) float64 {
	p, s := len(f.Coefficients), 0.0
	for i := range p {
		for j := range p {
			s += row[i] * f.unscaled[i*p+j] * row[j]
		}
	}
	return s
}

// Linear fits y ≈ A·β, where A has a row of p terms for each of the n ≥ p
// readings. Columns are scaled to unit length, A is brought to a triangle by
// Householder reflections, and the solution is refined with residuals in doubled
// precision (Å. Björck, "Iterative refinement of linear least squares solutions",
// BIT 7, 1967; from memory). It returns [ErrDependent] when the columns depend on
// one another to within rounding.
func Linear(a [][]float64, y []float64) (*Fit, error) {
	n := len(a)
	if n == 0 || len(a[0]) == 0 || len(y) != n {
		return nil, fmt.Errorf("a fit needs rows of terms and as many readings; got %d rows and %d readings", n, len(y))
	}
	p := len(a[0])
	if n < p {
		return nil, fmt.Errorf("%d readings are too few for %d coefficients; take at least %d", n, p, p)
	}
	q := &triangle{n: n, p: p, a: make([]float64, n*p), scale: make([]float64, p)}
	for i, row := range a {
		if len(row) != p {
			return nil, fmt.Errorf("row %d has %d terms, the first has %d", i+1, len(row), p)
		}
		for j, v := range row {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				return nil, fmt.Errorf("row %d, term %d is %g; terms must be finite", i+1, j+1, v)
			}
			q.scale[j] = math.Hypot(q.scale[j], v)
		}
		if math.IsNaN(y[i]) || math.IsInf(y[i], 0) {
			return nil, fmt.Errorf("reading %d is %g; readings must be finite", i+1, y[i])
		}
	}
	for j, s := range q.scale {
		if s == 0 {
			return nil, ErrDependent
		}
		// A power of two scales without rounding, so the refined problem is the one that was asked.
		_, e := math.Frexp(s)
		q.scale[j] = math.Ldexp(1, -e)
	}
	for i, row := range a {
		for j, v := range row {
			q.a[i*p+j] = v * q.scale[j]
		}
	}
	original := append([]float64(nil), q.a...)
	if !q.reduce() {
		return nil, ErrDependent
	}
	x, r := q.refined(original, y)
	f := &Fit{Coefficients: make([]float64, p), SE: make([]float64, p), Residuals: r, DF: n - p, unscaled: q.inverseGram()}
	for j := range p {
		f.Coefficients[j] = x[j] * q.scale[j]
	}
	f.finish()
	return f, nil
}

func (f *Fit) finish() {
	f.RSS = 0
	for _, r := range f.Residuals {
		f.RSS += r * r
	}
	f.SD = math.NaN()
	if f.DF > 0 {
		f.SD = math.Sqrt(f.RSS / float64(f.DF))
	}
	p := len(f.Coefficients)
	for j := range p {
		f.SE[j] = f.SD * math.Sqrt(f.unscaled[j*p+j])
	}
}

// R2 returns the share of the readings' variation that the model explains: about
// their mean when the model has a constant term, about zero otherwise.
func (f *Fit) R2(y []float64, constant bool) float64 {
	mean, total := 0.0, 0.0
	if constant {
		for _, v := range y {
			mean += v
		}
		mean /= float64(len(y))
	}
	for _, v := range y {
		total += (v - mean) * (v - mean)
	}
	return 1 - f.RSS/total
}
