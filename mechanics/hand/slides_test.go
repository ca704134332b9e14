package hand_test

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"holdfast/mechanics/hand"
)

// particles is a finger told a second way: every link is a handful of point masses, and all that is known of the mechanism
// is where they are. What a joint has to push then follows from differences of places alone (d'Alembert's principle),
// without an inertia tensor, an axis in the world, a recursion or a formula for velocities.
type particles struct {
	joints   []hand.Joint
	mass     [][]float64
	place    [][]hand.Vec // in the link's frame
	base     hand.Base
	gravity  hand.Vec
	q, speed []float64
}

// rodrigues turns v about a unit axis; of the test's own.
func rodrigues(axis, v hand.Vec, angle float64) hand.Vec {
	return v.Scale(math.Cos(angle)).Add(axis.Cross(v).Scale(math.Sin(angle))).Add(axis.Scale(axis.Dot(v) * (1 - math.Cos(angle))))
}

// at returns where all masses are with the joints at q and the base t seconds on its way.
func (p *particles) at(q []float64, t float64) (all []hand.Vec) {
	for link := range p.joints {
		for _, v := range p.place[link] {
			for i := link; i >= 0; i-- {
				j := &p.joints[i]
				axis := j.Axis.Scale(1 / j.Axis.Norm())
				if j.Slides {
					v = v.Add(axis.Scale(q[i]))
				} else {
					v = rodrigues(axis, v, q[i])
				}
				v = v.Add(j.Origin)
			}
			b := &p.base
			v = b.Turn.Apply(v)
			if turn := b.Spin.Scale(t).Add(b.SpinRate.Scale(t * t / 2)); turn != (hand.Vec{}) {
				v = rodrigues(turn.Scale(1/turn.Norm()), v, turn.Norm())
			}
			all = append(all, v.Add(b.Position).Add(b.Velocity.Scale(t)).Add(b.Acceleration.Scale(t*t/2)))
		}
	}
	return all
}

// levers returns how all masses move with each joint (differences of fourth order).
func (p *particles) levers() [][]hand.Vec {
	const h = 2e-3
	levers := make([][]hand.Vec, len(p.q))
	for i := range p.q {
		q := append([]float64(nil), p.q...)
		shifted := func(d float64) []hand.Vec { q[i] = p.q[i] + d; return p.at(q, 0) }
		a, b, c, d := shifted(-2*h), shifted(-h), shifted(h), shifted(2*h)
		for k := range a {
			levers[i] = append(levers[i], c[k].Sub(b[k]).Scale(8).Sub(d[k].Sub(a[k])).Scale(1/(12*h)))
		}
	}
	return levers
}

// torques returns what the joints must push for the accelerations, and the mass matrix.
func (p *particles) torques(acceleration []float64) (torque, matrix []float64) {
	const h = 4e-3
	along := func(t float64) []hand.Vec {
		q := append([]float64(nil), p.q...)
		for i := range q {
			q[i] += p.speed[i]*t + acceleration[i]*t*t/2
		}
		return p.at(q, t)
	}
	// The second derivative by differences of sixth order.
	var places [7][]hand.Vec
	for k := range places {
		places[k] = along(float64(k-3) * h)
	}
	levers, n := p.levers(), len(p.q)
	torque, matrix = make([]float64, n), make([]float64, n*n)
	k := 0
	for link := range p.joints {
		for _, m := range p.mass[link] {
			var a hand.Vec
			for i, c := range [7]float64{2, -27, 270, -490, 270, -27, 2} {
				a = a.Add(places[i][k].Scale(c / (180 * h * h)))
			}
			for i := range n {
				torque[i] += m * a.Sub(p.gravity).Dot(levers[i][k])
				for j := range n {
					matrix[i*n+j] += m * levers[i][k].Dot(levers[j][k])
				}
			}
			k++
		}
	}
	for i := range n {
		torque[i] += p.joints[i].Armature * acceleration[i]
		matrix[i*n+i] += p.joints[i].Armature
	}
	return torque, matrix
}

