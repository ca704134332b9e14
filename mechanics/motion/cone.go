package motion

import "math"

// block is the 3 × 3 matrix by which a contact's impulse changes its own relative velocity, compliance included; the first
// row and column are the normal's, the others those of the two tangents. It is symmetric and positive definite.
type block [3][3]float64

// inverse of a symmetric block; ok is false when it is not positive definite.
func (d *block) inverse() (inv block, ok bool) {
	c00 := d[1][1]*d[2][2] - d[1][2]*d[2][1]
	c01 := d[0][2]*d[2][1] - d[0][1]*d[2][2]
	c02 := d[0][1]*d[1][2] - d[0][2]*d[1][1]
	det := d[0][0]*c00 + d[0][1]*-(d[1][0]*d[2][2]-d[1][2]*d[2][0]) + d[0][2]*(d[1][0]*d[2][1]-d[1][1]*d[2][0])
	if !(det > 0) || !(d[0][0] > 0) || !(c00 > 0) {
		return inv, false
	}
	s := 1 / det
	inv[0][0], inv[0][1], inv[0][2] = c00*s, c01*s, c02*s
	inv[1][0], inv[1][1], inv[1][2] = inv[0][1], (d[0][0]*d[2][2]-d[0][2]*d[2][0])*s, (d[0][2]*d[1][0]-d[0][0]*d[1][2])*s
	inv[2][0], inv[2][1], inv[2][2] = inv[0][2], inv[1][2], (d[0][0]*d[1][1]-d[0][1]*d[1][0])*s
	return inv, true
}

// slideSweeps bounds the sweeps of one contact that slides; the contacts are swept again and again anyway.
const slideSweeps = 12

// solve returns the impulse λ of one contact for the slack q that the others leave it: with g = D·λ + q, the normal part
// is complementary, 0 ≤ λ₀ ⟂ g₀ ≥ 0, and friction is Coulomb's, |λ_t| ≤ μλ₀, opposed to g_t where that does not vanish
// (equations 3 and 4 of DESIGN.md). start is where sliding begins to be sought.
func (d *block) solve(inv *block, q [3]float64, friction float64, start [3]float64) [3]float64 {
	if q[0] >= 0 && friction == 0 || q[0] >= 0 && d[0][1] == 0 && d[0][2] == 0 {
		return [3]float64{}
	}
	stick := [3]float64{
		-(inv[0][0]*q[0] + inv[0][1]*q[1] + inv[0][2]*q[2]),
		-(inv[1][0]*q[0] + inv[1][1]*q[1] + inv[1][2]*q[2]),
		-(inv[2][0]*q[0] + inv[2][1]*q[1] + inv[2][2]*q[2]),
	}
	if stick[0] >= 0 && stick[1]*stick[1]+stick[2]*stick[2] <= friction*friction*stick[0]*stick[0] {
		return stick
	}
	if q[0] >= 0 {
		return [3]float64{}
	}
	// The larger eigenvalue of the tangents' part makes the projected step a contraction.
	half := (d[1][1] + d[2][2]) / 2
	spread := (d[1][1] - d[2][2]) / 2
	radius := math.Sqrt(spread*spread + d[1][2]*d[1][2])
	step := 1 / (half + radius)
	t1, t2, n := start[1], start[2], 0.0
	for range slideSweeps {
		n = max(0, -(q[0]+d[0][1]*t1+d[0][2]*t2)/d[0][0])
		g1 := q[1] + d[1][0]*n + d[1][1]*t1 + d[1][2]*t2
		g2 := q[2] + d[2][0]*n + d[2][1]*t1 + d[2][2]*t2
		u1, u2 := t1-step*g1, t2-step*g2
		if size, most := math.Sqrt(u1*u1+u2*u2), friction*n; size > most {
			u1, u2 = u1*most/size, u2*most/size
		}
		moved := math.Abs(u1-t1) + math.Abs(u2-t2)
		t1, t2 = u1, u2
		if moved <= 1e-7*(math.Abs(t1)+math.Abs(t2)) {
			break
		}
	}
	return [3]float64{n, t1, t2}
}
