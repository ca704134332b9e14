package shape

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/integrate/quad"

	"holdfast/orient"
)

// stations are how many places of the middle line are looked at before the best are refined.
const stations = 17

// Crescent is a bent roll that tapers towards both ends: all balls with their centre on an arc of a circle and the radius
//
//	r(θ) = thick − (thick − tip)(θ/α)²,  −α ≤ θ ≤ α                                                           (5)
//
// θ being the angle around the arc from its middle. With tip = thick it is a segment of a torus with a ball at each end. The
// circle lies in the plane z = 0 with its centre on the x axis, on the negative side; the arc's middle points along x. Make it
// with [NewCrescent].
type Crescent struct {
	ring, angle, thick, taper float64 // m, rad, m, and (thick − tip)/α² (m/rad²)
	centre                    float64 // m, the circle's centre is at −centre on x
	volume                    float64
	inertia                   orient.Vec3
	half, box                 orient.Vec3 // m, half extents and centre of the box around the body
	reach                     float64
	at                        [stations]orient.Vec3 // m, on the middle line
	radius                    [stations]float64
}

var _ Solid = (*Crescent)(nil)

// NewCrescent returns a crescent around a circle of the ring's radius (m), reaching by the angle (rad) to both sides of its
// middle, thick (m, radius of the roll) there and tip (m) at the ends.
func NewCrescent(ring, angle, thick, tip float64) (*Crescent, error) {
	if !(ring > 0) || math.IsInf(ring, 0) || !(tip > 0) || !(thick >= tip) || !(thick < ring) {
		return nil, fmt.Errorf("a crescent of radius %g m around a ring of %g m, %g m at its ends: the ends must be thinner than the middle or as thick, and that thinner than the ring", thick, ring, tip)
	}
	if !(angle > 0 && angle < math.Pi) {
		return nil, fmt.Errorf("a crescent reaches by %g rad to both sides; it must be more than 0 and less than half a turn", angle)
	}
	c := &Crescent{ring: ring, angle: angle, thick: thick, taper: (thick - tip) / (angle * angle)}
	if steep := 2 * c.taper * angle / ring; steep > 0.9 {
		return nil, fmt.Errorf("the crescent gets thinner by %g m a metre at its ends; more than 0.9 leaves no ends: make it longer or its ends thicker", steep)
	}
	for k := range 65 {
		theta := math.Pi/2 + (angle-math.Pi/2)*float64(k)/64
		if angle > math.Pi/2 && ring*math.Sin(theta) <= c.thickness(theta) {
			return nil, fmt.Errorf("the ends of a crescent that reaches by %g rad to both sides would grow into each other", angle)
		}
	}
	c.moments()
	for k := range stations {
		theta := c.station(k)
		c.at[k], c.radius[k] = c.middleLine(theta), c.thickness(theta)
	}
	for i := range 3 {
		var d orient.Vec3
		d[i] = 1
		high, low := c.Support(d)[i], c.Support(d.Scale(-1))[i]
		c.half[i], c.box[i] = (high-low)/2, (high+low)/2
	}
	const fine = 4096
	for k := range fine + 1 {
		theta := angle * (2*float64(k)/fine - 1)
		c.reach = max(c.reach, c.middleLine(theta).Norm()+c.thickness(theta))
	}
	// Between two of them it is no more than this farther.
	step := 2 * angle / fine
	c.reach += (3*ring + 2*c.taper) * step * step / 8
	return c, nil
}

func (c *Crescent) station(k int) float64 { return c.angle * (2*float64(k)/(stations-1) - 1) }

func (c *Crescent) thickness(theta float64) float64 { return c.thick - c.taper*theta*theta }

func (c *Crescent) middleLine(theta float64) orient.Vec3 {
	sin, cos := math.Sincos(theta)
	return orient.Vec3{c.ring*cos - c.centre, c.ring * sin, 0}
}

