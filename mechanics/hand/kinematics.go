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

// body is where one link is and how it moves, in world coordinates.
type body struct {
	turn     Turn
	origin   Vec // of the joint
	axis     Vec // of the joint, unit length
	centre   Vec // of mass
	along    Vec // of the axis of revolution of the link's mass, if it has one
	spin     Vec
	velocity Vec // of the origin
}

// State is one chain in motion: what a simulation reads and writes, with all scratch that the chain's algorithms need.
// It belongs to one goroutine. Links and joints are numbered alike, from 0 at the base, and must exist. After a change of Base or Q call [State.Update], after a change of velocities also
// [State.Move]; the rest reads what these two left.
type State struct {
	Base    Base
	Gravity Vec       // m/s², as (0, 0, −9.81)
	Q       []float64 // rad
	Speed   []float64 // rad/s
	chain   *Chain
	bodies  []body
	force   []Vec // scratch of the recursions
	moment  []Vec
}

// NewState returns the chain at its rest angles, its base at the origin, no gravity.
func (c *Chain) NewState() *State {
	n := len(c.joints)
	s := &State{
		Base: Base{Turn: Unturned}, chain: c, bodies: make([]body, n),
		Q: make([]float64, n), Speed: make([]float64, n), force: make([]Vec, n), moment: make([]Vec, n),
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
	turn, origin := &s.Base.Turn, s.Base.Position
	for i := range s.bodies {
		j, b := &s.chain.joints[i], &s.bodies[i]
		b.origin = origin.Add(turn.Apply(j.Origin))
		switch j.coordinate {
		case 'x':
			sin, cos := math.Sincos(j.sign * s.Q[i])
			b.axis = turn.X.Scale(j.sign)
			b.turn.X = turn.X
			b.turn.Y, b.turn.Z = turn.Y.Scale(cos).Add(turn.Z.Scale(sin)), turn.Z.Scale(cos).Sub(turn.Y.Scale(sin))
		case 'y':
			sin, cos := math.Sincos(j.sign * s.Q[i])
			b.axis = turn.Y.Scale(j.sign)
			b.turn.Y = turn.Y
			b.turn.Z, b.turn.X = turn.Z.Scale(cos).Add(turn.X.Scale(sin)), turn.X.Scale(cos).Sub(turn.Z.Scale(sin))
		case 'z':
			sin, cos := math.Sincos(j.sign * s.Q[i])
			b.axis = turn.Z.Scale(j.sign)
			b.turn.Z = turn.Z
			b.turn.X, b.turn.Y = turn.X.Scale(cos).Add(turn.Y.Scale(sin)), turn.Y.Scale(cos).Sub(turn.X.Scale(sin))
		default:
			b.axis = turn.Apply(j.Axis)
			b.turn = turn.turned(j.Axis, b.axis, s.Q[i])
		}
		if j.Link.Mass > 0 {
			b.centre = b.origin.Add(b.turn.Apply(j.Link.Centre))
			b.along = b.turn.Apply(j.along)
		} else {
			b.centre = b.origin
		}
		turn, origin = &b.turn, b.origin
	}
}

// Move works out how fast the links move from Base, Q and Speed; call [State.Update] before.
func (s *State) Move() {
	spin, velocity, origin := s.Base.Spin, s.Base.Velocity, s.Base.Position
	for i := range s.bodies {
		b := &s.bodies[i]
		velocity = velocity.Add(spin.Cross(b.origin.Sub(origin)))
		spin = spin.Add(b.axis.Scale(s.Speed[i]))
		b.spin, b.velocity, origin = spin, velocity, b.origin
	}
}

// Turn returns how a link is turned in the world.
func (s *State) Turn(link int) Turn { return s.bodies[link].turn }

// Axis returns a joint's axis in the world, of unit length.
func (s *State) Axis(joint int) Vec { return s.bodies[joint].axis }

// Origin returns where a joint is in the world (m).
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
	return b.velocity.Add(b.spin.Cross(point.Sub(b.origin)))
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
		b := &s.bodies[i]
		c := b.axis.Cross(point.Sub(b.origin))
		x[i], y[i], z[i] = c.X, c.Y, c.Z
	}
}

// Push adds to torque (N m, one a joint) what a force (N) on a link at a point, both in the world, does: Jᵀ·F.
func (s *State) Push(torque []float64, link int, point, force Vec) {
	moment := point.Cross(force)
	for i := 0; i <= link; i++ {
		b := &s.bodies[i]
		torque[i] += b.axis.Dot(moment.Sub(b.origin.Cross(force)))
	}
}

// Twist adds to torque (N m, one a joint) what a free moment (N m) on a link, in the world, does.
func (s *State) Twist(torque []float64, link int, moment Vec) {
	for i := 0; i <= link; i++ {
		torque[i] += s.bodies[i].axis.Dot(moment)
	}
}
