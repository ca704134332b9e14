package successmap

import (
	"math"
	"slices"
	"sync"

	"holdfast/numeric"
	"holdfast/numeric/dense"
	"holdfast/orient"
)

// Blurred is the expected success when the hand's orientation errs at random, by a stated angle, from where it is sent:
// the map's probability averaged over the error. It is safe for concurrent use.
//
// A probability is not a finite sum of harmonics, even where its log-odds are. With p_l the part of degree l up to a
// degree D, and the damping d_l = e^{−l(l+1)t}, the blurred map is taken as
//
//	Σ_{l≤D} d_l·p_l + d_{D+1}·(p − Σ_{l≤D} p_l)
//
// so that what lies beyond D is damped like degree D+1 instead of being dropped: the result is right both for a small
// error (then nothing is damped) and for a large one (then the remainder vanishes). DESIGN.md gives measured errors.
type Blurred struct {
	m      *Map
	angle  float64
	rest   float64   // d_{D+1}
	damp   []float64 // by degree, d_l − d_{D+1}
	set    *orient.Harmonics
	smooth *orient.Torus // Σ (d_l − d_{D+1})·p_l, loaded

	mu   sync.Mutex
	grid *orient.HarmonicGrid
}

// blurDegrees is how far beyond the log-odds' degree the probability is expanded.
const blurDegrees = 6

// Blur returns the map as seen through isotropic errors of orientation of the root-mean-square angle (rad).
func (m *Map) Blur(angle float64) (*Blurred, error) {
	t, err := HeatTime(angle)
	if err != nil {
		return nil, err
	}
	degree := min(m.basis.Degree()+blurDegrees, orient.MaxHarmonicDegree)
	b := &Blurred{m: m, angle: angle, damp: make([]float64, degree+1), rest: math.Exp(-float64((degree+1)*(degree+2)) * t)}
	for l := range b.damp {
		b.damp[l] = math.Exp(-float64(l*(l+1))*t) - b.rest
	}
	if b.set, err = orient.NewHarmonics(degree, m.basis.Symmetry()); err != nil {
		return nil, err
	}
	b.grid = orient.NewHarmonicGrid(b.set, degree+blurDegrees, m.workers)
	estimates := make([]Estimate, b.grid.Len())
	m.Predict(estimates, b.grid.Rotations())
	values := make([]float64, len(estimates))
	for i, e := range estimates {
		values[i] = e.P
	}
	coef, err := b.project(values)
	if err != nil {
		return nil, err
	}
	b.smooth = orient.NewTorus(b.set, m.workers)
	return b, b.smooth.Load(b.set, coef)
}

// project returns the damped coefficients of a function given on the grid.
func (b *Blurred) project(values []float64) ([]float64, error) {
	coef := make([]float64, b.set.Len())
	if err := b.grid.Project(coef, b.set, values); err != nil {
		return nil, err
	}
	for i := range coef {
		coef[i] *= b.damp[b.set.At(i).L]
	}
	return coef, nil
}

// Angle returns the root-mean-square error angle, rad.
func (b *Blurred) Angle() float64 { return b.angle }

// Predict writes the expected blurred probability at every orientation into dst.
func (b *Blurred) Predict(dst []float64, rs []orient.Rotation) {
	estimates := make([]Estimate, min(len(rs), predictChunk))
	for from := 0; from < len(rs); from += predictChunk {
		to := min(from+predictChunk, len(rs))
		part := estimates[:to-from]
		b.m.predictSome(part, rs[from:to])
		b.smooth.Read(dst[from:to], b.smooth.Points(rs[from:to]))
		for i := range part {
			dst[from+i] = clampUnit(dst[from+i] + b.rest*part[i].P)
		}
	}
}

