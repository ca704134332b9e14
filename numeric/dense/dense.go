package dense

import (
	"math"
)

// Symmetric positive definite matrices, row-major, lower triangle. Every product here is a set of dot products of
// rows, so memory is read in order; tiles of rows go to the workers, and each number is computed by one of them in one
// fixed order.

const tile = 48

// Cholesky replaces the lower triangle of the n×n matrix a by its factor L with a = L·Lᵀ. It reports whether a is
// positive definite.
func Cholesky(a []float64, n, workers int) bool {
	return CholeskyUntil(a, n, workers, func() bool { return false })
}

// CholeskyUntil is Cholesky, and gives up and reports false once stopped says true. It asks 48 rows apart, from one goroutine.
func CholeskyUntil(a []float64, n, workers int, stopped func() bool) bool {
	for k := 0; k < n; k += tile {
		if stopped() {
			return false
		}
		end := min(k+tile, n)
		if k > 0 {
			subtractDots(a, a, a, n, k, end, k, end, 0, k)
		}
		for i := k; i < end; i++ {
			row := a[i*n : i*n+i+1]
			for j := k; j <= i; j++ {
				other := a[j*n : j*n+j+1]
				sum := row[j]
				for q := k; q < j; q++ {
					sum -= row[q] * other[q]
				}
				if j < i {
					row[j] = sum / other[j]
					continue
				}
				if !(sum > 0) || math.IsInf(sum, 0) {
					return false
				}
				row[i] = math.Sqrt(sum)
			}
		}
		tiles := (n - end + tile - 1) / tile
		InParallel(tiles, workers, func(t int) {
			i0 := end + t*tile
			i1 := min(i0+tile, n)
			if k > 0 {
				subtractDots(a, a, a, n, i0, i1, k, end, 0, k)
			}
			solveRight(a, a, n, i0, i1, k, end)
		})
	}
	return true
}

// subtractDots subtracts from c[i][j] the dot products of x[i][from:to] and y[j][from:to], for i in [i0, i1) and j in
// [j0, j1). All matrices are n wide.
func subtractDots(c, x, y []float64, n, i0, i1, j0, j1, from, to int) {
	i := i0
	for ; i+2 <= i1; i += 2 {
		x0, x1 := x[i*n+from:i*n+to], x[(i+1)*n+from:(i+1)*n+to]
		j := j0
		for ; j+2 <= j1; j += 2 {
			s00, s01, s10, s11 := Dots2x2(x0, x1, y[j*n+from:j*n+to], y[(j+1)*n+from:(j+1)*n+to])
			c[i*n+j] -= s00
			c[i*n+j+1] -= s01
			c[(i+1)*n+j] -= s10
			c[(i+1)*n+j+1] -= s11
		}
		for ; j < j1; j++ {
			row := y[j*n+from : j*n+to]
			c[i*n+j] -= Dot(x0, row)
			c[(i+1)*n+j] -= Dot(x1, row)
		}
	}
	for ; i < i1; i++ {
		row := x[i*n+from : i*n+to]
		for j := j0; j < j1; j++ {
			c[i*n+j] -= Dot(row, y[j*n+from:j*n+to])
		}
	}
}

// Dots2x2 returns the dot products of two rows with two others. Larger tiles do not fit the registers and are slower.
func Dots2x2(x0, x1, y0, y1 []float64) (s00, s01, s10, s11 float64) {
	n := len(y0)
	x0, x1, y1 = x0[:n], x1[:n], y1[:n]
	for k, p := range y0 {
		q := y1[k]
		u, v := x0[k], x1[k]
		s00 += u * p
		s01 += u * q
		s10 += v * p
		s11 += v * q
	}
	return s00, s01, s10, s11
}

// Dot returns the dot product of x and the first len(x) numbers of y.
func Dot(x, y []float64) float64 {
	s := 0.0
	y = y[:len(x)]
	for i, v := range x {
		s += v * y[i]
	}
	return s
}

// solveRight replaces rows [i0, i1) of c, columns [k, end), by X with X·Lᵀ = c, where L is the diagonal tile of l.
func solveRight(c, l []float64, n, i0, i1, k, end int) {
	for i := i0; i < i1; i++ {
		row := c[i*n+k : i*n+end]
		for j := range row {
			other := l[(k+j)*n+k : (k+j)*n+k+j+1]
			row[j] = (row[j] - Dot(other[:j], row[:j])) / other[j]
		}
	}
}

// Solve replaces b by (L·Lᵀ)⁻¹·b.
func Solve(l []float64, n int, b []float64) {
	SolveLower(l, n, b)
	SolveUpper(l, n, b)
}

// SolveLower replaces b by L⁻¹·b.
func SolveLower(l []float64, n int, b []float64) {
	for i := range n {
		row := l[i*n : i*n+i+1]
		b[i] = (b[i] - Dot(row[:i], b[:i])) / row[i]
	}
}

// SolveUpper replaces b by L⁻ᵀ·b.
func SolveUpper(l []float64, n int, b []float64) {
	for i := n - 1; i >= 0; i-- {
		row := l[i*n : i*n+i+1]
		b[i] /= row[i]
		for j, v := range row[:i] {
			b[j] -= v * b[i]
		}
	}
}

// LogDeterminant returns ln det(L·Lᵀ).
func LogDeterminant(l []float64, n int) float64 {
	s := 0.0
	for i := range n {
		s += math.Log(l[i*n+i])
	}
	return 2 * s
}

// Invert writes the lower triangle of (L·Lᵀ)⁻¹ into dst, using scratch of n² numbers.
func Invert(dst, scratch, l []float64, n, workers int) {
	tiles := (n + tile - 1) / tile
	// Row j of scratch becomes column j of L⁻¹.
	InParallel(tiles, workers, func(t int) {
		j0, j1 := t*tile, min((t+1)*tile, n)
		for j := j0; j < j1; j++ {
			clear(scratch[j*n+j0 : (j+1)*n])
			scratch[j*n+j] = 1
		}
		for i0 := j0; i0 < n; i0 += tile {
			i1 := min(i0+tile, n)
			if i0 > j0 {
				subtractDots(scratch, scratch, l, n, j0, j1, i0, i1, j0, i0)
			}
			solveRight(scratch, l, n, j0, j1, i0, i1)
		}
	})
	InParallel(tiles, workers, func(t int) {
		t = tiles - 1 - t
		i0, i1 := t*tile, min((t+1)*tile, n)
		for i := i0; i < i1; i++ {
			clear(dst[i*n : i*n+i1])
		}
		for j0 := 0; j0 <= i0; j0 += tile {
			subtractDots(dst, scratch, scratch, n, i0, i1, j0, min(j0+tile, n), i0, n)
		}
		for i := i0; i < i1; i++ {
			row := dst[i*n : i*n+i1]
			for j := range row {
				row[j] = -row[j]
			}
		}
	})
}
