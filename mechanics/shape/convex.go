package shape

import (
	"math"

	"holdfast/orient"
)

// convex is what the searches along segments need of a convex body.
type convex interface {
	Point(p orient.Vec3) Near
	// height is how far (m) the body reaches from the origin along the unit direction.
	height(direction orient.Vec3) float64
}

// parted is by how much the plane that touches the body under the segment's place t parts them.
func parted[S convex](s S, a, b orient.Vec3, t float64) float64 {
	n := s.Point(a.Add(sub(b, a).Scale(t)))
	if n.Distance <= 0 {
		return math.Inf(-1)
	}
	return min(n.Normal.Dot(a), n.Normal.Dot(b)) - s.height(n.Normal)
}

// How far from square (rad) the way to a segment's nearest place may be. On bodies that are curved everywhere the distance errs
// by its square; on flat ones by itself, but there the search ends exactly; a superellipsoid may be nearly flat.
const (
	alongTolerance = 1e-5
	nearlyFlat     = 1e-7
	flatTolerance  = 1e-8
)

// along returns where the segment from a to b is nearest to the surface of a convex body of about the size (m), or deepest
// inside, starting from its place t: the signed distance is convex along the segment, so its slope, normal·(b − a), has one
// change of sign.
func along[S interface{ Point(orient.Vec3) Near }](s S, a, b orient.Vec3, t, size, tolerance float64) Near {
	way := sub(b, a)
	enough := tolerance * way.Norm()
	best := s.Point(a.Add(way.Scale(t)))
	best.Along = t
	slope := best.Normal.Dot(way)
	if math.Abs(slope) <= enough || t == 0 && slope > 0 || t == 1 && slope < 0 {
		return best
	}
	// The other end of a bracket: a little beyond where the slope would vanish, were the body a ball of its distance.
	if math.IsNaN(slope) {
		return best
	}
	low, high, lowSlope, highSlope := t, t, slope, slope
	for step := 2 * math.Abs(slope) * (max(best.Distance, 0) + size) / way.Dot(way); ; step *= 4 {
		if slope < 0 {
			t = min(1, high+step)
		} else {
			t = max(0, low-step)
		}
		n := s.Point(a.Add(way.Scale(t)))
		n.Along = t
		at := n.Normal.Dot(way)
		if n.Distance < best.Distance {
			best = n
		}
		if math.Abs(at) <= enough {
			return best
		}
		if at*slope < 0 {
			if at < 0 {
				low, lowSlope = t, at
			} else {
				high, highSlope = t, at
			}
			break
		}
		if t == 0 || t == 1 {
			return best
		}
		low, high, lowSlope, highSlope = t, t, at, at
	}
	// Secant steps that never leave the bracket (the Illinois rule), with halving where they stall.
	for side := 0; high-low > 1e-10; {
		t := low - lowSlope*(high-low)/(highSlope-lowSlope)
		if !(t > low && t < high) {
			t = (low + high) / 2
		}
		n := s.Point(a.Add(way.Scale(t)))
		n.Along = t
		slope := n.Normal.Dot(way)
		if n.Distance < best.Distance {
			best = n
		}
		switch {
		case math.Abs(slope) <= enough:
			return best
		case slope < 0:
			low, lowSlope = t, slope
			if side < 0 {
				highSlope /= 2
			}
			side = -1
		default:
			high, highSlope = t, slope
			if side > 0 {
				lowSlope /= 2
			}
			side = 1
		}
	}
	return best
}

// middle is the place on the segment that is nearest to the origin when the axes are divided by the half lengths.
func middle(a, b, half orient.Vec3) float64 {
	along, length := 0.0, 0.0
	for i := range a {
		u, v := a[i]/half[i], (b[i]-a[i])/half[i]
		along -= u * v
		length += v * v
	}
	if length == 0 {
		return 0
	}
	return clamp(along / length)
}

// cored is a convex body whose distance from something within it, or from itself, is smooth.
type cored interface {
	Point(p orient.Vec3) Near
	// probe returns the distance (m) of p from what lies within, and its first and second derivative by the way (per way, per
	// way²). The derivatives count only where the distance is positive. The hint is 0 or what the last probe nearby gave.
	probe(p, way, hint orient.Vec3) (distance, slope, bend float64, next orient.Vec3)
	// again is Point, given a probe's hint from the same place.
	again(p, hint orient.Vec3) Near
}

// descend returns what along does, by Newton's steps on the half square of that distance, which is smooth where flat surfaces
// are straight and sharp edges round.
func descend[S cored](s S, a, b orient.Vec3, t, size, tolerance float64) Near {
	way := sub(b, a)
	enough := tolerance * way.Norm()
	low, high := -1.0, 2.0 // no place that was asked yet
	var hint orient.Vec3
	var distance, slope, bend float64
	for range rootSteps {
		distance, slope, bend, hint = s.probe(orient.Vec3{a[0] + t*way[0], a[1] + t*way[1], a[2] + t*way[2]}, way, hint)
		if !(distance > 0) {
			return along(s, a, b, t, size, tolerance)
		}
		if math.Abs(slope) <= enough || t == 0 && slope > 0 || t == 1 && slope < 0 {
			break
		}
		if slope < 0 {
			low = t
		} else {
			high = t
		}
		if high-low < 1e-14 {
			break
		}
		next := clamp(t - distance*slope/(slope*slope+distance*bend))
		if !(next > low && next < high) {
			next = (max(low, 0) + min(high, 1)) / 2
		}
		t = next
	}
	n := s.again(orient.Vec3{a[0] + t*way[0], a[1] + t*way[1], a[2] + t*way[2]}, hint)
	n.Along = t
	return n
}
