package simfit

import (
	"context"
	"errors"
	"math"

	"holdfast/numeric"
	"holdfast/numeric/dense"
)

// run is one simulated trial.
type run struct {
	place     []float64
	condition int
	held      bool
}

// column is one coefficient that conditions share: feature h times function b of the basis.
type column struct{ feature, function, class int }

// The classes of shared coefficients: by total degree in the parameters for the constant feature, then levels by class of
// feature, then slopes by class of feature. Coefficients of a condition's own have a class a degree.
const (
	levelClasses  = 7
	slopeClasses  = levelClasses + featureClasses
	sharedClasses = slopeClasses + featureClasses
	ownClasses    = 3
)

// surrogate is the log-odds of success as a polynomial in the parameters for every condition c,
//
//	f_c(t) = Σ_b (Σ_h z_ch·γ_hb + o_cb)·φ_b(t)                                                (DESIGN.md eq. 2)
//
// with features z, shared coefficients γ and the condition's own o, all normal with mean 0 and a variance a class.
type surrogate struct {
	frame    *frame
	basis    *basis
	features *features
	columns  []column
	ownLen   int

	sharedVariance [sharedClasses]float64
	ownVariance    [ownClasses]float64

	shared []float64 // mode
	factor []float64 // Cholesky factor of the shared coefficients' precision, the own ones integrated out
	cells  []cell
}

// cell is what belongs to one condition.
type cell struct {
	phi      []float64 // basis at its simulated trials, row by row
	held     []float64
	own      []float64
	coef     []float64 // mode of all its coefficients
	gram     []float64 // Σ w·φφᵀ
	pull     []float64 // gram·coef + Σ(y−p)·φ
	factor   []float64 // of the own coefficients' precision
	solved   []float64 // (own precision)⁻¹·gram's own rows
	reduced  []float64 // gram with the own coefficients integrated out
	reducedP []float64 // pull likewise
}

var errNotConverged = errors.New("the surrogate of the simulation did not settle")

func newSurrogate(f *frame, b *basis, z *features, runs []run) *surrogate {
	s := &surrogate{frame: f, basis: b, features: z, cells: make([]cell, len(z.rows))}
	s.ownLen = b.upTo(2)
	if b.d > 4 {
		s.ownLen = b.upTo(1)
	}
	for i := range b.len() {
		s.columns = append(s.columns, column{0, i, b.degree[i]})
	}
	for h, class := range z.class {
		if h == 0 {
			continue
		}
		s.columns = append(s.columns, column{h, 0, levelClasses + class})
	}
	for h, class := range z.class {
		for i := 1; z.slope[h] && i <= b.d; i++ {
			s.columns = append(s.columns, column{h, i, slopeClasses + class})
		}
	}
	s.sharedVariance, s.ownVariance = sharedPrior, ownPrior
	t := make([]float64, b.d)
	for _, r := range runs {
		if !f.coordinates(t, r.place) {
			continue
		}
		c := &s.cells[r.condition]
		at := len(c.phi)
		c.phi = append(c.phi, make([]float64, b.len())...)
		b.values(c.phi[at:], t)
		held := 0.0
		if r.held {
			held = 1
		}
		c.held = append(c.held, held)
	}
	n, o := b.len(), s.ownLen
	s.shared = make([]float64, len(s.columns))
	s.factor = make([]float64, len(s.columns)*len(s.columns))
	for i := range s.cells {
		c := &s.cells[i]
		c.own, c.coef, c.gram, c.pull = make([]float64, o), make([]float64, n), make([]float64, n*n), make([]float64, n)
		c.factor, c.solved, c.reduced, c.reducedP = make([]float64, o*o), make([]float64, o*n), make([]float64, n*n), make([]float64, n)
	}
	return s
}

// ownClass is the class of own coefficient i.
func (s *surrogate) ownClass(i int) int { return s.basis.degree[i] }

// combine writes the coefficients that shared and own ones give condition c.
func (s *surrogate) combine(dst []float64, c int, shared, own []float64) {
	clear(dst)
	z := s.features.rows[c]
	for i, col := range s.columns {
		dst[col.function] += z[col.feature] * shared[i]
	}
	for i, v := range own {
		dst[i] += v
	}
}

