package trialsim

import (
	"errors"
	"strings"
	"testing"

	"holdfast/orient"
)

// Whatever stands where the hand is to be or to pass makes the orientation impossible, with its name, and only then: at the first
// place, on a move, on a lift, on a slide, and items that lie beside.
func TestPlannerLooksAtAllThatStandsThere(t *testing.T) {
	slide := Strategy{Kind: "scoop", Standoff: 0.1, Phases: []Phase{
		{Do: Move, To: Above}, {Do: Move, To: Back}, {Do: Slide, Toward: TowardApproach, Distance: 0.25, Speed: 0.05, Command: -1}, {Do: Lift, Distance: 0.1, Command: -1},
	}}
	for name, c := range map[string]struct {
		strategy Strategy
		set      func(*Setting)
		want     string // empty: it can be tried
	}{
		"nothing":              {free(), func(*Setting) {}, ""},
		"at the start":         {free(), func(s *Setting) { s.Blocks = []Block{shelf(0.15, 0.4)} }, "0 mm before the end of phase 1"},
		"high above the start": {free(), func(s *Setting) { s.Blocks = []Block{shelf(0.6, 0.7)} }, ""},
		"above what is lifted": {free(), func(s *Setting) { s.Blocks = []Block{shelf(0.225, 0.4)} }, "of phase 4"},
		"beside the grasp": {free(), func(s *Setting) {
			s.Blocks = []Block{
				{Name: "post", Low: orient.Vec3{0.03, -0.2, 0}, High: orient.Vec3{0.05, 0.2, 0.05}}, {Name: "rail", Low: orient.Vec3{-0.05, -0.2, 0}, High: orient.Vec3{-0.03, 0.2, 0.05}},
			}
		}, "would meet the"},
		"an item beside":     {free(), func(s *Setting) { s.Neighbours = [][2]float64{{0.055, 0}} }, "item beside it"},
		"an item far beside": {free(), func(s *Setting) { s.Neighbours = [][2]float64{{0.2, 0}} }, ""},
		"a slide with room":  {slide, func(*Setting) {}, ""},
		"a post on the slide": {slide, func(s *Setting) {
			s.Blocks = []Block{{Name: "post", Low: orient.Vec3{0.08, -0.01, 0}, High: orient.Vec3{0.1, 0.01, 0.05}}}
		}, "of phase 3"},
		"a post beside the slide": {slide, func(s *Setting) {
			s.Blocks = []Block{{Name: "post", Low: orient.Vec3{0.08, 0.3, 0}, High: orient.Vec3{0.1, 0.31, 0.05}}}
		}, ""},
	} {
		s := threeFingers(t)
		s.Strategy = c.strategy
		c.set(&s.Setting)
		for i := range s.Setting.Blocks {
			s.Setting.Blocks[i].Surface = s.Setting.Support
		}
		if err := s.Check(); err != nil {
			t.Fatal(err)
		}
		_, err := NewPlanner(s).Plan(orient.Identity, 1, 0, 0)
		var no *Impossible
		switch {
		case c.want == "" && err != nil:
			t.Errorf("%s: refused because %v", name, err)
		case c.want != "" && !errors.As(err, &no):
			t.Errorf("%s: %v; want a refusal", name, err)
		case c.want != "" && !strings.Contains(err.Error(), c.want):
			t.Errorf("%s: refused because %v; want it to say %q", name, err, c.want)
		}
	}
}

// shelf is a block over the item between two heights, m.
func shelf(low, high float64) Block {
	return Block{Name: "shelf", Low: orient.Vec3{-0.3, -0.3, low}, High: orient.Vec3{0.3, 0.3, high}}
}

// A way that dips the hand into the support deeper than at both its ends is refused; one that ends on it is not.
func TestPlannerKeepsOutOfTheSupportOnTheWay(t *testing.T) {
	s := threeFingers(t)
	s.Strategy = free()
	p := NewPlanner(s)
	p.hand = p.shape(0)
	down, up := orient.RotX(3.14159), orient.RotX(0)
	flat := orient.RotX(3.14159 / 2)
	at := func(height float64, turn orient.Rotation) Flange {
		return Flange{Place: orient.Vec3{0, 0, height}, Turn: turn}
	}
	low, _ := p.reach(down, orient.Vec3{0, 0, -1})
	if err := p.clear(at(0.3, down), at(low-0.004, down), 0); err != nil {
		t.Errorf("tips pressed into the support by 4 mm: %v", err)
	}
	// From lying on its side over palm up: halfway on, nothing hangs lower than the rim of the palm does.
	if err := p.clear(at(0.06, flat), at(0.06, up), 0); err != nil {
		t.Errorf("turned away from the support: %v", err)
	}
	if err := p.clear(at(0.06, orient.RotX(3.14159/2)), at(0.06, orient.RotX(3*3.14159/2-0.1)), 0); err == nil {
		t.Error("turned through the support from one side to the other: not refused")
	}
}
