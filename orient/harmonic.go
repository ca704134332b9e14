package orient

import (
	"fmt"
	"math"
)

// MaxHarmonicDegree is the largest degree that [NewHarmonics] accepts. Recursions and tables keep their accuracy well
// beyond any degree that trials can resolve.
const MaxHarmonicDegree = 40

// Harmonic names one real function on the rotations, with R = Rz(α)·Ry(β)·Rz(γ):
//
//	φ(R) = √(2L+1) · √2 · d^L_MN(β) · cos(M·α + N·γ)    (Sine: sin)
//
// without the √2 when M = N = 0. Only M > 0, or M = 0 and N ≥ 0, are needed. They are orthonormal for the uniform
// probability on rotations, (2L+1)² of them a degree, and each is a polynomial in the entries of the rotation matrix:
// no seam, no special pole.
type Harmonic struct {
	L, M, N int
	Sine    bool
}

// harmonicPair is a cosine and sine function of the same L, M, N; sin is −1 where there is none.
type harmonicPair struct {
	l, m, n  int
	cos, sin int
	norm     float64
}

// Harmonics is the set of functions up to a degree that respect a symmetry: a hand of n folds keeps N ≡ 0 mod n,
// surroundings of m folds keep M ≡ 0 mod m, axial ones M = 0, and a shared mirror plane, which sends (α, β, γ) to
// (−α, β, −γ), keeps the cosines. Functions are ordered by degree, so a lower degree is a prefix of a higher one.
type Harmonics struct {
	degree    int
	symmetry  Symmetry
	pairs     []harmonicPair
	functions []Harmonic
	sizes     []int // sizes[l] = number of functions up to degree l
}

// NewHarmonics lists the functions up to the degree, 0 … [MaxHarmonicDegree].
func NewHarmonics(degree int, s Symmetry) (*Harmonics, error) {
	if degree < 0 || degree > MaxHarmonicDegree {
		return nil, fmt.Errorf("degree %d is outside 0 to %d", degree, MaxHarmonicDegree)
	}
	h := &Harmonics{degree: degree, symmetry: s}
	for l := 0; l <= degree; l++ {
		for m := 0; m <= l; m += s.Around() {
			if m > 0 && s.Axial() {
				break
			}
			low := -(l / s.Hand()) * s.Hand()
			if m == 0 {
				low = 0
			}
			for n := low; n <= l; n += s.Hand() {
				h.add(l, m, n, s.Mirror())
			}
		}
		h.sizes = append(h.sizes, len(h.functions))
	}
	return h, nil
}

func (h *Harmonics) add(l, m, n int, cosinesOnly bool) {
	p := harmonicPair{l: l, m: m, n: n, cos: len(h.functions), sin: -1, norm: math.Sqrt(float64(2*l + 1))}
	h.functions = append(h.functions, Harmonic{l, m, n, false})
	if m != 0 || n != 0 {
		p.norm *= math.Sqrt2
		if !cosinesOnly {
			p.sin = len(h.functions)
			h.functions = append(h.functions, Harmonic{l, m, n, true})
		}
	}
	h.pairs = append(h.pairs, p)
}

// Degree returns the largest degree.
func (h *Harmonics) Degree() int { return h.degree }

// Symmetry returns the symmetry that every function has.
func (h *Harmonics) Symmetry() Symmetry { return h.symmetry }

// Len returns the number of functions.
func (h *Harmonics) Len() int { return len(h.functions) }

// LenUpTo returns the number of functions of degree at most l.
func (h *Harmonics) LenUpTo(l int) int { return h.sizes[min(l, h.degree)] }

// At returns function number i.
func (h *Harmonics) At(i int) Harmonic { return h.functions[i] }

// Values writes the value of every function at r into dst, which has room for Len numbers. It is the plain reference;
// for many orientations use a [Torus].
func (h *Harmonics) Values(dst []float64, r Rotation) {
	alpha, beta, gamma := r.eulerZYZ()
	column := make([]float64, h.degree+1)
	lastM, lastN := -1, 0
	columns := map[[2]int][]float64{}
	for _, p := range h.pairs {
		if p.m != lastM || p.n != lastN {
			known, ok := columns[[2]int{p.m, p.n}]
			if !ok {
				known = make([]float64, h.degree+1)
				smallDColumn(known, p.m, p.n, beta)
				columns[[2]int{p.m, p.n}] = known
			}
			column, lastM, lastN = known, p.m, p.n
		}
		s, c := math.Sincos(float64(p.m)*alpha + float64(p.n)*gamma)
		dst[p.cos] = p.norm * column[p.l] * c
		if p.sin >= 0 {
			dst[p.sin] = p.norm * column[p.l] * s
		}
	}
}

// eulerZYZ returns α, β ∈ [0, π], γ (rad) with r = Rz(α)·Ry(β)·Rz(γ). At β = 0 or π only the sum or the difference of
// α and γ means anything, and every function on rotations depends on that alone.
func (r Rotation) eulerZYZ() (alpha, beta, gamma float64) {
	half, turn := math.Atan2(r.Z, r.W), math.Atan2(-r.X, r.Y)
	return half + turn, 2 * math.Atan2(math.Hypot(r.X, r.Y), math.Hypot(r.W, r.Z)), half - turn
}
