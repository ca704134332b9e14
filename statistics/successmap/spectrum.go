package successmap

import (
	"math"

	"holdfast/orient"
)

// hyper are the logarithms of the prior's three quantities.
type hyper [3]float64

const (
	logAmplitude = iota // standard deviation of the log-odds over orientations
	logLength           // length scale κ, rad
	logStiffness        // τ: how much harder the prior resists change with roll than with direction
)

// spectrum is the prior of the coefficients: independent, normal, mean zero, with the variance of a function of degree
// l and roll index n
//
//	s(l, n) = amplitude² · ψ(λ)/Z,   λ = l(l+1) + (τ−1)·n²,   ψ(λ) = (2ν/κ² + λ)^(−ν−3/2)
//
// the Matérn spectrum on a three-dimensional manifold (V. Borovitskiy, A. Terenin, P. Mostowsky, M. P. Deisenroth,
// "Matérn Gaussian processes on Riemannian manifolds", NeurIPS 2020; read) with λ the eigenvalues of the Laplace operator
// of a metric in which turns of the hand about its own axis count τ times (a Berger sphere's; DESIGN.md eq. 2). For an
// infinite ν, ψ(λ) = exp(−κ²·λ/2). The constant function has a wide prior of its own. Z makes the mean of the prior
// variance over all orientations amplitude².
type spectrum struct {
	nu        float64
	intercept float64 // prior variance of the constant function
	classes   []spectrumClass
	member    []int // class of each function of the basis; −1 for the constant
}

// spectrumClass holds all functions of one degree and one |n|.
type spectrumClass struct{ l, n, count int }

// spectrumDegree is where sums over the whole spectrum stop.
const spectrumDegree = 60

func newSpectrum(h *orient.Harmonics, nu, intercept float64) *spectrum {
	s := &spectrum{nu: nu, intercept: intercept, member: make([]int, h.Len())}
	sym := h.Symmetry()
	kinds := 2
	if sym.Mirror() {
		kinds = 1
	}
	at := map[[2]int]int{}
	for l := 1; l <= spectrumDegree; l++ {
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

// priorTerms are the prior variances' logarithms and their derivatives by the three hyperparameters, by function.
type priorTerms struct {
	logVariance []float64
	slope       [3][]float64
	tail        float64 // prior variance of everything beyond the degree
}

// terms evaluates the spectrum for a basis up to the degree.
func (s *spectrum) terms(t hyper, degree int) priorTerms {
	length2 := math.Exp(2 * t[logLength])
	tau := math.Exp(t[logStiffness])
	value := make([]float64, len(s.classes))
	dLength, dStiffness := make([]float64, len(s.classes)), make([]float64, len(s.classes))
	peak := math.Inf(-1)
	for i, c := range s.classes {
		n2 := float64(c.n * c.n)
		lambda := float64(c.l*(c.l+1)) + (tau-1)*n2
		if math.IsInf(s.nu, 1) {
			value[i] = -length2 * lambda / 2
			dLength[i] = -length2 * lambda
			dStiffness[i] = -length2 * tau * n2 / 2
		} else {
			u := 2*s.nu/length2 + lambda
			value[i] = -(s.nu + 1.5) * math.Log(u)
			dLength[i] = (s.nu + 1.5) * 4 * s.nu / (length2 * u)
			dStiffness[i] = -(s.nu + 1.5) * tau * n2 / u
		}
		peak = math.Max(peak, value[i])
	}
	var total, beyond, meanLength, meanStiffness float64
	for i, c := range s.classes {
		w := float64(c.count) * math.Exp(value[i]-peak)
		total += w
		if c.l > degree {
			beyond += w
		}
		meanLength += w * dLength[i]
		meanStiffness += w * dStiffness[i]
	}
	meanLength /= total
	meanStiffness /= total
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
		p.slope[logAmplitude][i] = 2
		p.slope[logLength][i] = dLength[c] - meanLength
		p.slope[logStiffness][i] = dStiffness[c] - meanStiffness
	}
	return p
}
