package trialsim

import (
	"math"

	"holdfast/orient"
)

// samples is in how many places a move is looked at, touchable how far (m) the hand may be in what stands before that counts.
const (
	samples   = 24
	touchable = 1e-3
)

// clear says what the hand would run into on a straight way, from its first place to its last: blocks, items that lie beside, and
// the support where it is lower there than at both ends, which have been chosen with the support in mind.
func (p *Planner) clear(from, to Flange, phase int) error {
	s := p.scene
	lowest := math.Min(p.height(from), p.height(to))
	for k := range samples + 1 {
		u := float64(k) / samples
		at := Flange{Place: from.Place.Add(sub(to.Place, from.Place).Scale(u)), Turn: between(from.Turn, to.Turn, u)}
		who, what := p.meets(at)
		if what == "" && lowest < touchable && p.height(at) < math.Min(lowest, 0)-touchable {
			who, what = "the hand", "support"
		}
		if what == "" {
			continue
		}
		return impossible("%s would meet the %s %.0f mm before the end of phase %d (%s)", who, what, sub(to.Place, at.Place).Norm()*1e3, phase+1, s.Strategy.Phases[phase].label())
	}
	return nil
}

// height is how high (m) the lowest part of the hand that is over the support lies above it; far up when nothing is.
func (p *Planner) height(at Flange) float64 {
	lowest := math.Inf(1)
	for _, c := range p.hand {
		for _, q := range [2]orient.Vec3{at.Place.Add(at.Turn.Apply(c.a)), at.Place.Add(at.Turn.Apply(c.b))} {
			if !p.scene.Setting.Edge || q[0] < p.scene.Setting.EdgeAt {
				lowest = math.Min(lowest, q[2]-c.radius)
			}
		}
	}
	return lowest
}

// meets names what of the hand meets which block or item beside at a place; empty: nothing does.
func (p *Planner) meets(at Flange) (who, what string) {
	s := p.scene
	for _, c := range p.hand {
		a, b := at.Place.Add(at.Turn.Apply(c.a)), at.Place.Add(at.Turn.Apply(c.b))
		for i := range s.Setting.Blocks {
			block := &s.Setting.Blocks[i]
			for m := range 5 {
				q := a.Add(sub(b, a).Scale(float64(m) / 4))
				if block.gap(q) < c.radius {
					return c.name, block.Name
				}
			}
		}
		back := s.Item.Rest.Inverse()
		for _, n := range s.Setting.Neighbours {
			middle := orient.Vec3{n[0], n[1], p.middle}
			if s.Item.Shape.Segment(back.Apply(sub(a, middle)), back.Apply(sub(b, middle))).Distance < c.radius-touchable {
				return c.name, "item beside it"
			}
		}
	}
	for i := range s.Setting.Blocks {
		block := &s.Setting.Blocks[i]
		for m := range 8 {
			sin, cos := math.Sincos(float64(m) * math.Pi / 4)
			q := at.Place.Add(at.Turn.Apply(orient.Vec3{cos * s.Hand.PalmRadius, sin * s.Hand.PalmRadius, 0}))
			if block.gap(q) < 0 {
				return "the palm", block.Name
			}
		}
	}
	return "", ""
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
