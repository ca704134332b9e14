package orient

import "math"

// vec4 is a point of the unit sphere on which a symmetry's distances are measured, see space.
type vec4 [4]float64

func (v vec4) dot(u vec4) float64 { return v[0]*u[0] + v[1]*u[1] + v[2]*u[2] + v[3]*u[3] }

func (v vec4) unit() (vec4, bool) {
	n := math.Sqrt(v.dot(v))
	if !(n > 0) {
		return v, false
	}
	return vec4{v[0] / n, v[1] / n, v[2] / n, v[3] / n}, true
}

func (v vec4) chord2(u vec4) float64 {
	a, b, c, d := v[0]-u[0], v[1]-u[1], v[2]-u[2], v[3]-u[3]
	return a*a + b*b + c*c + d*d
}

// space is a unit sphere with a finite group of isometries, whose quotient is the set of inequivalent orientations.
//
// Without axial surroundings it is the quaternions' sphere S³ (the sign is one of the isometries) and an angle between
// points is half the angle between orientations. With axial surroundings only the vertical seen by the hand counts:
// u = Rᵀ·ẑ, a point of S² at polar angle tilt, and the smallest geodesic angle over all turns of the surroundings is
// exactly the angle between two such points, because
//
//	max over α of cos²(ω/2) = |p|² + |q|² + 2·Re(p·q̄) = (1 + u·u′)/2
//
// with p, q as in [Symmetry.Distance].
type space struct {
	axial  bool
	images []linear4 // the group; the first is the identity
	factor float64   // geodesic angle of orientations per angle between points
}

// linear4 is an isometry that acts on the pairs (0, 3) and (1, 2) of components: it turns the first pair by the angle
// of c, s and the second by that of c2, s2, after flipping the components that flip names.
type linear4 struct {
	c, s, c2, s2 float64
	flip         vec4
}

func (g *linear4) apply(v vec4) vec4 {
	a, b, c, d := v[0]*g.flip[0], v[1]*g.flip[1], v[2]*g.flip[2], v[3]*g.flip[3]
	return vec4{g.c*a - g.s*d, g.c2*b - g.s2*c, g.s2*b + g.c2*c, g.s*a + g.c*d}
}

// inverse returns the isometry that undoes g. A flip reverses each pair's turn, so that g with a flip is its own
// inverse.
func (g *linear4) inverse() linear4 {
	if g.mirrors() {
		return *g
	}
	return linear4{g.c, -g.s, g.c2, -g.s2, g.flip}
}

func (g *linear4) mirrors() bool { return g.flip != vec4{1, 1, 1, 1} }

func newSpace(s Symmetry) *space {
	sp := &space{axial: s.Axial(), factor: 2}
	plain := vec4{1, 1, 1, 1}
	flips := []vec4{plain}
	if sp.axial {
		sp.factor = 1
		if s.Mirror() {
			flips = append(flips, vec4{1, 1, -1, 1}) // u = (·, x, y, z): y changes sign
		}
		for _, f := range flips {
			for k := range s.Hand() {
				si, co := math.Sincos(2 * math.Pi * float64(k) / float64(s.Hand()))
				sp.images = append(sp.images, linear4{1, 0, co, -si, f})
			}
		}
		return sp
	}
	if s.Mirror() {
		flips = append(flips, vec4{1, -1, 1, -1})
	}
	for _, f := range flips {
		// The last turn by 2π changes the quaternion's sign.
		for _, sign := range []float64{1, -1} {
			for j := range s.Around() {
				for k := range s.Hand() {
					a := math.Pi * float64(j) / float64(s.Around())
					r := math.Pi * float64(k) / float64(s.Hand())
					si, co := math.Sincos(a + r)
					si2, co2 := math.Sincos(a - r)
					sp.images = append(sp.images, linear4{sign * co, sign * si, sign * co2, sign * si2, f})
				}
			}
		}
	}
	return sp
}

// embed returns the point that stands for r.
func (sp *space) embed(r Rotation) vec4 {
	if !sp.axial {
		return vec4{r.W, r.X, r.Y, r.Z}
	}
	u := r.Inverse().Apply(Vec3{0, 0, 1})
	return vec4{0, u[0], u[1], u[2]}
}

// lift returns an orientation that the point stands for; with axial surroundings the one of azimuth 0.
func (sp *space) lift(v vec4) Rotation {
	if !sp.axial {
		return Rotation{v[0], v[1], v[2], v[3]}
	}
	// Rᵀẑ = Rz(−roll)·Ry(tilt)·ẑ = (sin tilt·cos roll, −sin tilt·sin roll, cos tilt).
	return FromApproach(Approach{Tilt: sp.tilt(v), Roll: math.Atan2(-v[2], v[1])})
}

// tilt returns the tilt (rad) of the orientations that the point stands for.
func (sp *space) tilt(v vec4) float64 {
	if sp.axial {
		return math.Atan2(math.Hypot(v[1], v[2]), v[3])
	}
	return 2 * math.Atan2(math.Hypot(v[1], v[2]), math.Hypot(v[0], v[3]))
}

// clamp moves the point straight to the edge of the region of tilts up to limit, if it lies beyond.
func (sp *space) clamp(v vec4, limit float64) vec4 {
	if limit >= math.Pi || sp.tilt(v) <= limit {
		return v
	}
	if sp.axial {
		si, co := math.Sincos(limit)
		l := si / math.Hypot(v[1], v[2])
		return vec4{0, v[1] * l, v[2] * l, co}
	}
	si, co := math.Sincos(limit / 2)
	c, l := math.Hypot(v[0], v[3]), math.Hypot(v[1], v[2])
	if c == 0 {
		return vec4{co, v[1] * si / l, v[2] * si / l, 0}
	}
	c, l = co/c, si/l
	return vec4{v[0] * c, v[1] * l, v[2] * l, v[3] * c}
}

// angle returns the geodesic angle (rad) of two orientations whose points are a squared chord apart.
func (sp *space) angle(chord2 float64) float64 {
	return sp.factor * 2 * math.Asin(math.Min(1, math.Sqrt(math.Max(0, chord2))/2))
}
