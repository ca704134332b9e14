package leastsquares

import "math"

// triangle is a matrix brought to Q·R by Householder reflections: R on and above
// the diagonal, the reflections' vectors below, their first entries in head.
type triangle struct {
	n, p  int
	a     []float64 // n×p, row-major
	head  []float64
	scale []float64 // factor of each column
}

// reduce reports whether the columns are independent to within rounding.
func (q *triangle) reduce() bool {
	q.head = make([]float64, q.p)
	for k := range q.p {
		norm, whole := 0.0, 0.0
		for i := range q.n {
			if i >= k {
				norm = math.Hypot(norm, q.a[i*q.p+k])
			}
			whole = math.Hypot(whole, q.a[i*q.p+k])
		}
		if norm <= 8*float64(q.p)*0x1p-53*whole {
			return false
		}
		if q.a[k*q.p+k] > 0 {
			norm = -norm
		}
		q.head[k] = q.a[k*q.p+k] - norm
		q.a[k*q.p+k] = norm
		for j := k + 1; j < q.p; j++ {
			q.reflect(k, q.a[j:], q.p)
		}
	}
	return true
}

// reflect applies reflection k to a vector whose entry i is v[i·stride].
func (q *triangle) reflect(k int, v []float64, stride int) {
	s := q.head[k] * v[k*stride]
	for i := k + 1; i < q.n; i++ {
		s += q.a[i*q.p+k] * v[i*stride]
	}
	s /= q.a[k*q.p+k] * q.head[k]
	v[k*stride] += s * q.head[k]
	for i := k + 1; i < q.n; i++ {
		v[i*stride] += s * q.a[i*q.p+k]
	}
}

// transposed replaces v by Qᵀv, applied by Qv.
func (q *triangle) transposed(v []float64) {
	for k := range q.p {
		q.reflect(k, v, 1)
	}
}

func (q *triangle) applied(v []float64) {
	for k := q.p - 1; k >= 0; k-- {
		q.reflect(k, v, 1)
	}
}

// solveUpper replaces the first p numbers of v by R⁻¹v, solveLower by R⁻ᵀv.
func (q *triangle) solveUpper(v []float64) {
	for k := q.p - 1; k >= 0; k-- {
		for j := k + 1; j < q.p; j++ {
			v[k] -= q.a[k*q.p+j] * v[j]
		}
		v[k] /= q.a[k*q.p+k]
	}
}

func (q *triangle) solveLower(v []float64) {
	for k := range q.p {
		for j := range k {
			v[k] -= q.a[j*q.p+k] * v[j]
		}
		v[k] /= q.a[k*q.p+k]
	}
}

// solve returns the least squares solution for y.
func (q *triangle) solve(y []float64) []float64 {
	v := append([]float64(nil), y...)
	q.transposed(v)
	q.solveUpper(v)
	return v[:q.p]
}

// refined returns the solution and its residuals y − A·x, where a is the matrix
// before it was reduced. Each round solves r + A·x = y, Aᵀr = 0 for what is still
// missing.
func (q *triangle) refined(a, y []float64) (x, r []float64) {
	x, r = make([]float64, q.p), make([]float64, q.n)
	f, g := make([]float64, q.n), make([]float64, q.p)
	last := math.Inf(1)
	for range 12 {
		for i := range q.n {
			s := doubled{y[i], 0}
			s.add(-r[i])
			for j := range q.p {
				s.addProduct(-a[i*q.p+j], x[j])
			}
			f[i] = s.value()
		}
		for j := range q.p {
			s := doubled{}
			for i := range q.n {
				s.addProduct(-a[i*q.p+j], r[i])
			}
			g[j] = s.value()
		}
		q.transposed(f)
		q.solveLower(g)
		dx := make([]float64, q.p)
		for j := range q.p {
			dx[j] = f[j] - g[j]
			f[j] = g[j]
		}
		q.solveUpper(dx)
		q.applied(f)
		change, size := 0.0, 0.0
		for j, d := range dx {
			change, size = math.Hypot(change, d), math.Hypot(size, x[j]+d)
		}
		if !(change < last) {
			break
		}
		for j, d := range dx {
			x[j] += d
		}
		for i, d := range f {
			r[i] += d
		}
		if last = change; change <= 0x1p-53*size {
			break
		}
	}
	return x, r
}

// inverseGram returns (AᵀA)⁻¹ for the columns before they were scaled.
func (q *triangle) inverseGram() []float64 {
	p := q.p
	rows := make([][]float64, p) // rows of R⁻ᵀ, that is columns of R⁻¹
	for k := range p {
		e := make([]float64, p)
		e[k] = 1
		q.solveUpper(e)
		rows[k] = e
	}
	out := make([]float64, p*p)
	for i := range p {
		for j := range p {
			s := 0.0
			for k := range p {
				s += rows[k][i] * rows[k][j]
			}
			out[i*p+j] = s * q.scale[i] * q.scale[j]
		}
	}
	return out
}

// doubled is a sum kept to twice the digits of float64.
type doubled struct{ high, low float64 }

func (d *doubled) add(v float64) {
	s := d.high + v
	b := s - d.high
	d.low += (d.high - (s - b)) + (v - b)
	d.high = s
}

func (d *doubled) addProduct(x, y float64) {
	p := x * y
	d.add(p)
	d.low += math.FMA(x, y, -p)
}

func (d *doubled) value() float64 { return d.high + d.low }
