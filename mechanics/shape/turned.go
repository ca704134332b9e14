package shape

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/integrate/quad"

	"holdfast/orient"
)

// Turned is a solid of revolution about its z axis: a frustum, cylinder or cone with rounded rims. It is a smaller sharp
// frustum with everything within the rounding of it. Make it with [NewCylinder] or [NewFrustum].
type Turned struct {
	low, high   float64 // m, where the inner frustum begins and ends on the axis
	below, over float64 // m, its radii there
	rounding    float64 // m
	out, up     float64 // the inner side's unit normal, off the axis and along it
	length      float64 // m, of the inner side
	volume      float64
	inertia     orient.Vec3
	half        orient.Vec3
}

var _ Solid = (*Turned)(nil)

// NewCylinder returns a cylinder of the radius and half height (m), rims rounded with the radius rounding (m) that takes nothing
// off either.
func NewCylinder(radius, half, rounding float64) (*Turned, error) {
	return NewFrustum(radius, radius, 2*half, rounding)
}

// NewFrustum returns a frustum of the radii (m) at its bottom and top and of the height (m) along z, one of the radii may be 0
// for a cone. The measures are those of the sharp frustum; its rims (and a cone's tip) are then rounded with the radius rounding
// (m), which takes off what a ball of that radius inside can not touch. The centre of mass comes to lie at the origin.
func NewFrustum(bottom, top, height, rounding float64) (*Turned, error) {
	if !(bottom >= 0) || !(top >= 0) || !(bottom+top > 0) || math.IsInf(bottom+top, 0) || !(height > 0) || math.IsInf(height, 0) {
		return nil, fmt.Errorf("a frustum of radii %g and %g m and height %g m: the height and one radius must be positive", bottom, top, height)
	}
	if !(rounding >= 0) {
		return nil, fmt.Errorf("a rounding of %g m; it must be 0 or more", rounding)
	}
	t := &Turned{rounding: rounding}
	side := math.Hypot(height, bottom-top)
	t.out, t.up = height/side, (bottom-top)/side
	// The inner frustum keeps the rounding off all faces of the outer one.
	t.low, t.high = rounding, height-rounding
	radius := func(z float64) float64 { return bottom + (top-bottom)*z/height - rounding/t.out }
	tip := func() float64 { return (bottom - rounding/t.out) * height / (bottom - top) }
	small := 1e-12 * (height + bottom + top)
	if math.Abs(t.high-t.low) <= small {
		t.low = t.high
	}
	if t.high < t.low || max(radius(t.low), radius(t.high)) < -small {
		return nil, fmt.Errorf("a rounding of %g m does not fit a frustum of radii %g and %g m and height %g m", rounding, bottom, top, height)
	}
	t.below, t.over = max(radius(t.low), 0), max(radius(t.high), 0)
	if radius(t.high) < -small {
		t.high = max(tip(), t.low)
	}
	if radius(t.low) < -small {
		t.low = min(tip(), t.high)
	}
	t.length = math.Hypot(t.high-t.low, t.below-t.over)
	t.settle()
	return t, nil
}

// settle finds the moments and moves the centre of mass to the origin.
func (t *Turned) settle() {
	var x, w [24]float64
	quad.Legendre{}.FixedLocations(x[:], w[:], 0, 1)
	var m [5]float64 // π∫ρ² dz with 1, z and z², π∫ρ⁴ dz
	piece := func(at func(u float64) (rho, z, dz float64)) {
		for i, u := range x {
			rho, z, dz := at(u)
			area := math.Pi * rho * rho * dz * w[i]
			m[0] += area
			m[1] += area * z
			m[2] += area * z * z
			m[3] += area * rho * rho
		}
	}
	// The rim's rounding between two angles of its normal from the axis; it runs upwards.
	arc := func(radius, z, from, to float64) {
		piece(func(u float64) (float64, float64, float64) {
			s, c := math.Sincos(from + (to-from)*u)
			return radius + t.rounding*s, z + t.rounding*c, -t.rounding * s * (to - from)
		})
	}
	lean := math.Atan2(t.out, t.up)
	arc(t.below, t.low, math.Pi, lean)
	piece(func(u float64) (float64, float64, float64) {
		return t.below + (t.over-t.below)*u + t.rounding*t.out, t.low + (t.high-t.low)*u + t.rounding*t.up, t.high - t.low
	})
	arc(t.over, t.high, lean, 0)
	centre := m[1] / m[0]
	t.low -= centre
	t.high -= centre
	t.volume = m[0]
	across := m[3]/4 + m[2] - m[0]*centre*centre
	t.inertia = orient.Vec3{across, across, m[3] / 2}
	wide := max(t.below, t.over) + t.rounding
	t.half = orient.Vec3{wide, wide, (t.high-t.low)/2 + t.rounding}
}

