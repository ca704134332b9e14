package additive

import (
	"context"
	"math"
	"math/rand/v2"
	"strconv"
	"testing"
)

// alphabet is a covariance between levels that depends on one length scale: levels are near by their first letter.
type alphabet struct{}

func (alphabet) Hypers() []Hyper { return []Hyper{{Name: "distance", Mean: 0, SD: 0.7}} }

func (alphabet) Covariance(levels []string, log []float64) (k []float64, slope [][]float64) {
	n := len(levels)
	k, slope = make([]float64, n*n), [][]float64{make([]float64, n*n)}
	for i, a := range levels {
		for j, b := range levels {
			d := math.Abs(float64(a[len(a)-1])-float64(b[len(b)-1])) / 2 * math.Exp(-log[0])
			k[i*n+j] = math.Exp(-d)
			slope[0][i*n+j] = d * math.Exp(-d)
			if i == j {
				k[i*n+j] += 1e-3
			}
		}
	}
	return k, slope
}

func kernelTerms() []Term {
	terms := everyTerm()
	hand := FactorTerm("hand")
	hand.Kernel = alphabet{}
	turn := FactorByOrientation("hand", terms[0].Symmetry)
	turn.Kernel, turn.Degree = alphabet{}, 2
	terms[0].Degree, terms[6].Degree = 3, 2
	terms[4] = hand
	slope := LinearTerm("closing", 2)
	slope.Name = "closing by strategy"
	slope.By = "strategy"
	return append(terms, turn, slope)
}

func builtModel(t *testing.T, d *Data, terms []Term) (*Model, *engine) {
	t.Helper()
	m := &Model{terms: terms, options: Options{Workers: 2}}
	m.data, m.of = d.alike(terms)
	if err := m.build(); err != nil {
		t.Fatal(err)
	}
	return m, m.engine(m.data)
}

// The sums by cell agree with plain sums over rows.
func TestLayoutAgainstPlainSums(t *testing.T) {
	d := newTruth(3).trials(90, 3)
	m, e := builtModel(t, d, kernelTerms())
	n, rows := e.columns, len(e.order)
	phi := make([][]float64, rows) // by position
	for pos, i := range e.order {
		phi[pos] = make([]float64, n)
		for _, b := range m.blocks {
			values := make([]float64, m.shapes[b.shape].size)
			m.shapes[b.shape].fill(values, m.data, i)
			copy(phi[pos][b.base+b.level(m.data, i)*b.size:], values[:b.size])
		}
	}
	rng := rand.New(rand.NewPCG(1, 2))
	c, w := make([]float64, n), make([]float64, rows)
	for i := range c {
		c[i] = rng.NormFloat64()
	}
	for i := range w {
		w[i] = rng.Float64()
	}
	near := func(what string, got, want float64) {
		if math.Abs(got-want) > 1e-9*(1+math.Abs(want)) {
			t.Fatalf("%s: %g, by plain sums %g", what, got, want)
		}
	}
	f, back, gram, form := make([]float64, rows), make([]float64, n), make([]float64, n*n), make([]float64, rows)
	e.apply(f, c, 2)
	e.adjoint(back, w, 2)
	e.gram(gram, w, 2)
	matrix := make([]float64, n*n)
	for i := range n {
		for j := range i + 1 {
			matrix[i*n+j] = rng.NormFloat64()
		}
	}
	e.quadratic(form, matrix, 2)
	for pos, p := range phi {
		sum, quad := 0.0, 0.0
		for i, v := range p {
			sum += v * c[i]
			for j, u := range p {
				quad += v * u * matrix[max(i, j)*n+min(i, j)]
			}
		}
		near("apply", f[pos], sum)
		near("quadratic", form[pos], quad)
	}
	for i := range n {
		sum := 0.0
		for pos, p := range phi {
			sum += w[pos] * p[i]
		}
		near("adjoint", back[i], sum)
		for j := range i + 1 {
			sum := 0.0
			for pos, p := range phi {
				sum += w[pos] * p[i] * p[j]
			}
			near("gram", gram[i*n+j], sum)
		}
	}
}

// The slopes of the evidence agree with differences of it, for every kind of hyperparameter.
func TestEvidenceSlopes(t *testing.T) {
	d := newTruth(4).trials(150, 4)
	m, e := builtModel(t, d, kernelTerms())
	ctx := context.Background()
	log := make([]float64, len(m.hypers))
	for k, h := range m.hypers {
		log[k] = h.Mean + 0.1*float64(k%3)
	}
	s, err := e.visit(ctx, log, nil, 1e-13)
	if err != nil {
		t.Fatal(err)
	}
	for k, h := range m.hypers {
		const step = 1e-4
		value := func(by float64) float64 {
			at := append([]float64(nil), log...)
			at[k] += by
			v, err := e.visit(ctx, at, nil, 1e-13)
			if err != nil {
				t.Fatal(err)
			}
			return v.value
		}
		want := (value(step) - value(-step)) / (2 * step)
		if math.Abs(s.gradient[k]-want) > 1e-5*(1+math.Abs(want)) {
			t.Errorf("%s, %s: slope %.8f, by differences %.8f", h.Term, h.Name, s.gradient[k], want)
		}
	}
}

func mustNumber(text string) float64 {
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		return math.NaN()
	}
	return v
}
