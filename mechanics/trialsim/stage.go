package trialsim

import (
	"math"

	"holdfast/mechanics/motion"
	"holdfast/mechanics/shape"
	"holdfast/orient"
)

// Stage is one trial in the making: the state of hand and items, and all scratch. It belongs to one goroutine.
type Stage struct {
	Time float64 // s
	// Item is the one to pick; others lie beside it.
	Item *motion.Body
	// Tension is the first cord's in the last step, N; Grip the sum of the normal forces of hand on item, N.
	Tension, Grip float64
	// OnItem is the force (N, world) of hand and palm on the item in the last step, Felt that of everything on the hand.
	OnItem, Felt orient.Vec3
	Sweeps       int     // of the last step's solver
	Change       float64 // m/s, by its last sweep
	Contacts     int     // that pushed in the last step

	scene    *Scene
	solver   motion.Solver
	items    []item
	palm     palm
	drive    drive
	fingers  []finger
	v        []float64
	contacts []motion.Contact
	pairs    []pair
	before   []memory // of the contacts of the last step, in the order of their pairs
	recall   int      // how far before has been looked through
	room     []float64
	used     int
	faces    []face
	edges    []edge
	gates    []float64
	along    []float64 // where on its link or edge a pair met last; nothing yet: negative
	curls    []bool    // by joint, of those links that can come down on the palm
	swept    swept
	soon     float64 // m: what is farther apart does not meet in the coming step
	feet     []shape.Foot
	rows     []motion.Row
	hints    []orient.Vec3 // of where items lie against each other
	reach    float64       // m, from the palm's origin to the farthest point that a finger can have
}

// item is one of the family in motion.
type item struct {
	motion.Body
	solid    shape.Solid
	round    shape.Ellipsoid // what it is, if it is plain: an ellipsoid about its centre of mass
	plain    bool
	flat     bool // somewhere, so that a link may lie along it
	reach    float64
	at       int // of its velocities in v
	mobility [3]orient.Vec3
	turned   [3][3]float64 // own frame to world
	rolling  rolling
	// How hand, support and other items meet it.
	skin, support, other motion.Surface
	blocks               []motion.Surface
}

// NewStage makes a stage for the scene, which must have passed [Scene.Check].
func NewStage(s *Scene) *Stage {
	g := &Stage{scene: s, solver: motion.Solver{MostSweeps: 100, Tolerance: 1e-6}, feet: make([]shape.Foot, 0, 32)}
	count := 1 + len(s.Setting.Neighbours)
	g.items = make([]item, count)
	at := 0
	for i := range g.items {
		g.items[i].at = at
		g.items[i].blocks = make([]motion.Surface, len(s.Setting.Blocks))
		at += 6
	}
	g.Item = &g.items[0].Body
	at = g.palm.prepare(&s.Hand, at)
	at = g.drive.prepare(&s.Hand, at)
	first, links := 0, 0
	for i := range s.Hand.Fingers {
		f := newFinger(&s.Hand.Fingers[i], at, first, s.Gravity)
		far := f.root.Norm() + f.beyond[0] + s.Hand.Fingers[i].Chain.Joint(0).Origin.Norm()
		g.reach = math.Max(g.reach, far)
		g.fingers = append(g.fingers, f)
		at += f.n
		first += f.n
		links += f.n
	}
	g.v, g.hints = make([]float64, at), make([]orient.Vec3, count*count)
	g.drive.connect(&s.Hand, g.fingers)
	g.faces, g.edges = surroundings(&s.Setting)
	g.curls = curling(g.fingers)
	g.gates = make([]float64, g.pairsInAll(links))
	g.along = make([]float64, len(g.gates))
	return g
}

// Start begins a trial with an item of mean size, its centre at place, at rest.
func (g *Stage) Start(path Path, place orient.Vec3, turn orient.Rotation) {
	g.begin(path.At(0))
	g.lay(0, g.scene.Item.Average(place, turn))
	for i := range g.items[1:] {
		p := g.scene.Setting.Neighbours[i]
		g.lay(1+i, g.scene.Item.Average(place.Add(orient.Vec3{p[0], p[1], 0}), turn))
	}
}

// Begin begins a trial with the flange where it is told to be and the items (one, and one for each neighbour of the setting)
// as they lie, at rest.
func (g *Stage) Begin(at Flange, items []Sample) {
	g.begin(at)
	for i := range items[:len(g.items)] {
		g.lay(i, items[i])
	}
}

