package additive

import (
	"fmt"
	"math"
	"runtime"

	"holdfast/numeric"
	"holdfast/numeric/dense"
	"holdfast/statistics/successmap"
)

// Estimate is the model's answer for one row.
type Estimate struct {
	P         float64 // expected probability of success
	Low, High float64 // 5 % and 95 % quantiles of the probability
	Mean, SD  float64 // of the log-odds
}

// z95 is the 95 % quantile of the standard normal distribution.
const z95 = 1.6448536269514722

func estimate(mean, sd float64) Estimate {
	return Estimate{successmap.ExpectedProbability(mean, sd), expit(mean - z95*sd), expit(mean + z95*sd), mean, sd}
}

// Predict estimates the chance of success of every row of the query. Levels that the model does not know have the
// prior's deviation: a hand never tried is a hand like those tried.
func (m *Model) Predict(query *Data) ([]Estimate, error) {
	if err := query.check(m.terms); err != nil {
		return nil, err
	}
	out := make([]Estimate, query.Len())
	m.eachRow(out, query)
	return out, nil
}

func (m *Model) eachRow(out []Estimate, query *Data) {
	const chunk = 64
	dense.InParallel((len(out)+chunk-1)/chunk, m.workers(), func(q int) {
		r := m.reader(nil)
		for i := q * chunk; i < min(len(out), (q+1)*chunk); i++ {
			r.read(query, i)
			mean, variance := r.moments()
			out[i] = estimate(mean, math.Sqrt(variance))
		}
	})
}

func (m *Model) workers() int {
	if m.options.Workers > 0 {
		return m.options.Workers
	}
	return runtime.GOMAXPROCS(0)
}

// reader turns one row after the other into its functions.
type reader struct {
	m      *Model
	use    []bool // by block
	shapes [][]float64
	parts  []part
	known  float64
	extra  float64    // variance from beyond the bases and of levels that the model does not know
	novel  []newLevel // the latter, one by one
}

// part is a run of coefficients with the row's functions for them.
type part struct {
	from   int
	values []float64
	scale  float64 // of the values: 1, or the share that a level not known takes from this one
}

// newLevel is a level that the model does not know, with the variances of its coefficients given the known levels.
type newLevel struct {
	block    *block
	level    string
	values   []float64
	variance []float64
}

// reader reads the blocks marked in use, or all when use is nil.
func (m *Model) reader(use []bool) *reader {
	r := &reader{m: m, use: use, shapes: make([][]float64, len(m.shapes))}
	for s, sh := range m.shapes {
		r.shapes[s] = make([]float64, sh.size)
	}
	return r
}

func (r *reader) read(d *Data, i int) {
	r.parts, r.novel, r.extra, r.known = r.parts[:0], r.novel[:0], 0, 0
	if d.Known != nil {
		r.known = d.Known[i]
	}
	filled := make([]bool, len(r.shapes))
	for k, b := range r.m.blocks {
		if r.use != nil && !r.use[k] {
			continue
		}
		if !filled[b.shape] {
			r.m.shapes[b.shape].fill(r.shapes[b.shape], d, i)
			filled[b.shape] = true
		}
		values := r.shapes[b.shape][:b.size]
		p := &r.m.priors[k]
		r.extra += p.beyond
		if a := b.level(d, i); a >= 0 {
			r.parts = append(r.parts, part{b.base + a*b.size, values, 1})
			continue
		}
		r.readNew(b, p, d.Levels[b.term.By][i], values)
	}
}

// readNew reads a level that was not tried. Under a covariance K between levels its coefficients have, given the known
// ones, the mean kᵀK⁻¹c and the variance (k** − kᵀK⁻¹k)·s.
func (r *reader) readNew(b *block, p *blockPrior, level string, values []float64) {
	n := len(b.levels)
	own := 1.0
	if b.term.Kernel != nil {
		with, _ := b.term.Kernel.Covariance(append(append([]string(nil), b.levels...), level), pickLog(r.m.log, b.kernel))
		cross := with[n*(n+1) : n*(n+1)+n]
		own = with[(n+1)*(n+1)-1]
		for a := range n {
			share := dense.Dot(p.inverse[a*n:(a+1)*n], cross)
			own -= share * cross[a]
			r.parts = append(r.parts, part{b.base + a*b.size, values, share})
		}
	}
	own = math.Max(own, 0)
	l := newLevel{block: b, level: level, values: append([]float64(nil), values...), variance: make([]float64, b.size)}
	for j, v := range values {
		l.variance[j] = own * math.Exp(p.logVariance[j])
		if !math.IsInf(l.variance[j], 1) {
			r.extra += l.variance[j] * v * v
		}
	}
	r.novel = append(r.novel, l)
}