// Draws returns the blurred probability at the orientations for n draws of the coefficients from their posterior:
// draws[k][i] belongs to draw k and rs[i]. All orientations share a draw, so draws answer joint questions, such as how
// sure one orientation is to beat another. Draws come in antithetic pairs; the same seed gives the same draws.
func (b *Blurred) Draws(n int, seed uint64, rs []orient.Rotation) ([][]float64, error) {
	coefs, err := b.m.drawCoefficients(n, seed)
	if err != nil {
		return nil, err
	}
	plain, smooth := b.m.meanTorus.Points(rs), b.smooth.Points(rs)
	b.mu.Lock()
	defer b.mu.Unlock()
	link := newLink(math.Sqrt(b.m.tail))
	onGrid, here := make([]float64, b.grid.Len()), make([]float64, len(rs))
	plainTorus, smoothTorus := orient.NewTorus(b.m.double, b.m.workers), orient.NewTorus(b.set, b.m.workers)
	draws := make([][]float64, n)
	for k, coef := range coefs {
		if err := b.grid.Values(onGrid, b.m.basis, coef); err != nil {
			return nil, err
		}
		link.through(onGrid, b.m.workers)
		damped, err := b.project(onGrid)
		if err != nil {
			return nil, err
		}
		draws[k] = make([]float64, len(rs))
		if err := smoothTorus.Evaluate(draws[k], b.set, damped, smooth); err != nil {
			return nil, err
		}
		if err := plainTorus.Evaluate(here, b.m.basis, coef, plain); err != nil {
			return nil, err
		}
		link.through(here, b.m.workers)
		for i, p := range here {
			draws[k][i] = clampUnit(draws[k][i] + b.rest*p)
		}
	}
	return draws, nil
}

// Interval is a blurred probability with its uncertainty.
type Interval struct {
	P         float64 // expected
	Low, High float64 // 5 % and 95 % quantiles
}

// Intervals returns the blurred probability with its 5 % and 95 % quantiles over n posterior draws.
func (b *Blurred) Intervals(n int, seed uint64, rs []orient.Rotation) ([]Interval, error) {
	draws, err := b.Draws(n, seed, rs)
	if err != nil {
		return nil, err
	}
	expected := make([]float64, len(rs))
	b.Predict(expected, rs)
	intervals := make([]Interval, len(rs))
	dense.InParallel(len(rs), b.m.workers, func(i int) {
		column := make([]float64, n)
		for k := range column {
			column[k] = draws[k][i]
		}
		slices.Sort(column)
		intervals[i] = Interval{expected[i], quantile(column, 0.05), quantile(column, 0.95)}
	})
	return intervals, nil
}

// quantile interpolates the sorted sample (type 7 of R. J. Hyndman, Y. Fan, "Sample quantiles in statistical
// packages", Am. Stat. 50 (1996) 361; from memory).
func quantile(sorted []float64, q float64) float64 {
	if len(sorted) == 0 {
		return math.NaN()
	}
	at := q * float64(len(sorted)-1)
	i := int(at)
	if i+1 >= len(sorted) {
		return sorted[len(sorted)-1]
	}
	return sorted[i] + (at-float64(i))*(sorted[i+1]-sorted[i])
}

func clampUnit(p float64) float64 { return math.Min(math.Max(p, 0), 1) }

// drawCoefficients returns n draws from the normal distribution with the posterior's mean and covariance, in
// antithetic pairs.
func (m *Map) drawCoefficients(n int, seed uint64) ([][]float64, error) {
	m.rootOnce.Do(func() {
		size := m.basis.Len()
		m.root = append([]float64(nil), m.covariance...)
		if !dense.Cholesky(m.root, size, m.workers) {
			m.root = nil
		}
	})
	if m.root == nil {
		return nil, errNotConverged
	}
	size := m.basis.Len()
	rng := numeric.Stream(seed, "success map draws")
	draws := make([][]float64, n)
	normals := make([]float64, size)
	for k := 0; k < n; k += 2 {
		for i := range normals {
			normals[i] = rng.NormFloat64()
		}
		up, down := make([]float64, size), make([]float64, size)
		for i := range size {
			d := dense.Dot(m.root[i*size:i*size+i+1], normals[:i+1])
			up[i], down[i] = m.coef[i]+d, m.coef[i]-d
		}
		draws[k] = up
		if k+1 < n {
			draws[k+1] = down
		}
	}
	return draws, nil
}

// Draws returns the plain (not blurred) probability at the orientations for n posterior draws; see [Blurred.Draws].
func (m *Map) Draws(n int, seed uint64, rs []orient.Rotation) ([][]float64, error) {
	coefs, err := m.drawCoefficients(n, seed)
	if err != nil {
		return nil, err
	}
	torus := orient.NewTorus(m.double, m.workers)
	points := torus.Points(rs)
	link := newLink(math.Sqrt(m.tail))
	draws := make([][]float64, n)
	for k, coef := range coefs {
		draws[k] = make([]float64, len(rs))
		if err := torus.Evaluate(draws[k], m.basis, coef, points); err != nil {
			return nil, err
		}
		link.through(draws[k], m.workers)
	}
	return draws, nil
}
