package hand

import "math"

// Base is the prescribed motion of what a finger is mounted on, in world coordinates.
type Base struct {
	Turn         Turn
	Position     Vec // m
	Velocity     Vec // m/s
	Spin         Vec // rad/s
	Acceleration Vec // m/s²
	SpinRate     Vec // rad/s²
}

// body is where one link is and how it moves, in world coordinates. Velocities are those of the link's matter, or what is
// rigidly joined to it, at the base's position: sums over joints then need no levers (DESIGN.md, eq. 0).
type body struct {
	turn    Turn
	origin  Vec // of the link's frame
	axis    Vec // of the joint, unit length
	turning Vec // spin per unit speed of the joint: the axis, or nothing for one that slides
	carried Vec // m/s at the base's position per unit speed of the joint
	centre  Vec // of mass, from the base's position
	along   Vec // of the axis of revolution of the link's mass, if it has one
	spin    Vec
	drift   Vec // m/s at the base's position, beyond the base's own velocity
}

// State is one chain in motion: what a simulation reads and writes, with all scratch that the chain's algorithms need.
// It belongs to one goroutine. Links and joints are numbered alike, from 0 at the base, and must exist. After a change of
// Base or Q call [State.Update], after a change of velocities also [State.Move]; the rest reads what these two left.
// Torques, angles and speeds of joints that slide are forces (N), ways (m) and m/s.
type State struct {
	Base    Base
	Gravity Vec       // m/s², as (0, 0, −9.81)
	Q       []float64 // rad (m)
	Speed   []float64 // rad/s (m/s)
	chain   *Chain
	bodies  []body
	flats   []flat // of a finger that bends in a plane
	aligned bool   // its bodies' axes of revolution are turned, too
	force   []Vec  // scratch of the recursions
	moment  []Vec
}

// NewState returns the chain at its rest angles, its base at the origin, no gravity.
func (c *Chain) NewState() *State {
	n := len(c.joints)
	s := &State{
		Base: Base{Turn: Unturned}, chain: c, bodies: make([]body, n),
		Q: make([]float64, n), Speed: make([]float64, n), force: make([]Vec, n), moment: make([]Vec, n),
	}
	if c.plane != 0 {
		s.flats = make([]flat, n)
	}
	for i := range c.joints {
		s.Q[i] = c.joints[i].Rest
	}
	s.Update()
	s.Move()
	return s
}

// Chain returns what the state is of.
func (s *State) Chain() *Chain { return s.chain }

// Update works out where the links are from Base and Q.
func (s *State) Update() {
	if s.chain.plane != 0 {
		s.updateFlat()
		return
	}
	base := s.Base.Position
	turn, origin := &s.Base.Turn, base
	for i := range s.bodies {
		j, b := &s.chain.joints[i], &s.bodies[i]
		origin = origin.Add(turn.Apply(j.Origin))
		if j.Slides {
			b.axis, b.turn = turn.Apply(j.Axis), *turn
			origin = origin.Add(b.axis.Scale(s.Q[i]))
			b.carried = b.axis
		} else {
			sin, cos := math.Sincos(j.sign * s.Q[i])
			switch j.coordinate {
			case 'x':
				b.axis = turn.X.Scale(j.sign)
				b.turn.X = turn.X
				b.turn.Y, b.turn.Z = turn.Y.Scale(cos).Add(turn.Z.Scale(sin)), turn.Z.Scale(cos).Sub(turn.Y.Scale(sin))
			case 'y':
				b.axis = turn.Y.Scale(j.sign)
				b.turn.Y = turn.Y
				b.turn.Z, b.turn.X = turn.Z.Scale(cos).Add(turn.X.Scale(sin)), turn.X.Scale(cos).Sub(turn.Z.Scale(sin))
			case 'z':
				b.axis = turn.Z.Scale(j.sign)
				b.turn.Z = turn.Z
				b.turn.X, b.turn.Y = turn.X.Scale(cos).Add(turn.Y.Scale(sin)), turn.Y.Scale(cos).Sub(turn.X.Scale(sin))
			default:
				b.axis = turn.Apply(j.Axis)
				b.turn = turn.turned(j.Axis, b.axis, sin, cos)
			}
			b.turning = b.axis
			b.carried = origin.Sub(base).Cross(b.axis)
		}
		b.origin = origin
		b.centre = origin.Sub(base)
		if j.Link.Mass > 0 {
			b.centre = b.centre.Add(b.turn.Apply(j.Link.Centre))
			b.along = b.turn.Apply(j.along)
		}
		turn = &b.turn
	}
}

