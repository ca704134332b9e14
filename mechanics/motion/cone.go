package motion

import "math"

// block is the symmetric, positive definite matrix D by which a contact's impulse changes its own relative velocity,
// compliance included: n is the normal, t1 and t2 the tangents. Beside it stands what is left for the tangents once the
// normal has answered them.
type block struct {
	nn, n1, n2, t11, t12, t22 float64

	light  float64 // 1/nn
	e1, e2 float64 // n1/nn and n2/nn: what a tangent's impulse takes from the normal's
	// a, b, c are the tangents' part less what goes through the normal (Schur's complement), and dry 1/(ac − b²).
	a, b, c, dry float64
}

// reduce works out the parts that follow from the matrix; not ok when it is not positive definite.
func (d *block) reduce() (ok bool) {
	if !(d.nn > 0) {
		return false
	}
	d.light = 1 / d.nn
	d.e1, d.e2 = d.n1*d.light, d.n2*d.light
	d.a, d.b, d.c = d.t11-d.n1*d.e1, d.t12-d.n1*d.e2, d.t22-d.n2*d.e2
	det := d.a*d.c - d.b*d.b
	if !(d.a > 0) || !(det > 0) {
		return false
	}
	d.dry = 1 / det
	return true
}

const (
	slideSteps = 30   // of the search for how fast a contact slides; two are usual
	slideWidth = 1e-9 // share of the friction's impulse within which it is found
)

// solve returns the impulse λ of one contact for the slack q that the others leave it: with g = D·λ + q, the normal part
// is complementary, 0 ≤ λ₀ ⟂ g₀ ≥ 0, and friction is Coulomb's, |λ_t| ≤ μλ₀, opposed to g_t where that does not vanish
// (equations 3 and 4 of DESIGN.md). slip is where the search for sliding begins, and where it ended.
func (d *block) solve(q0, q1, q2, friction float64, slip *float64) (n, t1, t2 float64) {
	if q0 >= 0 && (friction == 0 || d.n1 == 0 && d.n2 == 0) {
		return 0, 0, 0
	}
	// Without the normal: it answers with free − e·λ_t.
	free := -q0 * d.light
	q1 -= d.e1 * q0
	q2 -= d.e2 * q0
	t1, t2 = (d.b*q2-d.c*q1)*d.dry, (d.b*q1-d.a*q2)*d.dry
	n = free - d.e1*t1 - d.e2*t2
	if most := friction * n; n >= 0 && t1*t1+t2*t2 <= most*most {
		return n, t1, t2
	}
	if q0 >= 0 {
		return 0, 0, 0
	}
	if friction == 0 {
		return free, 0, 0
	}
	return d.slide(free, q1, q2, friction, slip)
}

// slide finds the impulse of a contact that slides: g_t = −s·λ_t for some s > 0 (m/s per N·s), so λ_t = −(D_t + s)⁻¹q_t, and
// s is where |λ_t| = μλ₀ (equation 6). At s = 0 friction does not hold it, and as s grows λ_t goes to nothing while λ₀ stays:
// between lies a root, which Newton's method finds, kept inside what is known to hold it.
func (d *block) slide(free, q1, q2, friction float64, slip *float64) (n, t1, t2 float64) {
	low, high, s := 0.0, math.Inf(1), *slip
	if s == 0 {
		s = max(0, math.Sqrt(q1*q1+q2*q2)/(friction*free)-(d.a+d.c)/2)
	}
	for range slideSteps {
		a, c := d.a+s, d.c+s
		dry := 1 / (a*c - d.b*d.b)
		t1, t2 = (d.b*q2-c*q1)*dry, (d.b*q1-a*q2)*dry
		n = free - d.e1*t1 - d.e2*t2
		held, most := math.Sqrt(t1*t1+t2*t2), friction*n
		miss := held - most
		if math.Abs(miss) <= slideWidth*held {
			break
		}
		if miss > 0 {
			low = s
		} else {
			high = s
		}
		u1, u2 := (d.b*t2-c*t1)*dry, (d.b*t1-a*t2)*dry // how λ_t changes with s
		slope := (t1*u1+t2*u2)/held + friction*(d.e1*u1+d.e2*u2)
		step := -miss / slope
		if most > 0 {
			step *= held / most // 1/|λ_t| is nearly straight in s, |λ_t| is not
		}
		s += step
		if !(s > low && s < high) {
			s = 2*low + d.a + d.c
			if !math.IsInf(high, 1) {
				s = (low + high) / 2
			}
		}
	}
	*slip = s
	if n <= 0 {
		return 0, 0, 0
	}
	if held, most := math.Sqrt(t1*t1+t2*t2), friction*n; held > most {
		t1, t2 = t1*most/held, t2*most/held
	}
	return n, t1, t2
}
