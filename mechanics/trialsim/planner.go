package trialsim

import (
	"fmt"
	"math"

	"holdfast/orient"
)

// Leg is a phase with all its places and directions worked out.
type Leg struct {
	Phase
	Goal  Flange      // of a move: where it ends
	Along orient.Vec3 // unit, of a press, slide, lift or shake
	Keep  orient.Vec3 // unit, along which the phase keeps its force
}

// Plan is what the robot carries out for one orientation: made from the item's family and where it is believed to lie, never
// from the item itself.
type Plan struct {
	Start Flange
	Legs  []Leg
	// Middle is where the item's middle is believed to be.
	Middle orient.Vec3
	// Depth is how far (m) the tips reach past the item's middle at the grasp; negative: short of it.
	Depth float64
}

// Impossible says why an orientation can not be tried.
type Impossible struct{ Reason string }

func (e *Impossible) Error() string { return e.Reason }

func impossible(format string, args ...any) error {
	return &Impossible{fmt.Sprintf(format, args...)}
}

// Planner works out plans for a scene. It belongs to one goroutine.
type Planner struct {
	scene   *Scene
	hand    []capsule             // as it stands at the phase that is planned
	shapes  map[float64][]capsule // by closing command
	middle  float64               // m, height of the item's middle above the support, of mean size
	lies    orient.Vec3           // m, where the item's middle is believed to be at the phase that is planned
	closing float64               // 0…1, the command of a hand that has closed
	large   float64               // the largest scale that is planned for
}

// capsule is a link of the hand in the palm's frame, when it touches nothing.
type capsule struct {
	a, b   orient.Vec3
	radius float64
	name   string
}

// spreadsPlanned is how many standard deviations of size the plan leaves room for.
const spreadsPlanned = 2

// NewPlanner makes a planner for a scene that has passed [Scene.Check] and whose strategy has passed [Strategy.Check].
func NewPlanner(s *Scene) *Planner {
	p := &Planner{scene: s, large: 1 + spreadsPlanned*s.Item.SizeSpread, shapes: map[float64][]capsule{}}
	p.middle = p.span(orient.Vec3{0, 0, -1})
	return p
}

// mostShapes bounds how many closing commands are remembered.
const mostShapes = 64

// shape is how the hand stands at a closing command when nothing is in its way: closed slowly, without weight.
func (p *Planner) shape(command float64) []capsule {
	if s, ok := p.shapes[command]; ok {
		return s
	}
	if len(p.shapes) >= mostShapes {
		clear(p.shapes)
	}
	scene := *p.scene
	scene.Gravity, scene.Setting, scene.Hand.Wrist = 0, Setting{Support: scene.Setting.Support}, Wrist{}
	g := NewStage(&scene)
	const high, seconds, step = 10, 1.5, 2e-3
	at := Flange{Place: orient.Vec3{0, 0, high}, Turn: orient.Identity}
	g.Begin(at, []Sample{scene.Item.Average(orient.Vec3{high, 0, high}, orient.Identity)})
	if command > 0 {
		for g.Time < seconds {
			at.Command = command * blend(g.Time/(seconds/2))
			g.Advance(at, step)
		}
	}
	var list []capsule
	for i := range g.fingers {
		f := &g.fingers[i]
		f.state.Update()
		f.place()
		name := scene.Hand.Fingers[i].Name
		if name == "" {
			name = fmt.Sprintf("finger %d", i+1)
		}
		for j, r := range f.radius {
			if r > 0 {
				list = append(list, capsule{a: sub(f.from[j], at.Place), b: sub(f.to[j], at.Place), radius: r, name: name})
			}
		}
	}
	p.shapes[command] = list
	return list
}

// span is how far (m) the item of mean size, as it lies, reaches from its middle along a direction.
func (p *Planner) span(direction orient.Vec3) float64 {
	it := &p.scene.Item
	own := it.Rest.Inverse().Apply(direction)
	return it.Shape.Support(own).Dot(own)
}

// reach is how far (m) the hand reaches from the palm's origin along a direction of the world when turned so, with the
// name of what reaches farthest.
func (p *Planner) reach(turn orient.Rotation, direction orient.Vec3) (far float64, name string) {
	own := turn.Inverse().Apply(direction)
	out := math.Hypot(own[0], own[1]) * p.scene.Hand.PalmRadius
	far, name = out, "the palm"
	for _, c := range p.hand {
		if d := math.Max(c.a.Dot(own), c.b.Dot(own)) + c.radius; d > far {
			far, name = d, c.name
		}
	}
	return far, name
}

