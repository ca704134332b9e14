package orient

import "math"

// Vec3 is a vector or a point with components x, y, z in the frame its context names.
type Vec3 [3]float64

// Dot returns the scalar product of v and u.
func (v Vec3) Dot(u Vec3) float64 { return v[0]*u[0] + v[1]*u[1] + v[2]*u[2] }

// Cross returns the vector product v × u.
func (v Vec3) Cross(u Vec3) Vec3 {
	return Vec3{v[1]*u[2] - v[2]*u[1], v[2]*u[0] - v[0]*u[2], v[0]*u[1] - v[1]*u[0]}
}

// Norm returns the Euclidean length of v.
func (v Vec3) Norm() float64 { return math.Sqrt(v.Dot(v)) }

// Scale returns v times s.
func (v Vec3) Scale(s float64) Vec3 { return Vec3{v[0] * s, v[1] * s, v[2] * s} }

// Add returns v + u.
func (v Vec3) Add(u Vec3) Vec3 { return Vec3{v[0] + u[0], v[1] + u[1], v[2] + u[2]} }

// Rotation is a unit quaternion (w, x, y, z) that turns the hand from its reference pose into its pose, in setting
// coordinates. A quaternion and its negative are the same rotation. The zero value is not a rotation; start from
// [Identity].
type Rotation struct{ W, X, Y, Z float64 }

// Identity is the reference pose: palm straight down, fingers' opening along the setting's x.
var Identity = Rotation{W: 1}

// AboutAxis returns the rotation by angle (rad, right-handed) about the axis, which need not have unit length.
// A zero axis gives the identity.
func AboutAxis(axis Vec3, angle float64) Rotation {
	n := axis.Norm()
	if n == 0 {
		return Identity
	}
	s, c := math.Sincos(angle / 2)
	s /= n
	return Rotation{c, s * axis[0], s * axis[1], s * axis[2]}
}

// RotX returns the rotation by angle (rad) about x.
func RotX(angle float64) Rotation { s, c := math.Sincos(angle / 2); return Rotation{W: c, X: s} }

// RotY returns the rotation by angle (rad) about y.
func RotY(angle float64) Rotation { s, c := math.Sincos(angle / 2); return Rotation{W: c, Y: s} }

// RotZ returns the rotation by angle (rad) about z.
func RotZ(angle float64) Rotation { s, c := math.Sincos(angle / 2); return Rotation{W: c, Z: s} }

// Mul returns r·s: s acts first, then r.
func (r Rotation) Mul(s Rotation) Rotation {
	return Rotation{
		W: r.W*s.W - r.X*s.X - r.Y*s.Y - r.Z*s.Z,
		X: r.W*s.X + r.X*s.W + r.Y*s.Z - r.Z*s.Y,
		Y: r.W*s.Y - r.X*s.Z + r.Y*s.W + r.Z*s.X,
		Z: r.W*s.Z + r.X*s.Y - r.Y*s.X + r.Z*s.W,
	}
}

// Inverse returns the rotation that undoes r.
func (r Rotation) Inverse() Rotation { return Rotation{r.W, -r.X, -r.Y, -r.Z} }

// Norm returns the quaternion's length, 1 for a rotation up to rounding.
func (r Rotation) Norm() float64 { return math.Sqrt(r.W*r.W + r.X*r.X + r.Y*r.Y + r.Z*r.Z) }

// Normalized returns r scaled to length 1. ok is false when the length is zero or not finite.
func (r Rotation) Normalized() (unit Rotation, ok bool) {
	n := r.Norm()
	if !(n > 0) || math.IsInf(n, 0) {
		return Identity, false
	}
	return Rotation{r.W / n, r.X / n, r.Y / n, r.Z / n}, true
}

// Canonical returns whichever of r and −r has its first non-zero component positive, so that equal rotations
// print alike. Components below 1e-12 count as zero: the sign of a rounding error must not decide.
func (r Rotation) Canonical() Rotation {
	const zero = 1e-12
	for _, c := range [4]float64{r.W, r.X, r.Y, r.Z} {
		if c > zero {
			return r
		}
		if c < -zero {
			return Rotation{-r.W, -r.X, -r.Y, -r.Z}
		}
	}
	return r
}

// Apply returns the vector v turned by r.
func (r Rotation) Apply(v Vec3) Vec3 {
	// v + W·t + q×t with t = 2·q×v, number by number: an array of three the compiler would keep in memory.
	x, y, z := v[0], v[1], v[2]
	tx, ty, tz := (r.Y*z-r.Z*y)*2, (r.Z*x-r.X*z)*2, (r.X*y-r.Y*x)*2
	return Vec3{
		x + tx*r.W + (r.Y*tz - r.Z*ty),
		y + ty*r.W + (r.Z*tx - r.X*tz),
		z + tz*r.W + (r.X*ty - r.Y*tx),
	}
}

// AngleTo returns the geodesic distance between r and s in [0, π] rad: the angle of the single turn that takes one
// into the other. It uses the arctangent form, which keeps full accuracy near 0 and near π.
func (r Rotation) AngleTo(s Rotation) float64 {
	d := r.Inverse().Mul(s)
	return 2 * math.Atan2(math.Sqrt(d.X*d.X+d.Y*d.Y+d.Z*d.Z), math.Abs(d.W))
}

