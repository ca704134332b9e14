package orient

import "math"

// SmallD returns the Wigner function d^l_mn(β) of the rotation by β (rad) about y, in the active z–y–z convention with
// Condon–Shortley phases, so that D^l_mn(Rz(α)·Ry(β)·Rz(γ)) = exp(−i·m·α)·d^l_mn(β)·exp(−i·n·γ)
// (D. A. Varshalovich, A. N. Moskalev, V. K. Khersonskii, "Quantum Theory of Angular Momentum" (1988) ch. 4; from
// memory). It is 0 where |m| or |n| exceeds l.
func SmallD(l, m, n int, beta float64) float64 {
	if l < 0 || abs(m) > l || abs(n) > l {
		return 0
	}
	dst := make([]float64, l+1)
	smallDColumn(dst, m, n, beta)
	return dst[l]
}

// smallDColumn fills dst[l] = d^l_mn(β) for l = 0 … len(dst)−1, with zeros below max(|m|, |n|). It starts from the
// closed form at the lowest degree and climbs by the three-term recursion of Jacobi polynomials,
//
//	l·√((l+1)²−m²)·√((l+1)²−n²)·d^{l+1} = (2l+1)·(l(l+1)·cos β − m·n)·d^l − (l+1)·√(l²−m²)·√(l²−n²)·d^{l−1}
//
// (Varshalovich et al. 1988 §4.8.1; from memory, checked against the table of d² and by orthogonality).
func smallDColumn(dst []float64, m, n int, beta float64) {
	low := max(abs(m), abs(n))
	for l := range min(low, len(dst)) {
		dst[l] = 0
	}
	if low >= len(dst) {
		return
	}
	dst[low] = lowestD(m, n, beta)
	c := math.Cos(beta)
	if low == 0 && len(dst) > 1 {
		dst[1] = c
		low = 1
	}
	for l := low; l+1 < len(dst); l++ {
		up := float64((l+1)*(l+1)-m*m) * float64((l+1)*(l+1)-n*n)
		down := float64(l*l-m*m) * float64(l*l-n*n)
		below := 0.0
		if down > 0 {
			below = dst[l-1]
		}
		fl := float64(l)
		dst[l+1] = ((2*fl+1)*(fl*(fl+1)*c-float64(m*n))*dst[l] - (fl+1)*math.Sqrt(down)*below) / (fl * math.Sqrt(up))
	}
}

// lowestD returns d^l_mn(β) at l = max(|m|, |n|) from
//
//	d^l_ln(β) = √C(2l, l+n) · cos^{l+n}(β/2) · (−sin(β/2))^{l−n}
//
// and the symmetries d_mn = (−1)^{m−n}·d_nm = (−1)^{m−n}·d_{−m,−n}.
func lowestD(m, n int, beta float64) float64 {
	sign := 1.0
	if abs(n) > abs(m) {
		m, n = n, m
		sign *= parity(m - n)
	}
	if m < 0 {
		m, n = -m, -n
		sign *= parity(m - n)
	}
	s, c := math.Sincos(beta / 2)
	v := sign
	// Binomial factor and powers are interleaved so that neither overflows nor underflows early.
	for i := 1; i <= m-n; i++ {
		v *= -s * math.Sqrt(float64(m+n+i)/float64(i))
	}
	for i := 0; i < m+n; i++ {
		v *= c
	}
	return v
}

// deltaTable gives the trigonometric series of d^l_mn: Σ_k a_k·cos kβ when m−n is even, Σ_k a_k·sin kβ when it is
// odd, up to a degree. With Δ^l = d^l(π/2),
//
//	d^l_mn(β) = i^{m−n} Σ_{k=−l…l} Δ^l_km · Δ^l_kn · exp(−i·k·β)
//
// (S. Trapani, J. Navaza, "Calculation of spherical harmonics and Wigner d functions by FFT", Acta Cryst. A62 (2006)
// 262; from memory, checked against smallDColumn).
type deltaTable struct {
	degree int
	delta  [][]float64 // [k·(2·degree+1) + m + degree][l] = Δ^l_km for k ≥ 0
}

func newDeltaTable(degree int) *deltaTable {
	t := &deltaTable{degree: degree, delta: make([][]float64, (degree+1)*(2*degree+1))}
	for k := 0; k <= degree; k++ {
		for m := -degree; m <= degree; m++ {
			column := make([]float64, degree+1)
			smallDColumn(column, k, m, math.Pi/2)
			t.delta[k*(2*degree+1)+m+degree] = column
		}
	}
	return t
}

// series writes the l+1 coefficients of d^l_mn into dst.
func (t *deltaTable) series(dst []float64, l, m, n int) {
	sign := 2.0
	if q := m - n; q&1 == 0 {
		sign *= parity(q / 2)
	} else {
		sign *= parity((q - 1) / 2)
	}
	for k := 0; k <= l; k++ {
		row := t.delta[k*(2*t.degree+1):]
		dst[k] = sign * row[m+t.degree][l] * row[n+t.degree][l]
	}
	if (m-n)&1 == 0 {
		dst[0] /= 2
	} else {
		dst[0] = 0
	}
}

// parity returns (−1)^k.
func parity(k int) float64 {
	if k&1 == 0 {
		return 1
	}
	return -1
}

func abs(k int) int {
	if k < 0 {
		return -k
	}
	return k
}