// frame is what the surface at θ is made of: the ways off the axis and around it, and how the radius changes along the arc.
func (c *Crescent) frame(theta float64) (out, around orient.Vec3, slope float64) {
	sin, cos := math.Sincos(theta)
	return orient.Vec3{cos, sin, 0}, orient.Vec3{-sin, cos, 0}, -2 * c.taper * theta / c.ring
}

// skin is the surface's normal where its ball touches it, in the direction cos·out + sin·z from the middle line. The ball touches
// along a circle that leans by the radius' change, as the balls' envelope does:
//
//	m = −r′t + √(1 − r′²) (cos·out + sin·z)                                                                   (6)
func skin(out, around orient.Vec3, slope, cos, sin float64) orient.Vec3 {
	w := math.Sqrt(1 - slope*slope)
	return around.Scale(-slope).Add(out.Scale(w * cos)).Add(orient.Vec3{0, 0, w * sin})
}

// turning returns how the normal (6) changes with θ and with the angle φ around the middle line.
func (c *Crescent) turning(out, around orient.Vec3, slope, cos, sin float64) (byTheta, byPhi orient.Vec3) {
	w := math.Sqrt(1 - slope*slope)
	bend := -2 * c.taper / c.ring
	// around′ = −out, out′ = around.
	radial := out.Scale(cos).Add(orient.Vec3{0, 0, sin})
	byTheta = around.Scale(-bend).Add(out.Scale(slope)).Add(radial.Scale(-slope * bend / w)).Add(around.Scale(w * cos))
	byPhi = out.Scale(-w * sin).Add(orient.Vec3{0, 0, w * cos})
	return byTheta, byPhi
}

// moments integrates over the surface: ∫dV = ∮x·n dA/3, ∫x dV = ∮x²nₓ dA/2, ∫x² dV = ∮x³nₓ dA/3, by Gauss–Legendre rules along the
// arc and on the ends' caps and equal steps around, which is exact for the low frequencies there.
func (c *Crescent) moments() {
	const around = 32
	var volume, first float64
	var second orient.Vec3
	add := func(x, n orient.Vec3, area float64) {
		volume += x.Dot(n) * area / 3
		first += x[0] * x[0] * n[0] * area / 2
		for i := range 3 {
			second[i] += x[i] * x[i] * x[i] * n[i] * area / 3
		}
	}
	ring := func(visit func(cos, sin float64)) {
		for k := range around {
			sin, cos := quarterSincos(k/(around/4), k%(around/4), around/4)
			visit(cos, sin)
		}
	}
	var x, w [64]float64
	quad.Legendre{}.FixedLocations(x[:], w[:], -c.angle, c.angle)
	for i, theta := range x {
		r := c.thickness(theta)
		out, along, slope := c.frame(theta)
		centre := c.middleLine(theta)
		ring(func(cos, sin float64) {
			m := skin(out, along, slope, cos, sin)
			byTheta, byPhi := c.turning(out, along, slope, cos, sin)
			area := r * m.Dot(byPhi.Cross(along.Scale(c.ring).Add(byTheta.Scale(r))))
			add(centre.Add(m.Scale(r)), m, math.Abs(area)*w[i]*2*math.Pi/around)
		})
	}
	for _, end := range []float64{-1, 1} {
		theta := end * c.angle
		r := c.thickness(theta)
		out, along, slope := c.frame(theta)
		centre := c.middleLine(theta)
		var x, w [24]float64
		quad.Legendre{}.FixedLocations(x[:], w[:], -slope*end, 1)
		for i, cap := range x {
			ring(func(cos, sin float64) {
				off := math.Sqrt(1 - cap*cap)
				n := along.Scale(end * cap).Add(out.Scale(off * cos)).Add(orient.Vec3{0, 0, off * sin})
				add(centre.Add(n.Scale(r)), n, r*r*w[i]*2*math.Pi/around)
			})
		}
	}
	c.centre = first / volume
	c.volume = volume
	second[0] -= volume * c.centre * c.centre
	c.inertia = orient.Vec3{second[1] + second[2], second[0] + second[2], second[0] + second[1]}
}

