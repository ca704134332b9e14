package trialsim

import (
	"math"

	"holdfast/mechanics/hand"
	"holdfast/mechanics/motion"
	"holdfast/orient"
)

// Kind says what a part belongs to.
type Kind uint8

// The kinds of part.
const (
	Support  Kind = iota // the support
	Edge                 // the edge where the support ends
	Standing             // a block: Index counts from 0
	Thing                // an item: 0 is the one to pick
	Palm
	Link // of a finger: Index is the finger, Link the joint that carries it, both from 0
)

// Part is one side of a contact.
type Part struct {
	Kind        Kind
	Index, Link int
}

// ofHand says that the part belongs to the hand.
func (p Part) ofHand() bool { return p.Kind >= Palm }

// still says that the part never moves.
func (p Part) still() bool { return p.Kind <= Standing }

// pair says who meets whom in a contact, so that its result can be remembered.
type pair struct {
	id       int // pairs come in rising order
	feature  int
	from, to Part
	surface  *motion.Surface
	point    orient.Vec3
	normal   orient.Vec3
	t1, t2   orient.Vec3
	gap      float64
	force    orient.Vec3 // N, on to, in the last step
	load     float64     // N, along the normal
	sliding  bool
	last     [2]orient.Vec3 // N·s of the two steps before
}

// memory is what a pair knew at its last step.
type memory struct {
	id, feature int
	stretch     orient.Vec3    // m, of the shear spring
	impulse     orient.Vec3    // N·s
	last        [2]orient.Vec3 // N·s of the steps before it
}

// guess carries the impulses of three steps on to the next one by a parabola. While fingers close and hold, forces change
// smoothly, and the solver then has half as far to go as from the last impulse alone.
func (m *memory) guess() orient.Vec3 {
	a, b, c := &m.impulse, &m.last[0], &m.last[1]
	return orient.Vec3{3*(a[0]-b[0]) + c[0], 3*(a[1]-b[1]) + c[1], 3*(a[2]-b[2]) + c[2]}
}

// touch adds a contact at the point; normal is unit and points from the one to the other. Pairs must come with rising ids.
func (g *Stage) touch(id, feature int, from, to Part, point, normal orient.Vec3, gap, h float64, surface *motion.Surface) {
	if gap > g.soon {
		return
	}
	g.contacts = grow(g.contacts)
	g.pairs = grow(g.pairs)
	c, p := &g.contacts[len(g.contacts)-1], &g.pairs[len(g.pairs)-1]
	t1, t2 := motion.Tangents(normal)
	frame := [3]orient.Vec3{normal, t1, t2}
	// Each by itself, as what grow gives is an old pair: a pair as a whole would be made aside and copied.
	p.id, p.feature, p.from, p.to, p.surface, p.gap = id, feature, from, to, surface, gap
	p.point, p.normal, p.t1, p.t2 = point, normal, t1, t2
	p.force, p.load, p.sliding, p.last = orient.Vec3{}, 0, false, [2]orient.Vec3{}
	c.Friction, c.Impulse = surface.Friction, [3]float64{}
	c.Normal = motion.Spring(h, surface.Stiffness, surface.Damping, gap)
	if gap > 0 {
		c.Normal = motion.Spring(h, surface.Stiffness, 0, gap)
	}
	stretch := orient.Vec3{}
	if m := g.known(id, feature); m != nil {
		stretch = m.stretch
		guess := m.guess()
		if n := guess.Dot(normal); n > 0 {
			c.Impulse = [3]float64{n, guess.Dot(t1), guess.Dot(t2)}
		}
		p.last = [2]orient.Vec3{m.impulse, m.last[0]}
	}
	c.Shear = motion.Spring(h, surface.Shear, 0, stretch.Dot(t1))
	c.Bias2 = motion.Spring(h, surface.Shear, 0, stretch.Dot(t2)).Bias
	c.Sides[2].N = 0
	carried := sub(g.side(c, 0, to, point, &frame, 1), g.side(c, 1, from, point, &frame, -1))
	if g.palm.at >= 0 && from.ofHand() != to.ofHand() {
		sign := 1.0
		if from.ofHand() {
			sign = -1
		}
		c.Sides[2].J, c.Sides[2].B = g.take(18), g.take(18)
		g.palm.side(&c.Sides[2], point, &frame, sign)
	}
	c.Normal.Bias += carried.Dot(normal)
	c.Shear.Bias += carried.Dot(t1)
	c.Bias2 += carried.Dot(t2)
}

