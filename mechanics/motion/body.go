package motion

import (
	"math"

	"holdfast/orient"
)

// Body is a rigid body. Its own frame lies at the centre of mass along the principal axes.
type Body struct {
	Mass    float64     // kg
	Inertia orient.Vec3 // kg·m², principal

	Position orient.Vec3     // m, centre of mass in the world
	Turn     orient.Rotation // own frame to world
	Velocity orient.Vec3     // m/s
	Spin     orient.Vec3     // rad/s, in the world
}

// SolidEllipsoid returns a homogeneous ellipsoid of the semi-axes (m) at rest in the world's origin.
func SolidEllipsoid(mass float64, semi orient.Vec3) Body {
	a, b, c := semi[0]*semi[0], semi[1]*semi[1], semi[2]*semi[2]
	return Body{Mass: mass, Inertia: orient.Vec3{mass * (b + c) / 5, mass * (a + c) / 5, mass * (a + b) / 5}, Turn: orient.Identity}
}

// SolidBox returns a homogeneous box of the half extents (m) at rest in the world's origin.
func SolidBox(mass float64, half orient.Vec3) Body {
	a, b, c := half[0]*half[0], half[1]*half[1], half[2]*half[2]
	return Body{Mass: mass, Inertia: orient.Vec3{mass * (b + c) / 3, mass * (a + c) / 3, mass * (a + b) / 3}, Turn: orient.Identity}
}

// Point returns where a point of the body's frame (m) is in the world.
func (b *Body) Point(own orient.Vec3) orient.Vec3 { return b.Position.Add(b.Turn.Apply(own)) }

// VelocityAt returns the velocity (m/s) of the body's matter at a point of the world.
func (b *Body) VelocityAt(p orient.Vec3) orient.Vec3 {
	return b.Velocity.Add(b.Spin.Cross(minus(p, b.Position)))
}

// Momentum returns the angular momentum about the centre of mass (kg·m²/s) in the world.
func (b *Body) Momentum() orient.Vec3 {
	w := b.Turn.Inverse().Apply(b.Spin)
	return b.Turn.Apply(orient.Vec3{b.Inertia[0] * w[0], b.Inertia[1] * w[1], b.Inertia[2] * w[2]})
}

// Energy returns the kinetic energy (J).
func (b *Body) Energy() float64 {
	return b.Mass*b.Velocity.Dot(b.Velocity)/2 + b.Spin.Dot(b.Momentum())/2
}

// spinOf is the spin of the momentum l in the pose.
func (b *Body) spinOf(turn orient.Rotation, l orient.Vec3) orient.Vec3 {
	m := turn.Inverse().Apply(l)
	return turn.Apply(orient.Vec3{m[0] / b.Inertia[0], m[1] / b.Inertia[1], m[2] / b.Inertia[2]})
}

// Move carries the body on for h seconds with the momentum that it has: the turn by the midpoint rule, which keeps the
// angular momentum to rounding and the energy to the square of the step.
func (b *Body) Move(h float64) {
	l := b.Momentum()
	b.Position = b.Position.Add(b.Velocity.Scale(h))
	middle := turned(b.Turn, b.Spin, h/2)
	// Once more from the spin that the middle itself has: the rule is then symmetric in time to the square of the step.
	middle = turned(b.Turn, b.spinOf(middle, l), h/2)
	b.Turn, _ = turned(b.Turn, b.spinOf(middle, l), h).Normalized()
	b.Spin = b.spinOf(b.Turn, l)
}

// turned is the turn after spinning for t seconds about a fixed axis of the world.
func turned(turn orient.Rotation, spin orient.Vec3, t float64) orient.Rotation {
	// sin(φ/2)/|spin| and cos(φ/2) of the angle φ = |spin|·t; below 0.1 rad by series, to rounding.
	t /= 2
	half := spin.Dot(spin) * t * t
	s, c := t*(1-half/6*(1-half/20*(1-half/42))), 1-half/2*(1-half/12*(1-half/30*(1-half/56)))
	if half > 0.0025 {
		speed := spin.Norm()
		s, c = math.Sincos(speed * t)
		s /= speed
	}
	return orient.Rotation{W: c, X: s * spin[0], Y: s * spin[1], Z: s * spin[2]}.Mul(turn)
}

// Mobility is the inverse of the inertia about the centre of mass (1/(kg·m²)) in the world.
func (b *Body) Mobility() (inverse [3]orient.Vec3) {
	m := b.Turn.Matrix()
	for i := range 3 {
		for j := range 3 {
			for k := range 3 {
				inverse[i][j] += m[i][k] * m[j][k] / b.Inertia[k]
			}
		}
	}
	return inverse
}

// Side writes what impulses at a point of the world along the three directions do to the body into s: sign is +1 for the
// body that the normal points to and −1 for the other. The body's velocities lie at v[at:at+6], linear before angular;
// mobility is [Body.Mobility] of the present pose. s.J and s.B must have room for 18 numbers each.
func (b *Body) Side(s *Side, at int, p orient.Vec3, directions *[3]orient.Vec3, sign float64, mobility *[3]orient.Vec3) {
	s.At, s.N = at, 6
	s.J, s.B = s.J[:18], s.B[:18]
	arm, light := minus(p, b.Position), sign/b.Mass
	j, m := (*[18]float64)(s.J), (*[18]float64)(s.B)
	for i := range directions {
		d := &directions[i]
		x, y, z := sign*(arm[1]*d[2]-arm[2]*d[1]), sign*(arm[2]*d[0]-arm[0]*d[2]), sign*(arm[0]*d[1]-arm[1]*d[0])
		r := (*[6]float64)(j[6*i:])
		r[0], r[1], r[2], r[3], r[4], r[5] = sign*d[0], sign*d[1], sign*d[2], x, y, z
		m[i], m[3+i], m[6+i] = light*d[0], light*d[1], light*d[2]
		for k := range mobility {
			m[9+3*k+i] = mobility[k][0]*x + mobility[k][1]*y + mobility[k][2]*z
		}
	}
}

// Put writes the velocities to v[at:at+6], Take reads them back.
func (b *Body) Put(v []float64, at int) {
	copy(v[at:at+3], b.Velocity[:])
	copy(v[at+3:at+6], b.Spin[:])
}

// Take reads the velocities from v[at:at+6].
func (b *Body) Take(v []float64, at int) {
	copy(b.Velocity[:], v[at:at+3])
	copy(b.Spin[:], v[at+3:at+6])
}

func minus(a, b orient.Vec3) orient.Vec3 {
	return orient.Vec3{a[0] - b[0], a[1] - b[1], a[2] - b[2]}
}

// Tangents returns two unit vectors that make a right-handed frame with the unit normal.
func Tangents(n orient.Vec3) (t1, t2 orient.Vec3) {
	// t2 = n × axis, with the axis x, or y where the normal leans to x; t1 = t2 × n.
	if math.Abs(n[0]) <= 0.7 {
		s := 1 / math.Sqrt(n[1]*n[1]+n[2]*n[2])
		y, z := n[2]*s, -n[1]*s
		return orient.Vec3{y*n[2] - z*n[1], z * n[0], -y * n[0]}, orient.Vec3{0, y, z}
	}
	s := 1 / math.Sqrt(n[0]*n[0]+n[2]*n[2])
	x, z := -n[2]*s, n[0]*s
	return orient.Vec3{-z * n[1], z*n[0] - x*n[2], x * n[1]}, orient.Vec3{x, 0, z}
}
