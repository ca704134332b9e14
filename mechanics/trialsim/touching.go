package trialsim

import (
	"math"

	"holdfast/mechanics/hand"
	"holdfast/mechanics/motion"
	"holdfast/mechanics/shape"
	"holdfast/orient"
)

// near is the gap (m) within which a pair is followed: more than anything closes within a step of 2 ms at 1 m/s.
const near = 2e-3

// who is one side of a contact: a finger's link, the item, or something that does not move of itself.
type who struct {
	finger *finger // nil: none
	link   int
	item   bool
	// velocity (m/s) of what is prescribed, such as the palm.
	velocity orient.Vec3
}

// touch adds a contact of the pair id at the point; normal is unit and points from the one to the other.
func (g *Stage) touch(id int, from, to who, point, normal orient.Vec3, gap, h float64, surface *motion.Surface) {
	g.contacts = grow(g.contacts)
	g.pairs = grow(g.pairs)
	c, p := &g.contacts[len(g.contacts)-1], &g.pairs[len(g.pairs)-1]
	t1, t2 := motion.Tangents(normal)
	frame := [3]orient.Vec3{normal, t1, t2}
	*p = pair{id: id, surface: surface, normal: normal, t1: t1, t2: t2, grips: to.item && from != ground}
	c.Friction, c.Impulse = surface.Friction, [3]float64{}
	c.Normal = motion.Spring(h, surface.Stiffness, surface.Damping, gap)
	if gap > 0 {
		c.Normal = motion.Spring(h, surface.Stiffness, 0, gap)
	}
	m := &g.memory[id]
	stretch := orient.Vec3{}
	if m.step == g.steps-1 {
		stretch = m.stretch
		c.Impulse = [3]float64{m.impulse.Dot(normal), m.impulse.Dot(t1), m.impulse.Dot(t2)}
	}
	c.Shear = motion.Spring(h, surface.Shear, 0, stretch.Dot(t1))
	c.Bias2 = motion.Spring(h, surface.Shear, 0, stretch.Dot(t2)).Bias
	carried := sub(g.side(&c.Sides[0], &to, point, &frame, 1), g.side(&c.Sides[1], &from, point, &frame, -1))
	c.Normal.Bias += carried.Dot(normal)
	c.Shear.Bias += carried.Dot(t1)
	c.Bias2 += carried.Dot(t2)
}

// side fills one side and returns the velocity (m/s) that the thing has there whatever its own velocities are.
func (g *Stage) side(s *motion.Side, w *who, point orient.Vec3, frame *[3]orient.Vec3, sign float64) orient.Vec3 {
	switch {
	case w.item:
		s.J, s.B = g.take(18), g.take(18)
		g.Item.Side(s, 0, point, frame, sign, &g.mobility)
		return orient.Vec3{}
	case w.finger != nil:
		f := w.finger
		n := f.n
		s.At, s.N = f.at, n
		s.J, s.B = g.take(3*n), g.take(3*n)
		at := vec(point)
		for j := range n {
			var move hand.Vec
			if j <= w.link {
				move = f.state.Axis(j).Cross(at.Sub(f.state.Origin(j)))
			}
			for i, d := range frame {
				x := sign * (move.X*d[0] + move.Y*d[1] + move.Z*d[2])
				s.J[i*n+j], s.B[j*3+i] = x, x
			}
		}
		f.solve(s.B, 3)
		b := &f.state.Base
		v := b.Velocity.Add(b.Spin.Cross(at.Sub(b.Position)))
		return orient.Vec3{v.X, v.Y, v.Z}
	default:
		*s = motion.Side{}
		return w.velocity
	}
}

// take is a piece of the scratch that holds the contacts' rows.
func (g *Stage) take(n int) []float64 {
	if g.used+n > len(g.room) {
		// Pieces given out before stay where they are.
		g.room, g.used = make([]float64, 2*len(g.room)+4096), 0
	}
	s := g.room[g.used : g.used+n : g.used+n]
	g.used += n
	return s
}

func grow[T any](list []T) []T {
	if len(list) < cap(list) {
		return list[:len(list)+1]
	}
	var zero T
	return append(list, zero)
}

var ground = who{link: -1}

