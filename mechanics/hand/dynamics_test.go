package hand_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"holdfast/mechanics/hand"
)

var (
	component = rapid.Float64Range(-1, 1)
	positive  = rapid.Float64Range(0.05, 1)
)

func vector(t *rapid.T, name string) hand.Vec {
	return hand.Vec{X: component.Draw(t, name+".x"), Y: component.Draw(t, name+".y"), Z: component.Draw(t, name+".z")}
}

// anyJoints draws a chain in space with every property that a joint has.
func anyJoints(t *rapid.T, most int) []hand.Joint {
	joints := make([]hand.Joint, rapid.IntRange(1, most).Draw(t, "joints"))
	plane := rapid.IntRange(0, 5).Draw(t, "plane") // one in two bends in a plane
	for i := range joints {
		axis := vector(t, "axis")
		if axis.Norm() < 0.1 {
			axis.Z++
		}
		if rapid.Bool().Draw(t, "coordinate axis") {
			axis = []hand.Vec{{X: 1}, {Y: 1}, {Z: 1}, {X: -2}, {Y: -1}, {Z: -3}}[rapid.IntRange(0, 5).Draw(t, "which")]
		}
		if plane < 3 {
			axis = []hand.Vec{{X: 1}, {Y: 1}, {Z: 1}}[plane].Scale([]float64{1, -1, 2}[rapid.IntRange(0, 2).Draw(t, "way")])
		}
		link := hand.SolidCapsule(vector(t, "from"), vector(t, "to"), positive.Draw(t, "radius"), positive.Draw(t, "mass"))
		if rapid.Bool().Draw(t, "no body of revolution") {
			// Two capsules at an angle.
			other := hand.SolidCapsule(vector(t, "from"), vector(t, "to"), positive.Draw(t, "radius"), positive.Draw(t, "mass")).Inertia
			a := &link.Inertia
			a.XX, a.YY, a.ZZ, a.XY, a.XZ, a.YZ = a.XX+other.XX, a.YY+other.YY, a.ZZ+other.ZZ, a.XY+other.XY, a.XZ+other.XZ, a.YZ+other.YZ
		}
		joints[i] = hand.Joint{
			Slides: plane >= 3 && rapid.IntRange(0, 2).Draw(t, "slides") == 2,
			Origin: vector(t, "origin"), Axis: axis, Rest: component.Draw(t, "rest"), Stiffness: positive.Draw(t, "stiffness"),
			Armature: positive.Draw(t, "armature"), Stops: hand.Stops{Lower: -0.5, Upper: 0.7, Stiffness: 3, Ramp: 0.3}, Link: link,
		}
	}
	return joints
}

func moving(t *rapid.T, joints []hand.Joint) *hand.State {
	c, err := hand.NewChain(joints)
	if err != nil {
		t.Fatal(err)
	}
	s := c.NewState()
	for i := range s.Q {
		s.Q[i], s.Speed[i] = 2*component.Draw(t, "q"), 2*component.Draw(t, "speed")
	}
	s.Gravity = vector(t, "gravity")
	axis := vector(t, "turn")
	if n := axis.Norm(); n > 0.1 {
		s.Base.Turn = hand.TurnAbout(axis.Scale(1/n), 2*component.Draw(t, "angle"))
	}
	s.Base.Position = vector(t, "position")
	s.Update()
	s.Move()
	return s
}

func same(t *rapid.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Fatalf("%s: %.12g, want %.12g", what, got, want)
	}
}

// The two recursions share no formula: columns of the mass matrix must be what unit accelerations ask for.
func TestMassMatrixAgreesWithInverseDynamics(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := moving(t, anyJoints(t, 6))
		n := len(s.Q)
		m, bias, torque, unit := make([]float64, n*n), make([]float64, n), make([]float64, n), make([]float64, n)
		s.Base.Acceleration, s.Base.Spin, s.Base.SpinRate = vector(t, "a"), vector(t, "w"), vector(t, "wdot")
		s.Move()
		s.MassMatrix(m)
		s.Bias(bias)
		for k := range n {
			clear(unit)
			unit[k] = 1
			s.Inverse(torque, unit)
			for i := range n {
				same(t, "entry", m[i*n+k], torque[i]-bias[i], 1e-11*float64(n*n))
			}
		}
	})
}

