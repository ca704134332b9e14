package shape

import (
	"math"

	"holdfast/orient"
)

// Near is where a point or segment is nearest to a surface.
type Near struct {
	Point    orient.Vec3 // m, on the surface
	Normal   orient.Vec3 // unit, out of the surface
	Distance float64     // m along the normal; negative inside
	Along    float64     // from 0 to 1 on the segment; 0 for a point
}

// Ellipsoid has its semi-axes (m, positive) along the coordinate axes about the origin.
type Ellipsoid struct{ Semi orient.Vec3 }

// rootSteps bounds Newton's steps; five or six are usual.
const rootSteps = 60

// Point returns the surface's point nearest to p. With x_i = e_i²·p_i/(s + e_i²) the foot of p, s is the largest root of
//
//	Σ (e_i·p_i/(s + e_i²))² = 1                                                                             (1)
//
// (the usual Lagrange condition; D. Eberly, "Distance from a point to an ellipse, an ellipsoid, or a hyperellipsoid", from
// memory). At the centre and elsewhere on the inner focal surface several points are nearest; one of them is returned.
func (e Ellipsoid) Point(p orient.Vec3) Near {
	var q, square orient.Vec3
	least := 0
	for i, v := range p {
		square[i] = e.Semi[i] * e.Semi[i]
		// What is smaller has no weight and would overflow as a reciprocal.
		if q[i] = math.Abs(v); q[i] < 1e-100 {
			q[i] = 0
		}
		if e.Semi[i] < e.Semi[least] {
			least = i
		}
	}
	// The root is sought as its way from where the shortest axis' term breaks down: near the middle that way is tiny, and
	// as a difference of two numbers it would lose its digits.
	var beyond orient.Vec3
	way := 0.0
	for i, v := range q {
		beyond[i] = square[i] - square[least]
		// Each term alone says that the root is not to the left of here.
		way = max(way, e.Semi[i]*v-beyond[i])
	}
	var x orient.Vec3
	if way == 0 && e.excess(q, beyond) <= 0 {
		// On the plane of the longer axes, near the middle: the foot leaves the plane along the shortest.
		rest := 1.0
		for i, v := range q {
			if beyond[i] > 0 {
				x[i] = square[i] * v / beyond[i]
				rest -= x[i] * x[i] / square[i]
			}
		}
		x[least] = e.Semi[least] * math.Sqrt(max(rest, 0))
	} else {
		for range rootSteps {
			n, slope := 0.0, 0.0
			for i, v := range q {
				if v == 0 {
					continue
				}
				r := 1 / (way + beyond[i])
				t := e.Semi[i] * v * r
				n += t * t
				slope += 2 * t * t * r
			}
			// Newton's step for 1/√n = 1, which is nearly straight where n itself is steep (the device that J. M. Hebden 1973
			// used for trust regions; from memory). From the left it never oversteps.
			root := math.Sqrt(n)
			next := way + (root-1)*2*n/slope
			if !(root-1 > 1e-15) || next <= way {
				break
			}
			way = next
		}
		for i, v := range q {
			if v > 0 {
				x[i] = square[i] * v / (way + beyond[i])
			}
		}
	}
	x = e.outward(x)
	var n Near
	for i := range p {
		n.Point[i] = math.Copysign(x[i], p[i])
		n.Normal[i] = n.Point[i] / square[i]
	}
	n.Normal = n.Normal.Scale(1 / n.Normal.Norm())
	for i := range p {
		n.Distance += (p[i] - n.Point[i]) * n.Normal[i]
	}
	return n
}

// excess is (1)'s left side less 1 at s = −e² of the shortest axis, without the terms that do not exist there.
func (e Ellipsoid) excess(q, beyond orient.Vec3) float64 {
	f := -1.0
	for i, v := range q {
		if beyond[i] > 0 {
			t := e.Semi[i] * v / beyond[i]
			f += t * t
		}
	}
	return f
}

// outward scales a point to the surface.
func (e Ellipsoid) outward(x orient.Vec3) orient.Vec3 {
	sum := 0.0
	for i, v := range x {
		sum += v * v / (e.Semi[i] * e.Semi[i])
	}
	if sum == 0 {
		return orient.Vec3{}
	}
	return x.Scale(1 / math.Sqrt(sum))
}

// Beyond says that no point of the segment from a to b is nearer to the surface than the distance (m, not negative). It is
// cheap, and sometimes false although that holds.
func (e Ellipsoid) Beyond(a, b orient.Vec3, distance float64) bool {
	p := a.Add(sub(b, a).Scale(middle(a, b, e.Semi)))
	// The plane that touches the ellipsoid with its normal as the surface's under p parts them, if it does.
	n := orient.Vec3{p[0] / (e.Semi[0] * e.Semi[0]), p[1] / (e.Semi[1] * e.Semi[1]), p[2] / (e.Semi[2] * e.Semi[2])}
	reach := orient.Vec3{n[0] * e.Semi[0], n[1] * e.Semi[1], n[2] * e.Semi[2]}.Norm()
	return min(n.Dot(a), n.Dot(b))-reach > distance*n.Norm()
}

// Segment returns where the segment from a to b is nearest to the surface, or deepest inside.
func (e Ellipsoid) Segment(a, b orient.Vec3) Near {
	return along(e, a, b, middle(a, b, e.Semi), e.Semi[0], alongTolerance)
}

// Support returns the point of the surface that lies farthest along the direction, which must not vanish.
func (e Ellipsoid) Support(direction orient.Vec3) orient.Vec3 {
	var x orient.Vec3
	for i, d := range direction {
		x[i] = e.Semi[i] * d
	}
	norm := x.Norm()
	for i := range x {
		x[i] *= e.Semi[i] / norm
	}
	return x
}
