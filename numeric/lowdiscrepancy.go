package numeric

import (
	"errors"
	"fmt"
	"math/bits"
	"sort"
)

// sobolBits is the number of binary digits of each coordinate, and so the
// logarithm of the number of points before a sequence repeats.
const sobolBits = 32

// joeKuo lists, for the second and later dimensions, the degree and inner
// coefficients of the primitive polynomial and the first direction integers
// (S. Joe, F. Y. Kuo, "Constructing Sobol sequences with better two-dimensional
// projections", SIAM J. Sci. Comput. 30 (2008) 2635, data set D⁽⁶⁾; the ten first
// rows, recalled and confirmed against a general-purpose library).
var joeKuo = []struct {
	degree, inner uint32
	m             []uint32
}{
	{1, 0, []uint32{1}},
	{2, 1, []uint32{1, 3}},
	{3, 1, []uint32{1, 3, 1}},
	{3, 2, []uint32{1, 1, 1}},
	{4, 1, []uint32{1, 1, 3, 3}},
	{4, 4, []uint32{1, 3, 5, 13}},
	{5, 2, []uint32{1, 1, 5, 5, 17}},
	{5, 4, []uint32{1, 1, 5, 5, 5}},
	{5, 7, []uint32{1, 1, 7, 11, 19}},
}

// SobolMaxDim is the largest number of dimensions that [NewSobol] offers.
const SobolMaxDim = 10

// Sobol is a Sobol' sequence, plain or scrambled. It is safe for concurrent use.
type Sobol struct {
	directions [][sobolBits]uint32
	keys       []uint64 // one scrambling key a dimension; nil for the plain sequence
}

// NewSobol returns the plain Sobol' sequence in dim dimensions, in the order of
// the Gray code (I. A. Antonov, V. M. Saleev, 1979), which starts at the origin.
func NewSobol(dim int) (*Sobol, error) {
	if dim < 1 || dim > SobolMaxDim {
		return nil, fmt.Errorf("Sobol' points are available in 1 to %d dimensions, not %d", SobolMaxDim, dim)
	}
	s := &Sobol{directions: make([][sobolBits]uint32, dim)}
	for i := range sobolBits {
		s.directions[0][i] = 1 << (sobolBits - 1 - i)
	}
	for d := 1; d < dim; d++ {
		s.directions[d] = directionNumbers(joeKuo[d-1].degree, joeKuo[d-1].inner, joeKuo[d-1].m)
	}
	return s, nil
}

// directionNumbers extends the first direction integers by the recurrence of the
// primitive polynomial (Joe & Kuo 2008, eq. 2.2; from memory).
func directionNumbers(degree, inner uint32, m []uint32) (v [sobolBits]uint32) {
	for i := range sobolBits {
		if i < int(degree) {
			v[i] = m[i] << (sobolBits - 1 - i)
			continue
		}
		v[i] = v[i-int(degree)] ^ v[i-int(degree)]>>degree
		for k := 1; k < int(degree); k++ {
			if inner>>(int(degree)-1-k)&1 == 1 {
				v[i] ^= v[i-k]
			}
		}
	}
	return v
}

// NewScrambledSobol returns a Sobol' sequence with nested uniform scrambling
// (A. B. Owen, "Randomly permuted (t,m,s)-nets and (t,s)-sequences", 1995): every
// point is uniform on the cube, and any stretch keeps the evenness of the plain
// sequence. The key, such as a draw from a [Stream], fixes the scrambling. Each
// coordinate lies strictly inside (0, 1).
func NewScrambledSobol(dim int, key uint64) (*Sobol, error) {
	s, err := NewSobol(dim)
	if err != nil {
		return nil, err
	}
	s.keys = make([]uint64, dim)
	for d := range s.keys {
		s.keys[d] = mix64(key + uint64(d+1)*0x9e3779b97f4a7c15)
	}
	return s, nil
}

// Dim returns the number of dimensions.
func (s *Sobol) Dim() int { return len(s.directions) }

// At returns point number i, counted from 0.
func (s *Sobol) At(i uint32) []float64 {
	point := make([]float64, len(s.directions))
	gray := i ^ i>>1
	for d := range point {
		var x uint32
		for g := gray; g != 0; g &= g - 1 {
			x ^= s.directions[d][bits.TrailingZeros32(g)]
		}
		if s.keys == nil {
			point[d] = float64(x) / (1 << sobolBits)
			continue
		}
		point[d] = (float64(nestedScramble(x, s.keys[d])) + 0.5) / (1 << sobolBits)
	}
	return point
}

// nestedScramble flips each binary digit of x by a coin that belongs to all the
// digits before it.
func nestedScramble(x uint32, key uint64) uint32 {
	var flips uint32
	for level := range sobolBits {
		prefix := uint64(x) >> (sobolBits - level) // the digits above; level 0 has none
		coin := mix64(key ^ (prefix<<6 | uint64(level)))
		flips |= uint32(coin>>63) << (sobolBits - 1 - level)
	}
	return x ^ flips
}

// mix64 spreads every bit of v over the whole word (finaliser of SplitMix64:
// G. L. Steele, D. Lea, C. H. Flood, OOPSLA 2014; from memory).
func mix64(v uint64) uint64 {
	v = (v ^ v>>30) * 0xbf58476d1ce4e5b9
	v = (v ^ v>>27) * 0x94d049bb133111eb
	return v ^ v>>31
}

// RadicalInverse returns the digits of k in the base ≥ 2 mirrored at the point:
// element k of van der Corput's sequence, in [0, 1). It is 0 for a smaller base.
// A point of Halton's sequence has it in a different prime base per dimension.
func RadicalInverse(base, k uint32) float64 {
	if base < 2 {
		return 0
	}
	mirrored, scale := 0.0, 1.0
	for ; k > 0; k /= base {
		scale /= float64(base)
		mirrored += scale * float64(k%base)
	}
	return mirrored
}

// StarDiscrepancy returns the star discrepancy of points in the unit square: the
// largest gap between the share of points in a box with a corner at the origin
// and the box's area. It is exact and takes n² steps, so it is for up to a few
// thousand points. A coordinate outside [0, 1] or no point at all is an error.
func StarDiscrepancy(points [][2]float64) (float64, error) {
	if len(points) == 0 {
		return 0, errors.New("star discrepancy needs at least one point")
	}
	sorted := append([][2]float64(nil), points...)
	for i, p := range sorted {
		for _, c := range p {
			if !(c >= 0 && c <= 1) {
				return 0, fmt.Errorf("point %d has coordinate %g outside 0…1", i, c)
			}
		}
	}
	sort.Slice(sorted, func(i, j int) bool { return sorted[i][0] < sorted[j][0] })
	n := float64(len(sorted))
	worst := 0.0
	var ys []float64 // second coordinates of the points left of the box's edge, sorted
	for i := 0; i <= len(sorted); i++ {
		right := 1.0 // the box may grow up to the next point's first coordinate
		if i < len(sorted) {
			right = sorted[i][0]
		}
		left := 0.0
		if i > 0 {
			left = sorted[i-1][0]
		}
		for j := 0; j <= len(ys); j++ {
			top, bottom := 1.0, 0.0
			if j < len(ys) {
				top = ys[j]
			}
			if j > 0 {
				bottom = ys[j-1]
			}
			worst = max(worst, right*top-float64(j)/n, float64(j)/n-left*bottom)
		}
		if i < len(sorted) {
			y := sorted[i][1]
			at := sort.SearchFloat64s(ys, y)
			ys = append(ys, 0)
			copy(ys[at+1:], ys[at:])
			ys[at] = y
		}
	}
	return worst, nil
}
