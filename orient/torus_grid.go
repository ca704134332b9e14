package orient

import "math"

// HarmonicGrid is a product grid of orientations with weights that integrate every function up to twice its degree
// exactly (uniform in α and γ, Clenshaw–Curtis in β), for going between a function's values and its coefficients, for
// instance to square a function or to put it through a link. It has scratch memory and must not be used by two
// goroutines at once.
type HarmonicGrid struct {
	torus  *Torus
	beta   []float64 // quadrature weight of each β row, for uniform probability
	values int
}

// NewHarmonicGrid prepares a grid for functions of the largest set; degree, at least the set's, is the degree up to
// which the values may vary without disturbing the coefficients of the set: it fixes the number of points.
func NewHarmonicGrid(largest *Harmonics, degree, workers int) *HarmonicGrid {
	s := largest.symmetry
	total := largest.degree + max(degree, largest.degree)
	t := &Torus{largest: largest, workers: workers}
	alphaTop, alphaSize := largest.degree/s.Around(), total/s.Around()+1
	if s.Axial() {
		alphaTop, alphaSize = 0, 1
	}
	t.a = newExactAxis(alphaTop, s.Around(), alphaSize)
	t.b = newExactAxis(largest.degree, 1, 2*max(total, 1))
	t.c = newExactAxis(largest.degree/s.Hand(), s.Hand(), total/s.Hand()+1)
	t.height = t.b.size/2 + 1
	t.stride = t.c.size
	t.prepare(1)
	g := &HarmonicGrid{torus: t, beta: make([]float64, t.height), values: t.a.size * t.height * t.stride}
	n := t.height - 1
	for j := range g.beta {
		// ½∫cos kβ·sin β dβ = 1/(1−k²) for even k; the first and last terms and nodes count half.
		for k := 0; k <= n; k += 2 {
			term := math.Cos(math.Pi*float64(j*k)/float64(n)) / float64(1-k*k)
			if k == 0 || k == n {
				term /= 2
			}
			g.beta[j] += term
		}
		g.beta[j] *= 2 / float64(n)
		if j == 0 || j == n {
			g.beta[j] /= 2
		}
		g.beta[j] /= float64(t.a.size * t.c.size)
	}
	return g
}

func newExactAxis(top, step, size int) axis {
	x := axis{top: top, step: step, size: size, width: 1}
	x.fillWaves()
	x.correct = make([]float64, top+1)
	for k := range x.correct {
		x.correct[k] = 1
	}
	return x
}

// Len returns the number of grid points.
func (g *HarmonicGrid) Len() int { return g.values }

// Rotations returns the grid's orientations in the order of the values.
func (g *HarmonicGrid) Rotations() []Rotation {
	t := g.torus
	rs := make([]Rotation, 0, g.values)
	for i := range t.a.size {
		alpha := RotZ(2 * math.Pi * float64(i) / float64(t.a.size*t.a.step))
		for j := range t.height {
			lean := alpha.Mul(RotY(math.Pi * float64(j) / float64(t.height-1)))
			for k := range t.c.size {
				rs = append(rs, lean.Mul(RotZ(2*math.Pi*float64(k)/float64(t.c.size*t.c.step))))
			}
		}
	}
	return rs
}

// Values writes Σ_j coef_j φ_j at every grid point into dst.
func (g *HarmonicGrid) Values(dst []float64, h *Harmonics, coef []float64) error {
	if err := g.torus.Load(h, coef); err != nil {
		return err
	}
	copy(dst, g.torus.grids[0])
	return nil
}

// Project writes the coefficients ∫ v φ_j of the function with the values v into dst.
func (g *HarmonicGrid) Project(dst []float64, h *Harmonics, v []float64) error {
	t := g.torus
	if err := t.check(h); err != nil {
		return err
	}
	for row := range t.a.size * t.height {
		w := g.beta[row%t.height]
		line := t.grids[0][row*t.stride:][:t.stride]
		for k, x := range v[row*t.stride:][:t.stride] {
			line[k] = w * x
		}
	}
	t.gather()
	t.contract(dst, h)
	return nil
}
