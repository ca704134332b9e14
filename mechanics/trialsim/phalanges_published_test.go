package trialsim

import (
	"fmt"
	"math"
	"testing"

	"holdfast/mechanics/hand"
	"holdfast/mechanics/motion"
	"holdfast/mechanics/shape"
	"holdfast/orient"
)

// pinned is a finger of two phalanges on a cord, with a fixed pin (a ball too heavy to be moved) on the inner side of each.
type pinned struct {
	stage *Stage
	path  Path
}

// The finger of U3: first phalanx of 60 mm, its pin 30 mm from the joint; a cord that turns the first joint with 0.3 N·m and
// the second with 0.4 of it.
const (
	firstPhalanx, firstPin = 0.060, 0.030
	firstTorque, ratio     = 0.3, 0.4
)

// newPinned puts the pins where the finger touches both with its second phalanx bent by an angle (rad), the second pin at a
// distance (m) from its joint. Spring (N·m/rad) is that of the second joint.
func newPinned(t *testing.T, bent, secondPin, spring float64) *pinned {
	t.Helper()
	const skin, pin, arm = 0.003, 0.004, 0.01
	joint := func(before, length, spring float64) hand.Joint {
		return hand.Joint{Origin: hand.Vec{Z: before}, Axis: hand.Vec{Y: 1}, Stiffness: spring, Damping: 0.02,
			Link: hand.SolidCapsule(hand.Vec{}, hand.Vec{Z: length}, skin, 0.01)}
	}
	chain, err := hand.NewChain([]hand.Joint{joint(0, firstPhalanx, 0), joint(firstPhalanx, 0.06, spring)})
	if err != nil {
		t.Fatal(err)
	}
	ball := shape.Ellipsoid{Semi: orient.Vec3{pin, pin, pin}}
	s := &Scene{
		Hand: Hand{Fingers: []Finger{{Chain: chain, Turn: orient.Identity}}, PalmRadius: 0.001, Skin: motion.Surface{Stiffness: 4e6, Damping: 400, Shear: 1}, // the pins give by 2 µm
			Motors: []Motor{{Travel: 0.1, Stiffness: 1000, MostForce: firstTorque / arm}}, Cords: []Cord{{Arms: []float64{arm, ratio * arm}}}},
		Item:    Item{Shape: ball, Mass: heavy, Friction: 1, Rest: orient.Identity},
		Setting: Setting{Support: stiff(0.5), Neighbours: [][2]float64{{0.1, 0}}},
	}
	g := sure(t, s)
	base := orient.Vec3{0, 0, 1}
	sin, cos := math.Sincos(bent)
	apart := pin + skin
	first := base.Add(orient.Vec3{apart, 0, firstPin})
	second := base.Add(orient.Vec3{secondPin*sin + apart*cos, 0, firstPhalanx + secondPin*cos - apart*sin})
	at := Flange{Place: base, Turn: orient.Identity}
	g.Begin(at, []Sample{s.Item.Average(first, orient.Identity), s.Item.Average(second, orient.Identity)})
	g.fingers[0].state.Q[1] = bent
	return &pinned{g, pathFunc(func(t float64) Flange {
		at.Command = blend(t / 0.05)
		return at
	})}
}

// after returns what both pins feel (N) after so many seconds, and how far from its joint (m) the second phalanx is touched.
func (p *pinned) after(seconds float64) (first, second, at float64) {
	for p.stage.Time < seconds-1e-9 {
		p.stage.Step(p.path, 1e-3)
	}
	f := &p.stage.fingers[0]
	for i := range p.stage.pairs {
		switch q := &p.stage.pairs[i]; {
		case q.from == Part{Kind: Link, Link: 0} && q.to == Part{Kind: Thing, Index: 0}:
			first += q.load
		case q.from == Part{Kind: Link, Link: 1} && q.to == Part{Kind: Thing, Index: 1}:
			second += q.load
			at = sub(q.point, f.from[1]).Dot(f.pointing())
		}
	}
	return first, second, at
}

// A finger of two phalanges on fixed pins presses both as the statics say (U3, U6: L. Birglen and C. M. Gosselin, IEEE Trans.
// Robot. Autom. 20 (2004) 211, equations from memory, numbers computed). Asked within 0.5 %.
func TestPhalangesPressTheirPins(t *testing.T) {
	for _, c := range []struct{ bent, spring, first, second float64 }{
		{90, 0, 6, 6},
		{40, 0.05, 0.645019, 4.254671},
	} {
		p := newPinned(t, c.bent*degree, 0.020, c.spring)
		first, second, _ := p.after(1)
		if math.Abs(first-c.first) > 0.005*c.first || math.Abs(second-c.second) > 0.005*c.second {
			t.Errorf("bent by %g°, spring %g N·m/rad: the pins feel %.5f and %.5f N, want %g and %g", c.bent, c.spring, first, second, c.first, c.second)
		}
	}
}

// Where the statics would have the first pin pull (U3: −3.19253, −5.27631 and −6 N at 40°, 20° and 0°), it is let go, and the
// finger opens and rolls along the second until that lies where one touch is enough: R·l₁·cos θ₂/(1 − R) from the joint (U4),
// felt with the torque there over that lever. Where it begins is U4 as well: with the second pin 20 mm out at 60°, else at the
// distances of the list; asked to 0.5° and 1 %, where it ends to 0.5 %.
func TestPhalanxLeavesItsPinWhereStaticsSay(t *testing.T) {
	for _, c := range []struct {
		bent, pin float64 // degrees, mm
		stays     bool
	}{
		{0, 20, false}, {20, 20, false}, {40, 20, false},
		{59.5, 20, false}, {60.5, 20, true},
		{0, 40 * 0.99, false}, {0, 40 * 1.01, true},
		{20, 37.5877 * 0.99, false}, {20, 37.5877 * 1.01, true},
		{40, 30.6418 * 0.99, false}, {40, 30.6418 * 1.01, true},
	} {
		p := newPinned(t, c.bent*degree, c.pin/1e3, 0)
		first, second, at := p.after(3)
		name := fmt.Sprintf("bent by %g°, second pin at %.3f mm", c.bent, c.pin)
		opened := -p.stage.Angle(0, 0) / degree
		if c.stays {
			if !(first > 0 && opened < 0.01) {
				t.Errorf("%s: the pins feel %.4f and %.4f N, the first joint has opened by %.3f°", name, first, second, opened)
			}
			continue
		}
		if !(first == 0 && opened > 0.1) {
			t.Errorf("%s: the first pin still feels %.4f N, the first joint has opened by %.3f°", name, first, opened)
		}
		if want := ratio * firstPhalanx * math.Cos(p.stage.Angle(0, 1)) / (1 - ratio); math.Abs(at-want) > 0.005*want {
			t.Errorf("%s: comes to rest %.3f mm from the joint, want %.3f mm", name, at*1e3, want*1e3)
		}
		if want := ratio * firstTorque / at; math.Abs(second-want) > 0.005*want {
			t.Errorf("%s: the second pin feels %.4f N, want %.4f", name, second, want)
		}
	}
}
