package shape

import (
	"fmt"
	"math"

	"holdfast/orient"
)

// Superellipsoid is the body within
//
//	((|x/a|^p₂ + |y/b|^p₂)^(p₁/p₂) + |z/c|^p₁)^(1/p₁) = 1,  p₁ = 2/ε₁, p₂ = 2/ε₂                            (3)
//
// (A. H. Barr, "Superquadrics and angle-preserving transformations", 1981; from memory): an ellipsoid at ε₁ = ε₂ = 1, a cylinder
// with rounded rims at small ε₁, a box with rounded edges when both are small. Make it with [NewSuperellipsoid].
type Superellipsoid struct {
	semi             orient.Vec3
	p1, p2           float64 // the exponents along z and around it
	squared          orient.Vec3
	corner           orient.Vec3 // m, on the surface, where the diagonal of the box around the body meets it
	reach, volume    float64
	inertia          orient.Vec3
	least            float64 // m, the shortest semi-axis
	upright, rounded float64 // the exponents' shares p₁/p₂ − 1 and 1/p₁
}

var _ Solid = (*Superellipsoid)(nil)

// NewSuperellipsoid returns the body of the semi-axes (m) and of the exponents epsilon1 from pole to pole along z and epsilon2
// around z, both from 0.1 to 1. More than 1 would have ridges where the curvature, and the pressure of a contact, has no bound.
func NewSuperellipsoid(semi orient.Vec3, epsilon1, epsilon2 float64) (*Superellipsoid, error) {
	for i, e := range semi {
		if !(e > 0) || math.IsInf(e, 0) {
			return nil, fmt.Errorf("the superellipsoid's semi-axes are %v m; number %d must be positive", semi, i+1)
		}
	}
	if !(epsilon1 >= 0.1 && epsilon1 <= 1) || !(epsilon2 >= 0.1 && epsilon2 <= 1) {
		return nil, fmt.Errorf("the superellipsoid's exponents are %g and %g; both must lie from 0.1 (nearly a box) to 1 (round)", epsilon1, epsilon2)
	}
	s := &Superellipsoid{semi: semi, p1: 2 / epsilon1, p2: 2 / epsilon2, least: min(semi[0], semi[1], semi[2])}
	s.upright, s.rounded = s.p1/s.p2-1, 1/s.p1
	for i, e := range semi {
		s.squared[i] = 1 / (e * e)
	}
	s.corner = semi.Scale(1 / math.Pow(math.Pow(2, s.p1/s.p2)+1, 1/s.p1))
	// Hölder: of all with x^p + y^p = 1 none has more of αx² + βy² than (α^s + β^s)^(1/s), s = p/(p − 2).
	most := func(a, b, p float64) float64 {
		if p == 2 {
			return max(a, b)
		}
		k := 2 * p / (p - 2)
		larger := max(a, b)
		return larger * math.Pow(math.Pow(a/larger, k)+math.Pow(b/larger, k), 1/k)
	}
	s.reach = most(most(semi[0], semi[1], s.p2), semi[2], s.p1)
	s.moments()
	return s, nil
}

// moments integrates over sections of equal z, which are one superellipse at different sizes; both are Dirichlet's integrals:
//
//	∫∫ x^(i−1) y^(j−1) over x^p + y^p ≤ 1, x, y ≥ 0 = Γ(i/p) Γ(j/p)/(p² Γ(1 + (i+j)/p))                       (4)
//
// (from memory; A. Jaklič and F. Solina, "Moments of superellipsoids", 2003, have the results).
func (s *Superellipsoid) moments() {
	a, b, c := s.semi[0], s.semi[1], s.semi[2]
	gamma := math.Gamma
	section := func(i, j float64) float64 {
		return 4 * gamma(i/s.p2) * gamma(j/s.p2) / (s.p2 * s.p2 * gamma(1+(i+j)/s.p2))
	}
	// ∫ z^(i−1) (1 − z^p₁)^(k/p₁) dz over both halves.
	up := func(i, k float64) float64 {
		return 2 / s.p1 * gamma(i/s.p1) * gamma(1+k/s.p1) / gamma(1+(i+k)/s.p1)
	}
	s.volume = a * b * c * section(1, 1) * up(1, 2)
	x := a * a * a * b * c * section(3, 1) * up(1, 4)
	y := a * b * b * b * c * section(1, 3) * up(1, 4)
	z := a * b * c * c * c * section(1, 1) * up(3, 2)
	s.inertia = orient.Vec3{y + z, x + z, x + y}
}