// anyParticles gives the links of a chain that was drawn other masses, made of points.
func anyParticles(t *rapid.T, joints []hand.Joint) *particles {
	p := &particles{joints: joints}
	for i := range joints {
		l := &joints[i].Link
		n := rapid.IntRange(1, 5).Draw(t, "points")
		var first hand.Vec
		l.Mass = 0
		mass, place := make([]float64, n), make([]hand.Vec, n)
		for k := range n {
			mass[k], place[k] = positive.Draw(t, "point"), vector(t, "place")
			l.Mass += mass[k]
			first = first.Add(place[k].Scale(mass[k]))
		}
		l.Centre = first.Scale(1 / l.Mass)
		l.Inertia = hand.Inertia{}
		for k := range n {
			r, m := place[k].Sub(l.Centre), mass[k]
			l.Inertia.XX += m * (r.Y*r.Y + r.Z*r.Z)
			l.Inertia.YY += m * (r.X*r.X + r.Z*r.Z)
			l.Inertia.ZZ += m * (r.X*r.X + r.Y*r.Y)
			l.Inertia.XY -= m * r.X * r.Y
			l.Inertia.XZ -= m * r.X * r.Z
			l.Inertia.YZ -= m * r.Y * r.Z
		}
		p.mass, p.place = append(p.mass, mass), append(p.place, place)
	}
	return p
}

// Joints that turn and slide in any order, on a base that accelerates and spins: mass matrix, bias and inverse dynamics must
// be what a heap of points says whose places alone are known.
func TestChainsAgreeWithPointMasses(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := anyParticles(t, anyJoints(t, 4))
		s := moving(t, p.joints)
		s.Base.Velocity, s.Base.Acceleration = vector(t, "v"), vector(t, "a")
		s.Base.Spin, s.Base.SpinRate = vector(t, "w"), vector(t, "wdot")
		s.Update()
		s.Move()
		p.base, p.gravity, p.q, p.speed = s.Base, s.Gravity, s.Q, s.Speed
		n := len(s.Q)
		acceleration, torque, bias, matrix := make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n*n)
		wantBias, want := p.torques(acceleration)
		s.Bias(bias)
		s.MassMatrix(matrix)
		// Places are some metres, speeds some m/s: sums of twenty masses' forces reach hundreds of N.
		for i := range n {
			same(t, "bias", bias[i], wantBias[i], 1e-5)
			for k := range n {
				same(t, "mass", matrix[i*n+k], want[i*n+k], 1e-7)
			}
		}
		for i := range acceleration {
			acceleration[i] = component.Draw(t, "acceleration")
		}
		wantTorque, _ := p.torques(acceleration)
		s.Inverse(torque, acceleration)
		for i := range n {
			same(t, "torque", torque[i], wantTorque[i], 1e-5)
		}
	})
}

// A bead of mass m on a rod that turns level (elementary mechanics; r the way out, ω the speed): along the rod −mrω², about
// the axis 2m·r·ṙ·ω, and the moment of inertia mr².
func TestBeadOnATurningRod(t *testing.T) {
	c, err := hand.NewChain([]hand.Joint{
		{Axis: hand.Vec{Z: 1}, Armature: 0.1},
		{Slides: true, Axis: hand.Vec{X: 3}, Link: hand.Link{Mass: 0.4}},
	})
	if err != nil {
		t.Fatal(err)
	}
	s := c.NewState()
	s.Q[0], s.Q[1], s.Speed[0], s.Speed[1] = 0.7, 0.25, 3, 0.8
	s.Update()
	s.Move()
	m, b := make([]float64, 4), make([]float64, 2)
	s.MassMatrix(m)
	s.Bias(b)
	for i, want := range []float64{0.1 + 0.4*0.25*0.25, 0, 0, 0.4} {
		near(t, "mass", m[i], want, 1e-15)
	}
	near(t, "about the axis", b[0], 2*0.4*0.25*0.8*3, 1e-15)
	near(t, "along the rod", b[1], -0.4*0.25*9, 1e-15)
	near(t, "place", s.Origin(1).Sub(hand.Vec{X: 0.25 * math.Cos(0.7), Y: 0.25 * math.Sin(0.7)}).Norm(), 0, 1e-15)
}