// meridian returns the signed distance of a point off the axis by rho and along it by z, and the normal there.
func (t *Turned) meridian(rho, z float64) (distance, out, up float64) {
	over, below := z-t.high, t.low-z
	off := rho - t.below
	side := off*t.out - below*t.up
	if side <= 0 && over <= 0 && below <= 0 {
		// Inside of the inner frustum: the nearest face.
		switch {
		case side >= over && side >= below:
			return side - t.rounding, t.out, t.up
		case over >= below:
			return over - t.rounding, 0, 1
		}
		return below - t.rounding, 0, -1
	}
	if over > 0 && rho <= t.over {
		return over - t.rounding, 0, 1
	}
	if below > 0 && rho <= t.below {
		return below - t.rounding, 0, -1
	}
	// Along the side, upwards from the lower rim.
	s := -off*t.up - below*t.out
	switch {
	case s < 0:
		out, up = off, -below
	case s > t.length:
		out, up = rho-t.over, over
	default:
		return side - t.rounding, t.out, t.up
	}
	distance = math.Sqrt(out*out + up*up)
	return distance - t.rounding, out / distance, up / distance
}

// onAxis is how small a way off the axis has no direction: its square has lost its digits.
const onAxis = 1e-140

// Point is exact: the question is one of the meridian plane.
func (t *Turned) Point(p orient.Vec3) Near {
	rho := math.Sqrt(p[0]*p[0] + p[1]*p[1])
	distance, out, up := t.meridian(rho, p[2])
	n := orient.Vec3{out, 0, up}
	if rho > onAxis {
		out /= rho
		n[0], n[1] = p[0]*out, p[1]*out
	}
	return Near{Point: orient.Vec3{p[0] - distance*n[0], p[1] - distance*n[1], p[2] - distance*n[2]}, Normal: n, Distance: distance}
}

// Apart asks the plane that touches the solid under the segment's middle.
func (t *Turned) Apart(a, b orient.Vec3) float64 {
	return parted(t, a, b, middle(a, b, t.half))
}

// Segment returns where the segment is nearest to the surface, or deepest inside. Where all of a stretch is as near, its place
// nearest to the middle is tried first.
func (t *Turned) Segment(a, b orient.Vec3) Near {
	return descend(t, a, b, middle(a, b, t.half), t.half[0], flatTolerance)
}

func (t *Turned) again(p, _ orient.Vec3) Near { return t.Point(p) }

func (t *Turned) probe(p, way, _ orient.Vec3) (distance, slope, bend float64, _ orient.Vec3) {
	rho := math.Sqrt(p[0]*p[0] + p[1]*p[1])
	distance, out, up := t.meridian(rho, p[2])
	distance += t.rounding
	off, around := 0.0, way[0]*way[0]+way[1]*way[1]
	if rho > onAxis {
		off = (p[0]*way[0] + p[1]*way[1]) / rho
		around -= off * off
		bend = out / rho * around
	}
	if distance > 0 && !(out == 0 || out == t.out && up == t.up) {
		aside := out*way[2] - up*off
		bend += aside * aside / distance
	}
	return distance, out*off + up*way[2], bend, orient.Vec3{}
}

