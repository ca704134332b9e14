package touch

import (
	"context"
	"math"

	"holdfast/numeric/dense"
)

// kernel keeps the rows of a kernel matrix that were asked for: the machines of all pairs and all parts share them.
type kernel struct {
	x       Matrix
	gamma   float64
	squares []float64
	rows    [][]float32
	filled  int
}

// keptKernel bounds the numbers that a kernel keeps; beyond it rows are computed anew.
const keptKernel = 1 << 26

func newKernel(x Matrix, gamma float64) *kernel {
	k := &kernel{x: x, gamma: gamma, squares: make([]float64, x.Rows), rows: make([][]float32, x.Rows)}
	for i := range x.Rows {
		k.squares[i] = dense.Dot(x.Row(i), x.Row(i))
	}
	return k
}

// row returns the kernel of clip i with every clip.
func (k *kernel) row(i int) []float32 {
	if k.rows[i] != nil {
		return k.rows[i]
	}
	if k.filled+k.x.Rows > keptKernel {
		clear(k.rows)
		k.filled = 0
	}
	r := make([]float32, k.x.Rows)
	a := k.x.Row(i)
	for j := 0; j < len(r); j += 2 {
		other := min(j+1, len(r)-1)
		u, v := dots2(a, k.x.Row(j), k.x.Row(other))
		r[j], r[other] = k.value(i, j, u), k.value(i, other, v)
	}
	k.rows[i] = r
	k.filled += len(r)
	return r
}

// value returns the kernel of clips i and j from the product of their features.
func (k *kernel) value(i, j int, dot float64) float32 {
	if k.gamma > 0 {
		dot = math.Exp(-k.gamma * max(0, k.squares[i]+k.squares[j]-2*dot))
	}
	return float32(dot)
}

// fill computes the whole kernel, after which any number of goroutines may use it. It reports whether it was small enough
// to be kept, and ctx did not end meanwhile.
func (k *kernel) fill(ctx context.Context, workers int) bool {
	n := k.x.Rows
	if n*n > keptKernel {
		return false
	}
	all := make([]float32, n*n)
	for i := range n {
		k.rows[i] = all[i*n : (i+1)*n]
	}
	k.filled = n * n
	const tile = 32 // rows that stay in the cache while all others pass
	err := inParallel(ctx, (n+tile-1)/tile, workers, func(t int) {
		from, to := t*tile, min((t+1)*tile, n)
		for j := 0; j < to; j += 2 {
			second := min(j+1, n-1)
			a, b := k.x.Row(j), k.x.Row(second)
			for i := from; i < to; i += 2 {
				other := min(i+1, n-1)
				s00, s01, s10, s11 := dense.Dots2x2(k.x.Row(i), k.x.Row(other), a, b)
				k.rows[i][j] = k.value(i, j, s00)
				k.rows[other][j] = k.value(other, j, s10)
				k.rows[i][second] = k.value(i, second, s01)
				k.rows[other][second] = k.value(other, second, s11)
			}
		}
	})
	if err != nil {
		return false
	}
	dense.InParallel((n+tile-1)/tile, workers, func(t int) {
		for i := t * tile; i < min((t+1)*tile, n); i++ {
			for j := i + 1; j < n; j++ {
				k.rows[i][j] = k.rows[j][i]
			}
		}
	})
	return true
}

// diagonal returns the kernel of clip i with itself.
func (k *kernel) diagonal(i int) float64 {
	if k.gamma > 0 {
		return 1
	}
	return k.squares[i]
}

