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
	n, _ := e.foot(p)
	return n
}

// enoughRoot is the share by which √n of (1) may miss 1 before the last step: Newton's step squares it.
const enoughRoot = 1e-9

// foot is [Ellipsoid.Point] with the reciprocals of s + e_i², which are zero where it lies on the plane of the longer axes.
func (e Ellipsoid) foot(p orient.Vec3) (n Near, reciprocal orient.Vec3) {
	var weight, square orient.Vec3
	least := 0
	for i, v := range p {
		square[i] = e.Semi[i] * e.Semi[i]
		// What is smaller has no weight and would overflow as a reciprocal.
		if q := math.Abs(v); q >= 1e-100 {
			weight[i] = e.Semi[i] * q
		}
		if e.Semi[i] < e.Semi[least] {
			least = i
		}
	}
	// The root is sought as its way from where the shortest axis' term breaks down: near the middle that way is tiny, and
	// as a difference of two numbers it would lose its digits.
	var beyond orient.Vec3
	way, sum, mean := 0.0, 0.0, 0.0
	for i, w := range weight {
		beyond[i] = square[i] - square[least]
		// Each term alone says that the root is not to the left of here.
		way = max(way, w-beyond[i])
		sum += w * w
		mean += w * w * beyond[i]
	}
	if way == 0 && excess(weight, beyond) <= 0 {
		// On the plane of the longer axes, near the middle: the foot leaves the plane along the shortest.
		rest := 1.0
		for i, w := range weight {
			if beyond[i] > 0 {
				t := w / beyond[i]
				n.Point[i] = e.Semi[i] * t
				rest -= t * t
			}
		}
		n.Point[least] = e.Semi[least] * math.Sqrt(max(rest, 0))
	} else {
		// All terms together say so, too: 1/x² is convex, so the sum is no less than with the mean of what is beyond.
		way = max(way, math.Sqrt(sum)-mean/sum)
		wx, wy, wz, bx, by, bz := weight[0], weight[1], weight[2], beyond[0], beyond[1], beyond[2]
		for range rootSteps {
			n, slope := 0.0, 0.0
			if wx != 0 {
				r := 1 / (way + bx)
				t := wx * r
				n += t * t
				slope += t * t * r
			}
			if wy != 0 {
				r := 1 / (way + by)
				t := wy * r
				n += t * t
				slope += t * t * r
			}
			if wz != 0 {
				r := 1 / (way + bz)
				t := wz * r
				n += t * t
				slope += t * t * r
			}
			// Newton's step for 1/√n = 1, which is nearly straight where n itself is steep (the device that J. M. Hebden 1973
			// used for trust regions; from memory). From the left it never oversteps.
			root := math.Sqrt(n)
			next := way + (root-1)*n/slope
			if !(root-1 > 1e-15) || next <= way {
				break
			}
			way = next
			if root-1 < enoughRoot {
				break
			}
		}
		for i, w := range weight {
			reciprocal[i] = 1 / (way + beyond[i])
			if w > 0 {
				n.Point[i] = e.Semi[i] * w * reciprocal[i]
			}
		}
	}
	// To the surface, from where rounding and the last step have left it.
	size, long := 0.0, 0.0
	for i, x := range n.Point {
		t := x / e.Semi[i]
		n.Normal[i] = t / e.Semi[i]
		size += t * t
		long += n.Normal[i] * n.Normal[i]
	}
	size, long = 1/math.Sqrt(size), 1/math.Sqrt(long)
	for i, v := range p {
		n.Point[i] = math.Copysign(n.Point[i]*size, v)
		n.Normal[i] = math.Copysign(n.Normal[i]*long, v)
		n.Distance += (v - n.Point[i]) * n.Normal[i]
	}
	return n, reciprocal
}

// excess is (1)'s left side less 1 at s = −e² of the shortest axis, without the terms that do not exist there.
func excess(weight, beyond orient.Vec3) float64 {
	f := -1.0
	for i, w := range weight {
		if beyond[i] > 0 {
			t := w / beyond[i]
			f += t * t
		}
	}
	return f
}