func (t *Turned) height(d orient.Vec3) float64 {
	out := math.Sqrt(d[0]*d[0] + d[1]*d[1])
	return max(t.below*out+t.low*d[2], t.over*out+t.high*d[2]) + t.rounding
}

// Support returns a farthest point along the direction; of a lying cylinder's line that is its upper end.
func (t *Turned) Support(direction orient.Vec3) orient.Vec3 {
	out := math.Sqrt(direction[0]*direction[0] + direction[1]*direction[1])
	x := direction.Scale(t.rounding / direction.Norm())
	radius, z := t.over, t.high
	if t.below*out+t.low*direction[2] > t.over*out+t.high*direction[2] {
		radius, z = t.below, t.low
	}
	x[2] += z
	if out > onAxis {
		x[0] += radius * direction[0] / out
		x[1] += radius * direction[1] / out
	}
	return x
}

// Reach returns the larger of the ways to the rims.
func (t *Turned) Reach() float64 {
	return max(math.Hypot(t.below, t.low), math.Hypot(t.over, t.high)) + t.rounding
}

const (
	rimFeet = 8
	// upright is how far (as a share of the rim's radius) one side of a rim may be lower than its middle before its lowest point
	// bears as well: less, and it would wander around the rim of a solid that stands still. What is missed is 1 − cos(π/8) of it.
	upright = 3e-4
)

// spread is the order in which a rim's fixed feet count: as far apart as can be.
var spread = [rimFeet]int{0, 4, 2, 6, 1, 5, 3, 7}

// rimTurns are the fixed feet's places around a rim.
var rimTurns = func() (list [rimFeet][2]float64) {
	for i := range list {
		list[i][1], list[i][0] = quarterSincos(i/2, i%2, 2)
	}
	return list
}()

// Footing appends eight fixed points around each rim (ID 0 to 7 below, 16 to 23 above) and, where the solid leans, the rim's
// lowest point (8 and 24), which rolls smoothly; the fixed one next to that then does not bear. A cone's tip is one foot (9 below,
// 25 above).
func (t *Turned) Footing(direction orient.Vec3, depth float64, dst []Foot) []Foot {
	level := t.height(direction) - depth - 1e-12
	first := len(dst)
	// The rim that lies farther along the direction comes first.
	ends := [2]int{0, 1}
	if direction[2] > 0 {
		ends = [2]int{1, 0}
	}
	out := math.Sqrt(direction[0]*direction[0] + direction[1]*direction[1])
	leans := out > upright
	for _, end := range ends {
		radius, z, id := t.below, t.low, 0
		if end == 1 {
			radius, z, id = t.over, t.high, 16
		}
		if radius*out+z*direction[2]+t.rounding < level {
			continue
		}
		if radius == 0 {
			x, y := 1.0, 0.0
			if out > onAxis {
				x, y = direction[0]/out, direction[1]/out
			}
			if foot := t.rim(end, 0, z, x, y, direction); foot.Dot(direction) >= level {
				dst = append(dst, Foot{ID: id + 9, Point: foot})
			}
			continue
		}
		next := -1
		if leans {
			x, y := direction[0]/out, direction[1]/out
			if foot := t.rim(end, radius, z, x, y, direction); foot.Dot(direction) >= level {
				dst = append(dst, Foot{ID: id + 8, Point: foot})
				next = nearestTurn(x, y)
			}
		}
		for _, k := range spread {
			if k == next || len(dst)-first == FootingMost {
				continue
			}
			turn := &rimTurns[k]
			// Without the rounding it is too low, then with it as well.
			if (turn[0]*direction[0]+turn[1]*direction[1])*radius+z*direction[2]+t.rounding < level {
				continue
			}
			if foot := t.rim(end, radius, z, turn[0], turn[1], direction); foot.Dot(direction) >= level {
				dst = append(dst, Foot{ID: id + k, Point: foot})
			}
		}
		// Hardly leaning, and less deep than what is missed then.
		if !leans && len(dst) == first && out > onAxis {
			dst = append(dst, Foot{ID: id + 8, Point: t.rim(end, radius, z, direction[0]/out, direction[1]/out, direction)})
		}
	}
	return dst
}

