package orient

import "sync"

// HarmonicProduct turns products of two functions of degree L into sums of functions up to degree 2L and back. With
// the Clebsch–Gordan series of two Wigner functions,
//
//	d^a_mn · d^b_pq = Σ_c ⟨a m b p|c m+p⟩ ⟨a n b q|c n+q⟩ d^c_{m+p, n+q}
//
// (Varshalovich et al. 1988 §4.6; from memory), a weighted Gram matrix Σ_i w_i φ(R_i) φ(R_i)ᵀ needs the data only
// through the moments Σ_i w_i φ(R_i) up to degree 2L, and a quadratic form φ(R)ᵀ V φ(R) is one function of degree 2L.
type HarmonicProduct struct {
	single, double *Harmonics
	span           int         // 2·double.degree + 1
	depth          int         // double.degree + 1
	tables         [][]float64 // [a·(L+1)+b], b ≤ a: [(m+a)·(2b+1)+p+b][c−(a−b)], c = a−b … a+b
	workers        int
}

// NewHarmonicProduct prepares the products of h's functions. workers bounds the goroutines it uses; results do not
// depend on it.
func NewHarmonicProduct(h *Harmonics, workers int) (*HarmonicProduct, error) {
	double, err := NewHarmonics(2*h.degree, h.symmetry)
	if err != nil {
		return nil, err
	}
	p := &HarmonicProduct{
		single: h, double: double, span: 4*h.degree + 1, depth: 2*h.degree + 1,
		tables: make([][]float64, (h.degree+1)*(h.degree+1)), workers: workers,
	}
	inParallel(h.degree+1, workers, func(i int) {
		a := h.degree - i // the costliest first
		for b := 0; b <= a; b++ {
			p.tables[a*(h.degree+1)+b] = couplings(a, b)
		}
	})
	return p, nil
}

func couplings(a, b int) []float64 {
	terms := 2*b + 1
	t := make([]float64, (2*a+1)*(2*b+1)*terms)
	for m := -a; m <= a; m++ {
		for q := -b; q <= b; q++ {
			row := t[((m+a)*(2*b+1)+q+b)*terms:]
			for c := max(a-b, abs(m+q)); c <= a+b; c++ {
				row[c-(a-b)] = ClebschGordan(a, m, b, q, c, m+q)
			}
		}
	}
	return t
}

// Double returns the functions up to degree 2L that products are expressed in.
func (p *HarmonicProduct) Double() *Harmonics { return p.double }

// unfolded holds, for every m, n of both signs and every degree c, numbers belonging to d^c_mn·cos(mα+nγ) and
// d^c_mn·sin(mα+nγ).
type unfolded struct{ cos, sin []float64 }

func (p *HarmonicProduct) newUnfolded() unfolded {
	n := p.span * p.span * p.depth
	return unfolded{make([]float64, n), make([]float64, n)}
}

func (p *HarmonicProduct) at(m, n int) int {
	return ((m+p.depth-1)*p.span + n + p.depth - 1) * p.depth
}

// Gram writes the lower triangle of Σ_i w_i φ_j(R_i) φ_k(R_i) into dst (row-major, Len × Len of the single set), given
// the moments Σ_i w_i φ(R_i) of the double set.
func (p *HarmonicProduct) Gram(dst, moments []float64) {
	u := p.newUnfolded()
	for _, q := range p.double.pairs {
		sign := parity(q.m - q.n)
		there, back := p.at(q.m, q.n)+q.l, p.at(-q.m, -q.n)+q.l
		u.cos[there] = moments[q.cos] / q.norm
		u.cos[back] = sign * u.cos[there]
		if q.sin >= 0 {
			u.sin[there] = moments[q.sin] / q.norm
			u.sin[back] = -sign * u.sin[there]
		}
	}
	size := p.single.Len()
	inParallel(len(p.single.pairs), p.workers, func(i int) {
		a := p.single.pairs[i]
		for _, b := range p.single.pairs[:i+1] {
			cosMinus, cosPlus, sinMinus, sinPlus := p.sums(u, a, b)
			scale := a.norm * b.norm / 2
			dst[a.cos*size+b.cos] = scale * (cosMinus + cosPlus)
			if a.sin >= 0 {
				dst[a.sin*size+b.cos] = scale * (sinPlus + sinMinus)
			}
			if b.sin >= 0 && b.sin <= a.cos {
				dst[a.cos*size+b.sin] = scale * (sinPlus - sinMinus)
			}
			if a.sin >= 0 && b.sin >= 0 {
				dst[a.sin*size+b.sin] = scale * (cosMinus - cosPlus)
			}
		}
	})
}