// known is what the pair remembers of the last step; nil: nothing.
func (g *Stage) known(id, feature int) *memory {
	for g.recall < len(g.before) && g.before[g.recall].id < id {
		g.recall++
	}
	for k := g.recall; k < len(g.before) && g.before[k].id == id; k++ {
		if g.before[k].feature == feature {
			return &g.before[k]
		}
	}
	return nil
}

// side fills one side and returns the velocity (m/s) that the part has there whatever its own velocities are.
func (g *Stage) side(c *motion.Contact, which int, part Part, point orient.Vec3, frame *[3]orient.Vec3, sign float64) orient.Vec3 {
	s := &c.Sides[which]
	switch part.Kind {
	case Thing:
		it := &g.items[part.Index]
		s.J, s.B = g.take(18), g.take(18)
		it.Side(s, it.at, point, frame, sign, &it.mobility)
		return orient.Vec3{}
	case Link:
		f := &g.fingers[part.Index]
		n := f.n
		s.At, s.N = f.at, n
		s.J, s.B = g.take(3*n), g.take(3*n)
		at := vec(point)
		n0, n1, n2 := &frame[0], &frame[1], &frame[2]
		for j := range n {
			var move hand.Vec
			if j <= part.Link {
				move = f.state.Lever(j, at)
			}
			x := sign * (move.X*n0[0] + move.Y*n0[1] + move.Z*n0[2])
			y := sign * (move.X*n1[0] + move.Y*n1[1] + move.Z*n1[2])
			z := sign * (move.X*n2[0] + move.Y*n2[1] + move.Z*n2[2])
			row := s.B[3*j : 3*j+3 : 3*j+3]
			row[0], row[1], row[2] = x, y, z
			s.J[j], s.J[n+j], s.J[2*n+j] = x, y, z
		}
		f.solveThree(s.B)
		if g.palm.at >= 0 {
			return orient.Vec3{}
		}
		return base(f, at)
	case Palm:
		*s = motion.Side{}
		if g.palm.at >= 0 {
			return orient.Vec3{}
		}
		return g.palm.velocityAt(point)
	default:
		*s = motion.Side{}
		return orient.Vec3{}
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

// remember sums up the forces of the step and keeps what contacts have to know in the next one.
func (g *Stage) remember(h float64) {
	g.Grip, g.Contacts, g.OnItem, g.Felt = 0, 0, orient.Vec3{}, orient.Vec3{}
	g.before = g.before[:0]
	for i := range g.contacts {
		c, p := &g.contacts[i], &g.pairs[i]
		if c.Sides[0].N+c.Sides[1].N+c.Sides[2].N == 0 {
			// A palm that the robot moves against what stands: nothing gives but the touch itself.
			p.load = max(0, -p.gap) * p.surface.Stiffness
			p.force = p.normal.Scale(p.load)
		} else {
			p.load = c.Impulse[0] / h
			if p.load <= 0 {
				p.load, p.force = 0, orient.Vec3{}
				continue
			}
			shear := p.t1.Scale(c.Impulse[1]).Add(p.t2.Scale(c.Impulse[2]))
			m := memory{id: p.id, feature: p.feature, impulse: p.normal.Scale(c.Impulse[0]).Add(shear), last: p.last}
			if m.last[0] == (orient.Vec3{}) {
				m.last = [2]orient.Vec3{m.impulse, m.impulse}
			}
			if k := p.surface.Shear; k > 0 {
				m.stretch = shear.Scale(-1 / (h * k))
			}
			p.force = m.impulse.Scale(1 / h)
			p.sliding = math.Hypot(c.Impulse[1], c.Impulse[2]) >= c.Friction*c.Impulse[0]*(1-1e-6)
			g.before = append(g.before, m)
		}
		g.Contacts++
		switch {
		case p.from.ofHand() && !p.to.ofHand():
			g.Felt = g.Felt.Add(p.force.Scale(-1))
			if p.to == (Part{Kind: Thing}) {
				g.Grip += p.load
				g.OnItem = g.OnItem.Add(p.force)
			}
		case p.to.ofHand() && !p.from.ofHand():
			g.Felt = g.Felt.Add(p.force)
		}
	}
}
