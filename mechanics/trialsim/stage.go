package trialsim

import (
	"math"

	"holdfast/mechanics/hand"
	"holdfast/mechanics/motion"
	"holdfast/orient"
)

// Stage is one trial in the making: the state of hand and item, and all scratch. It belongs to one goroutine.
type Stage struct {
	Time float64 // s
	Item motion.Body
	// Tension is the cable's in the last step, N; Grip the sum of the normal forces of hand on item, N.
	Tension, Grip float64
	// OnItem is the force (N, world) of hand and palm on the item in the last step.
	OnItem   orient.Vec3
	Sweeps   int     // of the last step's solver
	Change   float64 // m/s, by its last sweep
	Contacts int     // that pushed in the last step

	scene    *Scene
	solver   motion.Solver
	fingers  []finger
	v        []float64
	contacts []motion.Contact
	pairs    []pair
	room     []float64
	used     int
	cable    [1]motion.Row
	memory   []memory
	steps    int
	mobility [3]orient.Vec3
	pull     float64
}

// finger is a chain in motion with its implicit inertia.
type finger struct {
	state     *hand.State
	at        int // of its joints in v
	n         int
	factor    [mostJoints * mostJoints]float64 // Cholesky's of A = M + h·D + h²·K, lower
	turn      hand.Turn                        // of the mount in the palm's frame
	root      orient.Vec3
	from, to  []orient.Vec3 // ends of the links' capsules in the world
	middle    []orient.Vec3
	half      []orient.Vec3 // from the middle to the end
	radius    []float64
	reach     []float64 // half lengths and radius
	torque    [mostJoints]float64
	stiffness [mostJoints]float64
	bias      [mostJoints]float64
	damping   [mostJoints]float64
}

// pair says who meets whom in a contact, so that its result can be remembered.
type pair struct {
	id      int
	surface *motion.Surface
	normal  orient.Vec3
	t1, t2  orient.Vec3
	grips   bool // hand or palm against item
}

// memory is what a pair knew at its last step.
type memory struct {
	step    int
	stretch orient.Vec3 // m, of the shear spring
	impulse orient.Vec3 // N·s
}

// NewStage makes a stage for the scene, which must have passed [Scene.Check].
func NewStage(s *Scene) *Stage {
	g := &Stage{scene: s, solver: motion.Solver{MostSweeps: 100, Tolerance: 1e-6}}
	at, links := 6, 0
	for i := range s.Hand.Fingers {
		f := &s.Hand.Fingers[i]
		n := f.Chain.Joints()
		m := finger{state: f.Chain.NewState(), at: at, n: n, turn: turnOf(f.Turn), root: f.Root,
			from: make([]orient.Vec3, n), to: make([]orient.Vec3, n), middle: make([]orient.Vec3, n), half: make([]orient.Vec3, n), radius: make([]float64, n), reach: make([]float64, n)}
		m.state.Gravity = hand.Vec{Z: -s.Gravity}
		for j := range n {
			joint := f.Chain.Joint(j)
			m.damping[j] = joint.Damping
			m.radius[j] = joint.Link.Radius
			m.reach[j] = joint.Link.To.Sub(joint.Link.From).Norm()/2 + joint.Link.Radius
		}
		g.fingers = append(g.fingers, m)
		at += n
		links += n
	}
	g.v = make([]float64, at)
	sides := make([]motion.Side, len(g.fingers))
	for i := range g.fingers {
		f := &g.fingers[i]
		sides[i] = motion.Side{At: f.at, N: f.n, J: s.Hand.Fingers[i].Arms, B: make([]float64, f.n)}
	}
	g.cable[0].Sides = sides
	// Ids: item and support, item and palm, then every link with the item, with the support (two ends), with every link.
	g.memory = make([]memory, 2+3*links+links*links)
	return g
}

// Start puts hand and item where the trial begins: the item with its centre at place, at rest.
func (g *Stage) Start(path Path, place orient.Vec3, turn orient.Rotation) {
	semi := g.scene.Item.Shape.Semi
	g.Item = motion.SolidEllipsoid(g.scene.Item.Mass, semi)
	g.Item.Position, g.Item.Turn = place, turn
	g.Time, g.steps, g.Tension, g.Grip = 0, 1, 0, 0
	clear(g.memory)
	g.cable[0].Impulse = 0
	for i := range g.fingers {
		f := &g.fingers[i]
		for j := range f.n {
			f.state.Q[j], f.state.Speed[j] = f.state.Chain().Joint(j).Rest, 0
		}
		f.state.Base = hand.Base{}
	}
	at, palm, pull := path.At(0)
	g.pull = pull
	g.mount(at, palm, at, palm, 1, true)
}

