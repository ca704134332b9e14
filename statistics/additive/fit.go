package additive

import (
	"context"
	"errors"
	"fmt"
	"math"
	"runtime"
	"sort"
	"strconv"

	"holdfast/numeric/dense"
	"holdfast/orient"
)

// Options steer a fit. The zero value is the recommended automatic fit.
type Options struct {
	Workers  int            // goroutines; 0 means one a processor. The result does not depend on it.
	Progress func(Progress) // called now and then from the fitting goroutine; may be nil

	// ConstantSD is the prior standard deviation of the constant; 0 means 3, +Inf is flat.
	ConstantSD float64
	// NoHyperPrior leaves the priors on the scales away, as restricted maximum likelihood does.
	NoHyperPrior bool
	// Hypers are logarithms to keep instead of letting the trials decide, in the order of Summary.Hypers.
	Hypers []float64
}

// Progress says how far a fit is.
type Progress struct {
	Visits   int     // settings of the scales tried
	Evidence float64 // log evidence reached
}

// Model is a fitted model. It is safe for concurrent use.
type Model struct {
	terms   []Term
	blocks  []*block
	shapes  []shape
	hypers  []Hyper
	priors  []blockPrior
	log     []float64
	coef    []float64 // posterior mean
	mode    []float64 // posterior mode
	columns int

	covariance []float64 // posterior, lower triangle
	factor     []float64 // Cholesky factor of the curvature, for draws

	data    *Data // distinct rows, in order of first appearance
	of      []int // row given → distinct row
	options Options
	atMode  bool
	summary Summary
}

// Summary describes a fit.
type Summary struct {
	Trials, Held float64
	Rows         int // that the terms can tell apart
	Columns      int // coefficients
	Terms        []TermSummary
	Constant     Coefficient
	Hypers       []float64 // logarithms of the scales, by block
	HyperNames   []Hyper   // what they are
	Evidence     float64   // log evidence (Laplace) without the binomial coefficients
	Visits       int       // settings of the scales tried
	Warnings     []string
}

// TermSummary is what a term came to.
type TermSummary struct {
	Name      string
	Kind      Kind
	By        string
	Columns   int
	Amplitude float64 // standard deviation of the log-odds that the prior allows it; of Linear: of the slope
	Length    float64 // length scale, in the variable's unit, of Orientation in rad; NaN where there is none
	Spread    float64 // standard deviation over the trials of its contribution to the log-odds, at the posterior mean
}

// Coefficient is a number of the model with its posterior mean and standard deviation.
type Coefficient struct{ Mean, SD float64 }

// Summary returns the description of the fit.
func (m *Model) Summary() Summary { return m.summary }

// Terms returns the model's terms.
func (m *Model) Terms() []Term { return append([]Term(nil), m.terms...) }

// Levels returns the levels of a factor that the model knows, sorted.
func (m *Model) Levels(factor string) []string {
	for _, b := range m.blocks {
		if b.term.By == factor {
			return append([]string(nil), b.levels...)
		}
	}
	return nil
}

// gain and tolerance end the search: half a hundredth of a nat of evidence is far below what the weak priors move.
const (
	searchGain = 0.01
	tolerance  = 1e-5
	settled    = 1e-12 // of the mode that is kept
)

// Fit estimates the model. It fails on unusable input or when ctx ends; too few, one-sided or separated trials give wide
// intervals and warnings.
func Fit(ctx context.Context, d *Data, terms []Term, o Options) (*Model, error) {
	if err := checkTerms(terms); err != nil {
		return nil, err
	}
	if err := d.check(terms); err != nil {
		return nil, err
	}
	if err := d.checkCounts(); err != nil {
		return nil, err
	}
	m := &Model{terms: append([]Term(nil), terms...), options: o}
	m.data, m.of = d.alike(terms)
	held, trials := totals(m.data)
	if trials == 0 {
		return nil, errors.New("there is no trial to learn from: run or import some first")
	}
	if err := m.build(); err != nil {
		return nil, err
	}
	e := m.engine(m.data)
	start := o.Hypers
	if start == nil {
		start = make([]float64, len(m.hypers))
		for k, h := range m.hypers {
			start[k] = h.Mean
		}
	}
	if len(start) != len(m.hypers) {
		return nil, fmt.Errorf("%d scales are given for %d that the terms have", len(start), len(m.hypers))
	}
	best, err := m.search(ctx, e, start, held == 0 || held == trials)
	if err != nil {
		return nil, err
	}
	m.settle(e, best.mode)
	m.summary.Trials, m.summary.Held, m.summary.Rows = trials, held, m.data.Len()
	m.summarise(e)
	return m, nil
}

func totals(d *Data) (held, trials float64) {
	for i, t := range d.Trials {
		held += d.Held[i]
		trials += t
	}
	return held, trials
}

