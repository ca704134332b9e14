package trialsim

import (
	"math"
	"testing"

	"holdfast/mechanics/motion"
	"holdfast/mechanics/shape"
	"holdfast/orient"
)

// A long narrow bar that lies across the support's end with its middle this side of it lies still: narrow as it is, it bears on the
// end in two places, however it is turned.
func TestNarrowBarLiesAcrossTheEdge(t *testing.T) {
	far := pathFunc(func(float64) Flange { return Flange{Place: orient.Vec3{5, 5, 1}, Turn: facingDown} })
	for _, heading := range []float64{0, 0.2, -0.5} {
		s := &Scene{Hand: plate(t, 0.01, stiff(0.5)), Gravity: 9.81, Setting: Setting{Support: stiff(0.4), Edge: true, EdgeAt: 0.08},
			Item: Item{Shape: box(t, orient.Vec3{0.064, 0.012, 0.015}), Mass: 0.075, Friction: 1, Rest: orient.Identity, Stiffness: 500}}
		g := sure(t, s)
		g.Start(far, orient.Vec3{0.07, 0, 0.015}, orient.RotZ(heading))
		for g.Time < 2 {
			g.Step(far, 2e-3)
		}
		up := g.Item.Turn.Apply(orient.Vec3{0, 0, 1})
		if moved := math.Hypot(g.Item.Position[0]-0.07, g.Item.Position[1]); up[2] < 0.999 || moved > 1e-3 || g.Item.Spin.Norm() > 0.05 {
			t.Errorf("turned by %g rad: it leans by %.2f°, moved %.2f mm and turns at %.3g rad/s", heading, math.Acos(up[2])/degree, moved*1e3, g.Item.Spin.Norm())
		}
	}
}

// After a slide the item is believed to lie where the slide leaves one of mean size, wherever it lay before.
func TestASlideTellsWhereTheItemLies(t *testing.T) {
	s := threeFingers(t)
	s.Setting.Blocks = []Block{Wall(0.09, 0.05, s.Setting.Support)}
	s.Setting.Edge, s.Setting.EdgeAt = true, 0.08
	s.Strategy = free()
	p := NewPlanner(s)
	p.hand, p.lies = p.shape(0), orient.Vec3{0.004, 0, p.middle}
	at := Flange{Place: orient.Vec3{-0.2, 0, 0.11}, Turn: orient.RotX(math.Pi)}
	x := orient.Vec3{1, 0, 0}
	gap := p.gapTo(at, x, p.lies)
	for _, c := range []struct {
		to       Toward
		distance float64
		want     float64
	}{{TowardWall, 0.3, 0.09 - 0.035}, {TowardEdge, 0.3, 0.08 + 0.07*0.45 - 0.035}, {TowardApproach, gap + 0.02, 0.024}, {TowardApproach, gap / 2, 0.004}} {
		if got := p.slid(c.to, x, at, c.distance); math.Abs(got[0]-c.want) > 1e-6 || got[1] != 0 || got[2] != p.middle {
			t.Errorf("slid to %s by %g m: believed at %v, want x = %g m", c.to, c.distance, got, c.want)
		}
	}
}

// Beside a wall the hand is drawn back until it meets it neither there nor on its way, and no farther than the item reaches.
func TestHandIsDrawnBackFromAWall(t *testing.T) {
	s := threeFingers(t)
	s.Setting.Blocks = []Block{Wall(0.09, 0.2, s.Setting.Support)}
	s.Strategy = free()
	p := NewPlanner(s)
	p.hand, p.lies = p.shape(0), orient.Vec3{0.09 - 0.035, 0, p.middle}
	down := orient.Vec3{0, 0, -1}
	at := Flange{Place: orient.Vec3{p.lies[0], 0, 0.11}, Turn: orient.RotX(math.Pi)}
	if p.clear(at, at, 0) == nil {
		t.Fatal("the hand does not meet the wall in the first place")
	}
	got := p.beside(at, down)
	back := at.Place[0] - got.Place[0]
	if p.clear(got, got, 0) != nil || !(back > 0 && back <= 0.035+1e-9) || got.Place[1] != 0 || got.Place[2] != at.Place[2] {
		t.Errorf("drawn back by %.1f mm to %v", back*1e3, got.Place)
	}
	nearer := got
	nearer.Place[0] += 2e-3
	if p.clear(nearer, nearer, 0) == nil {
		t.Errorf("drawn back by %.1f mm; 2 mm less would have done", back*1e3)
	}
	s.Setting.Blocks[0].Low[0], s.Setting.Blocks[0].High[0] = 0.3, 0.35
	if got := p.beside(at, down); got != at {
		t.Errorf("drawn back from a wall out of reach, to %v", got.Place)
	}
}

// What a slide moves does not count as pushed away: only what the item does afterwards.
func TestSlidesAreNotCountedAsPushedAway(t *testing.T) {
	s := threeFingers(t)
	s.Strategy = Strategy{Kind: "scoop", Standoff: 0.1, Phases: []Phase{
		{Do: Move, To: Above}, {Do: Move, To: Back}, {Do: Slide, Toward: TowardApproach, Distance: 0.25, Speed: 0.05, Command: -1}, {Do: Lift, Distance: 0.1, Command: -1},
	}}
	s.Item.Shape, s.Setting.Support = box(t, orient.Vec3{0.03, 0.03, 0.02}), motion.Surface{Friction: 0.3, Stiffness: 40000, Damping: 40, Shear: 30000}
	b, err := NewBench(s, 0)
	if err != nil {
		t.Fatal(err)
	}
	r, err := b.Run(Attempt{Orientation: orient.Identity, Seed: 1}, nil)
	if err != nil {
		t.Fatal(err)
	}
	if moved := b.Stage.Item.Position[0]; moved < 0.05 || r.Outcome != Missed {
		t.Errorf("slid by %.0f mm, then left: %s, %s", moved*1e3, r.Outcome, r.Reason)
	}
}

// The same push rolls a ball and topples a tall box; who reads the reason wants to know which.
func TestRoundItemsRollAndTallOnesTopple(t *testing.T) {
	for word, solid := range map[string]shape.Solid{
		"rolled over": shape.Ellipsoid{Semi: orient.Vec3{0.03, 0.03, 0.03}},
		"toppled":     box(t, orient.Vec3{0.012, 0.012, 0.05}),
	} {
		s := threeFingers(t)
		s.Strategy = Strategy{Kind: "scoop", Standoff: 0.1, Phases: []Phase{
			{Do: Move, To: Above}, {Do: Move, To: Back}, {Do: Slide, Toward: TowardApproach, Distance: 0.25, Speed: 0.05, Command: -1}, {Do: Lift, Distance: 0.1, Command: -1},
		}}
		s.Item.Shape = solid
		b, err := NewBench(s, 0)
		if err != nil {
			t.Fatal(err)
		}
		r, err := b.Run(Attempt{Orientation: orient.Identity, Seed: 1}, nil)
		if err != nil {
			t.Fatal(err)
		}
		if want := word + " before it was lifted"; r.Outcome != Pushed || r.Reason != want {
			t.Errorf("%s, %q, want %q", r.Outcome, r.Reason, want)
		}
	}
}
