package additive

import (
	"errors"
	"fmt"
	"math"

	"holdfast/numeric"
	"holdfast/numeric/dense"
)

// Regression is a classical logistic regression with a fixed list of columns: the yardstick of the checks, and Firth's
// answer where trials are separated.
type Regression struct {
	Coef          []float64
	Covariance    []float64 // inverse of the information, row-major
	LogLikelihood float64   // with binomial coefficients left out; penalised for Firth
	Deviance      float64   // against the saturated model, without the penalty

	rows         [][]float64
	held, trials []float64
	firth        bool
}

// ErrSeparated says that the likelihood has no greatest value: some combination of the columns parts held from failed.
var ErrSeparated = errors.New("the trials are separated: the likelihood grows without end; Firth's estimate stays finite")

// Logistic fits by maximum likelihood. rows have the columns, the constant 1 among them; held of trials succeeded.
func Logistic(rows [][]float64, held, trials []float64) (*Regression, error) {
	return regress(rows, held, trials, false)
}

// Firth fits with the penalty ½ ln|information| on the log-likelihood, Jeffreys' prior, which removes the first-order
// bias and keeps separated trials finite (D. Firth, "Bias reduction of maximum likelihood estimates", Biometrika 80
// (1993) 27; G. Heinze, M. Schemper, "A solution to the problem of separation in logistic regression", Statistics in
// Medicine 21 (2002) 2409; both from memory).
func Firth(rows [][]float64, held, trials []float64) (*Regression, error) {
	return regress(rows, held, trials, true)
}

func regress(rows [][]float64, held, trials []float64, firth bool) (*Regression, error) {
	if len(rows) == 0 || len(rows) != len(held) || len(rows) != len(trials) {
		return nil, fmt.Errorf("%d rows, %d counts of held and %d of trials; there must be as many of each, at least one", len(rows), len(held), len(trials))
	}
	for i, row := range rows {
		if len(row) != len(rows[0]) || len(row) == 0 {
			return nil, fmt.Errorf("row %d has %d columns where the first has %d", i+1, len(row), len(rows[0]))
		}
		if !(trials[i] >= 0) || !(held[i] >= 0) || held[i] > trials[i] {
			return nil, fmt.Errorf("row %d: %g held of %g trials; held must lie between 0 and the number of trials", i+1, held[i], trials[i])
		}
	}
	r := &Regression{rows: rows, held: held, trials: trials, firth: firth}
	coef, height, err := r.maximise(make([]float64, len(rows[0])), -1)
	if err != nil {
		return nil, err
	}
	r.Coef, r.LogLikelihood = coef, height
	_, factor, _ := r.at(coef)
	p := len(coef)
	r.Covariance = make([]float64, p*p)
	dense.Invert(r.Covariance, make([]float64, p*p), factor, p, 1)
	for i := range p {
		for j := range i {
			r.Covariance[j*p+i] = r.Covariance[i*p+j]
		}
	}
	for i, row := range rows {
		mu := expit(dense.Dot(row, coef))
		r.Deviance += 2 * (held[i]*logRatio(held[i], trials[i]*mu) + (trials[i]-held[i])*logRatio(trials[i]-held[i], trials[i]*(1-mu)))
	}
	return r, nil
}

func logRatio(a, b float64) float64 {
	if a == 0 {
		return 0
	}
	return math.Log(a / b)
}

// at returns the (penalised) log-likelihood and score at the coefficients and the Cholesky factor of the information.
func (r *Regression) at(coef []float64) (height float64, factor, score []float64) {
	p := len(coef)
	information := make([]float64, p*p)
	score = make([]float64, p)
	mu := make([]float64, len(r.rows))
	for i, row := range r.rows {
		f := dense.Dot(row, coef)
		mu[i] = expit(f)
		height += r.held[i]*f - r.trials[i]*softplus(f)
		w := r.trials[i] * mu[i] * expit(-f)
		for a, x := range row {
			score[a] += (r.held[i] - r.trials[i]*mu[i]) * x
			for b := range a + 1 {
				information[a*p+b] += w * x * row[b]
			}
		}
	}
	if !dense.Cholesky(information, p, 1) {
		return math.Inf(-1), nil, nil
	}
	if !r.firth {
		return height, information, score
	}
	height += 0.5 * dense.LogDeterminant(information, p)
	for i, row := range r.rows {
		x := append([]float64(nil), row...)
		dense.SolveLower(information, p, x)
		leverage := r.trials[i] * mu[i] * (1 - mu[i]) * dense.Dot(x, x)
		for a, v := range row {
			score[a] += leverage * (0.5 - mu[i]) * v
		}
	}
	return height, information, score
}

// beyond which log-odds the likelihood is taken to have no greatest value: chances of 1e-13.
const separatedLogOdds = 30

// maximise climbs by Fisher scoring with halved steps, all coefficients but the fixed one free (−1: none is fixed).
func (r *Regression) maximise(start []float64, fixed int) (coef []float64, height float64, err error) {
	coef = append([]float64(nil), start...)
	height, factor, score := r.at(coef)
	if factor == nil {
		return nil, 0, errors.New("some columns say the same: leave one of them out")
	}
	flat := 0 // steps that no longer show in the height
	for range 500 {
		step := r.step(factor, score, fixed)
		gain := 0.0
		for i, s := range step {
			gain += s * score[i]
		}
		if gain < 1e-18 {
			return coef, height, nil
		}
		size, before := 1.0, height
		for ; size > 1e-10; size /= 2 {
			next := append([]float64(nil), coef...)
			for i, s := range step {
				next[i] += size * s
			}
			reached, f, u := r.at(next)
			if f != nil && reached >= height-1e-14*math.Abs(height) {
				coef, height, factor, score = next, reached, f, u
				break
			}
		}
		if height <= before {
			flat++
		}
		if size <= 1e-10 || flat == 12 {
			return coef, height, nil // rounding decides the last bits
		}
		if fixed < 0 && !r.firth && r.farOut(coef) {
			return nil, 0, ErrSeparated
		}
	}
	return nil, 0, ErrSeparated
}

