package trialsim

import (
	"math"
	"testing"

	"holdfast/orient"
)

// A hand that is slid on by the gap that the planner tells just meets the item: a millimetre less leaves room, a millimetre more
// does not. Fingers that stand beside the item's ends meet it later than the hand's foremost point passes its back.
func TestGapToItem(t *testing.T) {
	s := threeFingers(t)
	s.Strategy = free()
	p := NewPlanner(s)
	p.hand = p.shape(0)
	middle := orient.Vec3{0, 0, p.middle}
	way := orient.Vec3{1, 0, 0}
	room := func(at Flange) float64 {
		least := math.Inf(1)
		for _, c := range p.hand {
			a, b := sub(at.Place.Add(at.Turn.Apply(c.a)), middle), sub(at.Place.Add(at.Turn.Apply(c.b)), middle)
			least = math.Min(least, s.Item.Shape.Segment(a, b).Distance-c.radius)
		}
		return least
	}
	for k := range 6 {
		turn := orient.RotZ(float64(k) * math.Pi / 9).Mul(orient.RotX(math.Pi))
		at := Flange{Place: orient.Vec3{-0.2, 0, 0.11}, Turn: turn}
		gap := p.gapTo(at, way, middle)
		before, after := at, at
		before.Place = at.Place.Add(way.Scale(gap - 1e-3))
		after.Place = at.Place.Add(way.Scale(gap + 1e-3))
		if !(gap > 0.05) || room(before) <= 0 || room(after) >= 1e-4 {
			t.Errorf("turned by %d·20°: gap %.1f mm leaves %.2f mm a millimetre before and %.2f after", k, gap*1e3, room(before)*1e3, room(after)*1e3)
		}
		if reach := p.ahead(turn, way, 0.11); gap < 0.2-reach-p.span(way)-1e-4 {
			t.Errorf("turned by %d·20°: gap %.1f mm is less than that of the foremost point", k, gap*1e3)
		}
		if away := p.gapTo(at, way.Scale(-1), middle); away != 0 {
			t.Errorf("sliding away: gap %g m", away)
		}
	}
}
