package trialsim

import (
	"fmt"
	"math"

	"holdfast/orient"
)

// Touch is the first that the hand's pads felt: which link of which finger, at which closing command (0…1) and when (s).
type Touch struct {
	Finger, Link     int // from 0; the palm is finger −1, link −1
	Command, Seconds float64
	// Direction is in which the item lies from the pad, as far as its push tells, seen onto the palm: the x and y of a unit vector in
	// the palm's frame. Both are 0 when it lies straight out of the palm.
	Direction [2]float64
}

// padForce (N) is what a pad of the hand feels: common practice, no source.
const padForce = 0.1

// Adjustment is what an adjusting phase does when a link of a finger was touched first. Moves are in the palm's frame (z out of
// the palm, x across the fingers' opening); what of a move points up or down is left out, so the hand keeps its height.
type Adjustment struct {
	Finger int // from 0; −1: the palm
	Link   int // from 0; −1: any of the finger's for which there is no adjustment of its own
	// Move (m) is how far the palm moves when the touch came at the closing command At (0…1), PerCommand (m) how much farther
	// for each unit of command that it came later.
	Move, PerCommand orient.Vec3
	At               float64
	// Low and High bound the command that the move goes by: touches that came earlier or later than any that the rule was
	// learnt from say no more than those. Both 0: unbounded.
	Low, High float64
	Turn      float64 // rad about the palm's z, after the move
	// ByDirection is what the direction of the touch adds to the move; nil: nothing.
	ByDirection *ByDirection
}

// ByDirection is by how much farther the palm moves (m) for each unit by which the x (PerX) and the y (PerY) of the touch's
// direction lie beyond those of At. Low and High bound both: the rule was learnt from none beyond.
type ByDirection struct {
	PerX, PerY    orient.Vec3
	At, Low, High [2]float64
}

// mostMove (m) bounds what an adjustment moves the palm by.
const mostMove = 0.1

func (a *Adjustment) check() error {
	if a.Finger < -1 || a.Link < -1 {
		return fmt.Errorf("finger %d, link %d do not exist", a.Finger, a.Link)
	}
	for k := range a.Move {
		if !(math.Abs(a.Move[k]) <= mostMove) || !(math.Abs(a.PerCommand[k]) <= 10*mostMove) {
			return fmt.Errorf("moves by %g m, %g m per unit of command; at most %g and %g", a.Move[k], a.PerCommand[k], mostMove, 10*mostMove)
		}
	}
	if !(a.Low >= 0 && a.Low <= a.High && a.High <= 1) {
		return fmt.Errorf("goes by commands from %g to %g; they must lie between 0 and 1, the first not above the second", a.Low, a.High)
	}
	if d := a.ByDirection; d != nil {
		for k := range 2 {
			if !(d.Low[k] >= -1 && d.Low[k] <= d.At[k] && d.At[k] <= d.High[k] && d.High[k] <= 1) {
				return fmt.Errorf("goes by directions from %g over %g to %g; they must lie between -1 and 1, in this order", d.Low[k], d.At[k], d.High[k])
			}
		}
		for k := range d.PerX {
			if !(math.Abs(d.PerX[k]) <= 10*mostMove) || !(math.Abs(d.PerY[k]) <= 10*mostMove) {
				return fmt.Errorf("moves by %g m and %g m per unit of direction; at most %g", d.PerX[k], d.PerY[k], 10*mostMove)
			}
		}
	}
	if !(a.At >= 0 && a.At <= 1) || !(math.Abs(a.Turn) <= math.Pi/2) {
		return fmt.Errorf("begins at a command of %g and turns by %g rad; 0 to 1 and at most a right angle", a.At, a.Turn)
	}
	return nil
}

// moveFor is how far the palm moves, in its own frame, for a touch; false: the phase has nothing to say to it.
func (p *Phase) moveFor(t *Touch) (move orient.Vec3, turn float64, ok bool) {
	best := -1
	for i := range p.Adjustments {
		if a := &p.Adjustments[i]; a.Finger == t.Finger && (a.Link == t.Link || a.Link < 0 && best < 0) {
			best = i
			if a.Link == t.Link {
				break
			}
		}
	}
	if best < 0 {
		return move, 0, false
	}
	a := &p.Adjustments[best]
	command := t.Command
	if a.High > 0 {
		command = math.Min(math.Max(command, a.Low), a.High)
	}
	move = a.Move.Add(a.PerCommand.Scale(command - a.At))
	if d := a.ByDirection; d != nil && t.Direction != [2]float64{} {
		for k, per := range []orient.Vec3{d.PerX, d.PerY} {
			move = move.Add(per.Scale(math.Min(math.Max(t.Direction[k], d.Low[k]), d.High[k]) - d.At[k]))
		}
	}
	if size := move.Norm(); size > mostMove {
		move = move.Scale(mostMove / size)
	}
	return move, a.Turn, true
}

// ontoPalm is a direction of the world as a unit vector in the palm's x and y; 0 when it points along the palm's z.
func ontoPalm(palm orient.Rotation, direction orient.Vec3) [2]float64 {
	v := palm.Inverse().Apply(direction)
	size := math.Hypot(v[0], v[1])
	if size < 1e-9 {
		return [2]float64{}
	}
	return [2]float64{v[0] / size, v[1] / size}
}

// feel notes the first touch that the hand's pads tell of: the hardest one of the step in which they first feel anything.
func (r *robot) feel(g *Stage) {
	if r.touch != nil {
		return
	}
	most := padForce
	for i := range g.pairs {
		p := &g.pairs[i]
		part, out := p.from, p.normal
		if p.to.ofHand() {
			if part.ofHand() {
				continue // a finger that meets a finger
			}
			part, out = p.to, p.normal.Scale(-1)
		}
		if !part.ofHand() || p.load < most {
			continue
		}
		most = p.load
		r.first = Touch{Finger: part.Index, Link: part.Link, Command: r.now.Command, Seconds: g.Time, Direction: ontoPalm(r.now.Turn, out)}
		if part.Kind == Palm {
			r.first.Finger, r.first.Link = -1, -1
		}
		r.touch = &r.first
	}
}

// adjusted is where an adjusting phase that begins now will end.
func (r *robot) adjusted(l *Leg) Flange {
	goal := r.from
	if r.touch == nil {
		return goal
	}
	move, turn, ok := l.moveFor(r.touch)
	if !ok {
		return goal
	}
	way := goal.Turn.Apply(move)
	way[2] = 0
	goal.Place = goal.Place.Add(way)
	goal.Turn, _ = goal.Turn.Mul(orient.RotZ(turn)).Normalized()
	return goal
}
