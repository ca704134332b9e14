package hand

import (
	"errors"
	"fmt"
	"math"
)

// ErrJammed is the error of [Transmission.Close] where strong friction leaves hand and item without a posture at rest.
var ErrJammed = errors.New("the contacts and cords contradict each other: no posture and no forces satisfy all of them")

// complementarity finds z ≥ 0 with w = q + M·z ≥ 0 and w·z = 0: either a gap is closed and carries force, or it is open and
// carries none. M is n×n, row by row, positive semidefinite. It is Lemke's pivoting (C. E. Lemke 1965; R. W. Cottle, J.-S.
// Pang, R. E. Stone, "The Linear Complementarity Problem" (1992) sect. 4.4, from memory), which ends for such matrices
// either with an answer or with the proof that there is none.
func complementarity(m, q []float64) (z []float64, err error) {
	n := len(q)
	z = make([]float64, n)
	worst, entering := 0.0, -1
	for i, v := range q {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return nil, fmt.Errorf("entry %d of the complementarity problem is %g", i+1, v)
		}
		if v < worst {
			worst, entering = v, i
		}
	}
	if entering < 0 {
		return z, nil
	}
	// Columns: w, z, the artificial variable, the right side. Variables are numbered alike.
	const rightOf = 1
	artificial, width := 2*n, 2*n+1+rightOf
	table := make([]float64, n*width)
	basis := make([]int, n)
	for i := range n {
		row := table[i*width : (i+1)*width]
		row[i], basis[i] = 1, i
		for j := range n {
			row[n+j] = -m[i*n+j]
		}
		row[artificial], row[artificial+1] = -1, q[i]
	}
	pivot := func(r, c int) {
		pr := table[r*width : (r+1)*width]
		f := 1 / pr[c]
		for j := range pr {
			pr[j] *= f
		}
		for i := range n {
			if row := table[i*width : (i+1)*width]; i != r && row[c] != 0 {
				f := row[c]
				for j := range row {
					row[j] -= f * pr[j]
				}
				row[c] = 0
			}
		}
	}
	leaving := basis[entering]
	pivot(entering, artificial)
	basis[entering] = artificial
	for range 50 * (n + 2) {
		column := leaving + n // the partner of what just left
		if leaving >= n {
			column = leaving - n
		}
		largest := 0.0
		for i := range n {
			largest = math.Max(largest, math.Abs(table[i*width+column]))
		}
		r, least := -1, math.Inf(1)
		for i := range n {
			if d := table[i*width+column]; d > 1e-12*largest {
				ratio := math.Max(table[i*width+artificial+1], 0) / d
				// On a tie the artificial variable goes first, which ends the search.
				if ratio < least || ratio == least && basis[i] == artificial {
					r, least = i, ratio
				}
			}
		}
		if r < 0 {
			return nil, ErrJammed
		}
		leaving = basis[r]
		pivot(r, column)
		basis[r] = column
		if leaving == artificial {
			for i, v := range basis {
				if v >= n && v < artificial {
					z[v-n] = math.Max(table[i*width+artificial+1], 0)
				}
			}
			polish(m, q, z, basis)
			return z, nil
		}
	}
	return nil, fmt.Errorf("the search for what touches did not end; the contacts are nearly redundant")
}

// polish solves once more, directly, for what is not zero: every pivot left its rounding in the table.
func polish(m, q, z []float64, basis []int) {
	n := len(q)
	var on []int
	for _, v := range basis {
		if v >= n && v < 2*n {
			on = append(on, v-n)
		}
	}
	a, b := make([]float64, len(on)*len(on)), make([]float64, len(on))
	for r, i := range on {
		b[r] = -q[i]
		for c, k := range on {
			a[r*len(on)+c] = m[i*n+k]
		}
	}
	if !solveLinear(a, b) {
		return
	}
	for _, v := range b {
		if !(v >= 0) {
			return // on an edge between two answers; the table's is as good
		}
	}
	for r, i := range on {
		z[i] = b[r]
	}
}
