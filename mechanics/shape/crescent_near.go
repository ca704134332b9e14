package shape

import (
	"math"

	"holdfast/orient"
)

// touch is how near the ball at θ is to the segment from a by way (of the squared length long), with the derivatives by θ. Where
// the segment's nearest place is no end, it gives way to the ball.
func (c *Crescent) touch(theta float64, a, way orient.Vec3, long float64) (n Near, slope, bend float64) {
	sin, cos := math.Sincos(theta)
	centre := orient.Vec3{c.ring*cos - c.centre, c.ring * sin, 0}
	off := sub(a, centre)
	free := c.ring * c.ring
	move := orient.Vec3{-c.ring * sin, c.ring * cos, 0}
	if long > 0 {
		t := -off.Dot(way) / long
		if t > 0 && t < 1 {
			m := move.Dot(way)
			free -= m * m / long
		}
		n.Along = clamp(t)
		off = off.Add(way.Scale(n.Along))
	}
	r := c.thickness(theta)
	d := off.Norm()
	if d <= 1e-14*c.ring {
		// On the middle line every direction square to it is as good.
		n.Normal = orient.Vec3{0, 0, 1}
		n.Point, n.Distance = centre.Add(orient.Vec3{0, 0, r}), -r
		return n, 2 * c.taper * theta, math.Inf(1)
	}
	n.Normal = off.Scale(1 / d)
	n.Point, n.Distance = centre.Add(n.Normal.Scale(r)), d-r
	slope = -n.Normal.Dot(move)
	bend = (free-slope*slope)/d + c.ring*(n.Normal[0]*cos+n.Normal[1]*sin)
	return n, slope + 2*c.taper*theta, bend + 2*c.taper
}

// Segment returns where the segment is nearest to the surface, or deepest inside: over all balls, its distance from the centre less
// the radius. That is exact outside; inside it is as long as the surface's nearest point is that of one ball, which holds
// wherever the taper leaves the balls' outer halves uncovered. The arc is sampled, and the lowest places are refined by Newton's
// steps between their neighbours.
func (c *Crescent) Segment(a, b orient.Vec3) Near {
	best, jumps := c.sweep(a, sub(b, a))
	if jumps {
		// Between two places of the arc the nearest one on the segment runs along it, and there may be dips on both sides.
		if n, _ := c.sweep(a, orient.Vec3{}); n.Distance < best.Distance {
			best = n
		}
		if n, _ := c.sweep(b, orient.Vec3{}); n.Distance < best.Distance {
			best = n
			best.Along = 1
		}
	}
	return best
}

// jump is how far (as a share of the segment) the nearest place may move between two stations for the dips to be told apart.
const jump = 0.25

// sweep is what Segment does, as far as the stations show the dips; jumps says that there may be others.
func (c *Crescent) sweep(a, way orient.Vec3) (best Near, jumps bool) {
	long := way.Dot(way)
	var value, along [stations]float64
	lowest := 0
	for k := range value {
		at := &c.at[k]
		x, y, z := a[0]-at[0], a[1]-at[1], a[2]
		if long > 0 {
			t := clamp(-(x*way[0] + y*way[1] + z*way[2]) / long)
			x, y, z = x+t*way[0], y+t*way[1], z+t*way[2]
			along[k] = t
		}
		value[k] = math.Sqrt(x*x+y*y+z*z) - c.radius[k]
		if value[k] < value[lowest] {
			lowest = k
		}
	}
	// What lies between two places is no lower than this below the nearer one.
	step := 2 * c.angle / (stations - 1)
	slack := step / 2 * (c.ring + 2*c.taper*c.angle)
	best = c.refine(lowest, a, way, long)
	for k, v := range value {
		if v >= best.Distance+slack {
			continue
		}
		jumps = jumps || k > 0 && math.Abs(along[k]-along[k-1]) > jump || k < stations-1 && math.Abs(along[k]-along[k+1]) > jump
		if k != lowest && (k == 0 || v <= value[k-1]) && (k == stations-1 || v <= value[k+1]) {
			if n := c.refine(k, a, way, long); n.Distance < best.Distance {
				best = n
			}
		}
	}
	return best, jumps
}

// refine finds the dip around the station k.
func (c *Crescent) refine(k int, a, way orient.Vec3, long float64) Near {
	low, high := c.station(max(k-1, 0)), c.station(min(k+1, stations-1))
	theta := c.station(k)
	best := Near{Distance: math.Inf(1)}
	for range rootSteps {
		n, slope, bend := c.touch(theta, a, way, long)
		if n.Distance < best.Distance {
			best = n
		}
		if slope < 0 {
			low = theta
		} else {
			high = theta
		}
		next := theta - slope/bend
		if !(bend > 0) || !(next >= low && next <= high) {
			next = (low + high) / 2
		}
		// What is left of the distance is the square of the last step.
		if moved := math.Abs(next - theta); moved < 1e-9 || high-low < 1e-12 {
			break
		}
		theta = next
	}
	return best
}

// Point returns the surface's point nearest to p.
func (c *Crescent) Point(p orient.Vec3) Near {
	n, _ := c.sweep(p, orient.Vec3{})
	return n
}

// Apart asks the box around the body.
func (c *Crescent) Apart(a, b orient.Vec3) float64 {
	return Box{Half: c.half}.Apart(sub(a, c.box), sub(b, c.box))
}
