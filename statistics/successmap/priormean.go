package successmap

import (
	"context"
	"fmt"
	"math"

	"holdfast/numeric/dense"
	"holdfast/orient"
)

// PriorMean is what is expected of the log-odds before any trial, such as the map of a fitted simulation. A fit multiplies
// it by a factor that the trials choose, adds a constant, and lets the map depart from it (DESIGN.md eq. 11).
type PriorMean struct {
	basis *orient.Harmonics
	coef  []float64
}

// PriorMean returns the map's mean log-odds for use as a prior mean. The map is usually fitted to simulated trials.
func (m *Map) PriorMean() *PriorMean { return &PriorMean{m.basis, m.coef} }

// maxPriorDegree is the largest degree to which a prior mean raises an automatic fit; what lies beyond is left out.
const maxPriorDegree = 6

// factorPrior is the normal prior on the factor of a prior mean.
type factorPrior struct{ mean, sd float64 }

// lean is a prior mean in the functions of one engine.
type lean struct {
	mean  []float64 // coefficients for factor 1
	prior factorPrior
}

// newLean picks the functions of the basis out of the prior mean. Functions that a symmetry forbids fall away, which averages
// the prior mean over equivalent orientations.
func newLean(p *PriorMean, basis *orient.Harmonics, prior factorPrior) *lean {
	if p == nil {
		return nil
	}
	at := make(map[orient.Harmonic]int, p.basis.Len())
	for i := range p.coef {
		at[p.basis.At(i)] = i
	}
	l := &lean{mean: make([]float64, basis.Len()), prior: prior}
	for i := range l.mean {
		if j, ok := at[basis.At(i)]; ok {
			l.mean[i] = p.coef[j]
		}
	}
	return l
}

// centre are the coefficients expected before any trial.
func (l *lean) centre() []float64 {
	centre := make([]float64, len(l.mean))
	for i, v := range l.mean {
		centre[i] = l.prior.mean * v
	}
	return centre
}

// priorTie is how the prior holds the coefficients: by a quadratic form with the matrix
//
//	K⁻¹ = (S + σ²·m·mᵀ)⁻¹ = P − u·uᵀ,   u = P·m/√(1/σ² + mᵀPm)                                   (DESIGN.md eq. 12)
//
// around centre. Without a prior mean it is P alone around 0.
type priorTie struct {
	precision      []float64 // diagonal of P
	shared         []float64 // u; nil without a prior mean
	centre         []float64
	logDeterminant float64 // ln |K| − ln |S|
}

func (e *engine) tie(terms priorTerms) priorTie {
	t := priorTie{precision: make([]float64, len(terms.logVariance))}
	for i, v := range terms.logVariance {
		t.precision[i] = math.Exp(-v)
	}
	if e.lean == nil {
		return t
	}
	variance := e.lean.prior.sd * e.lean.prior.sd
	q := e.lean.weight(t)
	t.centre = e.lean.centre()
	t.shared = make([]float64, len(t.precision))
	for i, m := range e.lean.mean {
		t.shared[i] = t.precision[i] * m / math.Sqrt(1/variance+q)
	}
	t.logDeterminant = math.Log1p(variance * q)
	return t
}

// weight is mᵀPm.
func (l *lean) weight(t priorTie) float64 {
	q := 0.0
	for i, m := range l.mean {
		q += t.precision[i] * m * m
	}
	return q
}

// force is K⁻¹·(coef − centre).
func (t priorTie) force(coef []float64) []float64 {
	v := make([]float64, len(coef))
	for i, c := range coef {
		v[i] = c - t.centre[i]
	}
	return t.times(v)
}

// times replaces v by K⁻¹·v.
func (t priorTie) times(v []float64) []float64 {
	along := dense.Dot(t.shared, v)
	for i := range v {
		v[i] = t.precision[i]*v[i] - t.shared[i]*along
	}
	return v
}

// penalty is minus the log prior of the coefficients, up to a constant.
func (t priorTie) penalty(coef []float64) float64 {
	s := 0.0
	if t.shared == nil {
		for i, c := range coef {
			s += t.precision[i] * c * c
		}
		return s / 2
	}
	for i, f := range t.force(coef) {
		s += f * (coef[i] - t.centre[i])
	}
	return s / 2
}

// pullBack subtracts the penalty's slope from the gradient.
func (t priorTie) pullBack(gradient, coef []float64) {
	if t.shared == nil {
		for i := range gradient {
			gradient[i] -= t.precision[i] * coef[i]
		}
		return
	}
	for i, f := range t.force(coef) {
		gradient[i] -= f
	}
}

// addTo adds K⁻¹ to the lower triangle of a matrix.
func (t priorTie) addTo(matrix []float64) {
	n := len(t.precision)
	for i, p := range t.precision {
		matrix[i*n+i] += p
	}
	if t.shared == nil {
		return
	}
	for i, u := range t.shared {
		row := matrix[i*n : i*n+i+1]
		for j := range row {
			row[j] -= u * t.shared[j]
		}
	}
}

