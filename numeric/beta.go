package numeric

import "math"

// BetaCDF returns the regularised incomplete beta function I_x(a, b): the
// probability that a Beta(a, b) variable is at most x. It is 0 for x ≤ 0 and 1
// for x ≥ 1, and NaN unless a and b are positive and finite.
//
// It is evaluated by the continued fraction DLMF 8.17.22 on the side of the mean
// where that converges fast, with the front factor in saddle-point form, so both
// tails keep their relative accuracy (F. W. J. Olver et al., NIST Digital Library
// of Mathematical Functions, §8.17(v); from memory).
func BetaCDF(a, b, x float64) float64 {
	lower, _ := logBetaTails(a, b, x, 1-x)
	return math.Exp(lower)
}

// BetaSurvival returns 1 − I_x(a, b) without the cancellation of that difference.
// Its edges are those of [BetaCDF].
func BetaSurvival(a, b, x float64) float64 {
	_, upper := logBetaTails(a, b, x, 1-x)
	return math.Exp(upper)
}

// BetaQuantile returns the x with I_x(a, b) = p: 0 at p = 0, 1 at p = 1, NaN for
// p outside [0, 1] or parameters that are not positive and finite.
func BetaQuantile(a, b, p float64) float64 {
	switch {
	case !betaDomain(a, b) || !(p >= 0 && p <= 1):
		return math.NaN()
	case p == 0:
		return 0
	case p == 1:
		return 1
	case p <= 0.5:
		x, _ := betaLowerQuantile(a, b, math.Log(p))
		return x
	default:
		_, x := betaLowerQuantile(b, a, math.Log1p(-p))
		return x
	}
}

// BetaUpperQuantile returns the x with 1 − I_x(a, b) = q. It keeps its accuracy
// for q far below the rounding unit, where [BetaQuantile] of 1 − q can not.
func BetaUpperQuantile(a, b, q float64) float64 {
	switch {
	case !betaDomain(a, b) || !(q >= 0 && q <= 1):
		return math.NaN()
	case q == 0:
		return 1
	case q == 1:
		return 0
	case q <= 0.5:
		_, x := betaLowerQuantile(b, a, math.Log(q))
		return x
	default:
		x, _ := betaLowerQuantile(a, b, math.Log1p(-q))
		return x
	}
}

func betaDomain(a, b float64) bool {
	return a > 0 && b > 0 && !math.IsInf(a, 1) && !math.IsInf(b, 1)
}

// betaLowerQuantile solves log I_x(a, b) = logP for logP ≤ −ln 2 and returns x
// and 1 − x, each to its own relative accuracy.
//
// In u = logit x the beta density is log-concave, hence so is the distribution
// function, and Newton's rule on its logarithm comes in from the left without
// ever overshooting. The tangent at u = −∞, which is a·u − log(a·B(a, b)), gives a
// start that is certainly on the left.
func betaLowerQuantile(a, b, logP float64) (x, y float64) {
	f := newBetaShape(a, b)
	leftmost := (logP + math.Log(a) + f.logBeta()) / a
	spread := math.Sqrt(1/a + 1/b) // about the standard deviation of u
	u := math.Log(a/b) + spread*NormalQuantile(math.Exp(logP))
	if !(u > leftmost) {
		u = leftmost
	}
	for range 200 {
		x, y = logistic(u)
		if x == 0 {
			break
		}
		front := f.logFront(x, y)
		logF, _ := f.logTails(x, y, front)
		step := (logF - logP) * math.Exp(logF-front)
		u = math.Max(leftmost, u-step)
		// Newton squares the error: after a step this small there is nothing left to gain.
		if !(math.Abs(step) > 1e-8*spread) {
			break
		}
	}
	return logistic(u)
}

// logistic returns 1/(1+e⁻ᵘ) and its complement, neither by subtraction from 1.
func logistic(u float64) (x, y float64) {
	return 1 / (1 + math.Exp(-u)), 1 / (1 + math.Exp(u))
}

// logBetaTails returns log I_x(a, b) and log(1 − I_x(a, b)), given y = 1 − x.
func logBetaTails(a, b, x, y float64) (lower, upper float64) {
	switch {
	case !betaDomain(a, b) || math.IsNaN(x):
		return math.NaN(), math.NaN()
	case x <= 0:
		return math.Inf(-1), 0
	case y <= 0:
		return 0, math.Inf(-1)
	}
	f := newBetaShape(a, b)
	return f.logTails(x, y, f.logFront(x, y))
}