// highest is the place of the arc whose ball reaches farthest along the unit direction.
func (c *Crescent) highest(d orient.Vec3) float64 {
	var value [stations]float64
	top := math.Inf(-1)
	for k := range value {
		value[k] = c.at[k][0]*d[0] + c.at[k][1]*d[1] + c.radius[k]
		top = max(top, value[k])
	}
	step := 2 * c.angle / (stations - 1)
	slack := step * step / 8 * (c.ring + 2*c.taper)
	best, most := 0.0, math.Inf(-1)
	for k, v := range value {
		if v < top-slack || k > 0 && v < value[k-1] || k < stations-1 && v < value[k+1] {
			continue
		}
		low, high := c.station(max(k-1, 0)), c.station(min(k+1, stations-1))
		theta := c.station(k)
		for range rootSteps {
			sin, cos := math.Sincos(theta)
			slope := c.ring*(d[1]*cos-d[0]*sin) - 2*c.taper*theta
			bend := -c.ring*(d[0]*cos+d[1]*sin) - 2*c.taper
			if slope > 0 {
				low = theta
			} else {
				high = theta
			}
			next := theta - slope/bend
			if !(bend < 0) || !(next >= low && next <= high) {
				next = (low + high) / 2
			}
			moved := math.Abs(next - theta)
			theta = next
			if moved < 1e-9 || high-low < 1e-12 {
				break
			}
		}
		if v := c.middleLine(theta).Dot(d) + c.thickness(theta); v > most {
			best, most = theta, v
		}
	}
	return best
}

// Support returns the farthest point along the direction.
func (c *Crescent) Support(direction orient.Vec3) orient.Vec3 {
	d := direction.Scale(1 / direction.Norm())
	theta := c.highest(d)
	return c.middleLine(theta).Add(d.Scale(c.thickness(theta)))
}

// Reach returns the radius of a ball about the origin that holds the body.
func (c *Crescent) Reach() float64 { return c.reach }

// Footing appends the support point (ID 16) and, of every second station of the arc (ID 0, 2, … 16 less the one next to the
// support point), the point of its circle on the surface that lies farthest along the direction.
func (c *Crescent) Footing(direction orient.Vec3, depth float64, dst []Foot) []Foot {
	theta := c.highest(direction)
	lowest := c.middleLine(theta).Add(direction.Scale(c.thickness(theta)))
	level := lowest.Dot(direction) - depth
	dst = append(dst, Foot{ID: stations, Point: lowest})
	next := int(math.Round((theta/c.angle+1)*(stations-1)/4)) * 2
	for k := 0; k < stations; k += 2 {
		if k == next || c.at[k].Dot(direction)+c.radius[k] < level {
			continue
		}
		if foot := c.under(c.station(k), direction); foot.Dot(direction) >= level {
			dst = append(dst, Foot{ID: k, Point: foot})
		}
	}
	return dst
}

// under is the point on the surface, of those where the ball at θ touches it, that lies farthest along the unit direction.
func (c *Crescent) under(theta float64, d orient.Vec3) orient.Vec3 {
	out, around, slope := c.frame(theta)
	r := c.thickness(theta)
	centre := c.middleLine(theta)
	if end := math.Copysign(1, theta); math.Abs(theta) == c.angle && end*around.Dot(d) >= -slope*end {
		return centre.Add(d.Scale(r))
	}
	cos, sin := out.Dot(d), d[2]
	if norm := math.Hypot(cos, sin); norm > 0 {
		cos, sin = cos/norm, sin/norm
	} else {
		cos, sin = 0, 1
	}
	return centre.Add(skin(out, around, slope, cos, sin).Scale(r))
}