// Shortcuts for coordinate axes and bodies of revolution must not change anything: a base turned one way and a chain given
// in frames turned back is the same finger without the shortcuts for its axes.
func TestShortcutsChangeNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		joints := anyJoints(t, 5)
		plain := moving(t, joints)
		n := len(joints)
		turn := hand.TurnAbout(hand.Vec{X: 0.6, Y: 0, Z: 0.8}, 0.7)
		turned := append([]hand.Joint(nil), joints...)
		for i := range turned {
			j := &turned[i]
			j.Origin, j.Axis = turn.Back(j.Origin), turn.Back(j.Axis)
			l := &j.Link
			l.From, l.To, l.Centre = turn.Back(l.From), turn.Back(l.To), turn.Back(l.Centre)
			in := func(v hand.Vec) hand.Vec {
				i := l.Inertia
				return hand.Vec{X: i.XX*v.X + i.XY*v.Y + i.XZ*v.Z, Y: i.XY*v.X + i.YY*v.Y + i.YZ*v.Z, Z: i.XZ*v.X + i.YZ*v.Y + i.ZZ*v.Z}
			}
			x, y, z := in(turn.X), in(turn.Y), in(turn.Z)
			l.Inertia = hand.Inertia{XX: turn.X.Dot(x), YY: turn.Y.Dot(y), ZZ: turn.Z.Dot(z), XY: turn.X.Dot(y), XZ: turn.X.Dot(z), YZ: turn.Y.Dot(z)}
			l.To = l.From // hides the axis of revolution
		}
		c, err := hand.NewChain(turned)
		if err != nil {
			t.Fatal(err)
		}
		long := c.NewState()
		long.Gravity, long.Base.Position = plain.Gravity, plain.Base.Position
		base := plain.Base.Turn
		long.Base.Turn = hand.Turn{X: base.Apply(turn.X), Y: base.Apply(turn.Y), Z: base.Apply(turn.Z)}
		copy(long.Q, plain.Q)
		copy(long.Speed, plain.Speed)
		long.Update()
		long.Move()
		m, mm, b, bb := make([]float64, n*n), make([]float64, n*n), make([]float64, n), make([]float64, n)
		plain.MassMatrix(m)
		long.MassMatrix(mm)
		plain.Bias(b)
		long.Bias(bb)
		for i := range m {
			same(t, "mass", mm[i], m[i], 1e-11*float64(n*n))
		}
		for i := range b {
			same(t, "bias", bb[i], b[i], 1e-10*float64(n*n))
		}
	})
}

// ½q̇ᵀMq̇ is the kinetic energy, and weight and springs are the slopes of the potential energy.
func TestForcesAreSlopesOfEnergy(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := moving(t, anyJoints(t, 5))
		n := len(s.Q)
		m := make([]float64, n*n)
		s.MassMatrix(m)
		kinetic, _ := s.Energy()
		sum := 0.0
		for i := range n {
			for k := range n {
				sum += s.Speed[i] * m[i*n+k] * s.Speed[k] / 2
			}
		}
		same(t, "kinetic energy", sum, kinetic, 1e-11*(1+kinetic))
		weight, elastic, stiffness, later := make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
		clear(s.Speed)
		s.Weight(weight)
		s.Elastic(elastic, stiffness)
		const h = 1e-5
		for i := range n {
			q := s.Q[i]
			var v [2]float64
			for side, d := range [2]float64{h, -h} {
				s.Q[i] = q + d
				s.Update()
				s.Move()
				_, v[side] = s.Energy()
			}
			s.Elastic(later, nil) // at q − h
			s.Q[i] = q
			same(t, "slope", weight[i]+elastic[i], (v[1]-v[0])/(2*h), 1e-7)
			same(t, "stiffness", (later[i]-elastic[i])/h, stiffness[i], 1e-3)
		}
	})
}

// Without dampers nothing is lost: the power of velocity forces and of the changing mass matrix must cancel exactly.
func TestEnergyIsKeptInSpace(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := moving(t, anyJoints(t, 4))
		q, v := append([]float64(nil), s.Q...), append([]float64(nil), s.Speed...)
		before := total(s, q, v)
		for range 50 {
			rungeKutta(s, q, v, 4e-4)
		}
		same(t, "energy", total(s, q, v), before, 1e-7*(1+math.Abs(before)))
	})
}

// A base that moves as the link before would is indistinguishable from that link.
func TestMovingBaseIsALinkBefore(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		joints := anyJoints(t, 4)
		if len(joints) < 2 {
			joints = append(joints, joints[0])
		}
		whole := moving(t, joints)
		n := len(joints)
		a := make([]float64, n)
		for i := range a {
			a[i] = component.Draw(t, "acceleration")
		}
		torque := make([]float64, n)
		whole.Inverse(torque, a)

		rest := joints[1:]
		c, err := hand.NewChain(rest)
		if err != nil {
			t.Fatal(err)
		}
		part := c.NewState()
		part.Gravity = whole.Gravity
		copy(part.Q, whole.Q[1:])
		copy(part.Speed, whole.Speed[1:])
		axis := whole.Axis(0)
		part.Base = hand.Base{Turn: whole.Turn(0), Position: whole.Point(0, hand.Vec{}), Velocity: whole.Velocity(0, whole.Point(0, hand.Vec{}))}
		if joints[0].Slides {
			part.Base.Acceleration = axis.Scale(a[0])
		} else {
			part.Base.Spin, part.Base.SpinRate = axis.Scale(whole.Speed[0]), axis.Scale(a[0])
		}
		part.Update()
		part.Move()
		out := make([]float64, n-1)
		part.Inverse(out, a[1:])
		for i := range out {
			same(t, "torque", out[i], torque[i+1], 1e-10)
		}
		tip := whole.Point(n-1, hand.Vec{X: 0.3, Y: -0.2})
		same(t, "tip speed", part.Velocity(n-2, tip).Sub(whole.Velocity(n-1, tip)).Norm(), 0, 1e-12)
	})
}

