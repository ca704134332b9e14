package grasp

import (
	"fmt"
	"math"

	"holdfast/orient"
)

// Sharing says how the normal forces of several contacts are counted together.
type Sharing uint8

// The two usual ways (C. Ferrari, J. Canny, ICRA 1992; from memory).
const (
	Total Sharing = iota // they add up to 1 N: one motor shares its force out. The hull of single contacts' wrenches, L1
	Each                 // each is at most 1 N: every finger has its own motor. The sum of the contacts' wrenches, L∞
)

// String says what is counted.
func (s Sharing) String() string {
	if s == Each {
		return "every normal force up to 1 N"
	}
	return "normal forces adding up to 1 N"
}

// Limits says how friction limits are represented.
type Limits struct {
	// Edges of the pyramid inside the friction cone, the first along Tangent1; two more vertices limit the torsion of a
	// soft finger. 0 stands for the true cone. Pyramids are on the safe side, by up to 1 − cos(π/Edges) of the friction.
	Edges int
}

// Cones are true friction cones and ellipsoids.
var Cones = Limits{}

// maxEdges keeps pyramids to sizes that make sense.
const maxEdges = 256

// String names the limits.
func (l Limits) String() string {
	if l.Edges == 0 {
		return "true friction cones"
	}
	return fmt.Sprintf("friction pyramids of %d edges", l.Edges)
}

func (l Limits) validate() error {
	if l.Edges != 0 && (l.Edges < 3 || l.Edges > maxEdges) {
		return fmt.Errorf("a friction pyramid of %d edges cannot be used; 3 to %d, or 0 for the true cone", l.Edges, maxEdges)
	}
	return nil
}

// cone is what a contact does to the item: {N·(axis + Σ b_k·spread_k) : N ≥ 0, |b| ≤ 1}.
type cone struct {
	axis   [6]float64    // wrench of a unit normal force
	spread [3][6]float64 // wrench of each force component at its limit for a unit normal force
	part   [3]int        // which component: 0, 1 shear, 3 torsion
	limit  [3]float64    // μ or γ
	q      int           // number of components
}

func (g *Grasp) coneOf(c *Contact) cone {
	w := c.wrenches(g.Origin, g.Length)
	k := cone{axis: g.packed(w[2])}
	for _, part := range g.components(c) {
		limit := c.Friction
		if part == 3 {
			limit = c.Torsion
		}
		if part == 2 || limit == 0 {
			continue
		}
		k.part[k.q], k.limit[k.q] = part, limit
		column := g.packed(w[part])
		for r := range column {
			k.spread[k.q][r] = limit * column[r]
		}
		k.q++
	}
	return k
}

// force is the contact force of normal force n and components b, in shares of the cone's radius.
func (k *cone) force(n float64, b [3]float64) Force {
	f := [4]float64{2: n}
	for i := range k.q {
		f[k.part[i]] = k.limit[i] * b[i]
	}
	return Force{f[0], f[1], f[2], f[3]}
}

// vertices are the b of the pyramid's edges.
func (k *cone) vertices(edges int) (b [][3]float64) {
	shears := 0
	for shears < k.q && k.part[shears] != 3 {
		shears++
	}
	switch shears {
	case 1:
		b = append(b, [3]float64{1}, [3]float64{-1})
	case 2:
		for j := range edges {
			sin, cos := math.Sincos(2 * math.Pi * float64(j) / float64(edges))
			b = append(b, [3]float64{cos, sin})
		}
	}
	if shears < k.q {
		var up, down [3]float64
		up[shears], down[shears] = 1, -1
		b = append(b, up, down)
	}
	if k.q == 0 {
		b = append(b, [3]float64{})
	}
	return b
}

func (k *cone) point(b [3]float64) [6]float64 {
	p := k.axis
	for i := range k.q {
		for r := range p {
			p[r] += b[i] * k.spread[i][r]
		}
	}
	return p
}

// body is the set of wrenches of unit normal forces, known by how far it reaches in each direction.
type body struct {
	d       int
	sharing Sharing
	cones   []cone
	corners [][][6]float64 // of pyramids, by contact; nil for true cones
	fixed   []orientation  // the b of the corners
}

type orientation [][3]float64

func (g *Grasp) body(sharing Sharing, limits Limits) *body {
	b := &body{d: g.dim(), sharing: sharing, cones: g.cones}
	if limits.Edges == 0 {
		return b
	}
	b.corners, b.fixed = make([][][6]float64, len(g.cones)), make([]orientation, len(g.cones))
	for i := range g.cones {
		b.fixed[i] = g.cones[i].vertices(limits.Edges)
		for _, v := range b.fixed[i] {
			b.corners[i] = append(b.corners[i], g.cones[i].point(v))
		}
	}
	return b
}

func dot6(a, b *[6]float64) float64 {
	return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] + a[3]*b[3] + a[4]*b[4] + a[5]*b[5]
}

// reach returns h(u), the largest u·w over the body, and where it is taken.
func (b *body) reach(u, at *[6]float64) float64 {
	best := math.Inf(-1)
	sum := 0.0
	var p, total [6]float64
	for i := range b.cones {
		h := b.contactReach(i, u, &p)
		if b.sharing == Total {
			if h > best {
				best, *at = h, p
			}
			continue
		}
		if h > 0 {
			sum += h
			for r := range total {
				total[r] += p[r]
			}
		}
	}
	if b.sharing == Each {
		*at = total
		return sum
	}
	return best
}

// contactReach is reach for the unit normal force of one contact.
func (b *body) contactReach(i int, u, at *[6]float64) float64 {
	if b.corners != nil {
		best := math.Inf(-1)
		corners := b.corners[i]
		for j := range corners {
			if h := dot6(u, &corners[j]); h > best {
				best, *at = h, corners[j]
			}
		}
		return best
	}
	k := &b.cones[i]
	*at = k.axis
	h := dot6(u, &k.axis)
	var v [3]float64
	length := 0.0
	for j := range k.q {
		v[j] = dot6(u, &k.spread[j])
		length += v[j] * v[j]
	}
	if length == 0 {
		return h
	}
	length = math.Sqrt(length)
	for j := range k.q {
		s := v[j] / length
		for r := range at {
			at[r] += s * k.spread[j][r]
		}
	}
	return h + length
}

// ShearLimit returns the shear (N) along a direction (of any length, in the tangent plane) that a unit normal force of
// contact i holds, as far as the limits take friction in.
func (g *Grasp) ShearLimit(i int, direction orient.Vec3, limits Limits) float64 {
	k, c := &g.cones[i], &g.Contacts[i]
	if k.q == 0 || k.part[0] == 3 {
		return 0
	}
	if g.planar || limits.Edges == 0 {
		return k.limit[0]
	}
	// A regular polygon: the distance of its side along the direction, measured from the middle of the side.
	step := 2 * math.Pi / float64(limits.Edges)
	angle := math.Atan2(direction.Dot(c.Tangent2), direction.Dot(c.Tangent1))
	return k.limit[0] * math.Cos(step/2) / math.Cos(math.Mod(math.Mod(angle, step)+step, step)-step/2)
}