// A mass on a spring hangs mg/k below its rest, sags where its stop of default ramp ends it, and swings with √(k/m)
// (elementary mechanics).
func TestMassOnASpring(t *testing.T) {
	joint := hand.Joint{Slides: true, Axis: hand.Vec{Z: -1}, Rest: 0.05, Stiffness: 40, Link: hand.Link{Mass: 0.2}}
	settle := func() float64 {
		c, err := hand.NewChain([]hand.Joint{joint})
		if err != nil {
			t.Fatal(err)
		}
		s := c.NewState()
		s.Gravity = hand.Vec{Z: -9.81}
		if err := s.Settle(nil, nil); err != nil {
			t.Fatal(err)
		}
		near(t, "height", s.Point(0, hand.Vec{}).Z, -s.Q[0], 1e-15)
		return s.Q[0]
	}
	near(t, "sag", settle(), 0.05+0.2*9.81/40, 1e-12)
	c, err := hand.NewChain([]hand.Joint{joint})
	if err != nil {
		t.Fatal(err)
	}
	s := c.NewState()
	modes, err := s.Modes()
	if err != nil {
		t.Fatal(err)
	}
	near(t, "frequency", modes[0], math.Sqrt(40/0.2), 1e-12)
	joint.Stops = hand.Stops{Lower: -1, Upper: 0.06, Stiffness: 5000}
	// Beyond the ramp r the stop pushes K(x − r/2): 40(0.01 + x) + 5000(x − 0.0001) = mg.
	near(t, "at the stop", settle(), 0.06+(0.2*9.81-0.4+0.5)/5040, 1e-12)
}

// A finger whose joints slide and turn comes to rest where nothing is left over, with its tip held or free.
func TestMixedChainSettles(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		joints := make([]hand.Joint, rapid.IntRange(2, 5).Draw(t, "joints"))
		for i := range joints {
			j := &joints[i]
			j.Origin, j.Axis, j.Stiffness = hand.Vec{Z: 0.03}, vector(t, "axis"), 0.2
			j.Axis.Z += 2
			if j.Slides = i == 0 || rapid.Bool().Draw(t, "slides"); j.Slides {
				j.Stiffness, j.Rest = 400, 0.01*component.Draw(t, "rest")
			}
			j.Link = hand.SolidCapsule(hand.Vec{}, hand.Vec{Z: 0.03}, 0.008, 0.01)
		}
		c, err := hand.NewChain(joints)
		if err != nil {
			t.Fatal(err)
		}
		s := c.NewState()
		s.Gravity = hand.Vec{Y: -9.81}
		n := len(joints)
		left := make([]float64, n)
		loads := []hand.Load{{Link: n - 1, Point: hand.Vec{Z: 0.03}, Force: vector(t, "force"), Follower: rapid.Bool().Draw(t, "follower")}}
		if err := s.Settle(nil, loads); err != nil {
			t.Fatal(err)
		}
		s.Unbalanced(left, nil, loads)
		for i := range left {
			same(t, "left over", left[i], 0, 1e-9)
		}
		// Held at a plane that the first joint can reach by sliding.
		along, tip := c.Joint(0).Axis, hand.Vec{Z: 0.03}
		at := s.Point(n-1, tip).Dot(along) + 0.002*component.Draw(t, "block")
		force, err := s.SettleBlocked(nil, nil, hand.Block{Link: n - 1, Point: tip, Direction: along, Position: at})
		if err != nil {
			t.Fatal(err)
		}
		same(t, "held", s.Point(n-1, tip).Dot(along), at, 1e-11)
		pushed := make([]float64, n)
		s.Push(pushed, n-1, s.Point(n-1, tip), along.Scale(force))
		s.Unbalanced(left, pushed, nil)
		for i := range left {
			same(t, "left over, held", left[i], 0, 1e-9)
		}
	})
}

func TestSlidesTellTheirUnits(t *testing.T) {
	j := hand.Joint{Slides: true, Axis: hand.Vec{X: 1}, Link: hand.Link{Mass: 1}, Stops: hand.Stops{Lower: 0.02, Upper: 0.01, Stiffness: 1}}
	if _, err := hand.NewChain([]hand.Joint{j}); err == nil || !strings.Contains(err.Error(), "0.02 m ") {
		t.Errorf("%v does not tell the stop in m", err)
	}
	j.Stops = hand.Stops{Lower: -0.01, Upper: 0.01, Stiffness: 1}
	c, err := hand.NewChain([]hand.Joint{j})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "ramp", c.Joint(0).Stops.Ramp, 2e-4, 0)
}