// slopeWithLean does for [engine.slope] what the open terms are with a prior mean: with a = K⁻¹(c − centre) and dS the
// derivative of the prior variances,
//
//	∂ln Z = ½ Σ_j dS_j·(a_j² − (K⁻¹)_jj + (K⁻¹ΣK⁻¹)_jj) − ½ pullᵀ·∂c,   ∂c = Σ·K⁻¹·dS·a
func (e *engine) slopeWithLean(m *mode, gradient *hyper, move *[hypers][]float64, pull []float64) {
	n := e.basis.Len()
	t := m.tie
	a := t.force(m.coef)
	spread := symmetricTimes(e.inverse, t.shared)
	across := dense.Dot(spread, t.shared)
	for k := range gradient {
		move[k] = make([]float64, n)
		for i, s := range m.prior.slope[k] {
			p, u := t.precision[i], t.shared[i]
			d := s / p
			posterior := p*p*e.inverse[i*n+i] - 2*p*u*spread[i] + u*u*across
			gradient[k] += 0.5 * d * (a[i]*a[i] - (p - u*u) + posterior)
			move[k][i] = d * a[i]
		}
		t.times(move[k])
		dense.Solve(e.factor, n, move[k])
		gradient[k] -= 0.5 * dense.Dot(pull, move[k])
	}
}

// symmetricTimes is the product of a symmetric matrix, given by its lower triangle, and a vector.
func symmetricTimes(lower, v []float64) []float64 {
	n := len(v)
	out := make([]float64, n)
	for i := range n {
		row := lower[i*n : i*n+i]
		for j, x := range row {
			out[i] += x * v[j]
			out[j] += x * v[i]
		}
		out[i] += lower[i*n+i] * v[i]
	}
	return out
}

// factor returns mean and standard deviation of the factor, given mean and covariance (lower triangle) of the
// coefficients: given those it is normal with the precision 1/σ² + mᵀPm.
func (l *lean) factor(t priorTie, coef, covariance []float64) (mean, sd float64) {
	precision := 1/(l.prior.sd*l.prior.sd) + l.weight(t)
	weights := make([]float64, len(coef))
	mean = l.prior.mean / (l.prior.sd * l.prior.sd)
	for i, m := range l.mean {
		weights[i] = t.precision[i] * m
		mean += weights[i] * coef[i]
	}
	spread := dense.Dot(weights, symmetricTimes(covariance, weights))
	return mean / precision, math.Sqrt(1/precision + math.Max(spread, 0)/(precision*precision))
}

// trusted is the prior probability that a simulation speaks for the bench.
const trusted = 0.7

// hedge weighs the map with a prior mean, whose best site is given, against one of the trials alone by their evidence, and
// makes m the mixture of both. It returns the better one's best site and leaves m with what cross-validation needs of it
// (DESIGN.md eq. 13).
func (e *engine) hedge(ctx context.Context, m *Map, with *site, tune tuning, plugIn bool, report func(*site)) (*site, error) {
	kept := e.lean
	e.lean = nil
	defer func() { e.lean = kept }()
	var alone *site
	var err error
	spread := firstSpread
	if e.atMode {
		alone, err = e.visit(ctx, tune.prior.mean, nil, tune.prior, tune.tolerance)
	} else {
		alone, spread, err = e.climb(ctx, tune.prior.mean, nil, tune.prior, spread, tune.gain, tune.tolerance, report)
	}
	if err != nil {
		return nil, err
	}
	other := &Map{}
	if _, err := e.average(ctx, other, alone, spread, tune, plugIn); err != nil {
		return nil, err
	}
	w := expit(math.Log(trusted/(1-trusted)) + with.value - alone.value)
	n := e.basis.Len()
	gap := make([]float64, n)
	for i := range gap {
		gap[i] = m.coef[i] - other.coef[i]
		m.coef[i] = w*m.coef[i] + (1-w)*other.coef[i]
	}
	for i := range n {
		for j := range i + 1 {
			at := i*n + j
			m.covariance[at] = w*m.covariance[at] + (1-w)*other.covariance[at] + w*(1-w)*gap[i]*gap[j]
		}
	}
	m.tail = w*m.tail + (1-w)*other.tail
	m.summary.PriorTrust = w
	if w >= 0.5 {
		return with, nil
	}
	m.hyper, m.prior = alone.mode.hyper, nil
	return alone, nil
}

// Coefficients returns what [NewPriorMean] makes the prior mean from again.
func (p *PriorMean) Coefficients() (s orient.Symmetry, degree int, coef []float64) {
	return p.basis.Symmetry(), p.basis.Degree(), append([]float64(nil), p.coef...)
}

// NewPriorMean returns the prior mean whose log-odds have the coefficients by the harmonics of the degree and symmetry. It
// fails when their number is another.
func NewPriorMean(s orient.Symmetry, degree int, coef []float64) (*PriorMean, error) {
	basis, err := orient.NewHarmonics(degree, s)
	if err != nil {
		return nil, err
	}
	if basis.Len() != len(coef) {
		return nil, fmt.Errorf("a prior mean of degree %d under this symmetry has %d coefficients, not %d", degree, basis.Len(), len(coef))
	}
	return &PriorMean{basis, append([]float64(nil), coef...)}, nil
}