// Jacobian, velocity of a point and push are one linear map three ways; finite differences are the fourth.
func TestJacobian(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := moving(t, anyJoints(t, 5))
		n := len(s.Q)
		link := rapid.IntRange(0, n-1).Draw(t, "link")
		local, force := vector(t, "point"), vector(t, "force")
		p := s.Point(link, local)
		j := make([]float64, 3*n)
		s.Jacobian(j, link, p)
		var v hand.Vec
		push := make([]float64, n)
		s.Push(push, link, p, force)
		for i := range n {
			column := hand.Vec{X: j[i], Y: j[n+i], Z: j[2*n+i]}
			if i <= link {
				same(t, "lever", s.Lever(i, p).Sub(column).Norm(), 0, 0)
			}
			v = v.Add(column.Scale(s.Speed[i]))
			same(t, "push", push[i], column.Dot(force), 1e-12)
			q := s.Q[i]
			s.Q[i] = q + 1e-6
			s.Update()
			moved := s.Point(link, local)
			s.Q[i] = q
			s.Update()
			same(t, "difference", moved.Sub(p).Scale(1e6).Sub(column).Norm(), 0, 1e-5)
		}
		same(t, "velocity", v.Sub(s.Velocity(link, p)).Norm(), 0, 1e-12)
	})
}

func TestSolidCapsule(t *testing.T) {
	ball := hand.SolidCapsule(hand.Vec{X: 1}, hand.Vec{X: 1}, 0.1, 2).Inertia
	near(t, "ball", ball.XX, 0.4*2*0.01, 1e-15)
	near(t, "ball", ball.ZZ, 0.4*2*0.01, 1e-15)
	rod := hand.SolidCapsule(hand.Vec{}, hand.Vec{Z: 0.3}, 0, 2).Inertia
	near(t, "rod across", rod.XX, 2*0.09/12, 1e-15)
	near(t, "rod along", rod.ZZ, 0, 1e-15)
	// A capsule summed from thin slices.
	const length, radius, mass = 0.05, 0.01, 0.03
	volume := math.Pi*radius*radius*length + 4./3*math.Pi*radius*radius*radius
	along, across := 0.0, 0.0
	const slices = 200000
	for i := range slices {
		dz := (length + 2*radius) / slices
		z := (float64(i)+0.5)*dz - length/2 - radius
		over := math.Max(math.Abs(z)-length/2, 0)
		r2 := radius*radius - over*over
		dm := mass / volume * math.Pi * r2 * dz
		along += dm * r2 / 2
		across += dm * (r2/4 + z*z)
	}
	c := hand.SolidCapsule(hand.Vec{}, hand.Vec{Y: length}, radius, mass).Inertia
	close(t, "capsule along", c.YY, along, 1e-8)
	close(t, "capsule across", c.XX, across, 1e-8)
	near(t, "capsule mixed", math.Abs(c.XY)+math.Abs(c.YZ), 0, 1e-18)
}

func TestChainRefusesNonsense(t *testing.T) {
	good := hand.Joint{Axis: hand.Vec{X: 2}, Link: hand.SolidCapsule(hand.Vec{}, hand.Vec{Z: 1}, 0.1, 1)}
	for name, spoil := range map[string]func(*hand.Joint){
		"no axis":            func(j *hand.Joint) { j.Axis = hand.Vec{} },
		"negative stiffness": func(j *hand.Joint) { j.Stiffness = -1 },
		"damping no number":  func(j *hand.Joint) { j.Damping = math.NaN() },
		"origin infinite":    func(j *hand.Joint) { j.Origin.X = math.Inf(1) },
		"stops crossed":      func(j *hand.Joint) { j.Stops = hand.Stops{Lower: 1, Upper: -1, Stiffness: 1} },
		"stops without hold": func(j *hand.Joint) { j.Stops = hand.Stops{Lower: -1, Upper: 1} },
		"inertia":            func(j *hand.Joint) { j.Link.Inertia = hand.Inertia{XX: 1} },
		"nothing to move":    func(j *hand.Joint) { j.Link = hand.Link{} },
		"rest":               func(j *hand.Joint) { j.Rest = math.NaN() },
	} {
		bad := good
		spoil(&bad)
		if _, err := hand.NewChain([]hand.Joint{good, bad}); err == nil {
			t.Errorf("%s passes", name)
		}
	}
	c, err := hand.NewChain([]hand.Joint{good})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "axis", c.Joint(0).Axis.Norm(), 1, 1e-15)
	if _, err := hand.NewChain(nil); err == nil {
		t.Error("a finger without joints passes")
	}
}