// separate solves equation (8) for the clips `rows` with signs ±1 by sequential minimal optimisation, choosing pairs by the
// largest violation and the largest gain (R.-E. Fan, P.-H. Chen, C.-J. Lin, "Working set selection using second order
// information for training support vector machines", 2005; from memory), to a violation of 1e-3. It returns
// sign·multiplier of each clip, and the intercept; what it has when ctx ends is of no use.
func separate(ctx context.Context, k *kernel, rows []int, sign []float64, c float64) (weight []float64, intercept float64) {
	const tolerance, tau = 1e-3, 1e-12
	n := len(rows)
	alpha, gradient := make([]float64, n), make([]float64, n)
	for i := range gradient {
		gradient[i] = -1
	}
	diagonal := make([]float64, n)
	for i, r := range rows {
		diagonal[i] = k.diagonal(r)
	}
	up := func(t int) bool { return sign[t] > 0 && alpha[t] < c || sign[t] < 0 && alpha[t] > 0 }
	low := func(t int) bool { return sign[t] > 0 && alpha[t] > 0 || sign[t] < 0 && alpha[t] < c }
	for range max(10_000_000/max(n, 1), 100*n) {
		if ctx.Err() != nil {
			break
		}
		i, top := -1, math.Inf(-1)
		for t, g := range gradient {
			if v := -sign[t] * g; v > top && up(t) {
				i, top = t, v
			}
		}
		if i < 0 {
			break
		}
		ki := k.row(rows[i])
		j, bottom, best := -1, math.Inf(1), 0.0
		for t, g := range gradient {
			v := -sign[t] * g
			if (v >= top && v >= bottom) || !low(t) {
				continue
			}
			bottom = min(bottom, v)
			if d := top - v; d > 0 {
				curve := diagonal[i] + diagonal[t] - 2*float64(ki[rows[t]])
				if curve <= 0 {
					curve = tau
				}
				if gain := d * d / curve; gain > best {
					j, best = t, gain
				}
			}
		}
		if j < 0 || top-bottom < tolerance {
			break
		}
		kj := k.row(rows[j])
		curve := max(diagonal[i]+diagonal[j]-2*float64(ki[rows[j]]), tau)
		step := (top + sign[j]*gradient[j]) / curve
		// Both multipliers stay between 0 and c.
		if sign[i] > 0 {
			step = min(step, c-alpha[i])
		} else {
			step = min(step, alpha[i])
		}
		if sign[j] > 0 {
			step = min(step, alpha[j])
		} else {
			step = min(step, c-alpha[j])
		}
		alpha[i] = snap(alpha[i]+sign[i]*step, c)
		alpha[j] = snap(alpha[j]-sign[j]*step, c)
		for t, r := range rows {
			gradient[t] += sign[t] * step * (float64(ki[r]) - float64(kj[r]))
		}
	}
	// The intercept is the mean over clips on their margin, or the middle of what is possible.
	sum, free, least, most := 0.0, 0, math.Inf(1), math.Inf(-1)
	for t, g := range gradient {
		v := -sign[t] * g
		switch {
		case alpha[t] > 0 && alpha[t] < c:
			sum += v
			free++
		case up(t):
			most = max(most, v)
		default:
			least = min(least, v)
		}
	}
	weight = make([]float64, n)
	for t := range weight {
		weight[t] = sign[t] * alpha[t]
	}
	if free > 0 {
		return weight, sum / float64(free)
	}
	if math.IsInf(least, 0) || math.IsInf(most, 0) {
		return weight, 0
	}
	return weight, (least + most) / 2
}

// snap puts a multiplier that is at a bound but for rounding onto it.
func snap(a, c float64) float64 {
	switch {
	case a < 1e-12*c:
		return 0
	case a > c*(1-1e-12):
		return c
	}
	return a
}

// heldOutValues returns each clip's value from a machine that was trained without its third.
func heldOutValues(ctx context.Context, k *kernel, rows []int, sign []float64, c float64) []float64 {
	const parts = 3
	values := make([]float64, len(rows))
	for part := range parts {
		var r []int
		var s []float64
		for i := range rows {
			if i%parts != part {
				r, s = append(r, rows[i]), append(s, sign[i])
			}
		}
		w, b := separate(ctx, k, r, s, c)
		for i := part; i < len(rows); i += parts {
			v, ki := b, k.row(rows[i])
			for t, wt := range w {
				if wt != 0 {
					v += wt * float64(ki[r[t]])
				}
			}
			values[i] = v
		}
	}
	return values
}

// plattFit fits the probability 1/(1 + exp(slope·v + offset)) of sign +1 by maximum likelihood with targets drawn in from 0
// and 1 (J. C. Platt, "Probabilistic outputs for support vector machines", 1999; from memory), by Newton's method with step
// halving.
func plattFit(values, sign []float64) (slope, offset float64) {
	plus, minus := 0.0, 0.0
	for _, s := range sign {
		if s > 0 {
			plus++
		} else {
			minus++
		}
	}
	target := func(i int) float64 {
		if sign[i] > 0 {
			return (plus + 1) / (plus + 2)
		}
		return 1 / (minus + 2)
	}
	loss := func(a, b float64) float64 {
		s := 0.0
		for i, v := range values {
			f := a*v + b
			// −t·ln p − (1−t)·ln(1−p) without overflow.
			s += target(i)*f + math.Log1p(math.Exp(-math.Abs(f))) + max(-f, 0)
		}
		return s
	}
	offset = math.Log((minus + 1) / (plus + 1))
	now := loss(0, offset)
	for range 100 {
		var g1, g2 float64
		h11, h22, h12 := 1e-12, 1e-12, 0.0
		for i, v := range values {
			p := 1 / (1 + math.Exp(slope*v+offset))
			d, q := target(i)-p, p*(1-p)
			g1, g2 = g1+d*v, g2+d
			h11, h22, h12 = h11+v*v*q, h22+q, h12+v*q
		}
		if math.Abs(g1) < 1e-8 && math.Abs(g2) < 1e-8 {
			break
		}
		det := h11*h22 - h12*h12
		da, db := -(h22*g1-h12*g2)/det, -(h11*g2-h12*g1)/det
		step, better := 1.0, false
		for ; step > 1e-10; step /= 2 {
			if l := loss(slope+step*da, offset+step*db); l < now {
				slope, offset, now, better = slope+step*da, offset+step*db, l, true
				break
			}
		}
		if !better {
			break
		}
	}
	return slope, offset
}
