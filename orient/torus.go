package orient

import (
	"fmt"
	"math"
)

// Torus moves between coefficients of harmonics and values at many orientations. In each of the angles α, β, γ a
// harmonic is a trigonometric polynomial, with β continued from 0…π to the whole turn, so that sums over orientations
// and values at orientations are non-uniform Fourier transforms of types 1 and 2: points are spread onto (or read
// from) a grid twice as fine as the polynomials need by a narrow kernel, and the grid is transformed by short dense
// cosine and sine matrices, computing only the wanted frequencies. The kernel is the exponential of a semicircle of
// A. H. Barnett, J. Magland, L. af Klinteberg, "A parallel nonuniform fast Fourier transform library based on an
// 'exponential of semicircle' kernel", SIAM J. Sci. Comput. 41 (2019) C479 (from memory), whose width of 8 gives about
// six digits at worst; the test compares with the plain sums.
//
// A Torus has scratch memory and must not be used by two goroutines at once. Its results do not depend on workers.
type Torus struct {
	largest *Harmonics
	series  [][]float64 // for each pair of the largest set, the l+1 coefficients of d^l_mn, times norm and kernel corrections
	a, b, c axis
	height  int // grid rows in β: 0 … π and the kernel's reach on both sides
	stride  int // grid columns in γ, with the kernel's reach on the right
	workers int

	grids  [][]float64 // spreadChunks partial grids, [α][β][γ]
	middle []float64   // [α][parity][k][n][re, im]
	outer  []float64   // [m][cos, sin][parity][k][n][re, im]
}

// kernelWidth is the number of grid points per angle that a point is spread over.
const kernelWidth = 8

// spreadChunks is fixed so that the order of summation, hence the last bit, does not depend on the workers.
const spreadChunks = 4

// axis is one angle of the torus: frequencies 0, step, … step·top on a grid of size points.
type axis struct {
	top, step, size int
	width           int       // points a kernel covers
	cos, sin        []float64 // [grid point][frequency index]
	correct         []float64 // [frequency index], 1 / kernel's transform
}

func newAxis(top, step int) axis {
	if top == 0 {
		return axis{step: step, size: 1, width: 1, cos: []float64{1}, sin: []float64{0}, correct: []float64{1}}
	}
	size := max(2*(2*top+1), 2*kernelWidth)
	size += size & 1
	x := axis{top: top, step: step, size: size, width: kernelWidth}
	x.fillWaves()
	x.correct = make([]float64, top+1)
	// The kernel's Fourier transform by the midpoint rule in the angle u with x = sin u, in which the integrand is
	// smooth up to the ends.
	const nodes = 64
	for k := range x.correct {
		sum := 0.0
		for i := range nodes {
			u := math.Pi * ((float64(i)+0.5)/nodes - 0.5)
			s, c := math.Sincos(u)
			sum += math.Pi / nodes * c * kernel(s) * math.Cos(math.Pi*kernelWidth*float64(k)/float64(size)*s)
		}
		x.correct[k] = 1 / (sum * kernelWidth / 2)
	}
	return x
}

func (x *axis) fillWaves() {
	x.cos, x.sin = make([]float64, x.size*(x.top+1)), make([]float64, x.size*(x.top+1))
	for j := range x.size {
		for k := 0; k <= x.top; k++ {
			s, c := math.Sincos(2 * math.Pi * float64(j*k%x.size) / float64(x.size))
			x.cos[j*(x.top+1)+k], x.sin[j*(x.top+1)+k] = c, s
		}
	}
}

// kernel is the exponential of a semicircle on [−1, 1].
func kernel(x float64) float64 {
	const sharpness = 2.30 * kernelWidth
	return math.Exp(sharpness * (math.Sqrt(math.Max(0, 1-x*x)) - 1))
}

// weigh writes the kernel's weights around an angle (rad) and returns the index of the first grid point, which may be
// negative or run beyond the grid.
func (x *axis) weigh(dst []float64, angle float64) int {
	if x.width == 1 {
		dst[0] = 1
		return 0
	}
	turns := angle * float64(x.step) / (2 * math.Pi)
	at := (turns - math.Floor(turns)) * float64(x.size)
	first := int(math.Ceil(at - kernelWidth/2))
	for i := range kernelWidth {
		dst[i] = kernel((float64(first+i) - at) / (kernelWidth / 2))
	}
	return first
}