func (m *Model) search(ctx context.Context, e *engine, start []float64, oneSided bool) (*site, error) {
	report := func(s *site) {
		m.summary.Visits++
		if m.options.Progress != nil {
			m.options.Progress(Progress{m.summary.Visits, s.mode.evidence})
		}
	}
	if m.options.NoHyperPrior {
		e.hypers = append([]Hyper(nil), e.hypers...)
		for k := range e.hypers {
			e.hypers[k].SD = math.Inf(1)
		}
	}
	switch {
	case oneSided || m.options.Hypers != nil || len(m.hypers) == 0:
		// Trials that all ended alike fit every scale down to none; the priors' own stay, and the mode, which lies nearer
		// to even odds than the mean.
		m.atMode = oneSided
		found, err := e.findMode(ctx, start, make([]float64, e.columns), settled)
		if err != nil {
			return nil, err
		}
		s := &site{mode: found}
		report(s)
		return s, nil
	case m.options.NoHyperPrior:
		return e.climb(ctx, start, nil, 1e-10, 1e-12, report)
	}
	best, err := e.climb(ctx, start, nil, searchGain, tolerance, report)
	if err != nil {
		return nil, err
	}
	best.mode, err = e.findMode(ctx, best.mode.log, best.mode.coef, settled)
	return best, err
}

// settle keeps what predictions need of a mode: the mean, to first order in the skewness (DESIGN.md eq. 7), and the
// covariance.
func (m *Model) settle(e *engine, found *mode) {
	gradient := make([]float64, e.columns)
	e.curvature(found.logOdds, gradient, found.priors)
	u := e.skew(found)
	m.log, m.priors = found.log, found.priors
	m.mode = found.coef
	m.coef = append([]float64(nil), found.coef...)
	if !m.atMode {
		dense.Solve(e.factor, e.columns, u)
		for i, v := range u {
			m.coef[i] -= v / 2
		}
	}
	m.covariance, m.factor = e.inverse, e.factor
	m.summary.Evidence = found.evidence
}

func (m *Model) engine(d *Data) *engine {
	workers := m.options.Workers
	if workers <= 0 {
		workers = runtime.GOMAXPROCS(0)
	}
	e := newEngine(d, m.blocks, m.shapes, m.hypers, workers)
	e.atMode = m.atMode
	return e
}

// build turns terms into blocks: wide ones first, then factors and slopes, the constant last.
func (m *Model) build() error {
	var wide, narrow []*block
	for _, t := range m.terms {
		b, err := m.block(t)
		if err != nil {
			return err
		}
		if m.shapes[b.shape].size > 1 {
			wide = append(wide, b)
		} else {
			narrow = append(narrow, b)
		}
	}
	sd := m.options.ConstantSD
	switch {
	case sd == 0:
		sd = 3
	case math.IsInf(sd, 1):
		sd = 0
	}
	constant := &block{term: Term{Name: "constant"}, shape: m.share(constantShape), size: 1, levels: []string{""}, prior: fixedPrior{sd}}
	m.blocks = append(append(wide, narrow...), constant)
	for _, b := range m.blocks {
		b.base = m.columns
		m.columns += b.size * len(b.levels)
		m.addHypers(b)
	}
	return nil
}

// addHypers gives a block its hyperparameters. Deviations on orientations take all but the amplitude from the common
// function with the same symmetry, where the model has one.
func (m *Model) addHypers(b *block) {
	own := b.prior.hypers()
	common := m.common(b)
	for k, h := range own {
		if k > 0 && common != nil {
			b.hyper = append(b.hyper, common.hyper[k])
			continue
		}
		h.Term = b.term.Name
		b.hyper = append(b.hyper, len(m.hypers))
		m.hypers = append(m.hypers, h)
	}
	if b.term.Kernel != nil {
		for _, h := range b.term.Kernel.Hypers() {
			h.Term = b.term.Name
			b.kernel = append(b.kernel, len(m.hypers))
			m.hypers = append(m.hypers, h)
		}
	}
}

func (m *Model) common(b *block) *block {
	if b.term.Kind != Orientation || b.term.By == "" {
		return nil
	}
	for _, other := range m.blocks {
		if other != b && other.term.Kind == Orientation && other.term.By == "" && other.term.Symmetry == b.term.Symmetry && other.hyper != nil {
			return other
		}
	}
	return nil
}

var constantShape = shape{key: "constant", size: 1, fill: func(dst []float64, _ *Data, _ int) { dst[0] = 1 }}

// share returns the index of the shape, which it adds or widens where needed: shapes of one key begin alike.
func (m *Model) share(s shape) int {
	for i, known := range m.shapes {
		if known.key == s.key {
			if s.size > known.size {
				m.shapes[i] = s
			}
			return i
		}
	}
	m.shapes = append(m.shapes, s)
	return len(m.shapes) - 1
}

