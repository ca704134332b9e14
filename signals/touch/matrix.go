package touch

import (
	"math"

	"holdfast/numeric/dense"
)

// Matrix holds rows of numbers, row by row: one row a clip, one column a feature.
type Matrix struct {
	Rows, Cols int
	Data       []float64 // Rows·Cols numbers
}

// NewMatrix returns a matrix of zeros.
func NewMatrix(rows, cols int) Matrix { return Matrix{rows, cols, make([]float64, rows*cols)} }

// Row returns row i; it shares memory with the matrix.
func (m Matrix) Row(i int) []float64 { return m.Data[i*m.Cols : (i+1)*m.Cols : (i+1)*m.Cols] }

// Pick returns a copy of the rows of the given numbers.
func (m Matrix) Pick(rows []int) Matrix {
	p := NewMatrix(len(rows), m.Cols)
	for i, r := range rows {
		copy(p.Row(i), m.Row(r))
	}
	return p
}

// pick returns the elements of the given numbers.
func pick[T any](list []T, at []int) []T {
	p := make([]T, len(at))
	for i, k := range at {
		p[i] = list[k]
	}
	return p
}

// turned returns the matrix with rows and columns exchanged.
func (m Matrix) turned() Matrix {
	t := NewMatrix(m.Cols, m.Rows)
	// In tiles, so that both sides stay in the cache.
	const tile = 16
	for i0 := 0; i0 < m.Rows; i0 += tile {
		for j0 := 0; j0 < m.Cols; j0 += tile {
			for i := i0; i < min(i0+tile, m.Rows); i++ {
				for j := j0; j < min(j0+tile, m.Cols); j++ {
					t.Data[j*m.Rows+i] = m.Data[i*m.Cols+j]
				}
			}
		}
	}
	return t
}

// addGram adds the products of the columns, xᵀ·x, to the lower triangle of g (Cols × Cols).
func addGram(g []float64, x Matrix) {
	p := x.Cols
	// A stretch of rows at a time keeps the turned columns in the cache.
	const stretch = 256
	for from := 0; from < x.Rows; from += stretch {
		to := min(from+stretch, x.Rows)
		t := Matrix{to - from, p, x.Data[from*p : to*p]}.turned()
		i := 0
		for ; i+1 < p; i += 2 {
			a, b := t.Row(i), t.Row(i+1)
			for j := 0; j <= i; j += 2 {
				s00, s01, s10, s11 := dense.Dots2x2(a, b, t.Row(j), t.Row(j+1))
				g[i*p+j] += s00
				g[(i+1)*p+j] += s10
				g[(i+1)*p+j+1] += s11
				if j < i {
					g[i*p+j+1] += s01
				}
			}
		}
		if i < p {
			for j := 0; j <= i; j++ {
				g[i*p+j] += dense.Dot(t.Row(i), t.Row(j))
			}
		}
	}
}

// mirror copies the lower triangle of a square matrix to the upper.
func mirror(a []float64, n int) {
	for i := range n {
		for j := range i {
			a[j*n+i] = a[i*n+j]
		}
	}
}

// Standard takes the mean off every feature and divides it by its standard deviation; a constant feature is divided by 1.
type Standard struct {
	Mean  []float64 `json:"mean"`
	Scale []float64 `json:"scale"`
}

// FitStandard finds means and standard deviations (divisor: the number of rows).
func FitStandard(x Matrix) *Standard {
	s := &Standard{make([]float64, x.Cols), make([]float64, x.Cols)}
	for i := range x.Rows {
		for j, v := range x.Row(i) {
			s.Mean[j] += v
		}
	}
	for j := range s.Mean {
		s.Mean[j] /= float64(max(x.Rows, 1))
	}
	for i := range x.Rows {
		for j, v := range x.Row(i) {
			d := v - s.Mean[j]
			s.Scale[j] += d * d
		}
	}
	for j, v := range s.Scale {
		s.Scale[j] = safeScale(math.Sqrt(v/float64(max(x.Rows, 1))), s.Mean[j], x.Rows)
	}
	return s
}

// safeScale replaces the standard deviation of a feature that is constant but for rounding by 1.
func safeScale(deviation, mean float64, rows int) float64 {
	const eps = 0x1p-52
	n := float64(rows)
	if variance := deviation * deviation; variance <= n*eps*variance+(n*mean*eps)*(n*mean*eps) || deviation < 10*eps {
		return 1
	}
	return deviation
}

// Apply standardises a row into dst, which may be the row.
func (s *Standard) Apply(dst, row []float64) {
	mean, scale := s.Mean[:len(row)], s.Scale[:len(row)]
	dst = dst[:len(row)]
	for j, v := range row {
		dst[j] = (v - mean[j]) / scale[j]
	}
}