// mount sets the fingers' bases: where the palm is now, and such velocities that a step of h brings it to where it is next.
func (g *Stage) mount(place orient.Vec3, turn orient.Rotation, next orient.Vec3, nextTurn orient.Rotation, h float64, still bool) {
	spin := spinBetween(turn, nextTurn, h)
	for i := range g.fingers {
		f := &g.fingers[i]
		b := &f.state.Base
		arm := turn.Apply(f.root)
		velocity := vec(sub(next, place).Scale(1 / h)).Add(vec(spin.Cross(arm)))
		before, spunBefore := b.Velocity, b.Spin
		b.Turn = compose(turnOf(turn), &f.turn)
		b.Position, b.Velocity, b.Spin = vec(place.Add(arm)), velocity, vec(spin)
		b.Acceleration, b.SpinRate = velocity.Sub(before).Scale(1/h), vec(spin).Sub(spunBefore).Scale(1/h)
		if still {
			b.Velocity, b.Spin, b.Acceleration, b.SpinRate = hand.Vec{}, hand.Vec{}, hand.Vec{}, hand.Vec{}
		}
	}
}

// Step carries the trial on by h seconds along the path.
func (g *Stage) Step(path Path, h float64) {
	place, turn, _ := path.At(g.Time)
	next, nextTurn, pull := path.At(g.Time + h)
	g.mount(place, turn, next, nextTurn, h, false)
	g.steps++
	g.contacts, g.pairs, g.used = g.contacts[:0], g.pairs[:0], 0

	g.Item.Velocity[2] -= h * g.scene.Gravity
	g.Item.Put(g.v, 0)
	g.mobility = g.Item.Mobility()
	wound := 0.0
	for i := range g.fingers {
		f := &g.fingers[i]
		f.prepare(h, g.v[f.at:f.at+f.n])
		arms := g.scene.Hand.Fingers[i].Arms
		for j, q := range f.state.Q {
			wound += arms[j] * q
		}
		side := &g.cable[0].Sides[i]
		copy(side.B, arms)
		f.solve(side.B, 1)
	}
	m := &g.scene.Hand.Motor
	g.cable[0].Law = motion.Compliance{Softness: 1 / (h * h * m.Stiffness), Bias: -(pull - wound) / h}
	g.cable[0].High = h * m.MostForce

	g.touchSupport(h)
	g.touchPalm(h, next, nextTurn, place)
	g.touchItem(h)
	g.touchFingers(h)
	g.Sweeps, g.Change = g.solver.Solve(g.v, g.contacts, g.cable[:])
	g.finish(h)
	g.Time += h
}

// prepare works out what the finger's joints do without contacts and without the cable, and the inertia that impulses meet.
func (f *finger) prepare(h float64, v []float64) {
	s := f.state
	s.Update()
	s.Move()
	n := f.n
	s.MassMatrix(f.factor[:n*n])
	s.Bias(f.bias[:n])
	s.Elastic(f.torque[:n], f.stiffness[:n])
	var push [mostJoints]float64
	for j := range n {
		// Springs and dampers at the end of the step: their change with the speed goes to the inertia.
		push[j] = h * (f.torque[j] - f.bias[j] - h*f.stiffness[j]*s.Speed[j])
		f.factor[j*n+j] += h * (f.damping[j] + h*f.stiffness[j])
	}
	f.decompose()
	f.solve(push[:n], 1)
	for j := range n {
		v[j] = s.Speed[j] + push[j]
	}
	for j := range n {
		from, to, _ := s.Capsule(j)
		f.from[j], f.to[j] = orient.Vec3{from.X, from.Y, from.Z}, orient.Vec3{to.X, to.Y, to.Z}
		f.middle[j] = f.from[j].Add(f.to[j]).Scale(0.5)
		f.half[j] = sub(f.to[j], f.middle[j])
	}
}

