package additive

import (
	"math"

	"holdfast/orient"
	"holdfast/statistics/successmap"
)

// prior gives the variances of a term's functions as its hyperparameters have them.
type prior interface {
	hypers() []Hyper
	// variances returns the logarithms of the prior variances, their derivatives by each logarithm of a hyperparameter,
	// and the variance of what the functions leave out.
	variances(log []float64) (logVariance []float64, slope [][]float64, beyond float64)
}

// fixedPrior is one function with a standard deviation that nothing decides; 0 is flat.
type fixedPrior struct{ sd float64 }

func (p fixedPrior) hypers() []Hyper { return nil }

func (p fixedPrior) variances([]float64) ([]float64, [][]float64, float64) {
	if p.sd == 0 {
		return []float64{math.Inf(1)}, nil, 0
	}
	return []float64{2 * math.Log(p.sd)}, nil, 0
}

// levelPrior is one function, the constant, with an amplitude to be decided.
type levelPrior struct{}

func (levelPrior) hypers() []Hyper { return []Hyper{{Name: "amplitude", Mean: math.Log(0.5), SD: 0.9}} }

func (levelPrior) variances(log []float64) ([]float64, [][]float64, float64) {
	return []float64{2 * log[0]}, [][]float64{{2}}, 0
}

// lineSD is the prior standard deviation of the straight part of a smooth: the change of log-odds over half the range.
const lineSD = 2.5

// smoothPrior is the squared-exponential Gaussian process of one variable in the functions of smoothShape, for a
// variable scaled to [−1, 1]; the straight line has a prior of its own.
type smoothPrior struct{ count int }

func (p smoothPrior) hypers() []Hyper {
	return []Hyper{{Name: "amplitude", Mean: 0, SD: 0.9}, {Name: "length", Mean: math.Log(0.6), SD: 0.5}}
}

func (p smoothPrior) variances(log []float64) ([]float64, [][]float64, float64) {
	v := []float64{2 * math.Log(lineSD)}
	slope := [][]float64{{0}, {0}}
	for j := 1; j <= p.count; j++ {
		density, byLength := logSpectralDensity(frequency(j, boxHalf), log[1])
		v = append(v, 2*log[0]+density)
		slope[0], slope[1] = append(slope[0], 2), append(slope[1], byLength)
	}
	return v, slope, 0
}

// logSpectralDensity is the logarithm of √(2π)·ℓ·exp(−ℓ²ω²/2), the spectral density of exp(−d²/2ℓ²), and its derivative
// by ln ℓ (C. E. Rasmussen, C. K. I. Williams, "Gaussian Processes for Machine Learning", 2006, eq. 4.11; from memory).
func logSpectralDensity(omega, logLength float64) (density, slope float64) {
	s := math.Exp(2*logLength) * omega * omega
	return 0.5*math.Log(2*math.Pi) + logLength - s/2, 1 - s
}

// offsetPrior is the same in two variables with length scales ℓ·√r and ℓ/√r.
type offsetPrior struct{ pairs [][2]int }

func (p offsetPrior) hypers() []Hyper {
	return []Hyper{
		{Name: "amplitude", Mean: math.Log(1.5), SD: 0.9},
		{Name: "length", Mean: math.Log(0.7), SD: 0.5},
		{Name: "length ratio", Mean: 0, SD: 0.5},
	}
}

func (p offsetPrior) variances(log []float64) ([]float64, [][]float64, float64) {
	line := 2 * math.Log(lineSD)
	v := []float64{line, line}
	slope := [][]float64{{0, 0}, {0, 0}, {0, 0}}
	for _, pair := range p.pairs {
		dx, sx := logSpectralDensity(frequency(pair[0], boxHalf), log[1]+log[2]/2)
		dy, sy := logSpectralDensity(frequency(pair[1], boxHalf), log[1]-log[2]/2)
		v = append(v, 2*log[0]+dx+dy)
		slope[0] = append(slope[0], 2)
		slope[1] = append(slope[1], sx+sy)
		slope[2] = append(slope[2], (sx-sy)/2)
	}
	return v, slope, 0
}

// orientationPrior is the success map's (DESIGN.md eq. 2 of package successmap). Deviations of a factor's levels start
// from a smaller amplitude.
type orientationPrior struct {
	of        *successmap.OrientationPrior
	deviation bool
}

func newOrientationPrior(h *orient.Harmonics, deviation bool) orientationPrior {
	return orientationPrior{successmap.NewOrientationPrior(h), deviation}
}

func (p orientationPrior) hypers() []Hyper {
	mean, sd := successmap.HyperPrior()
	list := make([]Hyper, successmap.Hypers)
	for k, name := range []string{"amplitude", "length", "stiffness against roll", "smoothness"} {
		list[k] = Hyper{Name: name, Mean: mean[k], SD: sd[k]}
	}
	if p.deviation {
		list[0].Mean, list[0].SD = math.Log(0.7), 0.9
	}
	return list
}

func (p orientationPrior) variances(log []float64) ([]float64, [][]float64, float64) {
	v, slope, beyond := p.of.Variances([successmap.Hypers]float64(log))
	return v, slope[:], beyond
}
