package shape

import (
	"math"

	"holdfast/orient"
)

// segment is where the segment from a to b is nearest to the surface, or deepest inside.
func (f *facets) segment(a, b orient.Vec3) Near {
	way := sub(b, a)
	long := way.Dot(way)
	if long == 0 {
		return f.point(a)
	}
	low, high := a, a
	for i := range low {
		low[i], high[i] = min(a[i], b[i]), max(a[i], b[i])
	}
	// Upper bounds first: the ends, and a few steps to and fro between the surface and the segment.
	start := f.point(a)
	if end := f.point(b); end.Distance < start.Distance {
		start = end
		start.Along = 1
	}
	t := middle(sub(a, f.box), sub(b, f.box), f.half)
	for range 3 {
		n := f.point(a.Add(way.Scale(t)))
		n.Along = t
		if n.Distance < start.Distance {
			start = n
		}
		t = clamp(sub(n.Point, a).Dot(way) / long)
	}
	if start.Distance <= 0 {
		return f.deepest(a, way, start)
	}
	var stack [stackMost]struct {
		at    int32
		bound float64
	}
	depth := 1
	square, along := start.Distance*start.Distance, start.Along
	for depth > 0 {
		depth--
		if stack[depth].bound >= square {
			continue
		}
		at := stack[depth].at
		n := &f.nodes[at]
		if n.count > 0 {
			for i := n.first; i < n.first+n.count; i++ {
				s, t := acrossTriangle(&a, &way, long, &f.corners[i], &f.faceNormals[i], square)
				if s < square {
					square, along = s, t
				}
			}
			if square == 0 {
				break
			}
			continue
		}
		near, far := at+1, n.far
		c, d := f.nodes[near].between(&low, &high, &a, &way, long), f.nodes[far].between(&low, &high, &a, &way, long)
		if c > d {
			near, far, c, d = far, near, d, c
		}
		stack[depth].at, stack[depth].bound = far, d
		stack[depth+1].at, stack[depth+1].bound = near, c
		depth += 2
	}
	n := f.point(a.Add(way.Scale(along)))
	n.Along = along
	if n.Distance <= touching*f.reach { // it touches at least, and may cut through
		return f.deepest(a, way, n)
	}
	return n
}

// acrossTriangle is the square of the distance of the segment from a by way (of the squared length long) from a triangle, and where on
// the segment: 0 where it cuts through. The segment's ends were looked at before; what is left are the triangle's edges and the cut.
// What lies as far as the square most is not looked for.
func acrossTriangle(a, way *orient.Vec3, long float64, c *[3]orient.Vec3, normal *orient.Vec3, most float64) (square, along float64) {
	// Through the face?
	up := normal[0]*(a[0]-c[0][0]) + normal[1]*(a[1]-c[0][1]) + normal[2]*(a[2]-c[0][2])
	down := up + normal[0]*way[0] + normal[1]*way[1] + normal[2]*way[2]
	if up*down < 0 {
		t := up / (up - down)
		p := orient.Vec3{a[0] + t*way[0], a[1] + t*way[1], a[2] + t*way[2]}
		if normal.Dot(sub(c[1], c[0]).Cross(sub(p, c[0]))) >= 0 && normal.Dot(sub(c[2], c[1]).Cross(sub(p, c[1]))) >= 0 &&
			normal.Dot(sub(c[0], c[2]).Cross(sub(p, c[2]))) >= 0 {
			return 0, t
		}
	} else if least := min(math.Abs(up), math.Abs(down)); least*least >= most {
		return math.Inf(1), 0 // its plane is too far away
	}
	square = math.Inf(1)
	for k := range 3 {
		from, to := &c[k], &c[(k+1)%3]
		vx, vy, vz := to[0]-from[0], to[1]-from[1], to[2]-from[2]
		wx, wy, wz := a[0]-from[0], a[1]-from[1], a[2]-from[2]
		vv, uv := vx*vx+vy*vy+vz*vz, way[0]*vx+way[1]*vy+way[2]*vz
		uw, vw := way[0]*wx+way[1]*wy+way[2]*wz, vx*wx+vy*wy+vz*wz
		// Nearest of both lines, then each clamped to its ends (as in [Segments]).
		s := 0.5
		if area := long*vv - uv*uv; area > 1e-14*long*vv {
			s = clamp((uv*vw - vv*uw) / area)
		}
		t := 0.0
		if vv > 0 {
			t = clamp((uv*s + vw) / vv)
		}
		s = clamp((uv*t - uw) / long)
		x, y, z := wx+s*way[0]-t*vx, wy+s*way[1]-t*vy, wz+s*way[2]-t*vz
		if d := x*x + y*y + z*z; d < square {
			square, along = d, s
		}
	}
	return square, along
}

// dives bounds how often the depth of a segment is asked for.
const dives = 40

// deepest looks for the lowest signed distance on the segment, of which n is one place that is not outside. The distance changes no
// faster than the place: between two places it is nowhere lower than half of both less the way between (S. A. Piyavskii 1972, B. O.
// Shubert 1972; from memory).
func (f *facets) deepest(a, way orient.Vec3, n Near) Near {
	length := way.Norm()
	enough := 1e-4 * length
	var t, v [dives + 3]float64 // places in order, and the distances there
	at := func(t float64) Near {
		n := f.point(a.Add(way.Scale(t)))
		n.Along = t
		return n
	}
	best := n
	count := 0
	add := func(n Near) {
		k := count
		for k > 0 && t[k-1] > n.Along {
			t[k], v[k] = t[k-1], v[k-1]
			k--
		}
		t[k], v[k] = n.Along, n.Distance
		count++
		if n.Distance < best.Distance {
			best = n
		}
	}
	add(at(0))
	add(at(1))
	if n.Along > 0 && n.Along < 1 {
		add(n)
	}
	for count < dives {
		low, k := math.Inf(1), 0
		for i := range count - 1 {
			if bound := (v[i] + v[i+1] - (t[i+1]-t[i])*length) / 2; bound < low {
				low, k = bound, i
			}
		}
		if best.Distance-low <= enough {
			break
		}
		// Where the two slopes of one meet.
		middle := (t[k]+t[k+1])/2 + (v[k]-v[k+1])/(2*length)
		if !(middle > t[k] && middle < t[k+1]) {
			break
		}
		add(at(middle))
	}
	// Between its neighbours by halving on the slope's sign, which the normal tells.
	from, to := 0.0, 1.0
	for i := range count {
		if t[i] < best.Along {
			from = t[i]
		}
		if t[i] > best.Along {
			to = t[i]
			break
		}
	}
	middle := best.Along
	for slope := best.Normal.Dot(way); to-from > 1e-7; {
		if slope < 0 {
			from = middle
		} else {
			to = middle
		}
		middle = (from + to) / 2
		n := at(middle)
		slope = n.Normal.Dot(way)
		if n.Distance < best.Distance {
			best = n
		}
	}
	return best
}