// step solves information·step = score with the fixed coefficient held: the step that its multiplier cancels.
func (r *Regression) step(factor, score []float64, fixed int) []float64 {
	step := append([]float64(nil), score...)
	p := len(step)
	dense.Solve(factor, p, step)
	if fixed < 0 {
		return step
	}
	unit := make([]float64, p)
	unit[fixed] = 1
	dense.Solve(factor, p, unit)
	multiplier := step[fixed] / unit[fixed]
	for i, v := range unit {
		step[i] -= multiplier * v
	}
	step[fixed] = 0
	return step
}

func (r *Regression) farOut(coef []float64) bool {
	for i, row := range r.rows {
		if r.trials[i] > 0 && math.Abs(dense.Dot(row, coef)) > separatedLogOdds {
			return true
		}
	}
	return false
}

// SE returns the standard error of coefficient j.
func (r *Regression) SE(j int) float64 { return math.Sqrt(r.Covariance[j*len(r.Coef)+j]) }

// Wald returns the interval estimate ± z·SE of coefficient j.
func (r *Regression) Wald(j int, level float64) (low, high float64) {
	z := numeric.NormalQuantile((1 + level) / 2)
	return r.Coef[j] - z*r.SE(j), r.Coef[j] + z*r.SE(j)
}

// RatioTest returns twice the (penalised) log-likelihood lost when coefficient j is held at the value, and the chance of
// a chi-square variable with one degree of freedom to exceed it.
func (r *Regression) RatioTest(j int, value float64) (chi2, p float64, err error) {
	start := append([]float64(nil), r.Coef...)
	start[j] = value
	_, height, err := r.maximise(start, j)
	if err != nil {
		return 0, 0, err
	}
	chi2 = math.Max(2*(r.LogLikelihood-height), 0)
	return chi2, numeric.ChiSquareSurvival(chi2, 1), nil
}

// Profile returns the interval of values of coefficient j that the (penalised) likelihood-ratio test does not reject. An
// end may be infinite.
func (r *Regression) Profile(j int, level float64) (low, high float64, err error) {
	z := numeric.NormalQuantile((1 + level) / 2)
	end := func(sign float64) (float64, error) {
		lost := func(at float64) (float64, error) {
			chi2, _, err := r.RatioTest(j, at)
			return chi2 - z*z, err
		}
		near, far := r.Coef[j], r.Coef[j]
		step := z * math.Min(r.SE(j), 1e3)
		for range 60 {
			far += sign * step
			v, err := lost(far)
			if err != nil {
				return 0, err
			}
			if v > 0 {
				for range 80 {
					middle := (near + far) / 2
					v, err := lost(middle)
					if err != nil {
						return 0, err
					}
					if v > 0 {
						far = middle
					} else {
						near = middle
					}
				}
				return (near + far) / 2, nil
			}
			near = far
			step *= 1.5
		}
		return sign * math.Inf(1), nil
	}
	if low, err = end(-1); err != nil {
		return 0, 0, err
	}
	high, err = end(1)
	return low, high, err
}

// Crossing is where a straight line of log-odds crosses a chance.
type Crossing struct {
	At, SE    float64 // of the variable; SE by the delta method
	Low, High float64 // Fieller's interval; infinite at both ends when not Bounded
	G         float64 // z²·var(slope)/slope²: from 1 on the slope may be zero and the interval is unbounded
	Bounded   bool
}

// Cross returns where the line coefficient a + coefficient b · x reaches the chance p, with Fieller's interval of the
// level (E. C. Fieller, "Some problems in interval estimation", JRSS B 16 (1954) 175; D. J. Finney, "Probit Analysis"; from
// memory): the roots θ of (b₁²−z²v₁₁)θ² + 2(b₀b₁−z²v₀₁)θ + (b₀²−z²v₀₀) = 0.
func (r *Regression) Cross(a, b int, p, level float64) (Crossing, error) {
	if !(p > 0 && p < 1) || !(level > 0 && level < 1) {
		return Crossing{}, fmt.Errorf("a chance of %g at level %g: both must lie between 0 and 1", p, level)
	}
	n := len(r.Coef)
	b0, b1 := r.Coef[a]-math.Log(p/(1-p)), r.Coef[b]
	v00, v01, v11 := r.Covariance[a*n+a], r.Covariance[a*n+b], r.Covariance[b*n+b]
	z := numeric.NormalQuantile((1 + level) / 2)
	c := Crossing{At: -b0 / b1, G: z * z * v11 / (b1 * b1)}
	c.SE = math.Sqrt(v00+2*c.At*v01+c.At*c.At*v11) / math.Abs(b1)
	A, B, C := b1*b1-z*z*v11, b0*b1-z*z*v01, b0*b0-z*z*v00
	c.Low, c.High = math.Inf(-1), math.Inf(1)
	if c.Bounded = A > 0 && B*B >= A*C; c.Bounded {
		root := math.Sqrt(B*B - A*C)
		c.Low, c.High = (-B-root)/A, (-B+root)/A
	}
	return c, nil
}
