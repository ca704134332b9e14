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

// linear4 is an isometry of the sphere, a matrix with rows first.
type linear4 [4]vec4

func (g *linear4) apply(v vec4) vec4 {
	return vec4{g[0].dot(v), g[1].dot(v), g[2].dot(v), g[3].dot(v)}
}

// inverse returns the isometry that undoes g, its transpose.
func (g *linear4) inverse() linear4 {
	var t linear4
	for a := range t {
		for b := range t {
			t[a][b] = g[b][a]
		}
	}
	return t
}

// linear returns the matrix of a linear map.
func linear(f func(vec4) vec4) linear4 {
	var g linear4
	for b := range g {
		var e vec4
		e[b] = 1
		for a, x := range f(e) {
			g[a][b] = x
		}
	}
	return g
}

func newSpace(s Symmetry) *space {
	return newSpaceOf(turns(s.Around()), turns(s.Hand()), s.Axial(), s.Mirror())
}

// turns returns the n-fold turns about z, the identity first.
func turns(n int) []Rotation {
	list := make([]Rotation, n)
	for k := range list {
		list[k] = RotZ(2 * math.Pi * float64(k) / float64(n))
	}
	return list
}

// newSpaceOf builds the space for any finite groups on the left (not used if axial) and on the right, identity first.
// With mirror the groups must be of turns about z.
func newSpaceOf(left, right []Rotation, axial, mirror bool) *space {
	sp := &space{axial: axial, factor: 2}
	flips := []bool{false, true}
	if !mirror {
		flips = flips[:1]
	}
	if axial {
		sp.factor = 1
		for _, flip := range flips {
			for _, r := range right {
				back := r.Inverse()
				sp.images = append(sp.images, linear(func(v vec4) vec4 {
					if flip {
						v[2] = -v[2]
					}
					u := back.Apply(Vec3{v[1], v[2], v[3]})
					return vec4{v[0], u[0], u[1], u[2]}
				}))
			}
		}
		return sp
	}
	for _, flip := range flips {
		for _, sign := range []float64{1, -1} {
			for _, l := range left {
				for _, r := range right {
					sp.images = append(sp.images, linear(func(v vec4) vec4 {
						q := Rotation{sign * v[0], sign * v[1], sign * v[2], sign * v[3]}
						if flip {
							q = q.Mirrored()
						}
						q = l.Mul(q).Mul(r)
						return vec4{q.W, q.X, q.Y, q.Z}
					}))
				}
			}
		}
	}
	return sp
}

// dimension returns how many coordinates tell inequivalent orientations apart.
func (sp *space) dimension() float64 {
	if sp.axial {
		return 2
	}
	return 3
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