// power is x^p for x ≥ 0, p ≥ 0.
func power(x, p float64) float64 {
	if p == 0 {
		return 1
	}
	return math.Exp(p * math.Log(x))
}

// local is what a place in the first octant says of the surface's point that lies in its direction.
type local struct {
	at     orient.Vec3 // m, on the surface
	normal orient.Vec3 // unit
	// bend is the curvature (1/m) as a quadratic form on the tangent plane (xx, yy, zz, xy, xz, yz).
	bend [6]float64
}

// tiny keeps what is nothing at the poles from being multiplied with what has no bound there.
const tiny = 1e-250

// shell evaluates the powers of (3) at x ≥ 0: tx·x² and ty·y² are those around z, grown the exponent's rest on their sum, tz·z²
// that along z; gauge is the left side of (3).
func (s *Superellipsoid) shell(x orient.Vec3) (tx, ty, tz, around, grown, gauge float64) {
	tx = power(x[0]/s.semi[0], s.p2-2) * s.squared[0]
	ty = power(x[1]/s.semi[1], s.p2-2) * s.squared[1]
	tz = power(x[2]/s.semi[2], s.p1-2) * s.squared[2]
	around = max(tx*x[0]*x[0]+ty*x[1]*x[1], tiny)
	grown = 1
	if s.upright != 0 {
		grown = math.Exp(s.upright * math.Log(around))
	}
	gauge = math.Exp(s.rounded * math.Log(grown*around+tz*x[2]*x[2]))
	return tx, ty, tz, around, grown, gauge
}

// look evaluates the surface. The left side of (3) grows in proportion along rays, so one evaluation off the surface tells
// everything of the point on it.
func (s *Superellipsoid) look(x, y, z float64, l *local) {
	tx, ty, tz, around, grown, gauge := s.shell(orient.Vec3{x, y, z})
	// The gradient of F = A^(p₁/p₂) + z^p₁, over p₁.
	ax, ay, az := tx*x, ty*y, tz*z
	gx, gy, gz := grown*ax, grown*ay, az
	back := 1 / math.Sqrt(gx*gx+gy*gy+gz*gz)
	l.normal[0], l.normal[1], l.normal[2] = gx*back, gy*back, gz*back
	k, shrink := gauge*back, 1/gauge
	l.at[0], l.at[1], l.at[2] = x*shrink, y*shrink, z*shrink
	// What the powers' product leaves of the second derivative of the outer one; in this order, as near the poles single factors have
	// no bound.
	outer, inner := k*(s.p1-s.p2), k*grown*(s.p2-1)
	l.bend[0] = inner*tx + outer*gx*(ax/around)
	l.bend[1] = inner*ty + outer*gy*(ay/around)
	l.bend[2] = k * (s.p1 - 1) * tz
	l.bend[3] = outer * gx * (ay / around)
}

// onto scales x ≥ 0 to the surface.
func (s *Superellipsoid) onto(x orient.Vec3) orient.Vec3 {
	_, _, _, _, _, gauge := s.shell(x)
	return x.Scale(1 / gauge)
}

// across is the quadratic form's value.
func across(h *[6]float64, u, v *orient.Vec3) float64 {
	return u[0]*(h[0]*v[0]+h[3]*v[1]+h[4]*v[2]) + u[1]*(h[3]*v[0]+h[1]*v[1]+h[5]*v[2]) + u[2]*(h[4]*v[0]+h[5]*v[1]+h[2]*v[2])
}

// tangents are two unit vectors square to the unit vector n and to each other, without roots (T. Duff et al., "Building an orthonormal
// basis, revisited", 2017; from memory).
func tangents(n orient.Vec3) (u, v orient.Vec3) {
	side := math.Copysign(1, n[2])
	a := -1 / (side + n[2])
	b := n[0] * n[1] * a
	return orient.Vec3{1 + side*n[0]*n[0]*a, side * b, -side * n[0]}, orient.Vec3{b, side + n[1]*n[1]*a, -n[1]}
}

