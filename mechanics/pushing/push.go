package pushing

import (
	"errors"
	"math"
)

// Twist is a motion in the plane: the velocity (m/s) of the friction's middle and the turn (rad/s).
type Twist struct{ X, Y, Turn float64 }

// StickingPush returns how an item moves whose point at (x, y) (m, from the friction's middle) is pushed with the velocity (vx, vy)
// (m/s) by a contact that sticks, with the ellipsoid of the support's mean distance c (m) as limit surface:
//
//	Vx = ((c² + x²)vx + xy·vy)/D,  Vy = (xy·vx + (c² + y²)vy)/D,  ω = (xVy − yVx)/c²,  D = c² + x² + y²
//
// (K. M. Lynch, H. Maekawa, K. Tanie, "Manipulation and active sensing by pushing using tactile feedback", IROS 1992; from memory).
func StickingPush(c, x, y, vx, vy float64) Twist {
	d := c*c + x*x + y*y
	t := Twist{X: ((c*c+x*x)*vx + x*y*vy) / d, Y: (x*y*vx + (c*c+y*y)*vy) / d}
	t.Turn = (x*t.Y - y*t.X) / (c * c)
	return t
}

// NeededFriction returns the coefficient that a contact with the inward normal (nx, ny), unit, must have to stick while it pushes so:
// the force that the ellipsoid answers with, against the normal. +Inf: no friction is enough.
func NeededFriction(c float64, t Twist, nx, ny float64) float64 {
	// On the ellipsoid the force is along the velocity's linear part.
	along, across := t.X*nx+t.Y*ny, t.X*-ny+t.Y*nx
	if along <= 0 {
		return math.Inf(1)
	}
	return math.Abs(across) / along
}

// ErrNoBalance is told when no turn balances the push.
var ErrNoBalance = errors.New("no turn within reach balances the push: give a contact velocity and patches of a support")

// StickingPushOn is [StickingPush] with the pressure as the patches have it: the turn at which friction has no moment about the
// contact. Patches err by their number: a hundred along each side give four digits.
func StickingPushOn(patches []Patch, x, y, vx, vy float64) (Twist, error) {
	moment := func(turn float64) float64 {
		ux, uy := vx+turn*y, vy-turn*x // the middle's velocity
		sum := 0.0
		for _, p := range patches {
			px, py := ux-turn*p.Y, uy+turn*p.X
			if speed := math.Hypot(px, py); speed > 0 {
				sum -= p.Share * ((p.X-x)*py - (p.Y-y)*px) / speed
			}
		}
		return sum
	}
	// The moment falls with the turn; the bracket grows until it changes its sign.
	reach := 0.0
	for _, p := range patches {
		reach = math.Max(reach, math.Hypot(p.X-x, p.Y-y))
	}
	high := math.Hypot(vx, vy) / reach
	if !(high > 0) || math.IsInf(high, 0) {
		return Twist{}, ErrNoBalance
	}
	for range 60 {
		if moment(-high) > 0 && moment(high) < 0 {
			break
		}
		high *= 2
	}
	low := -high
	if !(moment(low) > 0 && moment(high) < 0) {
		return Twist{}, ErrNoBalance
	}
	for range 80 {
		if middle := (low + high) / 2; moment(middle) > 0 {
			low = middle
		} else {
			high = middle
		}
	}
	turn := (low + high) / 2
	return Twist{X: vx + turn*y, Y: vy - turn*x, Turn: turn}, nil
}

// Spin votes on which way an item turns that is pushed at (x, y) (m, from the friction's middle) by a contact with the inward normal at
// the angle normal (rad) and the friction coefficient mu, moving at the angle push (rad): both edges of the friction cone and the
// direction of the push each vote by the side on which they pass the middle, and the majority has it (M. T. Mason, "Mechanics and
// planning of manipulator pushing operations", Int. J. Robot. Res. 5(3), 1986; rule from memory). It returns +1 counterclockwise,
// −1 clockwise, 0 when the votes cancel.
func Spin(x, y, normal, mu, push float64) int {
	half := math.Atan(mu)
	sum := 0
	for _, angle := range [3]float64{normal - half, normal + half, push} {
		sin, cos := math.Sincos(angle)
		switch m := x*sin - y*cos; {
		case m > votesFrom*math.Hypot(x, y):
			sum++
		case m < -votesFrom*math.Hypot(x, y):
			sum--
		}
	}
	return min(1, max(-1, sum))
}

// votesFrom is how far beside the middle a ray must pass, as a share of the contact's distance, to have a vote.
const votesFrom = 1e-6

// Steady says whether a pusher with a straight edge of width w (m), a distance d (m) behind the friction's middle and moving along y,
// can turn about the centre (x, y) (m, from the middle) with the item fixed to it, by the ellipsoid of the mean distance c (m) and a
// friction coefficient mu at the edge: |x| ≥ |y|/μ and |x| ≥ 2|c² − d·y|/w (after K. M. Lynch, M. T. Mason, "Stable pushing", Int. J.
// Robot. Res. 15(6), 1996; idea from memory, formula derived). For pressure that is not known the real set is smaller.
func Steady(c, d, w, mu, x, y float64) bool {
	return math.Abs(x) >= SteadyRadius(c, d, w, mu, y)
}

// SteadyRadius returns the least |x| of [Steady] for a centre at y (m); +Inf without friction beside y = 0.
func SteadyRadius(c, d, w, mu, y float64) float64 {
	side := 0.0
	if y != 0 {
		side = math.Abs(y) / mu
	}
	return math.Max(side, 2*math.Abs(c*c-d*y)/w)
}
