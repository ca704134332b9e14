package simfit

import (
	"math"

	"holdfast/numeric"
	"holdfast/numeric/dense"
)

// frame is a place in the unit cube of the parameters with a spread: coordinates t have u = mean + root·t. The surrogate
// is a polynomial in t, and points are drawn with t standard normal.
type frame struct {
	mean []float64
	root []float64 // lower triangle, row-major
	all  bool      // points are drawn from the prior, and the surrogate is meant for all of it
}

// reach is how far from a frame's centre, in any coordinate, trials are used and the posterior is looked for.
const reach = 2.7

// inflate is the spread of a frame in standard deviations of the posterior it is drawn around: wide enough that the
// posterior of the next round stays inside, narrow enough that most trials are run where they tell something.
const inflate = 1.6

func priorFrame(parameters []Parameter) *frame {
	d := len(parameters)
	f := &frame{mean: make([]float64, d), root: make([]float64, d*d), all: true}
	for k, p := range parameters {
		f.mean[k], f.root[k*d+k] = p.priorMoments()
	}
	return f
}

// coordinates writes t of the place u into t and reports whether the frame reaches it.
func (f *frame) coordinates(t, u []float64) bool {
	for k := range t {
		t[k] = u[k] - f.mean[k]
	}
	dense.SolveLower(f.root, len(t), t)
	if f.all {
		return true
	}
	for _, v := range t {
		if math.Abs(v) > reach {
			return false
		}
	}
	return true
}

// points returns up to n places of the unit cube, as even as a Sobol' sequence makes them, and the logarithm of prior
// over sampling density at each, up to a constant.
func (f *frame) points(parameters []Parameter, n int, key uint64) (places [][]float64, logWeight []float64, err error) {
	d := len(parameters)
	sobol, err := numeric.NewScrambledSobol(d, key)
	if err != nil {
		return nil, nil, err
	}
	for i := uint32(0); len(places) < n && i < uint32(60*n); i++ {
		x := sobol.At(i)
		u := make([]float64, d)
		if f.all {
			for k, p := range parameters {
				u[k] = p.quantile(x[k])
			}
			places, logWeight = append(places, u), append(logWeight, 0)
			continue
		}
		inside, w := true, 0.0
		for k := range x {
			x[k] = numeric.NormalQuantile(x[k])
			inside = inside && math.Abs(x[k]) <= reach
			w += x[k] * x[k] / 2
		}
		for k := range u {
			u[k] = f.mean[k] + dense.Dot(f.root[k*d:k*d+k+1], x[:k+1])
			inside = inside && u[k] >= 0 && u[k] <= 1
			w += parameters[k].logPrior(u[k])
		}
		if inside {
			places, logWeight = append(places, u), append(logWeight, w)
		}
	}
	return places, logWeight, nil
}

// around returns the frame of weighted places.
func around(places [][]float64, weights []float64) *frame {
	d := len(places[0])
	f := &frame{mean: make([]float64, d), root: make([]float64, d*d)}
	total := 0.0
	for i, w := range weights {
		total += w
		for k, v := range places[i] {
			f.mean[k] += w * v
		}
	}
	for k := range f.mean {
		f.mean[k] /= total
	}
	for i, w := range weights {
		for k, v := range places[i] {
			for j := range k + 1 {
				f.root[k*d+j] += w / total * inflate * inflate * (v - f.mean[k]) * (places[i][j] - f.mean[j])
			}
		}
	}
	for k := range d {
		// A thousandth of the range: no bench resolves less, and it keeps the factor sound.
		f.root[k*d+k] += 1e-6
	}
	dense.Cholesky(f.root, d, 1)
	return f
}

// basis lists products of Hermite polynomials in the frame's coordinates, orthonormal for t standard normal, by rising
// total degree.
type basis struct {
	d, top int
	powers [][]int
	degree []int // total degree of each function
}

func newBasis(d int) *basis {
	b := &basis{d: d, top: []int{0, 6, 5, 4, 3, 2, 2}[d]}
	for total := 0; total <= b.top; total++ {
		b.extend(make([]int, 0, d), total)
	}
	return b
}

func (b *basis) extend(head []int, left int) {
	if len(head) == b.d-1 {
		p := append(append([]int(nil), head...), left)
		total := 0
		for _, v := range p {
			total += v
		}
		b.powers, b.degree = append(b.powers, p), append(b.degree, total)
		return
	}
	for v := left; v >= 0; v-- {
		b.extend(append(head, v), left-v)
	}
}

func (b *basis) len() int { return len(b.powers) }

// upTo returns the number of functions of total degree at most q.
func (b *basis) upTo(q int) int {
	n := 0
	for n < len(b.degree) && b.degree[n] <= q {
		n++
	}
	return n
}

// values writes every function at t into dst.
func (b *basis) values(dst, t []float64) {
	var he [mostParameters][7]float64
	for k, x := range t {
		he[k][0], he[k][1] = 1, x
		for n := 1; n < b.top; n++ {
			// Normalised: He_{n+1} = (x·He_n − √n·He_{n−1})/√(n+1).
			he[k][n+1] = (x*he[k][n] - math.Sqrt(float64(n))*he[k][n-1]) / math.Sqrt(float64(n+1))
		}
	}
	for i, p := range b.powers {
		v := 1.0
		for k, e := range p {
			v *= he[k][e]
		}
		dst[i] = v
	}
}