// touchSupport finds where item and fingers meet the support.
func (g *Stage) touchSupport(h float64) {
	up := orient.Vec3{0, 0, 1}
	own := g.Item.Turn.Inverse().Apply(orient.Vec3{0, 0, -1})
	low := g.Item.Point(g.scene.Item.Shape.Support(own))
	if low[2] < near {
		g.touch(0, ground, who{item: true}, low, up, low[2], h, &g.scene.Support)
	}
	id := 2
	for i := range g.fingers {
		f := &g.fingers[i]
		for j := range f.n {
			r := f.radius[j]
			// A link's start is its neighbour's end.
			if end := f.to[j]; end[2]-r < near {
				g.touch(id+1, ground, who{finger: f, link: j}, orient.Vec3{end[0], end[1], end[2] - r}, up, end[2]-r, h, &g.scene.Support)
			}
			id += 3
		}
	}
}

// touchPalm finds where the item meets the flat palm.
func (g *Stage) touchPalm(h float64, next orient.Vec3, turn orient.Rotation, place orient.Vec3) {
	out := turn.Apply(orient.Vec3{0, 0, 1})
	own := g.Item.Turn.Inverse().Apply(out.Scale(-1))
	point := g.Item.Point(g.scene.Item.Shape.Support(own))
	arm := sub(point, place)
	gap := arm.Dot(out)
	if gap > near || sub(arm, out.Scale(gap)).Norm() > g.scene.Hand.PalmRadius {
		return
	}
	g.touch(1, who{link: -2, velocity: sub(next, place).Scale(1 / h)}, who{item: true}, point, out, gap, h, &g.scene.Skin)
}

// touchItem finds where links meet the item.
func (g *Stage) touchItem(h float64) {
	e := g.scene.Item.Shape
	most := math.Max(e.Semi[0], math.Max(e.Semi[1], e.Semi[2]))
	turn := turnOf(g.Item.Turn)
	id := 2
	for i := range g.fingers {
		f := &g.fingers[i]
		for j := range f.n {
			middle := sub(f.middle[j], g.Item.Position)
			if far := most + f.reach[j] + near; middle.Dot(middle) < far*far {
				a, b := inside(&turn, sub(f.from[j], g.Item.Position)), inside(&turn, sub(f.to[j], g.Item.Position))
				if e.Beyond(a, b, f.radius[j]+near) {
					id += 3
					continue
				}
				if n := e.Segment(a, b); n.Distance-f.radius[j] < near {
					normal := g.Item.Turn.Apply(n.Normal).Scale(-1)
					g.touch(id, who{finger: f, link: j}, who{item: true}, g.Item.Point(n.Point), normal, n.Distance-f.radius[j], h, &g.scene.Skin)
				}
			}
			id += 3
		}
	}
}

// touchFingers finds where links of different fingers meet.
func (g *Stage) touchFingers(h float64) {
	links := 0
	for i := range g.fingers {
		links += g.fingers[i].n
	}
	first := 0
	for i := range g.fingers {
		f := &g.fingers[i]
		second := first + f.n
		for k := i + 1; k < len(g.fingers); k++ {
			o := &g.fingers[k]
			for j := range f.n {
				for l := range o.n {
					// Along the line through the middles: what parts them there parts them.
					d := sub(f.middle[j], o.middle[l])
					apart, far := d.Dot(d)-math.Abs(d.Dot(f.half[j]))-math.Abs(d.Dot(o.half[l])), f.radius[j]+o.radius[l]+near
					if apart > 0 && apart*apart > far*far*d.Dot(d) {
						continue
					}
					p := shape.Segments(f.from[j], f.to[j], o.from[l], o.to[l])
					gap := p.Distance - f.radius[j] - o.radius[l]
					if gap > near || p.Distance == 0 {
						continue
					}
					normal := sub(p.Second, p.First).Scale(1 / p.Distance)
					point := p.First.Add(normal.Scale(f.radius[j] + gap/2))
					g.touch(2+3*links+(first+j)*links+second+l, who{finger: f, link: j}, who{finger: o, link: l}, point, normal, gap, h, &g.scene.Skin)
				}
			}
			second += o.n
		}
		first += f.n
	}
}

// inside is a vector of the world in the turned frame.
func inside(t *hand.Turn, v orient.Vec3) orient.Vec3 {
	w := t.Back(vec(v))
	return orient.Vec3{w.X, w.Y, w.Z}
}
