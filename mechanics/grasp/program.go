package grasp

import (
	"errors"
	"math"
)

// program is a linear programme over second-order cones: minimise cᵀx with A·x = b and every block (x₀, x₁ …) of x
// within |(x₁ …)| ≤ x₀; a block of one is x₀ ≥ 0. It is solved with its dual, maximise bᵀy with s = c − Aᵀy in the cones,
// by a predictor-corrector interior-point method on the homogeneous self-dual embedding (DESIGN.md, eqs. 12 to 15).
type program struct {
	rows   int
	a      []float64 // by columns
	b, c   []float64
	blocks []int
}

// add appends a block of columns with its cost.
func (p *program) add(cost []float64, columns ...[]float64) {
	for i, column := range columns {
		p.a = append(p.a, column...)
		p.c = append(p.c, cost[i])
	}
	p.blocks = append(p.blocks, len(columns))
}

// verdict says what was found.
type verdict uint8

const (
	solved     verdict = iota
	infeasible         // y proves that no x fulfils the equations
	unbounded
)

// ErrUndecided is wrapped by errors about loads so near to what a grasp can just not carry, whatever the squeeze, that
// rounding decides. Treat them as not carried.
var ErrUndecided = errors.New("rounding leaves open whether the load is carried; take it as not carried")

const (
	maxSteps   = 60
	wanted     = 1e-12 // relative gap and residuals to stop at
	patience   = 5     // steps without progress, when what is there is acceptable
	acceptable = 1e-6  // what still counts as solved when rounding ends the progress
)

type solution struct {
	verdict verdict
	x, y    []float64
	value   float64 // cᵀx
	gap     float64 // relative difference to the dual value, or residual if that is larger
}