// Plan works out the legs for an orientation of the hand and a closing command (0…1), with the item's middle believed to lie
// over the point (m along x and y). An error of the type [*Impossible] says why the orientation can not be tried.
func (p *Planner) Plan(orientation orient.Rotation, closing float64, x, y float64) (*Plan, error) {
	s := p.scene
	turn := orientation.Mul(orient.RotX(math.Pi))
	d := orientation.Direction()
	plan := &Plan{Middle: orient.Vec3{x, y, p.middle}}
	way, err := p.firstSlide(d)
	if err != nil {
		return nil, err
	}
	resolve := func(to Place) (Flange, error) { return p.place(to, turn, d, way, plan) }
	p.lies, p.closing = plan.Middle, closing
	at, command := Flange{}, 0.0
	for i, phase := range s.Strategy.Phases {
		leg := Leg{Phase: phase, Keep: d}
		if phase.Command >= 0 {
			command = phase.Command * closing
		}
		p.hand = p.shape(command)
		switch phase.Do {
		case Move:
			to := phase.To
			if to == Above {
				to = p.nextPlace(i)
			}
			goal, err := resolve(to)
			if err != nil {
				return nil, err
			}
			if phase.To == Above {
				back := d
				if to == Top || to == Back {
					back = orient.Vec3{0, 0, -1}
				}
				goal.Place = goal.Place.Add(back.Scale(-s.Strategy.Standoff))
			}
			from := at
			if i == 0 {
				from = goal
			}
			if err := p.clear(from, goal, i); err != nil {
				return nil, err
			}
			leg.Goal = goal
			if i == 0 {
				plan.Start = goal
				plan.Start.Command = math.Max(0, phase.Command) * closing
			}
			at = goal
		case Press:
			leg.Along = at.Turn.Apply(orient.Vec3{0, 0, 1})
			leg.Keep = leg.Along
		case Slide:
			leg.Along, err = p.toward(phase.Toward, d)
			if err != nil {
				return nil, err
			}
			leg.Keep = orient.Vec3{0, 0, -1}
			if leg.Distance == 0 {
				leg.Distance = p.slideLength(phase.Toward, leg.Along, at)
			}
			goal := at
			goal.Place = at.Place.Add(leg.Along.Scale(leg.Distance))
			if phase.Toward != TowardWall {
				if err := p.clear(at, goal, i); err != nil {
					return nil, err
				}
			}
			lies := p.slid(phase.Toward, leg.Along, at, leg.Distance)
			// A force may end it earlier than its length.
			reached := p.gapTo(at, leg.Along, p.lies) + sub(lies, p.lies).Dot(leg.Along)
			at.Place = at.Place.Add(leg.Along.Scale(math.Min(leg.Distance, reached)))
			p.lies = lies
		case Lift:
			leg.Along = orient.Vec3{0, 0, 1}
			goal := at
			goal.Place[2] += phase.Distance
			if err := p.clear(at, goal, i); err != nil {
				return nil, err
			}
			at = goal
		case Shake:
			leg.Along = orient.Vec3{1, 0, 0}
		}
		if phase.Do == Close {
			leg.Keep = at.Turn.Apply(orient.Vec3{0, 0, 1})
		}
		leg.Command = phase.Command * closing
		plan.Legs = append(plan.Legs, leg)
	}
	return plan, nil
}

// nextPlace is the place that phase i, a move to [Above], stands above.
func (p *Planner) nextPlace(i int) Place {
	phases := p.scene.Strategy.Phases
	for _, list := range [][]Phase{phases[i+1:], phases} {
		for _, q := range list {
			if q.Do == Move && q.To != Above {
				return q.To
			}
		}
	}
	return Grasp
}

// firstSlide is the direction of the first slide, zero without one; the hand must lean that way as far as the strategy says.
func (p *Planner) firstSlide(d orient.Vec3) (way orient.Vec3, err error) {
	for _, q := range p.scene.Strategy.Phases {
		if q.Do != Slide {
			continue
		}
		if way, err = p.toward(q.Toward, d); err != nil {
			return way, err
		}
		lean := math.Asin(math.Min(1, math.Max(-1, d.Dot(way))))
		if least := p.scene.Strategy.Lean; least > 0 && lean < least-1e-9 && q.Toward != TowardEdge {
			return way, impossible("the hand leans %.0f° the way it slides; its fingers come under the item from %.0f° on", lean*180/math.Pi, least*180/math.Pi)
		}
		return way, nil
	}
	return way, nil
}

func (p *Planner) toward(to Toward, d orient.Vec3) (orient.Vec3, error) {
	s := &p.scene.Setting
	switch to {
	case TowardWall:
		if len(s.Blocks) == 0 {
			return orient.Vec3{}, impossible("nothing stands beside the item, so there is no wall to slide to")
		}
		best, way := math.Inf(1), orient.Vec3{}
		for _, b := range s.Blocks {
			for axis := range 2 {
				other := 1 - axis
				if b.Low[other] > 0 || b.High[other] < 0 {
					continue
				}
				if at := b.Low[axis]; at > 0 && at < best {
					best, way = at, orient.Vec3{}
					way[axis] = 1
				}
				if at := -b.High[axis]; at > 0 && at < best-1e-9 {
					best, way = at, orient.Vec3{}
					way[axis] = -1
				}
			}
		}
		if math.IsInf(best, 1) {
			return way, impossible("no block stands beside the item along x or y, so there is no wall to slide to")
		}
		return way, nil
	case TowardEdge:
		if !s.Edge {
			return orient.Vec3{}, impossible("the support has no edge to slide to")
		}
		return orient.Vec3{1, 0, 0}, nil
	}
	flat := orient.Vec3{d[0], d[1], 0}
	if size := flat.Norm(); size > 1e-6 {
		return flat.Scale(1 / size), nil
	}
	return orient.Vec3{1, 0, 0}, nil
}

// label is what the phase is called.
func (p *Phase) label() string {
	if p.Name != "" {
		return p.Name
	}
	if p.Do == Move {
		return string(p.Do) + " to " + string(p.To)
	}
	return string(p.Do)
}

// between is the turn a share of the way from one to the other, by the shortest way.
func between(a, b orient.Rotation, share float64) orient.Rotation {
	spin := spinBetween(a, b, 1)
	if angle := spin.Norm(); angle > 0 {
		r, _ := orient.AboutAxis(spin, angle*share).Mul(a).Normalized()
		return r
	}
	return a
}