// nearestTurn is which of a rim's fixed feet is nearest to the unit direction.
func nearestTurn(x, y float64) int {
	best, most := 0, math.Inf(-1)
	for k, turn := range rimTurns {
		if c := x*turn[0] + y*turn[1]; c > most {
			best, most = k, c
		}
	}
	return best
}

// rim is the point of a rim's rounding, at the unit direction (x, y) around the axis, that lies farthest along the direction:
// the direction in that meridian's plane, but not beyond the normals of side and face.
func (t *Turned) rim(end int, radius, z, x, y float64, direction orient.Vec3) orient.Vec3 {
	out, up := direction[0]*x+direction[1]*y, direction[2]
	face := 1.0
	if end == 0 {
		face = -1
	}
	switch past := (out*t.up - up*t.out) * face; {
	case out == 0 && up == 0:
		out, up = t.out, t.up
	case out >= 0 && past <= 0: // between them
		norm := math.Sqrt(out*out + up*up)
		out, up = out/norm, up/norm
	case out*t.out+up*t.up > up*face:
		out, up = t.out, t.up
	default:
		out, up = 0, face
	}
	rho := radius + t.rounding*out
	return orient.Vec3{rho * x, rho * y, z + t.rounding*up}
}

// Curvature is that of the meridian (nothing on faces and sides, 1/rounding on rims) and across it the normal's share off the
// axis over the distance from it.
func (t *Turned) Curvature(p orient.Vec3) (k1, k2 float64) {
	rho := math.Sqrt(p[0]*p[0] + p[1]*p[1])
	distance, out, up := t.meridian(rho, p[2])
	flat := out == 0 || out == t.out && up == t.up
	if !flat {
		k1 = 1 / t.rounding
	}
	if at := rho - distance*out; out > 0 {
		if at > 1e-12*t.half[0] {
			k2 = out / at
		} else {
			k2 = k1
		}
	} else if !flat {
		k2 = k1
	}
	return max(k1, k2), min(k1, k2)
}

// Moments were found by Gauss–Legendre rules over the meridian, to rounding.
func (t *Turned) Moments() (volume float64, perDensity orient.Vec3) { return t.volume, t.inertia }

// Extents returns the larger radius, twice, and half the height.
func (t *Turned) Extents() orient.Vec3 { return t.half }

// Scaled returns the solid with all lengths multiplied by the factor.
func (t *Turned) Scaled(factor float64) Solid {
	s := *t
	for _, v := range []*float64{&s.low, &s.high, &s.below, &s.over, &s.rounding, &s.length} {
		*v *= factor
	}
	s.half = t.half.Scale(factor)
	cube := factor * factor * factor
	s.volume *= cube
	s.inertia = t.inertia.Scale(cube * factor * factor)
	return &s
}

// Outline draws four times detail sides and rims with detail edges to a quarter turn.
func (t *Turned) Outline(detail int) Mesh {
	n := min(max(detail, 1), mostDetail)
	var rows [][]orient.Vec3
	ring := func(rho, z float64) {
		list := make([]orient.Vec3, 4*n)
		for i := range list {
			s, c := quarterSincos(i/n, i%n, n)
			list[i] = orient.Vec3{rho * c, rho * s, z}
		}
		rows = append(rows, list)
	}
	lean := math.Atan2(t.out, t.up)
	arc := func(radius, z, from, to float64) {
		for i := range n + 1 {
			s, c := math.Sincos(from + (to-from)*float64(i)/float64(n))
			if a := from + (to-from)*float64(i)/float64(n); a == math.Pi {
				s, c = 0, -1
			}
			ring(radius+t.rounding*s, z+t.rounding*c)
		}
	}
	ring(0, t.high+t.rounding)
	arc(t.over, t.high, 0, lean)
	arc(t.below, t.low, lean, math.Pi)
	ring(0, t.low-t.rounding)
	return rings(rows)
}