func (p *program) solve() (solution, error) {
	n, m := len(p.c), p.rows
	x, s, y := make([]float64, n), make([]float64, n), make([]float64, m)
	dx, ds, dy := make([]float64, n), make([]float64, n), make([]float64, m)
	ax, as := make([]float64, n), make([]float64, n)
	x1, x2, y1, y2 := make([]float64, n), make([]float64, n), make([]float64, m), make([]float64, m)
	rp, rd, q, lambda, t := make([]float64, m), make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
	mat, fact := make([]float64, m*m), make([]float64, m*m)
	wa := make([]float64, n*m)
	scales := make([]scaling, len(p.blocks))
	for j, o := 0, 0; j < len(p.blocks); j++ {
		x[o], s[o] = 1, 1
		o += p.blocks[j]
	}
	tau, kappa := 1.0, 1.0
	degree := float64(len(p.blocks) + 1)
	nb, nc := 1+norm(p.b), 1+norm(p.c)
	best := solution{gap: math.Inf(1), x: make([]float64, n), y: make([]float64, m)}

	since := 0
	for range maxSteps {
		for i := range rp {
			rp[i] = p.b[i] * tau
		}
		for j := range n {
			col := p.a[j*m : j*m+m]
			rd[j] = p.c[j]*tau - s[j]
			for i, v := range col {
				rp[i] -= v * x[j]
				rd[j] -= v * y[i]
			}
		}
		cx, by := dot(p.c, x), dot(p.b, y)
		rg := kappa + cx - by
		primal, dual := norm(rp)/tau/nb, norm(rd)/tau/nc
		gap := math.Abs(cx-by) / tau / (1 + math.Abs(cx)/tau)
		if worst := math.Max(gap, math.Max(primal, dual)); worst < best.gap {
			best.gap, best.value = worst, cx/tau
			for i := range x {
				best.x[i] = x[i] / tau
			}
			for i := range y {
				best.y[i] = y[i] / tau
			}
			if worst < wanted {
				return best, nil
			}
			since = 0
		} else if since++; since > patience && best.gap <= acceptable {
			return best, nil
		}
		mu := (dot(x, s) + tau*kappa) / degree
		if mu < 1e-30 || math.IsNaN(mu) {
			break
		}
		// A certificate: τ dies away while κ stays.
		if tau < 1e-7*math.Min(1, kappa) && best.gap > acceptable {
			if by > 0 {
				return solution{verdict: infeasible, y: scaled(y, 1/by)}, nil
			}
			if cx < 0 {
				return solution{verdict: unbounded, x: scaled(x, -1/cx)}, nil
			}
		}

		if !p.scale(scales, x, s, lambda) {
			break
		}
		p.weigh(scales, wa, mat)
		if !factor(mat, fact, m) {
			break
		}
		// y2, x2: the part that goes with dτ.
		p.square(scales, p.c, t)
		for i := range y2 {
			y2[i] = p.b[i]
		}
		p.times(t, y2, 1)
		p.backsolve(mat, fact, y2)
		p.transposed(y2, x2)
		for j := range x2 {
			x2[j] -= p.c[j]
		}
		p.square(scales, x2, x2)
		down := -dot(p.c, x2) + dot(p.b, y2) + kappa/tau

		var dtau, dkappa float64
		direction := func(eta, rk float64) {
			// q = λ\rc is in place. y1 = M⁻¹(η·rp − A·W·q + η·A·W²·rd), x1 = W·q + W²(Aᵀy1 − η·rd).
			for i := range y1 {
				y1[i] = eta * rp[i]
			}
			p.apply(scales, q, t)
			p.times(t, y1, -1)
			p.square(scales, rd, x1)
			p.times(x1, y1, eta)
			p.backsolve(mat, fact, y1)
			p.transposed(y1, x1)
			for j := range x1 {
				x1[j] -= eta * rd[j]
			}
			p.square(scales, x1, x1)
			for j := range x1 {
				x1[j] += t[j]
			}
			dtau = (eta*rg + dot(p.c, x1) - dot(p.b, y1) + rk/tau) / down
			dkappa = (rk - kappa*dtau) / tau
			for i := range dy {
				dy[i] = y1[i] + dtau*y2[i]
			}
			p.transposed(dy, ds)
			for j := range dx {
				dx[j] = x1[j] + dtau*x2[j]
				ds[j] = eta*rd[j] + dtau*p.c[j] - ds[j]
			}
		}
		longest := func() float64 {
			a := math.Min(p.step(x, dx), p.step(s, ds))
			if dtau < 0 {
				a = math.Min(a, -tau/dtau)
			}
			if dkappa < 0 {
				a = math.Min(a, -kappa/dkappa)
			}
			return a
		}
		for j := range q {
			q[j] = -lambda[j]
		}
		direction(1, -kappa*tau)
		alpha := math.Min(1, longest())
		centre := math.Pow(1-alpha, 3)
		p.unapply(scales, dx, ax)
		p.apply(scales, ds, as)
		p.correct(lambda, ax, as, centre*mu, q)
		direction(1-centre, centre*mu-kappa*tau-dtau*dkappa)
		alpha = math.Min(1, 0.99*longest())
		if !(alpha > 1e-10) {
			break
		}
		for j := range x {
			x[j] += alpha * dx[j]
			s[j] += alpha * ds[j]
		}
		for i := range y {
			y[i] += alpha * dy[i]
		}
		tau += alpha * dtau
		kappa += alpha * dkappa
		// The embedding has no scale of its own: keep it near 1.
		if r := 1 / math.Max(tau, kappa); r < 1e-3 || r > 1e3 {
			for j := range x {
				x[j] *= r
				s[j] *= r
			}
			for i := range y {
				y[i] *= r
			}
			tau *= r
			kappa *= r
		}
	}
	if best.gap <= acceptable {
		return best, nil
	}
	return best, ErrUndecided
}

func dot(a, b []float64) (s float64) {
	for i := range a {
		s += a[i] * b[i]
	}
	return s
}

func norm(a []float64) float64 { return math.Sqrt(dot(a, a)) }

func scaled(a []float64, k float64) []float64 {
	r := make([]float64, len(a))
	for i := range a {
		r[i] = k * a[i]
	}
	return r
}

