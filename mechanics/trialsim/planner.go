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
	scene  *Scene
	hand   []capsule             // as it stands at the phase that is planned
	shapes map[float64][]capsule // by closing command
	middle float64               // m, height of the item's middle above the support, of mean size
	large  float64               // the largest scale that is planned for
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
			if i > 0 && phase.To != Around {
				if err := p.clear(at, goal, i); err != nil {
					return nil, err
				}
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
				leg.Distance = p.slideLength(phase.Toward, plan, leg.Along, at)
			}
		case Lift:
			leg.Along = orient.Vec3{0, 0, 1}
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
		if least := p.scene.Strategy.Lean; lean < least-1e-9 && q.Toward != TowardEdge {
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

// slideLength is how far a slide without a distance of its own may go.
func (p *Planner) slideLength(to Toward, plan *Plan, way orient.Vec3, at Flange) float64 {
	half := p.span(way)
	if to == TowardEdge {
		// The share of the item beyond the edge decides: its front goes from middle + half to the edge + overhang.
		goes := p.scene.Setting.EdgeAt + 2*half*p.overhang() - (plan.Middle.Dot(way) + half)
		// From behind the item there is a gap to close first.
		return math.Max(goes+p.gapTo(at, way, plan.Middle), 0)
	}
	if to == TowardWall {
		for _, b := range p.scene.Setting.Blocks {
			for axis := range 2 {
				if way[axis] > 0 && b.Low[axis] > 0 || way[axis] < 0 && b.High[axis] < 0 {
					// A gap to the item, then the item's way to the wall; force ends it earlier.
					return math.Min(math.Abs(b.Low[axis]), math.Abs(b.High[axis])) + p.gapTo(at, way, plan.Middle) + 0.03
				}
			}
		}
	}
	return 2*half + 0.03
}

// gapTo is how far (m) the hand as it stands goes along the way before it meets an item of mean size that lies where it is believed
// to; 0 if it passes by. Fingers are parted, so what reaches farthest may pass beside a round item: the hand is brought up by
// its least distance again and again.
func (p *Planner) gapTo(at Flange, way, middle orient.Vec3) float64 {
	it := &p.scene.Item
	back := it.Rest.Inverse()
	gone := 0.0
	for range 200 {
		least := math.Inf(1)
		for _, c := range p.hand {
			a := back.Apply(sub(at.Place.Add(way.Scale(gone)).Add(at.Turn.Apply(c.a)), middle))
			b := back.Apply(sub(at.Place.Add(way.Scale(gone)).Add(at.Turn.Apply(c.b)), middle))
			least = math.Min(least, it.Shape.Segment(a, b).Distance-c.radius)
		}
		if least < 1e-4 {
			return gone
		}
		if gone += least; gone > 0.5 {
			return 0
		}
	}
	return gone
}

func (p *Planner) overhang() float64 {
	if o := p.scene.Strategy.Overhang; o > 0 {
		return o
	}
	return 0.45
}

// place works out a place. The fingers stand there as they do at rest.
func (p *Planner) place(to Place, turn orient.Rotation, d, way orient.Vec3, plan *Plan) (Flange, error) {
	s := p.scene
	down := orient.Vec3{0, 0, -1}
	aim := plan.Middle
	switch to {
	case Grasp, Tips:
		clearance := s.Strategy.Clearance
		if to == Tips {
			clearance = tipsGap
		}
		stand := math.Max(p.span(d.Scale(-1))*p.large+palmGap, s.Strategy.Nearest)
		low, name := p.reach(turn, down)
		if d[2] < -0.2 {
			stand = math.Max(stand, (low-aim[2]+clearance)/-d[2])
			if to == Tips {
				stand = (low - aim[2] + clearance) / -d[2]
				if least := p.span(d.Scale(-1))*p.large + palmGap; stand < least {
					return Flange{}, impossible("the palm would meet the item before %s meets the support: the fingers are %.0f mm too short", name, (least-stand)*-d[2]*1e3)
				}
			}
			if f := s.Strategy.Farthest; f > 0 {
				stand = math.Min(stand, f)
			}
		} else if short := low + clearance - aim[2]; short > 0 {
			// Across, the hand can only go higher.
			if most := 0.4 * (p.span(orient.Vec3{0, 0, 1}) + aim[2]); short > most {
				return Flange{}, impossible("%s would lie %.0f mm inside the support beside the item", name, short*1e3)
			}
			aim[2] += short
		}
		tips, _ := p.reach(turn, d)
		plan.Depth = tips - stand
		if plan.Depth < -shallow*p.span(d) {
			return Flange{}, impossible("the fingers would end %.0f mm before the item's middle when the hand keeps clear of the support: they hardly reach it", -plan.Depth*1e3)
		}
		return Flange{Place: aim.Add(d.Scale(-stand)), Turn: turn}, nil
	case Behind, Back:
		if to == Back {
			turn = level(turn)
		}
		// The tips at the support, and all of the hand this side of the item.
		low, _ := p.reach(turn, down)
		ahead := p.ahead(turn, way, low+tipsGap)
		back := p.span(way.Scale(-1))*p.large + behindGap
		at := orient.Vec3{aim[0], aim[1], low + tipsGap}.Add(way.Scale(-ahead - back))
		return Flange{Place: at, Turn: turn}, nil
	case Top:
		flat := level(turn)
		low, _ := p.reach(flat, down)
		top := aim[2]*p.large + p.span(orient.Vec3{0, 0, 1})*p.large
		return Flange{Place: orient.Vec3{aim[0], aim[1], top + low + tipsGap}, Turn: flat}, nil
	}
	// Beyond and Around: reaching back over the edge for what stands out.
	if !s.Setting.Edge {
		return Flange{}, impossible("the support has no edge to reach around")
	}
	if d[0] > -0.3 {
		return Flange{}, impossible("the hand has to come from beyond the edge, back towards the item; this direction does not")
	}
	half := p.span(orient.Vec3{1, 0, 0})
	out := 2 * half * p.overhang()
	aim = orient.Vec3{s.Setting.EdgeAt + out - half, plan.Middle[1], plan.Middle[2]}
	// The tips stay this side of the support's end wherever they are below it.
	back, name := p.reach(turn, orient.Vec3{-1, 0, 0})
	stand := (s.Setting.EdgeAt + edgeGap - aim[0] + back) / -d[0]
	if least := math.Max(p.span(d.Scale(-1))*p.large+palmGap, s.Strategy.Nearest); stand < least {
		stand = least
	}
	tips, _ := p.reach(turn, d)
	plan.Depth = tips - stand
	if reached := aim.Add(d.Scale(tips - stand)); reached[0] > s.Setting.EdgeAt+out-edgeGap {
		return Flange{}, impossible("%s would end %.0f mm before what stands out over the edge", name, (reached[0]-s.Setting.EdgeAt-out+edgeGap)*1e3)
	}
	at := Flange{Place: aim.Add(d.Scale(-stand)), Turn: turn}
	if to == Beyond {
		at.Place = at.Place.Add(d.Scale(-s.Strategy.Standoff))
	}
	return at, nil
}

// level is the turn with the same heading in which the palm points straight down.
func level(turn orient.Rotation) orient.Rotation {
	return orient.RotZ(turn.Mul(orient.RotX(-math.Pi)).Heading()).Mul(orient.RotX(math.Pi))
}

// shallow is how far before the item's middle the tips may end, as a share of its half: common practice, no source.
const shallow = 0.7

// ahead is how far (m) of the palm's origin, standing at a height, the hand reaches along the way with what is not higher than the
// item: what is may pass over it.
func (p *Planner) ahead(turn orient.Rotation, way orient.Vec3, height float64) float64 {
	top := (p.middle + p.span(orient.Vec3{0, 0, 1})) * p.large
	far := math.Inf(-1)
	for _, c := range p.hand {
		a, b := turn.Apply(c.a), turn.Apply(c.b)
		for m := range 5 {
			q := a.Add(sub(b, a).Scale(float64(m) / 4))
			if height+q[2]-c.radius < top+tipsGap {
				far = math.Max(far, q.Dot(way)+c.radius)
			}
		}
	}
	return far
}

// Gaps that plans keep, m: palm to the largest item, tips to the support, hand to the item behind which it goes down, tips to
// the support's end.
const (
	palmGap   = 2e-3
	tipsGap   = 1e-3
	behindGap = 10e-3
	edgeGap   = 6e-3
)

// samples is in how many places a move is looked at.
const samples = 24

// clear says what the open hand would run into on a straight way: blocks and, where the strategy keeps clear of it, the support.
func (p *Planner) clear(from, to Flange, phase int) error {
	s := p.scene
	for k := 1; k <= samples; k++ {
		u := float64(k) / samples
		at := from.Place.Add(sub(to.Place, from.Place).Scale(u))
		turn := between(from.Turn, to.Turn, u)
		left := sub(to.Place, at).Norm() * 1e3
		for _, c := range p.hand {
			a, b := at.Add(turn.Apply(c.a)), at.Add(turn.Apply(c.b))
			for i := range s.Setting.Blocks {
				block := &s.Setting.Blocks[i]
				for m := range 5 {
					q := a.Add(sub(b, a).Scale(float64(m) / 4))
					if block.gap(q) < c.radius {
						return impossible("%s would meet the %s %.0f mm before the end of phase %d (%s)", c.name, block.Name, left, phase+1, p.scene.Strategy.Phases[phase].label())
					}
				}
			}
		}
		for i := range s.Setting.Blocks {
			block := &s.Setting.Blocks[i]
			for m := range 8 {
				sin, cos := math.Sincos(float64(m) * math.Pi / 4)
				q := at.Add(turn.Apply(orient.Vec3{cos * s.Hand.PalmRadius, sin * s.Hand.PalmRadius, 0}))
				if block.gap(q) < 0 {
					return impossible("the palm would meet the %s %.0f mm before the end of phase %d (%s)", block.Name, left, phase+1, p.scene.Strategy.Phases[phase].label())
				}
			}
		}
	}
	return nil
}

// gap is the signed distance (m) of a point from the block; inside it is that to the nearest side.
func (b *Block) gap(p orient.Vec3) float64 {
	out, in := 0.0, math.Inf(-1)
	for k := range 3 {
		d := math.Max(b.Low[k]-p[k], p[k]-b.High[k])
		in = math.Max(in, d)
		if d > 0 {
			out += d * d
		}
	}
	if out > 0 {
		return math.Sqrt(out)
	}
	return in
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
