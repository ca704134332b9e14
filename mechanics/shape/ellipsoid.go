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

// rootSteps bounds Newton's steps; from the left of a convex falling function they converge monotonically, and quadratically
// at the end.
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
		way = math.Max(way, e.Semi[i]*v-beyond[i])
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
		x[least] = e.Semi[least] * math.Sqrt(math.Max(rest, 0))
	} else {
		for range rootSteps {
			f, slope := -1.0, 0.0
			for i, v := range q {
				if v == 0 {
					continue
				}
				r := 1 / (way + beyond[i])
				t := e.Semi[i] * v * r
				f += t * t
				slope -= 2 * t * t * r
			}
			if !(f > 0) || slope == 0 {
				break
			}
			next := way - f/slope
			if next <= way {
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

// alongTolerance is how exactly the nearest place on a segment is found, as a share of its length.
const alongTolerance = 1e-10

// Segment returns where the segment from a to b is nearest to the surface, or deepest inside: the signed distance to a convex
// body is convex along it, so its slope, normal·(b − a), has one change of sign.
func (e Ellipsoid) Segment(a, b orient.Vec3) Near {
	way := orient.Vec3{b[0] - a[0], b[1] - a[1], b[2] - a[2]}
	at := func(t float64) (Near, float64) {
		n := e.Point(a.Add(way.Scale(t)))
		n.Along = t
		return n, n.Normal.Dot(way)
	}
	first, rising := at(0)
	if rising >= 0 {
		return first
	}
	last, falling := at(1)
	if falling <= 0 {
		return last
	}
	// Secant steps that never leave the bracket (the Illinois rule), with halving where they stall.
	low, high, lowSlope, highSlope := 0.0, 1.0, rising, falling
	best := first
	if last.Distance < first.Distance {
		best = last
	}
	for range 60 {
		t := low - lowSlope*(high-low)/(highSlope-lowSlope)
		if !(t > low && t < high) {
			t = (low + high) / 2
		}
		n, slope := at(t)
		if n.Distance < best.Distance {
			best = n
		}
		if slope == 0 || high-low < alongTolerance {
			return best
		}
		if slope < 0 {
			if low != 0 && math.Abs(slope) > 0.5*math.Abs(lowSlope) {
				highSlope /= 2
			}
			low, lowSlope = t, slope
		} else {
			if high != 1 && math.Abs(slope) > 0.5*math.Abs(highSlope) {
				lowSlope /= 2
			}
			high, highSlope = t, slope
		}
		if math.Abs(slope) < 1e-12*way.Norm() {
			return best
		}
	}
	return best
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