// settled is how small (in shortest semi-axes) a last step is: what it leaves is its square.
const settled = 1e-7

// foot goes downhill from x on the surface, both in the first octant, to where the way from the surface to q is square to it:
// Newton's steps on the surface, whose second derivative is 1 + distance·curvature, shortened where they do not come nearer.
func (s *Superellipsoid) foot(q, x orient.Vec3) (l local, distance float64) {
	s.look(x[0], x[1], x[2], &l)
	ax, ay, az := q[0]-l.at[0], q[1]-l.at[1], q[2]-l.at[2]
	square := ax*ax + ay*ay + az*az
	var next local
	for range rootSteps {
		n := &l.normal
		distance = n[0]*ax + n[1]*ay + n[2]*az
		u, v := tangents(*n)
		// (1 + dK) step = away on the tangent plane. Outside, d is the way itself, of which the normal's share falls short until the foot
		// is found: so the steps do not overshoot a sharp tip.
		d := distance
		if d > 0 {
			d = math.Sqrt(square)
		}
		uu, vv, uv := 1+d*across(&l.bend, &u, &u), 1+d*across(&l.bend, &v, &v), d*across(&l.bend, &u, &v)
		au, av := u[0]*ax+u[1]*ay+u[2]*az, v[0]*ax+v[1]*ay+v[2]*az
		det := uu*vv - uv*uv
		su, sv := (vv*au-uv*av)/det, (uu*av-uv*au)/det
		if mean, half := (uu+vv)/2, math.Sqrt((uu-vv)*(uu-vv)/4+uv*uv); mean-half < 1e-3 {
			// Inside, where the surface is bent more than a ball around q, the step would lead uphill: the other way, then.
			sin, cos := math.Sincos(math.Atan2(2*uv, uu-vv) / 2)
			first, second := (cos*au+sin*av)/max(mean+half, -mean-half, 1e-3), (cos*av-sin*au)/max(half-mean, 1e-3)
			su, sv = cos*first-sin*second, sin*first+cos*second
		}
		dx, dy, dz := su*u[0]+sv*v[0], su*u[1]+sv*v[1], su*u[2]+sv*v[2]
		if enough := settled * s.least; su*su+sv*sv <= enough*enough {
			// On to the second order: the point falls off the tangent plane, the normal turns.
			step := orient.Vec3{dx, dy, dz}
			turn := orient.Vec3{l.bend[0]*dx + l.bend[3]*dy, l.bend[3]*dx + l.bend[1]*dy, l.bend[2] * dz}
			turn = turn.Add(l.normal.Scale(-turn.Dot(l.normal)))
			l.at = l.at.Add(step).Add(l.normal.Scale(-step.Dot(turn) / 2))
			l.normal = l.normal.Add(turn)
			l.normal = l.normal.Scale(1 / l.normal.Norm())
			// Rounding must not leave the first octant: powers of negative numbers are none.
			for i := range l.at {
				l.at[i], l.normal[i] = max(l.at[i], 0), max(l.normal[i], 0)
			}
			return l, l.normal.Dot(sub(q, l.at))
		}
		better := false
		for share := 1.0; share > 1e-9; share /= 2 {
			// A mirrored place is nearer to what lies in the first octant.
			s.look(math.Abs(l.at[0]+share*dx), math.Abs(l.at[1]+share*dy), math.Abs(l.at[2]+share*dz), &next)
			x, y, z := q[0]-next.at[0], q[1]-next.at[1], q[2]-next.at[2]
			// Nearer by a fair part of what the slope promises (L. Armijo 1966), to rounding.
			if n := x*x + y*y + z*z; n <= square-0.2*share*(au*su+av*sv)+1e-15*square {
				better, l, ax, ay, az, square = true, next, x, y, z, n
				break
			}
		}
		if !better {
			break
		}
	}
	return l, l.normal[0]*ax + l.normal[1]*ay + l.normal[2]*az
}