// factor is Cholesky's of the lower triangle. Pivots that vanish against what they were are made huge, which leaves a
// dependent row alone.
func factor(mat, l []float64, m int) bool {
	copy(l, mat)
	for i := range m {
		for j := range i + 1 {
			t := l[i*m+j]
			for k := range j {
				t -= l[i*m+k] * l[j*m+k]
			}
			if i > j {
				l[i*m+j] = t / l[j*m+j]
				continue
			}
			if math.IsNaN(t) {
				return false
			}
			if t <= 1e-22*mat[i*m+i] {
				t = 1e40
			}
			l[i*m+i] = math.Sqrt(t)
		}
	}
	return true
}

// backsolve replaces v by M⁻¹·v, with two steps of refinement.
func (p *program) backsolve(mat, l, v []float64) {
	m := p.rows
	var buffer, rest [6 + MaxContacts]float64
	copy(buffer[:m], v)
	triangles(l, m, v)
	for range 2 {
		for i := range m {
			t := buffer[i]
			for j := range m {
				if j <= i {
					t -= mat[i*m+j] * v[j]
				} else {
					t -= mat[j*m+i] * v[j]
				}
			}
			rest[i] = t
		}
		triangles(l, m, rest[:m])
		for i := range v {
			v[i] += rest[i]
		}
	}
}

func triangles(l []float64, m int, v []float64) {
	for i := range m {
		t := v[i]
		for k := range i {
			t -= l[i*m+k] * v[k]
		}
		v[i] = t / l[i*m+i]
	}
	for i := m - 1; i >= 0; i-- {
		t := v[i]
		for k := i + 1; k < m; k++ {
			t -= l[k*m+i] * v[k]
		}
		v[i] = t / l[i*m+i]
	}
}

// times adds k·A·v.
func (p *program) times(v, to []float64, k float64) {
	for j, t := range v {
		if t == 0 {
			continue
		}
		for i, a := range p.a[j*p.rows : (j+1)*p.rows] {
			to[i] += k * t * a
		}
	}
}

// transposed writes Aᵀ·y.
func (p *program) transposed(y, to []float64) {
	for j := range to {
		to[j] = dot(p.a[j*p.rows:(j+1)*p.rows], y)
	}
}

// correct writes q = λ \ (σμ·e − λ∘λ − a∘b) for the scaled affine steps a and b.
func (p *program) correct(lambda, a, b []float64, target float64, q []float64) {
	o := 0
	for _, size := range p.blocks {
		l, u, v := lambda[o:o+size], a[o:o+size], b[o:o+size]
		var r [4]float64
		r[0] = target - dot(l, l) - dot(u, v)
		for i := 1; i < size; i++ {
			r[i] = -2*l[0]*l[i] - u[0]*v[i] - v[0]*u[i]
		}
		along := 0.0
		for i := 1; i < size; i++ {
			along += l[i] * r[i]
		}
		q[o] = (l[0]*r[0] - along) / minor(l)
		for i := 1; i < size; i++ {
			q[o+i] = (r[i] - q[o]*l[i]) / l[0]
		}
		o += size
	}
}

// step is the longest step from v along d within the cones.
func (p *program) step(v, d []float64) float64 {
	longest := math.Inf(1)
	o := 0
	for _, size := range p.blocks {
		v, d := v[o:o+size], d[o:o+size]
		o += size
		if size == 1 {
			if d[0] < 0 {
				longest = math.Min(longest, -v[0]/d[0])
			}
			continue
		}
		// (v + t·d)₀² = |(v + t·d)₁|²: a·t² + 2b·t + c = 0 with c > 0.
		a, b, c := d[0]*d[0], v[0]*d[0], minor(v)
		for i := 1; i < size; i++ {
			a -= d[i] * d[i]
			b -= v[i] * d[i]
		}
		root := b*b - a*c
		switch {
		case root < 0:
		case a < 0 || b < 0:
			// The smallest positive root, written so that nothing cancels.
			if t := c / (math.Sqrt(root) - b); t > 0 {
				longest = math.Min(longest, t)
			}
		}
	}
	return longest
}