// NewTorus prepares transforms for the largest set; sets of lower degree with the same symmetry can be transformed
// too. workers bounds the goroutines.
func NewTorus(largest *Harmonics, workers int) *Torus {
	s := largest.symmetry
	t := &Torus{largest: largest, workers: workers}
	alphaTop := largest.degree / s.Around()
	if s.Axial() {
		alphaTop = 0
	}
	t.a = newAxis(alphaTop, s.Around())
	t.b = newAxis(largest.degree, 1)
	t.c = newAxis(largest.degree/s.Hand(), s.Hand())
	t.height = 1
	if t.b.width > 1 {
		t.height = t.b.size/2 + kernelWidth + 1
	}
	t.stride = t.c.size + t.c.width - 1
	t.prepare(spreadChunks)
	return t
}

// prepare makes the tables and the scratch memory for the axes.
func (t *Torus) prepare(grids int) {
	largest := t.largest
	delta := newDeltaTable(largest.degree)
	t.series = make([][]float64, len(largest.pairs))
	inParallel(len(largest.pairs), t.workers, func(i int) {
		p := largest.pairs[i]
		row := make([]float64, p.l+1)
		delta.series(row, p.l, p.m, p.n)
		scale := p.norm * t.a.correct[p.m/t.a.step] * t.c.correct[abs(p.n)/t.c.step]
		for k := range row {
			row[k] *= scale * t.b.correct[k]
		}
		t.series[i] = row
	})
	t.grids = make([][]float64, grids)
	for i := range t.grids {
		t.grids[i] = make([]float64, t.a.size*t.height*t.stride)
	}
	t.middle = make([]float64, t.a.size*t.sheet())
	t.outer = make([]float64, (t.a.top+1)*2*t.sheet())
}

// sheet is the length of [parity][k][n][re, im].
func (t *Torus) sheet() int { return 2 * (t.b.top + 1) * 2 * (t.c.top + 1) }

// betaShift is the number of grid rows before β = 0.
func (t *Torus) betaShift() int { return t.b.width / 2 }

// TorusPoints are orientations made ready for a [Torus]: grid positions and kernel weights, sorted so that
// neighbouring points touch neighbouring memory.
type TorusPoints struct {
	order   []int32   // sorted position → index of the caller
	first   []int32   // three a point: α, β (shifted), γ
	weights []float64 // a.width + b.width + c.width a point
}

// Len returns the number of points.
func (p *TorusPoints) Len() int { return len(p.order) }

// Points prepares orientations.
func (t *Torus) Points(rs []Rotation) *TorusPoints {
	n := len(rs)
	width := t.a.width + t.b.width + t.c.width
	p := &TorusPoints{order: make([]int32, n), first: make([]int32, 3*n), weights: make([]float64, width*n)}
	keys := make([]int32, n)
	angles := make([][3]float64, n)
	const chunk = 1024
	inParallel((n+chunk-1)/chunk, t.workers, func(c int) {
		var w [kernelWidth]float64
		for i := c * chunk; i < min(n, (c+1)*chunk); i++ {
			alpha, beta, gamma := rs[i].eulerZYZ()
			angles[i] = [3]float64{alpha, beta, gamma}
			keys[i] = int32(t.wrap(t.a.weigh(w[:], alpha))*t.height + t.b.weigh(w[:], beta) + t.betaShift())
		}
	})
	starts := make([]int32, t.a.size*t.height+1)
	for _, k := range keys {
		starts[k+1]++
	}
	for k := range starts[1:] {
		starts[k+1] += starts[k]
	}
	for i, k := range keys {
		p.order[starts[k]] = int32(i)
		starts[k]++
	}
	inParallel((n+chunk-1)/chunk, t.workers, func(c int) {
		for i := c * chunk; i < min(n, (c+1)*chunk); i++ {
			angle := angles[p.order[i]]
			w := p.weights[i*width:]
			p.first[3*i] = int32(t.wrap(t.a.weigh(w, angle[0])))
			p.first[3*i+1] = int32(t.b.weigh(w[t.a.width:], angle[1]) + t.betaShift())
			first := t.c.weigh(w[t.a.width+t.b.width:], angle[2])
			p.first[3*i+2] = int32((first + t.c.size) % t.c.size)
		}
	})
	return p
}

func (t *Torus) wrap(first int) int { return (first + t.a.size) % t.a.size }

// check reports a set that this torus cannot transform.
func (t *Torus) check(h *Harmonics) error {
	if h.degree > t.largest.degree || h.symmetry != t.largest.symmetry {
		return fmt.Errorf("harmonics of degree %d (%s) do not fit a torus for degree %d (%s)", h.degree, h.symmetry, t.largest.degree, t.largest.symmetry)
	}
	return nil
}