// betaShape holds what depends on the parameters alone.
type betaShape struct{ a, b, log float64 }

func newBetaShape(a, b float64) betaShape {
	return betaShape{a, b, logKernelConstant(a, b) + math.Log(a) + math.Log(b) - math.Log(a+b)}
}

// logFront returns log(xᵃ·yᵇ/B(a, b)) with y = 1 − x.
func (f betaShape) logFront(x, y float64) float64 {
	n := f.a + f.b
	return f.log - devianceTerm(f.a, n*x) - devianceTerm(f.b, n*y)
}

// logBeta returns log B(a, b).
func (f betaShape) logBeta() float64 {
	n := f.a + f.b
	return f.a*math.Log(f.a/n) + f.b*math.Log(f.b/n) - f.log
}

// logTails returns the logarithms of both tails, given logFront.
func (f betaShape) logTails(x, y, front float64) (lower, upper float64) {
	if x <= (f.a+1)/(f.a+f.b+2) {
		lower = math.Min(0, front+math.Log(betaFraction(f.a, f.b, x)/f.a))
		return lower, log1mExp(lower)
	}
	upper = math.Min(0, front+math.Log(betaFraction(f.b, f.a, y)/f.b))
	return log1mExp(upper), upper
}

// log1mExp returns log(1 − eᵗ) for t ≤ 0 by whichever form does not cancel.
func log1mExp(t float64) float64 {
	if t > -math.Ln2 {
		return math.Log(-math.Expm1(t))
	}
	return math.Log1p(-math.Exp(t))
}

// betaFraction evaluates the continued fraction of DLMF 8.17.22 by Lentz's rule,
// in which zero partial numerators and denominators are moved to a tiny number.
func betaFraction(a, b, x float64) float64 {
	const (
		tiny     = 1e-300
		maxTerms = 200_000 // about √(a+b) terms are needed at the mean
	)
	away := func(v float64) float64 {
		if math.Abs(v) < tiny {
			return tiny
		}
		return v
	}
	c, d := 1.0, 1/away(1-(a+b)*x/(a+1))
	sum := d
	for m := 1.0; m <= maxTerms; m++ {
		a2 := a + 2*m
		even := m * (b - m) * x / ((a2 - 1) * a2)
		odd := -(a + m) * (a + b + m) * x / (a2 * (a2 + 1))
		d = 1 / away(1+even*d)
		c = away(1 + even/c)
		sum *= c * d
		d = 1 / away(1+odd*d)
		c = away(1 + odd/c)
		last := c * d
		sum *= last
		if math.Abs(last-1) < 2e-16 {
			break
		}
	}
	return sum
}

// logBinomialKernel returns log[Γ(k+m+1)/(Γ(k+1)Γ(m+1))·xᵏ·yᵐ] for real positive
// k and m and y = 1 − x, in the saddle-point form that does not lose digits for
// large counts (C. Loader, "Fast and accurate computation of binomial
// probabilities", 2000, eq. for D and δ; from memory).
func logBinomialKernel(k, m, x, y float64) float64 {
	n := k + m
	return logKernelConstant(k, m) - devianceTerm(k, n*x) - devianceTerm(m, n*y)
}

func logKernelConstant(k, m float64) float64 {
	n := k + m
	return stirlingError(n) - stirlingError(k) - stirlingError(m) +
		0.5*(math.Log(n)-math.Log(k)-math.Log(m)-math.Log(2*math.Pi))
}

// devianceTerm returns k·log(k/mean) + mean − k, by a series when k is near mean.
func devianceTerm(k, mean float64) float64 {
	if math.Abs(k-mean) >= 0.1*(k+mean) {
		return k*math.Log(k/mean) + mean - k
	}
	v := (k - mean) / (k + mean)
	sum := (k - mean) * v
	term := 2 * k * v
	for j := 3.0; ; j += 2 {
		term *= v * v
		next := sum + term/j
		if next == sum {
			return sum
		}
		sum = next
	}
}

// stirlingError returns log Γ(n+1) − [(n+½)·log n − n + ½·log 2π], n > 0.
func stirlingError(n float64) float64 {
	if n < 16 {
		lg, _ := math.Lgamma(n + 1)
		return lg - ((n+0.5)*math.Log(n) - n + 0.5*math.Log(2*math.Pi))
	}
	// Bernoulli terms of Stirling's series, DLMF 5.11.1 (from memory).
	q := 1 / (n * n)
	return (1.0/12 - q*(1.0/360-q*(1.0/1260-q*(1.0/1680-q*(1.0/1188-q*691.0/360360))))) / n
}
