package additive

import (
	"fmt"
	"math"

	"holdfast/orient"
)

// shape is a set of functions of a row that several terms may share.
type shape struct {
	key  string
	size int
	fill func(dst []float64, d *Data, i int)
}

// Standard numbers of functions: enough for length scales down to a fifth of the half range tried (DESIGN.md, "Smooth").
const (
	smoothFunctions = 16
	offsetFunctions = 8
	boxHalf         = 1.5  // half length of the box of the functions, in half ranges
	reach           = 1.25 // variables beyond this, in half ranges, are read as lying there
)

// span maps the range of a variable tried onto [−1, 1].
type span struct{ centre, half float64 }

func spanOf(x, trials []float64) span {
	low, high := math.Inf(1), math.Inf(-1)
	for i, v := range x {
		if trials[i] > 0 {
			low, high = math.Min(low, v), math.Max(high, v)
		}
	}
	if !(high > low) {
		if math.IsInf(low, 0) {
			low = 0
		}
		return span{low, 1}
	}
	return span{(low + high) / 2, (high - low) / 2}
}

func (s span) at(x float64) float64 {
	return math.Max(-reach, math.Min(reach, (x-s.centre)/s.half))
}

// smoothShape has the straight line first, then the eigenfunctions of the Laplace operator on the box.
func smoothShape(variable string, count int, s span) shape {
	return shape{
		key: fmt.Sprintf("smooth %s %d", variable, count), size: 1 + count,
		fill: func(dst []float64, d *Data, i int) {
			x := s.at(d.Numbers[variable][i])
			dst[0] = x
			eigenfunctions(dst[1:], x, boxHalf)
		},
	}
}

// offsetShape has two straight lines first, then products of eigenfunctions, by the list of pairs.
func offsetShape(x, y string, pairs [][2]int, count int, sx, sy span) shape {
	return shape{
		key: fmt.Sprintf("offset %s %s %d", x, y, count), size: 2 + len(pairs),
		fill: func(dst []float64, d *Data, i int) {
			u, v := make([]float64, count), make([]float64, count)
			dst[0], dst[1] = sx.at(d.Numbers[x][i]), sy.at(d.Numbers[y][i])
			eigenfunctions(u, dst[0], boxHalf)
			eigenfunctions(v, dst[1], boxHalf)
			for k, p := range pairs {
				dst[2+k] = u[p[0]-1] * v[p[1]-1]
			}
		},
	}
}

// offsetPairs lists the products that are kept: frequencies inside a disc, because a corner of the square is finer than
// any of its sides.
func offsetPairs(count int) (pairs [][2]int) {
	for j := 1; j <= count; j++ {
		for k := 1; k <= count; k++ {
			if j*j+k*k <= (count+1)*(count+1) {
				pairs = append(pairs, [2]int{j, k})
			}
		}
	}
	return pairs
}

// orientationShape has the harmonics without the constant. A basis of lower degree is its beginning.
func orientationShape(h *orient.Harmonics) shape {
	s := h.Symmetry()
	return shape{
		key: fmt.Sprintf("orientation %d %d %t %t", s.Hand(), s.Around(), s.Axial(), s.Mirror()), size: h.Len() - 1,
		fill: func(dst []float64, d *Data, i int) {
			all := make([]float64, h.Len())
			r, _ := d.Orientations[i].Normalized()
			h.Values(all, r.Canonical())
			copy(dst, all[1:])
		},
	}
}

// eigenfunctions writes sin(πj(x+L)/2L)/√L for j = 1, 2, … (A. Solin, S. Särkkä, "Hilbert space methods for reduced-rank
// Gaussian process regression", Statistics and Computing 30 (2020) 419; from memory).
func eigenfunctions(dst []float64, x, half float64) {
	for j := range dst {
		dst[j] = math.Sin(math.Pi*float64(j+1)*(x+half)/(2*half)) / math.Sqrt(half)
	}
}

// frequency is the square root of eigenvalue j of the box: πj/2L.
func frequency(j int, half float64) float64 { return math.Pi * float64(j) / (2 * half) }