// nearest is the foot of a point q of the first octant.
func (s *Superellipsoid) nearest(q orient.Vec3) (local, float64) {
	start := orient.Vec3{min(q[0], s.semi[0]), min(q[1], s.semi[1]), min(q[2], s.semi[2])}
	if q[0] > s.semi[0] || q[1] > s.semi[1] || q[2] > s.semi[2] {
		return s.foot(q, start)
	}
	tx, ty, tz, around, grown, gauge := s.shell(q)
	if gauge >= 1 {
		return s.foot(q, start)
	}
	// Inside there may be a nearest place towards each face and one outward: start along each axis and along the ray.
	starts := [4]orient.Vec3{q, q, q, q}
	rest := power(1-tz*q[2]*q[2], s.p2/s.p1)
	starts[0][0] = s.semi[0] * power(max(rest-ty*q[1]*q[1], 0), 1/s.p2)
	starts[1][1] = s.semi[1] * power(max(rest-tx*q[0]*q[0], 0), 1/s.p2)
	starts[2][2] = s.semi[2] * power(max(1-grown*around, 0), s.rounded)
	if gauge < 1e-9 {
		starts[3] = orient.Vec3{s.semi[0], s.semi[1], s.semi[2]}
	}
	best, deepest := local{}, math.Inf(-1)
	for _, x := range starts {
		// On a plane of symmetry every step would stay there, though the nearest place may lie beside it.
		for i := range x {
			x[i] = max(x[i], 1e-2*s.semi[i])
		}
		if l, d := s.foot(q, x); d > deepest {
			best, deepest = l, d
		}
	}
	return best, deepest
}

// Point finds the foot to rounding by Newton's steps on the surface.
func (s *Superellipsoid) Point(p orient.Vec3) Near {
	l, distance := s.nearest(orient.Vec3{math.Abs(p[0]), math.Abs(p[1]), math.Abs(p[2])})
	return l.near(p, distance)
}

// near turns what was found in the first octant to that of p.
func (l *local) near(p orient.Vec3, distance float64) Near {
	n := Near{Distance: distance}
	for i, v := range p {
		n.Point[i], n.Normal[i] = math.Copysign(l.at[i], v), math.Copysign(l.normal[i], v)
	}
	return n
}

func (s *Superellipsoid) again(p, hint orient.Vec3) Near {
	l, distance := s.foot(orient.Vec3{math.Abs(p[0]), math.Abs(p[1]), math.Abs(p[2])}, hint)
	return l.near(p, distance)
}

// probe's hint is the last foot in the first octant.
func (s *Superellipsoid) probe(p, way, hint orient.Vec3) (distance, slope, bend float64, foot orient.Vec3) {
	q := orient.Vec3{math.Abs(p[0]), math.Abs(p[1]), math.Abs(p[2])}
	var l local
	if hint == (orient.Vec3{}) {
		l, distance = s.nearest(q)
	} else {
		l, distance = s.foot(q, hint)
	}
	for i, v := range p {
		way[i] *= math.Copysign(1, v)
	}
	slope = l.normal.Dot(way)
	// K(1 + dK)⁻¹ on the tangent plane: the curvature of what lies that far off.
	u, v := tangents(l.normal)
	uu, vv, uv := across(&l.bend, &u, &u), across(&l.bend, &v, &v), across(&l.bend, &u, &v)
	wu, wv := u.Dot(way), v.Dot(way)
	du, dv, duv := 1+distance*uu, 1+distance*vv, distance*uv
	det := du*dv - duv*duv
	yu, yv := (dv*wu-duv*wv)/det, (du*wv-duv*wu)/det
	bend = wu*(uu*yu+uv*yv) + wv*(uv*yu+vv*yv)
	return distance, slope, bend, l.at
}

// Apart asks the plane that touches the body where the ray under the segment's middle leaves it.
func (s *Superellipsoid) Apart(a, b orient.Vec3) float64 {
	t := middle(a, b, s.semi)
	p := a.Add(sub(b, a).Scale(t))
	x := orient.Vec3{math.Abs(p[0]), math.Abs(p[1]), math.Abs(p[2])}
	if x[0] == 0 && x[1] == 0 && x[2] == 0 {
		return math.Inf(-1)
	}
	tx, ty, tz, _, grown, gauge := s.shell(x)
	// The normal is a power of the place; (3) is a norm, so the plane's height needs no more than the gauge.
	n := orient.Vec3{grown * tx * p[0], grown * ty * p[1], tz * p[2]}
	return (min(n.Dot(a), n.Dot(b)) - n.Dot(p)/gauge) / n.Norm()
}

