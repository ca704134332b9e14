package successmap

import (
	"math"

	"holdfast/orient"
)

// Hypers is the number of quantities of the orientation prior that trials decide. Their logarithms stand in the order
// amplitude (standard deviation of the log-odds over orientations), length scale (rad), stiffness τ against roll, and
// smoothness ν; DESIGN.md eq. (2).
const Hypers = hypers

// OrientationPrior is the prior of a function on orientations as the map uses it, for models that put such a function
// beside other terms. The constant function is left out: those models have a constant of their own.
type OrientationPrior struct {
	spectrum *spectrum
	degree   int
}

// NewOrientationPrior returns the prior of the functions of h without the first, the constant.
func NewOrientationPrior(h *orient.Harmonics) *OrientationPrior {
	return &OrientationPrior{newSpectrum(h, 1), h.Degree()}
}

// Variances returns the logarithms of the prior variances of functions 1, 2, … of the basis, their derivatives by the
// logarithms of the hyperparameters, and the prior variance of all that lies beyond the basis's degree.
func (p *OrientationPrior) Variances(log [Hypers]float64) (logVariance []float64, slope [Hypers][]float64, beyond float64) {
	t := p.spectrum.terms(log, p.degree)
	for k := range slope {
		slope[k] = t.slope[k][1:]
	}
	return t.logVariance[1:], slope, t.tail
}

// HyperPrior returns the means and standard deviations of the weak normal priors on the logarithms of the
// hyperparameters (DESIGN.md, after eq. 2).
func HyperPrior() (mean, sd [Hypers]float64) { return standard.prior.mean, standard.prior.sd }

// ExpectedProbability returns E[1/(1+exp(−f))] for normal log-odds f with the mean and standard deviation given, with
// an error below 2e-6.
func ExpectedProbability(mean, sd float64) float64 { return meanExpit(mean, math.Max(sd, 0)) }