// Curvature is 1/r across the roll (both ways on the ends' caps); along it, from how fast the normal (6) turns, and negative on
// the inner side.
func (c *Crescent) Curvature(p orient.Vec3) (k1, k2 float64) {
	n := c.Point(p)
	at := n.Point
	// The ball's place: its centre lies one radius below the surface.
	theta := math.Atan2(at[1], at[0]+c.centre)
	theta = min(max(theta, -c.angle), c.angle)
	for range 20 {
		_, slope, bend := c.touch(theta, at, orient.Vec3{}, 0)
		next := min(max(theta-slope/bend, -c.angle), c.angle)
		if !(bend > 0) || math.Abs(next-theta) < 1e-12 {
			break
		}
		theta = next
	}
	r := c.thickness(theta)
	out, around, slope := c.frame(theta)
	if end := math.Copysign(1, theta); math.Abs(theta) == c.angle && end*around.Dot(n.Normal) > -slope*end+1e-9 {
		return 1 / r, 1 / r
	}
	cos, sin := out.Dot(n.Normal), n.Normal[2]
	norm := math.Hypot(cos, sin)
	cos, sin = cos/norm, sin/norm
	m := skin(out, around, slope, cos, sin)
	byTheta, byPhi := c.turning(out, around, slope, cos, sin)
	k := m.Dot(byTheta.Cross(byPhi)) / m.Dot(around.Scale(c.ring).Add(byTheta.Scale(r)).Cross(byPhi))
	return max(1/r, k), min(1/r, k)
}

// Moments were found by integrals over the surface, to rounding.
func (c *Crescent) Moments() (volume float64, perDensity orient.Vec3) { return c.volume, c.inertia }

// Extents returns the half lengths of the box around the body.
func (c *Crescent) Extents() orient.Vec3 { return c.half }

// Scaled returns the body with all lengths multiplied by the factor.
func (c *Crescent) Scaled(factor float64) Solid {
	s := *c
	for _, v := range []*float64{&s.ring, &s.thick, &s.taper, &s.centre, &s.reach} {
		*v *= factor
	}
	s.half, s.box = c.half.Scale(factor), c.box.Scale(factor)
	for k := range stations {
		s.at[k], s.radius[k] = c.at[k].Scale(factor), c.radius[k]*factor
	}
	cube := factor * factor * factor
	s.volume *= cube
	s.inertia = c.inertia.Scale(cube * factor * factor)
	return &s
}

// Outline draws rings around the roll with detail edges to a quarter turn, about as far apart as those edges are long.
func (c *Crescent) Outline(detail int) Mesh {
	n := min(max(detail, 1), mostDetail)
	var rows [][]orient.Vec3
	row := func(centre orient.Vec3, r float64, normal func(cos, sin float64) orient.Vec3) {
		list := make([]orient.Vec3, 4*n)
		for i := range list {
			s, c := quarterSincos(i/n, i%n, n)
			// From z towards the outside: counterclockwise seen against θ.
			list[i] = centre.Add(normal(s, c).Scale(r))
		}
		rows = append(rows, list)
	}
	lid := func(end float64) [][]orient.Vec3 {
		before := rows
		rows = nil
		theta := end * c.angle
		out, around, slope := c.frame(theta)
		far := math.Acos(-slope * end)
		for i := range n {
			s, cos := math.Sincos(far * float64(i) / float64(n))
			if i == 0 {
				s, cos = 0, 1
			}
			row(c.middleLine(theta), c.thickness(theta), func(x, y float64) orient.Vec3 {
				return around.Scale(end * cos).Add(out.Scale(s * x)).Add(orient.Vec3{0, 0, s * y})
			})
		}
		made := rows
		rows = before
		return made
	}
	rows = lid(1)
	// The normal turns by the bend and by the taper's lean.
	_, _, steep := c.frame(-c.angle)
	turn := 2 * (c.angle*c.ring/c.thick + math.Asin(steep))
	along := max(2, min(int(math.Ceil(turn*float64(n)/(math.Pi/2))), 8*mostDetail))
	for i := range along + 1 {
		theta := c.angle * (1 - 2*float64(i)/float64(along))
		out, around, slope := c.frame(theta)
		row(c.middleLine(theta), c.thickness(theta), func(x, y float64) orient.Vec3 { return skin(out, around, slope, x, y) })
	}
	last := lid(-1)
	for i := range last {
		rows = append(rows, last[len(last)-1-i])
	}
	return rings(rows)
}