// moments returns mean and variance of the log-odds of the row read.
func (r *reader) moments() (mean, variance float64) {
	m := r.m
	mean, variance = r.known, r.extra
	for k, p := range r.parts {
		mean += p.scale * dense.Dot(p.values, m.coef[p.from:])
		for _, q := range r.parts[:k+1] {
			row, col := p, q
			if col.from > row.from {
				row, col = col, row
			}
			sum := 0.0
			for j, v := range row.values {
				at := (row.from + j) * m.columns
				if row.from == col.from {
					// One run with itself: the triangle twice, its diagonal once.
					sum += v * (2*dense.Dot(row.values[:j], m.covariance[at+col.from:]) + v*m.covariance[at+col.from+j])
					continue
				}
				sum += v * dense.Dot(col.values, m.covariance[at+col.from:])
			}
			sum *= row.scale * col.scale
			if row.from != col.from {
				sum *= 2
			}
			variance += sum
		}
	}
	return mean, math.Max(variance, 0)
}

// Draws are joint draws of everything that the trials decided, for log-odds that belong together.
type Draws struct {
	m       *Model
	count   int
	seed    uint64
	columns []float64 // coefficient × draw
}

// Draw draws the coefficients count times from their posterior, in antithetic pairs: every second draw mirrors the one
// before at the mean. The same seed gives the same draws.
func (m *Model) Draw(count int, seed uint64) *Draws {
	d := &Draws{m: m, count: count, seed: seed, columns: make([]float64, m.columns*count)}
	half := (count + 1) / 2
	dense.InParallel(half, m.workers(), func(k int) {
		rng := numeric.Stream(seed, "posterior draw", k)
		z := make([]float64, m.columns)
		for i := range z {
			z[i] = rng.NormFloat64()
		}
		dense.SolveUpper(m.factor, m.columns, z)
		for i, v := range z {
			d.columns[i*count+2*k] = m.coef[i] + v
			if 2*k+1 < count {
				d.columns[i*count+2*k+1] = m.coef[i] - v
			}
		}
	})
	return d
}

// Count returns the number of draws.
func (d *Draws) Count() int { return d.count }

// LogOdds returns the log-odds of every row of the query under every draw: row after row, Count numbers each. With
// terms named, only their sum, without the constant and the known log-odds. Rows that share a level which the model does
// not know share its draw. What lies beyond the degree of functions on orientations is not drawn.
func (d *Draws) LogOdds(query *Data, terms ...string) ([]float64, error) {
	m := d.m
	use := make([]bool, len(m.blocks))
	var needed []Term
	for k, b := range m.blocks {
		use[k] = len(terms) == 0
		for _, t := range terms {
			use[k] = use[k] || b.term.Name == t
		}
	}
	for _, t := range terms {
		known := false
		for _, have := range m.terms {
			if have.Name == t {
				needed, known = append(needed, have), true
			}
		}
		if !known {
			return nil, fmt.Errorf("the model has no term %s", t)
		}
	}
	if len(terms) == 0 {
		needed = m.terms
	}
	if err := query.check(needed); err != nil {
		return nil, err
	}
	return d.logOdds(query, use, len(terms) == 0), nil
}

func (d *Draws) logOdds(query *Data, use []bool, known bool) []float64 {
	n, s := query.Len(), d.count
	out := make([]float64, n*s)
	const chunk = 64
	dense.InParallel((n+chunk-1)/chunk, d.m.workers(), func(q int) {
		r := d.m.reader(use)
		for i := q * chunk; i < min(n, (q+1)*chunk); i++ {
			r.read(query, i)
			row := out[i*s : (i+1)*s]
			if known {
				for k := range row {
					row[k] = r.known
				}
			}
			for _, p := range r.parts {
				for j, v := range p.values {
					v *= p.scale
					for k, c := range d.columns[(p.from+j)*s : (p.from+j+1)*s] {
						row[k] += v * c
					}
				}
			}
			for _, l := range r.novel {
				d.addNew(row, l)
			}
		}
	})
	return out
}

// addNew adds the draws of a level that the model does not know, the same for every row that has it.
func (d *Draws) addNew(row []float64, l newLevel) {
	rng := numeric.Stream(d.seed, "new level of "+l.block.term.Name+": "+l.level)
	for j, v := range l.values {
		sd := math.Sqrt(l.variance[j])
		for k := 0; k < len(row); k += 2 {
			z := v * sd * rng.NormFloat64()
			row[k] += z
			if k+1 < len(row) {
				row[k+1] -= z
			}
		}
	}
}