// Direction returns the approach direction R·(0,0,−1), a unit vector in setting coordinates.
func (r Rotation) Direction() Vec3 {
	return Vec3{-2 * (r.X*r.Z + r.W*r.Y), -2 * (r.Y*r.Z - r.W*r.X), -(r.W*r.W - r.X*r.X - r.Y*r.Y + r.Z*r.Z)}
}

// Matrix returns the 3×3 rotation matrix, rows first.
func (r Rotation) Matrix() [3][3]float64 {
	w, x, y, z := r.W, r.X, r.Y, r.Z
	return [3][3]float64{
		{1 - 2*(y*y+z*z), 2 * (x*y - w*z), 2 * (x*z + w*y)},
		{2 * (x*y + w*z), 1 - 2*(x*x+z*z), 2 * (y*z - w*x)},
		{2 * (x*z - w*y), 2 * (y*z + w*x), 1 - 2*(x*x+y*y)},
	}
}

// FromMatrix returns the rotation of a rotation matrix m (rows first). It picks the largest of the four quaternion
// components first, so no division is ill-conditioned (S. W. Shepperd, "Quaternion from rotation matrix", J. Guidance
// and Control 1 (1978) 223; from memory).
func FromMatrix(m [3][3]float64) Rotation {
	trace := m[0][0] + m[1][1] + m[2][2]
	var q Rotation
	switch {
	case trace >= m[0][0] && trace >= m[1][1] && trace >= m[2][2]:
		q = Rotation{1 + trace, m[2][1] - m[1][2], m[0][2] - m[2][0], m[1][0] - m[0][1]}
	case m[0][0] >= m[1][1] && m[0][0] >= m[2][2]:
		q = Rotation{m[2][1] - m[1][2], 1 + 2*m[0][0] - trace, m[0][1] + m[1][0], m[0][2] + m[2][0]}
	case m[1][1] >= m[2][2]:
		q = Rotation{m[0][2] - m[2][0], m[0][1] + m[1][0], 1 + 2*m[1][1] - trace, m[1][2] + m[2][1]}
	default:
		q = Rotation{m[1][0] - m[0][1], m[0][2] + m[2][0], m[1][2] + m[2][1], 1 + 2*m[2][2] - trace}
	}
	u, _ := q.Normalized()
	return u.Canonical()
}

// Approach is an orientation as people write it: tilt from straight down in [0, π], azimuth of the lean around the
// vertical and roll of the hand about its approach, both in (−π, π]; all in rad.
type Approach struct{ Tilt, Azimuth, Roll float64 }

// FromApproach returns Rz(azimuth)·Ry(−tilt)·Rz(roll).
func FromApproach(a Approach) Rotation {
	return RotZ(a.Azimuth).Mul(RotY(-a.Tilt)).Mul(RotZ(a.Roll)).Canonical()
}

// FromDirectionHeading returns Swing(direction)·Rz(heading) for an approach direction given by tilt and azimuth, with
// heading = azimuth + roll (rad).
func FromDirectionHeading(tilt, azimuth, heading float64) Rotation {
	return FromApproach(Approach{Tilt: tilt, Azimuth: azimuth, Roll: heading - azimuth})
}

// Approach returns tilt, azimuth and roll. Within about 1e-8 rad of straight down the azimuth is 0 and the roll
// carries the whole heading; within as much of straight up the azimuth is 0 and the roll is −(azimuth − roll).
// Elsewhere [FromApproach] restores r to rounding.
func (r Rotation) Approach() Approach {
	// For q = qz(a)·qy(−t)·qz(r): w = cos(t/2)cos((a+r)/2), z = cos(t/2)sin((a+r)/2),
	// y = −sin(t/2)cos((a−r)/2), x = sin(t/2)sin((a−r)/2).
	c, s := math.Hypot(r.W, r.Z), math.Hypot(r.X, r.Y)
	tilt := 2 * math.Atan2(s, c)
	const pole = 1e-8
	sum, diff := 2*math.Atan2(r.Z, r.W), 2*math.Atan2(r.X, -r.Y)
	switch {
	case s < pole:
		return Approach{Tilt: tilt, Roll: WrapAngle(sum)}
	case c < pole:
		return Approach{Tilt: tilt, Roll: WrapAngle(-diff)}
	}
	return Approach{Tilt: tilt, Azimuth: WrapAngle((sum + diff) / 2), Roll: WrapAngle((sum - diff) / 2)}
}

// Heading returns azimuth + roll in (−π, π] rad, the turn of the hand about the vertical that remains when the lean
// is undone by the smallest turn. It is undefined (0) at straight up.
func (r Rotation) Heading() float64 { return WrapAngle(2 * math.Atan2(r.Z, r.W)) }

// WrapAngle returns the angle (rad) brought into (−π, π].
func WrapAngle(a float64) float64 {
	a = math.Remainder(a, 2*math.Pi)
	if a <= -math.Pi {
		a = math.Pi
	}
	return a
}
