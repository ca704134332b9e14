package trialsim

import (
	"math"

	"holdfast/orient"
)

// slideLength is how far a slide without a distance of its own may go.
func (p *Planner) slideLength(to Toward, way orient.Vec3, at Flange) float64 {
	half := p.span(way)
	if to == TowardEdge {
		// The share of the item beyond the edge decides: its front goes from middle + half to the edge + overhang.
		goes := p.scene.Setting.EdgeAt + 2*half*p.overhang() - (p.lies.Dot(way) + half)
		// From behind the item there is a gap to close first.
		return math.Max(goes+p.gapTo(at, way, p.lies), 0)
	}
	if to == TowardWall {
		// A gap to the item, then the item's way to the wall; force ends it earlier.
		return p.wall(way) + p.gapTo(at, way, p.lies) + 0.03
	}
	return 2*half + 0.03
}

// wall is how far (m) from the origin the face of the nearest block stands that [TowardWall] slides to.
func (p *Planner) wall(way orient.Vec3) float64 {
	best := math.Inf(1)
	for _, b := range p.scene.Setting.Blocks {
		for axis := range 2 {
			switch {
			case b.Low[1-axis] > 0 || b.High[1-axis] < 0:
			case way[axis] > 0 && b.Low[axis] > 0:
				best = math.Min(best, b.Low[axis])
			case way[axis] < 0 && b.High[axis] < 0:
				best = math.Min(best, -b.High[axis])
			}
		}
	}
	return best
}

// slid is where the item's middle is believed to be after a slide: at the wall that stopped it, out over the edge as far as was
// planned, or pushed on by what is left of the way after the gap. This is how a wall makes up for an error of placement.
func (p *Planner) slid(to Toward, way orient.Vec3, at Flange, distance float64) orient.Vec3 {
	half := p.span(way)
	on := math.Max(distance-p.gapTo(at, way, p.lies), 0)
	switch to {
	case TowardWall:
		on = p.wall(way) - half - p.lies.Dot(way)
	case TowardEdge:
		on = p.scene.Setting.EdgeAt + 2*half*p.overhang() - half - p.lies.Dot(way)
	}
	return p.lies.Add(way.Scale(on))
}

// beside draws a place back from a block that the hand would meet there, or on the way there along the approach direction; by no
// more than half of what the item has that way.
func (p *Planner) beside(at Flange, d orient.Vec3) Flange {
	for i := range p.scene.Setting.Blocks {
		b := &p.scene.Setting.Blocks[i]
		for axis := range 2 {
			away := orient.Vec3{}
			switch {
			case b.Low[1-axis] > p.lies[1-axis] || b.High[1-axis] < p.lies[1-axis]:
				continue
			case b.Low[axis] > p.lies[axis]:
				away[axis] = -1
			case b.High[axis] < p.lies[axis]:
				away[axis] = 1
			default:
				continue
			}
			const most = 40
			for k := range most + 1 {
				moved := at
				moved.Place = at.Place.Add(away.Scale(float64(k) / most * p.span(away)))
				from := moved
				from.Place = from.Place.Add(d.Scale(-p.scene.Strategy.Standoff))
				if p.clear(from, moved, 0) == nil {
					at = moved
					break
				}
			}
		}
	}
	return at
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
	aim := p.lies
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
		return p.beside(Flange{Place: aim.Add(d.Scale(-stand)), Turn: turn}, d), nil
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
	aim = orient.Vec3{s.Setting.EdgeAt + out - half, p.lies[1], p.lies[2]}
	stand := math.Max(p.span(d.Scale(-1))*p.large+palmGap, s.Strategy.Nearest)
	stand, name := p.outside(turn, d, aim, stand)
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

// outside is the least distance of the palm from the aim, not below stand, from which nothing of the hand that is lower than the
// support's top comes nearer to its end than a gap, open or closing; what is higher may reach over it. The name is that of what decides.
func (p *Planner) outside(turn orient.Rotation, d, aim orient.Vec3, stand float64) (least float64, name string) {
	name = "the palm"
	for k := range closings {
		for _, c := range p.shape(p.closing * float64(k) / (closings - 1)) {
			a, b := turn.Apply(c.a), turn.Apply(c.b)
			for m := range 5 {
				q := a.Add(sub(b, a).Scale(float64(m) / 4))
				// Farther back it lies higher or lower by what the approach leans; that moves it past the support's top at most once.
				need := (p.scene.Setting.EdgeAt + edgeGap + c.radius - aim[0] - q[0]) / -d[0]
				if need > stand && aim[2]-d[2]*need+q[2]-c.radius < 0 {
					stand, name = need, c.name
				}
			}
		}
	}
	return stand, name
}

// closings is how many standings of the closing hand are looked at.
const closings = 5

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
	behindGap = 30e-3
	edgeGap   = 6e-3
)