func (m *Model) block(t Term) (*block, error) {
	b := &block{term: t, levels: []string{""}}
	if t.By != "" {
		seen := map[string]bool{}
		b.levels, b.index = nil, map[string]int{}
		for _, level := range m.data.Levels[t.By] {
			if !seen[level] {
				seen[level] = true
				b.levels = append(b.levels, level)
			}
		}
		sort.Slice(b.levels, func(i, j int) bool { return naturally(b.levels[i], b.levels[j]) })
		for i, level := range b.levels {
			b.index[level] = i
		}
	}
	var s shape
	switch t.Kind {
	case Constant:
		s, b.prior = constantShape, levelPrior{}
	case Linear:
		v := t.Variables[0]
		s = shape{key: "linear " + v, size: 1, fill: func(dst []float64, d *Data, i int) { dst[0] = d.Numbers[v][i] }}
		b.prior = fixedPrior{t.SD}
	case Smooth:
		count := t.Functions
		if count == 0 {
			count = smoothFunctions
		}
		s = smoothShape(t.Variables[0], count, m.span(t.Variables[0]))
		b.prior = smoothPrior{count}
	case Offset:
		count := t.Functions
		if count == 0 {
			count = offsetFunctions
		}
		pairs := offsetPairs(count)
		s = offsetShape(t.Variables[0], t.Variables[1], pairs, count, m.span(t.Variables[0]), m.span(t.Variables[1]))
		b.prior = offsetPrior{pairs}
	case Orientation:
		h, err := orient.NewHarmonics(m.degree(t, len(b.levels)), t.Symmetry)
		if err != nil {
			return nil, fmt.Errorf("term %s: %w", t.Name, err)
		}
		s, b.prior = orientationShape(h), newOrientationPrior(h, t.By != "")
	}
	b.size = s.size
	b.shape = m.share(s)
	return b, nil
}

// naturally puts numbers in their order and before texts.
func naturally(a, b string) bool {
	x, errA := strconv.ParseFloat(a, 64)
	y, errB := strconv.ParseFloat(b, 64)
	switch {
	case errA == nil && errB == nil && x != y:
		return x < y
	case (errA == nil) != (errB == nil):
		return errA == nil
	}
	return a < b
}

func (m *Model) span(variable string) span { return spanOf(m.data.Numbers[variable], m.data.Trials) }

// mostDeviating bounds the coefficients of a factor's deviations on orientations, whose cube is the time of a fit.
const mostDeviating = 600

// degree chooses the degree of a function on orientations: four, less where few orientations were tried or many levels
// have a deviation each. What lies beyond widens the intervals.
func (m *Model) degree(t Term, levels int) int {
	if t.Degree > 0 {
		return t.Degree
	}
	seen := map[orient.Rotation]bool{}
	for _, r := range m.data.Orientations {
		n, _ := r.Normalized()
		seen[n.Canonical()] = true
	}
	degree := 4
	switch {
	case len(seen) < 10:
		degree = 2
	case len(seen) < 20 || t.By != "":
		degree = 3
	}
	for ; degree > 1; degree-- {
		if h, err := orient.NewHarmonics(degree, t.Symmetry); err != nil || t.By == "" || h.Len()*levels <= mostDeviating {
			break
		}
	}
	return degree
}

// Reweigh fits the coefficients again at the same scales with every row's counts multiplied by its weight: the model
// without some trials, or with some counting less. weights has one number a row of the data first given.
func (m *Model) Reweigh(ctx context.Context, d *Data, weights []float64) (*Model, error) {
	if len(weights) != len(m.of) || d.Len() != len(m.of) {
		return nil, fmt.Errorf("%d weights and %d rows for %d rows that were fitted", len(weights), d.Len(), len(m.of))
	}
	out := &Model{terms: m.terms, blocks: m.blocks, shapes: m.shapes, hypers: m.hypers, columns: m.columns, of: m.of, options: m.options, atMode: m.atMode}
	data := *m.data
	data.Held, data.Trials = make([]float64, m.data.Len()), make([]float64, m.data.Len())
	for i, w := range weights {
		if !(w >= 0) || math.IsInf(w, 0) {
			return nil, fmt.Errorf("row %d: its weight %g is not a number from 0 on", i+1, w)
		}
		data.Held[m.of[i]] += w * d.Held[i]
		data.Trials[m.of[i]] += w * d.Trials[i]
	}
	out.data = &data
	e := out.engine(&data)
	found, err := e.findMode(ctx, m.log, m.mode, settled)
	if err != nil {
		return nil, err
	}
	out.settle(e, found)
	out.summary.Held, out.summary.Trials = totals(&data)
	out.summary.Rows = data.Len()
	out.summarise(e)
	return out, nil
}
