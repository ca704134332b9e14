package motion

import (
	"fmt"
	"math"

	"holdfast/orient"
)

// Ground is a half-space that does not move: a table, a wall, a tray's side.
type Ground struct {
	Normal  orient.Vec3 // unit, out of it
	Offset  float64     // m: points p with Normal·p = Offset lie on it
	Surface Surface
}

// Ball is a part of a body that touches as a sphere; one of no radius is a corner.
type Ball struct {
	Centre orient.Vec3 // m, in the body's frame
	Radius float64     // m
}

// Thing is a body with the balls by which it touches, and the force and torque that act on it from outside.
type Thing struct {
	Body
	Balls  []Ball
	Force  orient.Vec3 // N at the centre of mass, in the world
	Torque orient.Vec3 // N·m, in the world
}

// World steps one thing over grounds. Its scratch is kept, so [World.Step] allocates nothing once it has met as many touches
// as it will.
type World struct {
	Gravity orient.Vec3 // m/s²
	Grounds []Ground
	Thing   Thing
	Solver  Solver

	Touches []Touch // of the last step, those that pushed
	Sweeps  int     // of the last step's solver
	Change  float64 // m/s, by its last sweep

	v        [6]float64
	seen     []Touch
	contacts []Contact
	room     []float64
}

// Step carries the thing on by h seconds: forces, then all touches at once at the end of the step, then the motion.
// Change then says how well the touches were solved. It fails when that is not a finite number; the state is then what it was.
func (w *World) Step(h float64) error {
	b := &w.Thing.Body
	start := *b
	l := b.Momentum().Add(w.Thing.Torque.Scale(h))
	b.Velocity = b.Velocity.Add(w.Gravity.Add(w.Thing.Force.Scale(1 / b.Mass)).Scale(h))
	b.Spin = b.spinOf(b.Turn, l)
	b.Put(w.v[:], 0)

	w.find(h)
	var frames [3]orient.Vec3
	mobility := b.Mobility()
	for i := range w.seen {
		t, c := &w.seen[i], &w.contacts[i]
		g := &w.Grounds[t.Ground]
		t1, t2 := Tangents(t.Normal)
		frames = [3]orient.Vec3{t.Normal, t1, t2}
		c.Sides[0].J, c.Sides[0].B = w.room[36*i:36*i+18], w.room[36*i+18:36*i+36]
		b.Side(&c.Sides[0], 0, t.Point, &frames, 1, &mobility)
		g.Surface.laws(c, h, t, t1, t2, start.VelocityAt(t.Point).Dot(t.Normal))
		c.Impulse = [3]float64{t.Impulse.Dot(t.Normal), t.Impulse.Dot(t1), t.Impulse.Dot(t2)}
	}
	contacts := w.contacts[:len(w.seen)]
	if w.Sweeps, w.Change = w.Solver.Solve(w.v[:], contacts, nil); math.IsNaN(w.Change) || math.IsInf(w.Change, 0) {
		*b = start
		return fmt.Errorf("the %d touches of a step have no finite solution: look for a mass, an inertia or a stiffness that is not positive", len(contacts))
	}
	b.Take(w.v[:], 0)
	w.Touches = w.Touches[:0]
	for i := range w.seen {
		t, c := &w.seen[i], &contacts[i]
		if c.Impulse[0] <= 0 {
			continue
		}
		t1, t2 := Tangents(t.Normal)
		w.Grounds[t.Ground].Surface.remember(t, c, h, t.Normal, t1, t2)
		w.Touches = append(w.Touches, *t)
	}
	b.Move(h)
	return nil
}

// find lists what touches or may come to touch within the step, with what it remembers.
func (w *World) find(h float64) {
	w.seen = w.seen[:0]
	b := &w.Thing.Body
	for f := range w.Thing.Balls {
		ball := &w.Thing.Balls[f]
		centre := b.Point(ball.Centre)
		for g := range w.Grounds {
			ground := &w.Grounds[g]
			gap := ground.Normal.Dot(centre) - ground.Offset - ball.Radius
			point := centre.Add(ground.Normal.Scale(-ball.Radius))
			if gap > 1e-4+2*h*math.Abs(b.VelocityAt(point).Dot(ground.Normal)) {
				continue
			}
			t := Touch{Feature: f, Ground: g, Point: point, Normal: ground.Normal, Gap: gap}
			for k := range w.Touches {
				if old := &w.Touches[k]; old.Feature == f && old.Ground == g {
					t.Stretch, t.Impulse = old.Stretch, old.Impulse
					break
				}
			}
			w.seen = append(w.seen, t)
		}
	}
	for len(w.contacts) < len(w.seen) {
		w.contacts = append(w.contacts, Contact{})
		w.room = append(w.room, make([]float64, 36)...)
	}
}

// Force returns the sum of what the touches of the last step pressed with (N) over a step of h seconds.
func (w *World) Force(h float64) (sum orient.Vec3) {
	for i := range w.Touches {
		sum = sum.Add(w.Touches[i].Impulse.Scale(1 / h))
	}
	return sum
}