// Apart asks the plane that touches the ellipsoid under the place of the segment that is nearest to the middle in the space in
// which the ellipsoid is the unit ball.
func (e Ellipsoid) Apart(a, b orient.Vec3) float64 {
	ex, ey, ez := 1/e.Semi[0], 1/e.Semi[1], 1/e.Semi[2]
	ax, ay, az, bx, by, bz := a[0], a[1], a[2], b[0], b[1], b[2]
	ux, uy, uz := ax*ex, ay*ey, az*ez
	vx, vy, vz := (bx-ax)*ex, (by-ay)*ey, (bz-az)*ez
	along, length := -ux*vx-uy*vy-uz*vz, vx*vx+vy*vy+vz*vz
	t := 0.0
	if along > 0 {
		t = 1
		if along < length {
			t = along / length
		}
	}
	px, py, pz := ux+t*vx, uy+t*vy, uz+t*vz
	nx, ny, nz := px*ex, py*ey, pz*ez
	steep := math.Sqrt(nx*nx + ny*ny + nz*nz)
	if !(steep > 0) {
		return math.Inf(-1)
	}
	return (min(nx*ax+ny*ay+nz*az, nx*bx+ny*by+nz*bz) - math.Sqrt(px*px+py*py+pz*pz)) / steep
}

// newtonSteps bounds Newton's steps before the bracket is halved instead; two or three are usual.
const newtonSteps = 12

// Segment returns where the segment from a to b is nearest to the surface, or deepest inside: the signed distance to a convex
// body is convex along it, so its slope, normal·(b − a), has one change of sign. Newton's steps find it: with g = x_i/e_i² at
// the foot x and D_i = (s + e_i²)/e_i², a way w of the point moves g by
//
//	ġ_i = (w_i − g_i·ṡ)/(D_i·e_i²),   ṡ = Σ(g_i·w_i/D_i)/Σ(g_i²/D_i)                                        (2)
//
// and the slope by the part of ġ·w across the normal, over |g| (differentiating p_i = x_i·D_i).
func (e Ellipsoid) Segment(a, b orient.Vec3) Near {
	return e.SegmentFrom(a, b, middle(a, b, e.Semi))
}

// SegmentFrom is [Ellipsoid.Segment] when the place along the segment, from 0 to 1, is known to be near t: where it was a
// moment ago.
func (e Ellipsoid) SegmentFrom(a, b orient.Vec3, t float64) Near {
	way := sub(b, a)
	enough := alongTolerance * way.Norm()
	low, high := -1.0, 2.0 // neither end has been tried
	for step := 0; ; step++ {
		n, reciprocal := e.foot(a.Add(way.Scale(t)))
		n.Along = t
		slope := n.Normal.Dot(way)
		if math.Abs(slope) <= enough || t == 0 && slope > 0 || t == 1 && slope < 0 {
			return n
		}
		if slope < 0 {
			low = t
		} else {
			high = t
		}
		if !(high-low > 1e-10) {
			return n
		}
		next := t - slope/e.bend(&n, &reciprocal, &way)
		switch {
		case next >= 1 && high > 1:
			next = 1
		case next <= 0 && low < 0:
			next = 0
		case !(next > low && next < high) || step > newtonSteps:
			next = (max(low, 0) + min(high, 1)) / 2
		}
		t = next
	}
}

// bend is how the slope along a way changes (2).
func (e Ellipsoid) bend(n *Near, reciprocal, way *orient.Vec3) float64 {
	var g orient.Vec3
	across, along, long := 0.0, 0.0, 0.0
	for i := range g {
		g[i] = n.Point[i] / (e.Semi[i] * e.Semi[i])
		d := e.Semi[i] * e.Semi[i] * reciprocal[i]
		across += g[i] * way[i] * d
		along += g[i] * g[i] * d
		long += g[i] * g[i]
	}
	turn, straight, s := 0.0, 0.0, across/along
	for i, w := range way {
		move := (w - g[i]*s) * reciprocal[i]
		turn += move * w
		straight += move * n.Normal[i]
	}
	return (turn - straight*n.Normal.Dot(*way)) / math.Sqrt(long)
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