// height is the log likelihood of the simulated trials plus the log prior of the coefficients, up to a constant.
func (s *surrogate) height(shared []float64, own [][]float64, workers int) float64 {
	parts := make([]float64, len(s.cells))
	n := s.basis.len()
	dense.InParallel(len(s.cells), workers, func(i int) {
		c := &s.cells[i]
		coef := make([]float64, n)
		s.combine(coef, i, shared, own[i])
		for j, y := range c.held {
			f := dense.Dot(coef, c.phi[j*n:(j+1)*n])
			parts[i] += y*f - softplus(f)
		}
		for j, v := range own[i] {
			parts[i] -= v * v / (2 * s.ownVariance[s.ownClass(j)])
		}
	})
	sum := 0.0
	for _, v := range parts {
		sum += v
	}
	for i, v := range shared {
		sum -= v * v / (2 * s.sharedVariance[s.columns[i].class])
	}
	return sum
}

// linearise computes each cell's weighted sums at its coefficients and integrates its own coefficients out.
func (s *surrogate) linearise(workers int) bool {
	n, o := s.basis.len(), s.ownLen
	sound := make([]bool, len(s.cells))
	dense.InParallel(len(s.cells), workers, func(i int) {
		c := &s.cells[i]
		s.combine(c.coef, i, s.shared, c.own)
		clear(c.gram)
		clear(c.pull)
		for j, y := range c.held {
			phi := c.phi[j*n : (j+1)*n]
			f := dense.Dot(c.coef, phi)
			p := expit(f)
			w := p * expit(-f)
			g := y - p + w*f
			for a, v := range phi {
				c.pull[a] += g * v
				wv := w * v
				row := c.gram[a*n : a*n+a+1]
				for b := range row {
					row[b] += wv * phi[b]
				}
			}
		}
		for a := range n {
			for b := range a {
				c.gram[b*n+a] = c.gram[a*n+b]
			}
		}
		for a := range o {
			copy(c.factor[a*o:a*o+a+1], c.gram[a*n:a*n+a+1])
			c.factor[a*o+a] += 1 / s.ownVariance[s.ownClass(a)]
		}
		if sound[i] = dense.Cholesky(c.factor, o, 1); !sound[i] {
			return
		}
		// reduced = gram − gram[:,own]·(own precision)⁻¹·gram[own,:], through L⁻¹·gram[own,:].
		half := make([]float64, o)
		halves := make([]float64, n*o)
		for b := range n {
			for a := range o {
				half[a] = c.gram[a*n+b]
			}
			dense.SolveLower(c.factor, o, half)
			copy(halves[b*o:], half)
			dense.SolveUpper(c.factor, o, half)
			for a := range o {
				c.solved[a*n+b] = half[a]
			}
		}
		for a := range o {
			half[a] = c.pull[a]
		}
		dense.SolveLower(c.factor, o, half)
		for a := range n {
			c.reducedP[a] = c.pull[a] - dense.Dot(halves[a*o:(a+1)*o], half)
			for b := range n {
				c.reduced[a*n+b] = c.gram[a*n+b] - dense.Dot(halves[a*o:(a+1)*o], halves[b*o:(b+1)*o])
			}
		}
	})
	for _, ok := range sound {
		if !ok {
			return false
		}
	}
	return s.assemble(workers)
}

// assemble sums the cells' reduced matrices into the precision of the shared coefficients and factors it.
func (s *surrogate) assemble(workers int) bool {
	g, n := len(s.columns), s.basis.len()
	clear(s.factor)
	// Rows in stripes, so that every sum has one fixed order.
	const stripe = 16
	dense.InParallel((g+stripe-1)/stripe, workers, func(part int) {
		from, to := part*stripe, min((part+1)*stripe, g)
		wide := make([]float64, g)
		for c := range s.cells {
			z := s.features.rows[c]
			last := -1
			for i := from; i < to; i++ {
				if b := s.columns[i].function; b != last {
					row := s.cells[c].reduced[b*n : (b+1)*n]
					for j, col := range s.columns[:to] {
						wide[j] = z[col.feature] * row[col.function]
					}
					last = b
				}
				v := z[s.columns[i].feature]
				for j, w := range wide[:i+1] {
					s.factor[i*g+j] += v * w
				}
			}
		}
	})
	for i, col := range s.columns {
		s.factor[i*g+i] += 1 / s.sharedVariance[col.class]
	}
	return dense.Cholesky(s.factor, g, workers)
}

// target returns the shared coefficients that a whole Newton step leads to.
func (s *surrogate) target() []float64 {
	out := make([]float64, len(s.columns))
	for c := range s.cells {
		z, pull := s.features.rows[c], s.cells[c].reducedP
		for i, col := range s.columns {
			out[i] += z[col.feature] * pull[col.function]
		}
	}
	dense.Solve(s.factor, len(out), out)
	return out
}