func (g *Stage) begin(at Flange) {
	g.Time, g.Tension, g.Grip, g.OnItem, g.Felt = 0, 0, 0, orient.Vec3{}, orient.Vec3{}
	g.before, g.pairs, g.contacts = g.before[:0], g.pairs[:0], g.contacts[:0]
	clear(g.gates)
	for i := range g.along {
		g.along[i] = -1
	}
	clear(g.hints)
	g.swept, g.soon = swept{}, near
	for i := range g.fingers {
		f := &g.fingers[i]
		for j := range f.n {
			f.state.Q[j], f.state.Speed[j] = f.state.Chain().Joint(j).Rest, 0
		}
	}
	g.palm.begin(at)
	g.drive.begin(at.Command)
	g.palm.carry(g.fingers)
	for i := range g.fingers {
		f := &g.fingers[i]
		f.state.Update()
		f.place()
	}
}

// lay puts item i where the sample lies.
func (g *Stage) lay(i int, s Sample) {
	it := &g.items[i]
	volume, moments := s.Solid.Moments()
	density := s.Mass / volume
	it.Body = motion.Body{Mass: s.Mass, Inertia: moments.Scale(density), Position: s.Place, Turn: s.Turn}
	it.solid, it.reach = s.Solid, s.Solid.Reach()
	it.round, it.plain = s.Solid.(shape.Ellipsoid)
	it.flat = !it.plain
	if w, is := s.Solid.(*shape.Weighted); is {
		_, round := w.Surface().(shape.Ellipsoid)
		it.flat = !round
	}
	it.rolling.load = 0
	h := &g.scene.Hand
	skin := h.Skin
	skin.Friction *= s.Friction
	it.skin = inSeries(skin, s.Stiffness)
	it.support = inSeries(g.scene.Setting.Support, s.Stiffness)
	it.other = inSeries(it.support, s.Stiffness)
	for k := range it.blocks {
		it.blocks[k] = inSeries(g.scene.Setting.Blocks[k].Surface, s.Stiffness)
	}
}

// Step carries the trial on by h seconds along the path.
func (g *Stage) Step(path Path, h float64) { g.Advance(path.At(g.Time+h), h) }

// Advance carries the trial on by h seconds, at whose end the flange is to be where it is told.
func (g *Stage) Advance(next Flange, h float64) {
	g.palm.aim(next, h, g.v)
	g.palm.carry(g.fingers)
	g.contacts, g.pairs, g.used, g.recall = g.contacts[:0], g.pairs[:0], 0, 0
	for i := range g.items {
		it := &g.items[i]
		it.Velocity[2] -= h * g.scene.Gravity
		it.Put(g.v, it.at)
		it.mobility = it.Mobility()
		it.turned = it.Turn.Matrix()
	}
	g.drive.fill(&g.scene.Hand, next.Command, h)
	for i := range g.fingers {
		f := &g.fingers[i]
		f.prepare(h, g.v[f.at:f.at+f.n], g.drive.torqueOn(f))
	}
	g.drive.pull(&g.scene.Hand, g.fingers, next.Command, h, g.v)
	g.meet(h)
	g.Sweeps, g.Change = g.solve(h)
	g.finish(h)
	g.Time += h
}

// finish takes over the velocities, moves everything, and remembers the contacts.
func (g *Stage) finish(h float64) {
	s := step{}
	for i := range g.items {
		it := &g.items[i]
		it.Take(g.v, it.at)
		it.Move(h)
		s.items = math.Max(s.items, it.Velocity.Norm()+it.Spin.Norm()*it.reach)
	}
	for i := range g.fingers {
		f := &g.fingers[i]
		for j := range f.n {
			f.state.Speed[j] = g.v[f.at+j]
			f.state.Q[j] += h * f.state.Speed[j]
		}
		s.fingers = math.Max(s.fingers, f.sweep())
	}
	g.palm.move(h, g.v)
	g.drive.finish(h, g.v)
	s.palm = g.palm.velocity.Norm() + g.palm.spin.Norm()*g.reach
	g.swept.add(s, h)
	g.soon = min(near, surely+hasty*h*(2*s.fingers+s.palm+2*s.items))
	g.Tension = 0
	if len(g.drive.cords) > 0 {
		g.Tension = g.drive.rows[g.drive.cords[0].row].Impulse / h
	}
	g.remember(h)
	g.bear()
}

// Angle returns joint j of finger i (rad; m for one that slides).
func (g *Stage) Angle(i, j int) float64 { return g.fingers[i].state.Q[j] }

// Palm returns where the palm is.
func (g *Stage) Palm() (place orient.Vec3, turn orient.Rotation) { return g.palm.place, g.palm.turn }