// decompose replaces the lower triangle of A by its Cholesky factor, with the diagonal's reciprocals.
func (f *finger) decompose() {
	n, a := f.n, f.factor[:f.n*f.n]
	for i := range n {
		for j := range i {
			sum := a[i*n+j]
			for k := range j {
				sum -= a[i*n+k] * a[j*n+k]
			}
			a[i*n+j] = sum * a[j*n+j]
		}
		sum := a[i*n+i]
		for k := range i {
			sum -= a[i*n+k] * a[i*n+k]
		}
		a[i*n+i] = 1 / math.Sqrt(sum)
	}
}

// solve replaces b (n rows, the given number of columns, row by row) by A⁻¹·b.
func (f *finger) solve(b []float64, columns int) {
	n, a := f.n, f.factor[:f.n*f.n]
	for c := range columns {
		for i := range n {
			sum := b[i*columns+c]
			for k := range i {
				sum -= a[i*n+k] * b[k*columns+c]
			}
			b[i*columns+c] = sum * a[i*n+i]
		}
		for i := n - 1; i >= 0; i-- {
			sum := b[i*columns+c]
			for k := i + 1; k < n; k++ {
				sum -= a[k*n+i] * b[k*columns+c]
			}
			b[i*columns+c] = sum * a[i*n+i]
		}
	}
}

// finish takes over the velocities, moves everything, and remembers the contacts.
func (g *Stage) finish(h float64) {
	g.Item.Take(g.v, 0)
	g.Item.Move(h)
	for i := range g.fingers {
		f := &g.fingers[i]
		for j := range f.n {
			f.state.Speed[j] = g.v[f.at+j]
			f.state.Q[j] += h * f.state.Speed[j]
		}
	}
	g.Tension, g.Grip, g.Contacts, g.OnItem = g.cable[0].Impulse/h, 0, 0, orient.Vec3{}
	for i := range g.contacts {
		c, p := &g.contacts[i], &g.pairs[i]
		if c.Impulse[0] <= 0 {
			continue
		}
		g.Contacts++
		if p.grips {
			g.Grip += c.Impulse[0] / h
		}
		shear := p.t1.Scale(c.Impulse[1]).Add(p.t2.Scale(c.Impulse[2]))
		m := memory{step: g.steps, impulse: p.normal.Scale(c.Impulse[0]).Add(shear)}
		if k := p.surface.Shear; k > 0 {
			m.stretch = shear.Scale(-1 / (h * k))
		}
		if p.grips {
			g.OnItem = g.OnItem.Add(m.impulse.Scale(1 / h))
		}
		g.memory[p.id] = m
	}
}

func vec(v orient.Vec3) hand.Vec { return hand.Vec{X: v[0], Y: v[1], Z: v[2]} }

func sub(a, b orient.Vec3) orient.Vec3 { return orient.Vec3{a[0] - b[0], a[1] - b[1], a[2] - b[2]} }

// turnOf is the rotation as the images of the axes.
func turnOf(r orient.Rotation) hand.Turn {
	m := r.Matrix()
	return hand.Turn{X: hand.Vec{X: m[0][0], Y: m[1][0], Z: m[2][0]}, Y: hand.Vec{X: m[0][1], Y: m[1][1], Z: m[2][1]}, Z: hand.Vec{X: m[0][2], Y: m[1][2], Z: m[2][2]}}
}

// compose is the turn that acts with inner first.
func compose(outer hand.Turn, inner *hand.Turn) hand.Turn {
	return hand.Turn{X: outer.Apply(inner.X), Y: outer.Apply(inner.Y), Z: outer.Apply(inner.Z)}
}

// Angle returns joint j of finger i (rad).
func (g *Stage) Angle(i, j int) float64 { return g.fingers[i].state.Q[j] }

// spinBetween is the constant spin (rad/s, world) that turns the one into the other within h seconds.
func spinBetween(a, b orient.Rotation, h float64) orient.Vec3 {
	d := b.Mul(a.Inverse())
	if d.W < 0 {
		d = orient.Rotation{W: -d.W, X: -d.X, Y: -d.Y, Z: -d.Z}
	}
	axis := orient.Vec3{d.X, d.Y, d.Z}
	size := axis.Norm()
	if size == 0 {
		return orient.Vec3{}
	}
	return axis.Scale(2 * math.Atan2(size, d.W) / size / h)
}