// Move works out how fast the links move from Base, Q and Speed; call [State.Update] before.
func (s *State) Move() {
	spin, drift := s.Base.Spin, Vec{}
	for i := range s.bodies {
		b, v := &s.bodies[i], s.Speed[i]
		spin, drift = spin.Add(b.turning.Scale(v)), drift.Add(b.carried.Scale(v))
		b.spin, b.drift = spin, drift
	}
}

// Turn returns how a link is turned in the world.
func (s *State) Turn(link int) Turn { return s.bodies[link].turn }

// Axis returns a joint's axis in the world, of unit length.
func (s *State) Axis(joint int) Vec { return s.bodies[joint].axis }

// Origin returns where a joint is in the world (m); one that slides, where it has slid to.
func (s *State) Origin(joint int) Vec { return s.bodies[joint].origin }

// Point returns where a point of a link, given in the link's frame (m), is in the world.
func (s *State) Point(link int, local Vec) Vec {
	b := &s.bodies[link]
	return b.origin.Add(b.turn.Apply(local))
}

// Capsule returns the ends of a link's capsule in the world (m) and its radius (m).
func (s *State) Capsule(link int) (from, to Vec, radius float64) {
	l := &s.chain.joints[link].Link
	return s.Point(link, l.From), s.Point(link, l.To), l.Radius
}

// Velocity returns how fast the matter of a link moves (m/s) at a point of the world (m).
func (s *State) Velocity(link int, point Vec) Vec {
	b := &s.bodies[link]
	return s.Base.Velocity.Add(b.drift).Add(b.spin.Cross(point.Sub(s.Base.Position)))
}

// Lever returns how fast a point of the world (m) moves, with a link at or after the joint, per unit speed of the joint
// alone: axis times arm, m/s per rad/s, or the axis itself where the joint slides.
func (s *State) Lever(joint int, point Vec) Vec {
	b := &s.bodies[joint]
	return b.turning.Cross(point.Sub(s.Base.Position)).Add(b.carried)
}

// Jacobian writes how a point of a link, given in the world (m), moves with the joints: dst is 3 × joints, row by row;
// columns of joints after the link are zero. dst must hold 3·Joints() numbers.
func (s *State) Jacobian(dst []float64, link int, point Vec) {
	n := len(s.bodies)
	x, y, z := dst[:n], dst[n:2*n], dst[2*n:3*n]
	for i := range s.bodies {
		if i > link {
			x[i], y[i], z[i] = 0, 0, 0
			continue
		}
		c := s.Lever(i, point)
		x[i], y[i], z[i] = c.X, c.Y, c.Z
	}
}

// Push adds to torque (N m, one a joint) what a force (N) on a link at a point, both in the world, does: Jᵀ·F.
func (s *State) Push(torque []float64, link int, point, force Vec) {
	moment := point.Sub(s.Base.Position).Cross(force)
	for i := 0; i <= link; i++ {
		b := &s.bodies[i]
		torque[i] += b.turning.Dot(moment) + b.carried.Dot(force)
	}
}

// Twist adds to torque (N m, one a joint) what a free moment (N m) on a link, in the world, does.
func (s *State) Twist(torque []float64, link int, moment Vec) {
	for i := 0; i <= link; i++ {
		torque[i] += s.bodies[i].turning.Dot(moment)
	}
}