// threeFingers is a hand of three fingers with four joints each, the first of them sideways unless all bend in a plane.
func threeFingers(b *testing.B, flat bool) []*hand.State {
	fingers := make([]*hand.State, 3)
	for f := range fingers {
		joints := make([]hand.Joint, 4)
		for i := range joints {
			joints[i] = hand.Joint{
				Origin: hand.Vec{Z: 0.03}, Axis: hand.Vec{Y: 1}, Stiffness: 0.1, Damping: 0.001, Rest: 0.2,
				Stops: hand.Stops{Lower: -0.2, Upper: 1.6, Stiffness: 5},
				Link:  hand.SolidCapsule(hand.Vec{}, hand.Vec{Z: 0.03}, 0.008, 0.01),
			}
		}
		if !flat {
			joints[0].Axis = hand.Vec{X: 1}
		}
		c, err := hand.NewChain(joints)
		if err != nil {
			b.Fatal(err)
		}
		fingers[f] = c.NewState()
		fingers[f].Base.Turn = hand.TurnAbout(hand.Vec{Z: 1}, float64(f)*2*math.Pi/3)
		for i := range joints {
			fingers[f].Speed[i] = 1
		}
	}
	return fingers
}

func perHand(b *testing.B, work func(s *hand.State, m, v []float64)) { perKind(b, false, work) }

func perKind(b *testing.B, flat bool, work func(s *hand.State, m, v []float64)) {
	fingers := threeFingers(b, flat)
	m, v := make([]float64, 16), make([]float64, 4)
	b.ReportAllocs()
	for b.Loop() {
		for _, s := range fingers {
			work(s, m, v)
		}
	}
}

func BenchmarkUpdateAndMove(b *testing.B) {
	perHand(b, func(s *hand.State, _, _ []float64) { s.Update(); s.Move() })
}
func BenchmarkMassMatrix(b *testing.B) {
	perHand(b, func(s *hand.State, m, _ []float64) { s.MassMatrix(m) })
}
func BenchmarkBias(b *testing.B) { perHand(b, func(s *hand.State, _, v []float64) { s.Bias(v) }) }
func BenchmarkElastic(b *testing.B) {
	perHand(b, func(s *hand.State, m, v []float64) { s.Elastic(v, m[:4]) })
}
func BenchmarkPush(b *testing.B) {
	perHand(b, func(s *hand.State, _, v []float64) { clear(v); s.Push(v, 3, hand.Vec{X: .1}, hand.Vec{Y: 1}) })
}

// What a step asks for, by fingers that also go sideways and by such as bend in a plane.
func benchmarkStep(b *testing.B, flat bool) {
	perKind(b, flat, func(s *hand.State, m, v []float64) {
		s.Update()
		s.Move()
		s.MassMatrix(m)
		s.Bias(v)
		s.Elastic(v, m[:4])
	})
}
func BenchmarkStepInSpace(b *testing.B)  { benchmarkStep(b, false) }
func BenchmarkStepInAPlane(b *testing.B) { benchmarkStep(b, true) }

// A finger of eight parts that bends both ways and twists: 24 joints.
func BenchmarkLongFinger(b *testing.B) {
	joints, _, err := hand.Rod{Length: .1, BendX: 1e-3, BendY: 1e-3, Twist: 1e-3, Mass: .03, Radius: .01}.Segments(8)
	if err != nil {
		b.Fatal(err)
	}
	c, err := hand.NewChain(joints)
	if err != nil {
		b.Fatal(err)
	}
	s := c.NewState()
	m, v := make([]float64, 24*24), make([]float64, 24)
	b.ReportAllocs()
	for b.Loop() {
		s.Update()
		s.Move()
		s.MassMatrix(m)
		s.Bias(v)
	}
}

func TestStepAllocatesNothing(t *testing.T) {
	s := pendulum(t, 6)
	m, v := make([]float64, 36), make([]float64, 6)
	if n := testing.AllocsPerRun(100, func() {
		s.Update()
		s.Move()
		s.MassMatrix(m)
		s.Bias(v)
		s.Elastic(v, m[:6])
		s.Weight(v)
		s.Jacobian(m, 5, hand.Vec{})
		s.Push(v, 5, hand.Vec{}, hand.Vec{X: 1})
	}); n != 0 {
		t.Errorf("%g allocations a step", n)
	}
}