// sums returns Σ_i w_i d^a d^b times the cosine and sine of the difference and of the sum of the two phases.
func (p *HarmonicProduct) sums(u unfolded, a, b harmonicPair) (cosMinus, cosPlus, sinMinus, sinPlus float64) {
	table := p.tables[a.l*(p.single.degree+1)+b.l]
	terms, wide := 2*b.l+1, 2*b.l+1
	first := a.l - b.l
	left := table[((a.m+a.l)*wide+b.m+b.l)*terms:][:terms]
	right := table[((a.n+a.l)*wide+b.n+b.l)*terms:][:terms]
	at := p.at(a.m+b.m, a.n+b.n) + first
	uc, us := u.cos[at:][:terms], u.sin[at:][:terms]
	for c := range left {
		k := left[c] * right[c]
		cosPlus += k * uc[c]
		sinPlus += k * us[c]
	}
	sign := parity(b.m - b.n)
	left = table[((a.m+a.l)*wide-b.m+b.l)*terms:][:terms]
	right = table[((a.n+a.l)*wide-b.n+b.l)*terms:][:terms]
	at = p.at(a.m-b.m, a.n-b.n) + first
	uc, us = u.cos[at:][:terms], u.sin[at:][:terms]
	for c := range left {
		k := sign * left[c] * right[c]
		cosMinus += k * uc[c]
		sinMinus += k * us[c]
	}
	return cosMinus, cosPlus, sinMinus, sinPlus
}

// quadraticChunks is fixed so that the order of summation, hence the last bit, does not depend on the workers.
const quadraticChunks = 8

// Quadratic writes the coefficients, in the double set, of the function φ(R)ᵀ V φ(R) into dst. v holds the lower
// triangle of the symmetric matrix V, row-major.
func (p *HarmonicProduct) Quadratic(dst, v []float64) {
	size := p.single.Len()
	parts := make([]unfolded, quadraticChunks)
	inParallel(quadraticChunks, p.workers, func(chunk int) {
		u := p.newUnfolded()
		parts[chunk] = u
		for i := chunk; i < len(p.single.pairs); i += quadraticChunks {
			a := p.single.pairs[i]
			for j, b := range p.single.pairs[:i+1] {
				scale := a.norm * b.norm // V_ab + V_ba, with the half of the product formulas
				if i == j {
					scale /= 2
				}
				var cc, cs, sc, ss float64
				cc = scale * v[a.cos*size+b.cos]
				if a.sin >= 0 {
					sc = scale * v[a.sin*size+b.cos]
				}
				if b.sin >= 0 {
					cs = scale * v[max(a.cos, b.sin)*size+min(a.cos, b.sin)]
				}
				if a.sin >= 0 && b.sin >= 0 {
					ss = scale * v[a.sin*size+b.sin]
				}
				p.spread(u, a, b, cc+ss, cc-ss, sc-cs, sc+cs)
			}
		}
	})
	total := parts[0]
	for _, u := range parts[1:] {
		for k := range total.cos {
			total.cos[k] += u.cos[k]
			total.sin[k] += u.sin[k]
		}
	}
	for _, q := range p.double.pairs {
		there, back := p.at(q.m, q.n)+q.l, p.at(-q.m, -q.n)+q.l
		if q.m == 0 && q.n == 0 {
			dst[q.cos] = total.cos[there] / q.norm
			continue
		}
		sign := parity(q.m - q.n)
		dst[q.cos] = (total.cos[there] + sign*total.cos[back]) / q.norm
		if q.sin >= 0 {
			dst[q.sin] = (total.sin[there] - sign*total.sin[back]) / q.norm
		}
	}
}

// spread is the transpose of sums.
func (p *HarmonicProduct) spread(u unfolded, a, b harmonicPair, cosMinus, cosPlus, sinMinus, sinPlus float64) {
	table := p.tables[a.l*(p.single.degree+1)+b.l]
	terms, wide := 2*b.l+1, 2*b.l+1
	first := a.l - b.l
	left := table[((a.m+a.l)*wide+b.m+b.l)*terms:][:terms]
	right := table[((a.n+a.l)*wide+b.n+b.l)*terms:][:terms]
	at := p.at(a.m+b.m, a.n+b.n) + first
	uc, us := u.cos[at:][:terms], u.sin[at:][:terms]
	for c := range left {
		k := left[c] * right[c]
		uc[c] += k * cosPlus
		us[c] += k * sinPlus
	}
	sign := parity(b.m - b.n)
	left = table[((a.m+a.l)*wide-b.m+b.l)*terms:][:terms]
	right = table[((a.n+a.l)*wide-b.n+b.l)*terms:][:terms]
	at = p.at(a.m-b.m, a.n-b.n) + first
	uc, us = u.cos[at:][:terms], u.sin[at:][:terms]
	for c := range left {
		k := sign * left[c] * right[c]
		uc[c] += k * cosMinus
		us[c] += k * sinMinus
	}
}

// inParallel calls do(0) … do(n−1) on up to workers goroutines. Calls must be independent of one another.
func inParallel(n, workers int, do func(i int)) {
	workers = min(workers, n)
	if workers <= 1 {
		for i := range n {
			do(i)
		}
		return
	}
	var next sync.Mutex
	taken := 0
	var group sync.WaitGroup
	for range workers {
		group.Go(func() {
			for {
				next.Lock()
				i := taken
				taken++
				next.Unlock()
				if i >= n {
					return
				}
				do(i)
			}
		})
	}
	group.Wait()
}
