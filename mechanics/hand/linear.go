package hand

import "math"

// solveLinear solves a·x = b in place: a, row by row and n×n, is destroyed and b becomes x. Rows are swapped for the
// largest pivot. It reports whether a was regular. For the few unknowns of a finger nothing larger is needed.
func solveLinear(a, b []float64) bool {
	n := len(b)
	for k := range n {
		p := k
		for i := k + 1; i < n; i++ {
			if math.Abs(a[i*n+k]) > math.Abs(a[p*n+k]) {
				p = i
			}
		}
		pivot := a[p*n+k]
		if !(math.Abs(pivot) > 1e-300) || math.IsInf(pivot, 0) {
			return false
		}
		if p != k {
			for j := k; j < n; j++ {
				a[k*n+j], a[p*n+j] = a[p*n+j], a[k*n+j]
			}
			b[k], b[p] = b[p], b[k]
		}
		for i := k + 1; i < n; i++ {
			f := a[i*n+k] / pivot
			if f == 0 {
				continue
			}
			for j := k + 1; j < n; j++ {
				a[i*n+j] -= f * a[k*n+j]
			}
			b[i] -= f * b[k]
		}
	}
	for k := n - 1; k >= 0; k-- {
		for j := k + 1; j < n; j++ {
			b[k] -= a[k*n+j] * b[j]
		}
		b[k] /= a[k*n+k]
	}
	return true
}