// ownTarget returns the own coefficients of condition c that go with shared ones.
func (s *surrogate) ownTarget(c int, shared []float64) []float64 {
	n, o := s.basis.len(), s.ownLen
	common := make([]float64, n)
	s.combine(common, c, shared, nil)
	out := append([]float64(nil), s.cells[c].pull[:o]...)
	dense.Solve(s.cells[c].factor, o, out)
	for a := range o {
		out[a] -= dense.Dot(s.cells[c].solved[a*n:(a+1)*n], common)
	}
	return out
}

// fit climbs to the mode by Newton's method and lets the trials choose the variances by MacKay's fixed point (DESIGN.md
// eq. 3), one step of either in turn.
func (s *surrogate) fit(ctx context.Context, rounds, workers int) error {
	own := make([][]float64, len(s.cells))
	for c := range s.cells {
		own[c] = s.cells[c].own
	}
	const settling, mostSteps = 12, 60
	for step := 0; ; step++ {
		if err := ctx.Err(); err != nil {
			return err
		}
		if !s.linearise(workers) {
			return errNotConverged
		}
		before := s.height(s.shared, own, workers)
		if math.IsNaN(before) {
			return errNotConverged
		}
		shared := s.target()
		owns := make([][]float64, len(s.cells))
		dense.InParallel(len(s.cells), workers, func(c int) { owns[c] = s.ownTarget(c, shared) })
		gain := 0.0
		for size := 1.0; size > 1e-4; size /= 2 {
			nextShared, nextOwn := between(s.shared, shared, size), make([][]float64, len(own))
			for c := range own {
				nextOwn[c] = between(own[c], owns[c], size)
			}
			if gain = s.height(nextShared, nextOwn, workers) - before; gain >= 0 {
				s.shared, own = nextShared, nextOwn
				break
			}
		}
		for c := range s.cells {
			s.cells[c].own = own[c]
		}
		if step < rounds {
			if step > 0 {
				s.choose(workers)
			}
			continue
		}
		if gain < 1e-3 || step >= rounds+settling || step >= mostSteps {
			break
		}
	}
	if !s.linearise(workers) {
		return errNotConverged
	}
	return nil
}

func between(a, b []float64, share float64) []float64 {
	out := make([]float64, len(a))
	for i := range a {
		out[i] = a[i] + share*(b[i]-a[i])
	}
	return out
}

// draws returns the coefficients of all conditions for n draws of the shared ones from the surrogate's posterior in
// antithetic pairs, with the own ones at their mean given the shared ones; the mode alone for n = 0. draws[k][c·B + b].
func (s *surrogate) draws(n int, seed uint64, round, workers int) [][]float64 {
	size := s.basis.len()
	coefficients := func(shared []float64) []float64 {
		flat := make([]float64, len(s.cells)*size)
		for c := range s.cells {
			s.combine(flat[c*size:(c+1)*size], c, shared, s.ownTarget(c, shared))
		}
		return flat
	}
	if n == 0 {
		return [][]float64{coefficients(s.shared)}
	}
	out := make([][]float64, n)
	dense.InParallel((n+1)/2, workers, func(pair int) {
		rng := numeric.Stream(seed, "surrogate draws", round, pair)
		away := make([]float64, len(s.columns))
		for i := range away {
			away[i] = rng.NormFloat64()
		}
		dense.SolveUpper(s.factor, len(away), away)
		out[2*pair] = coefficients(added(s.shared, away))
		if 2*pair+1 < n {
			out[2*pair+1] = coefficients(between(added(s.shared, away), s.shared, 2))
		}
	})
	return out
}

// ownSpread returns the variance that the own coefficients of condition c, given the shared ones, give to its log-odds
// where the basis has the values phi. scratch has room for as many numbers as there are own coefficients.
func (s *surrogate) ownSpread(c int, phi, scratch []float64) float64 {
	o := s.ownLen
	copy(scratch, phi[:o])
	dense.SolveLower(s.cells[c].factor, o, scratch)
	return dense.Dot(scratch, scratch)
}

// expit is the logistic function.
func expit(x float64) float64 {
	if x >= 0 {
		return 1 / (1 + math.Exp(-x))
	}
	e := math.Exp(x)
	return e / (1 + e)
}

// softplus is ln(1 + eˣ).
func softplus(x float64) float64 {
	if x > 0 {
		return x + math.Log1p(math.Exp(-x))
	}
	return math.Log1p(math.Exp(x))
}
