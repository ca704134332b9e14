package successmap

import (
	"math"

	"holdfast/orient"
)

// hypers is the number of the prior's quantities that the trials decide.
const hypers = 4

// hyper are their logarithms.
type hyper [hypers]float64

const (
	logAmplitude  = iota // standard deviation of the log-odds over orientations
	logLength            // length scale κ, rad
	logStiffness         // τ: how much harder the prior resists change with roll than with direction
	logSmoothness        // ν: how fast the spectrum falls; a map has about ν derivatives
)

// spectrum is the prior of the coefficients: independent, normal, mean zero, with the variance of a function of degree
// l and roll index n
//
//	s(l, n) = amplitude² · ψ(λ)/Z,   λ = l(l+1) + (τ−1)·n²,   ψ(λ) = (2ν/κ² + λ)^(−ν−3/2)
//
// the Matérn spectrum on a three-dimensional manifold (V. Borovitskiy, A. Terenin, P. Mostowsky, M. P. Deisenroth,
// "Matérn Gaussian processes on Riemannian manifolds", NeurIPS 2020; read) with λ the eigenvalues of the Laplace operator
// of a metric in which turns of the hand about its own axis count τ times (a Berger sphere's; DESIGN.md eq. 2). For large
// ν, ψ(λ) tends to exp(−κ²·λ/2). The constant function has a wide prior of its own. Z makes the mean of the prior variance
// over all orientations amplitude².
type spectrum struct {
	intercept float64 // prior variance of the constant function
	classes   []spectrumClass
	member    []int // class of each function of the basis; −1 for the constant
}

// spectrumClass holds all functions of one degree and one |n|.
type spectrumClass struct{ l, n, count int }

// spectrumDegree is where sums over the whole spectrum stop.
const spectrumDegree = 60

func newSpectrum(h *orient.Harmonics, intercept float64) *spectrum {
	return newSpectrumTo(h, intercept, spectrumDegree)
}

func newSpectrumTo(h *orient.Harmonics, intercept float64, degree int) *spectrum {
	s := &spectrum{intercept: intercept, member: make([]int, h.Len())}
	sym := h.Symmetry()
	kinds := 2
	if sym.Mirror() {
		kinds = 1
	}
	at := map[[2]int]int{}
	for l := 1; l <= degree; l++ {
		leans := l / sym.Around()
		if sym.Axial() {
			leans = 0
		}
		for n := 0; n <= l; n += sym.Hand() {
			count := 2*leans*kinds + kinds
			if n == 0 {
				count = leans*kinds + 1
			}
			at[[2]int{l, n}] = len(s.classes)
			s.classes = append(s.classes, spectrumClass{l, n, count})
		}
	}
	s.member[0] = -1
	for i := 1; i < h.Len(); i++ {
		f := h.At(i)
		s.member[i] = at[[2]int{f.L, max(f.N, -f.N)}]
	}
	return s
}

// priorTerms are the prior variances' logarithms and their derivatives by the hyperparameters, by function.
type priorTerms struct {
	logVariance []float64
	slope       [hypers][]float64
	tail        float64 // prior variance of everything beyond the degree
}

// terms evaluates the spectrum for a basis up to the degree.
func (s *spectrum) terms(t hyper, degree int) priorTerms {
	length2, tau, nu := math.Exp(2*t[logLength]), math.Exp(t[logStiffness]), math.Exp(t[logSmoothness])
	value := make([]float64, len(s.classes))
	slope := make([]hyper, len(s.classes)) // of ln ψ
	peak := math.Inf(-1)
	for i, c := range s.classes {
		n2 := float64(c.n * c.n)
		u := 2*nu/length2 + float64(c.l*(c.l+1)) + (tau-1)*n2
		value[i] = -(nu + 1.5) * math.Log(u)
		slope[i][logLength] = (nu + 1.5) * 4 * nu / (length2 * u)
		slope[i][logStiffness] = -(nu + 1.5) * tau * n2 / u
		slope[i][logSmoothness] = -nu*math.Log(u) - (nu+1.5)*2*nu/(length2*u)
		peak = math.Max(peak, value[i])
	}
	var total, beyond float64
	var mean hyper
	for i, c := range s.classes {
		w := float64(c.count) * math.Exp(value[i]-peak)
		total += w
		if c.l > degree {
			beyond += w
		}
		for k, v := range slope[i] {
			mean[k] += w * v
		}
	}
	scale := 2*t[logAmplitude] - peak - math.Log(total)
	p := priorTerms{logVariance: make([]float64, len(s.member)), tail: math.Exp(2*t[logAmplitude]) * beyond / total}
	for k := range p.slope {
		p.slope[k] = make([]float64, len(s.member))
	}
	for i, c := range s.member {
		if c < 0 {
			p.logVariance[i] = math.Log(s.intercept)
			continue
		}
		p.logVariance[i] = scale + value[c]
		for k, v := range slope[c] {
			p.slope[k][i] = v - mean[k]/total
		}
		p.slope[logAmplitude][i] = 2
	}
	return p
}