// Segment returns where the segment is nearest to the surface, or deepest inside.
func (s *Superellipsoid) Segment(a, b orient.Vec3) Near {
	return descend(s, a, b, middle(a, b, s.semi), s.semi[0], nearlyFlat)
}

// Support has a closed form, as (3) is a norm whose dual is of the same kind, with 1/p + 1/q = 1.
func (s *Superellipsoid) Support(direction orient.Vec3) orient.Vec3 {
	q1, q2 := s.p1/(s.p1-1), s.p2/(s.p2-1)
	most := max(math.Abs(direction[0]), math.Abs(direction[1]), math.Abs(direction[2]))
	m := orient.Vec3{s.semi[0] * math.Abs(direction[0]) / most, s.semi[1] * math.Abs(direction[1]) / most, s.semi[2] * math.Abs(direction[2]) / most}
	around := power(power(m[0], q2)+power(m[1], q2), 1/q2)
	all := power(power(around, q1)+power(m[2], q1), 1/q1)
	var x orient.Vec3
	if around > 0 {
		rho := power(around/all, q1-1)
		x[0], x[1] = rho*power(m[0]/around, q2-1), rho*power(m[1]/around, q2-1)
	}
	x[2] = power(m[2]/all, q1-1)
	for i, d := range direction {
		x[i] = math.Copysign(x[i]*s.semi[i], d)
	}
	return x
}

// Reach returns the longest way from the middle to the surface.
func (s *Superellipsoid) Reach() float64 { return s.reach }

// apart is how far (in shortest semi-axes) a corner must be from the support point to bear beside it.
const apart = 0.35

// Footing appends the support point (ID 8) and those of the eight corners (0 to 7, bits as a [Box]'s) that are not next to it:
// a body that is nearly a box stands on them.
func (s *Superellipsoid) Footing(direction orient.Vec3, depth float64, dst []Foot) []Foot {
	lowest := s.Support(direction)
	level := lowest.Dot(direction) - depth
	dst = append(dst, Foot{ID: 8, Point: lowest})
	for id := range 8 {
		p := s.corner
		for i := range p {
			p[i] *= float64(id>>i&1*2 - 1)
		}
		if p.Dot(direction) >= level && sub(p, lowest).Norm() >= apart*s.least {
			dst = append(dst, Foot{ID: id, Point: p})
		}
	}
	return dst
}

// Curvature returns the principal curvatures (1/m) at the surface's point nearest to p.
func (s *Superellipsoid) Curvature(p orient.Vec3) (k1, k2 float64) {
	l, _ := s.nearest(orient.Vec3{math.Abs(p[0]), math.Abs(p[1]), math.Abs(p[2])})
	s.look(l.at[0], l.at[1], l.at[2], &l)
	return curvatures(l.normal, l.bend)
}

// Moments follow from Dirichlet's integrals.
func (s *Superellipsoid) Moments() (volume float64, perDensity orient.Vec3) {
	return s.volume, s.inertia
}

// Extents returns the semi-axes.
func (s *Superellipsoid) Extents() orient.Vec3 { return s.semi }

// Scaled returns the body with its semi-axes multiplied by the factor.
func (s *Superellipsoid) Scaled(factor float64) Solid {
	big := *s
	big.semi, big.corner = s.semi.Scale(factor), s.corner.Scale(factor)
	big.squared = s.squared.Scale(1 / (factor * factor))
	big.reach, big.least = s.reach*factor, s.least*factor
	cube := factor * factor * factor
	big.volume = s.volume * cube
	big.inertia = s.inertia.Scale(cube * factor * factor)
	return &big
}

// Outline returns 8·detail² triangles with their corners on the surface.
func (s *Superellipsoid) Outline(detail int) Mesh {
	mesh := ball(detail)
	for i, v := range mesh.Vertices {
		x := s.onto(orient.Vec3{math.Abs(v[0]) * s.semi[0], math.Abs(v[1]) * s.semi[1], math.Abs(v[2]) * s.semi[2]})
		mesh.Vertices[i] = orient.Vec3{math.Copysign(x[0], v[0]), math.Copysign(x[1], v[1]), math.Copysign(x[2], v[2])}
	}
	return mesh
}
