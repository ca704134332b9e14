package benchfit

import (
	"math"
	"strings"
	"testing"

	"holdfast/mechanics/hand"
	"holdfast/mechanics/trialsim"
)

// Readings that can not come from such a finger are refused by what is wrong with them, before a fit makes springs of nothing of them.
func TestReadingsThatRunTheOtherWayAreRefused(t *testing.T) {
	air, tendon := airHand(t, 4, .002, .12, 2e-6, .082), tendonHand(t)
	for _, c := range []struct {
		name  string
		hand  *trialsim.Hand
		curve Curve
		want  string
	}{
		{"angles of the other sign", air, Curve{Kind: FreeBending, X: []float64{4e4, 5e4, 6e4}, Y: []float64{-1.2, -1.5, -1.9}}, "sign"},
		{"a push told from its end", air, Curve{Kind: PushSideways, X: []float64{.005, .004, .003, .002, .001}, Y: []float64{1.2, 1.5, 1.9, 2.2, 2.5}}, "rise"},
		{"forces of the other sign", air, Curve{Kind: PushSideways, X: []float64{.005, .004, .003, .002, .001}, Y: []float64{-2.5, -2, -1.5, -1, -.5}}, "sign"},
		{"a tension that falls", tendon, Curve{Kind: Tension, X: []float64{.5, .6, .7, .8, .9}, Y: []float64{1.2, 1.1, 1, .9, .8}}, "rise"},
		{"a tension that stays", tendon, Curve{Kind: Tension, X: []float64{.5, .6, .7, .8, .9}, Y: []float64{1, 1, 1, 1, 1}}, "rise"},
		{"no pressure", air, Curve{Kind: FreeBending, X: []float64{0, 0, 0}, Y: []float64{1.2, 1.5, 1.9}}, "pressure_kPa of 0"},
	} {
		if r, err := Fit(t.Context(), c.hand, 0, []Curve{c.curve}, .95); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, %+v", c.name, err, r)
		}
	}
}

// Numbers that are far from the description are most likely another unit's, and that is said.
func TestOtherUnitsAreSuspected(t *testing.T) {
	air := airHand(t, 4, .002, .12, 2e-6, .082)
	for by, want := range map[float64]bool{1: false, 1e3: true, 180 / math.Pi: true, 1 / 1e3: true} {
		curves := measured(t, air, factors{moment: 1.2, closing: .8, sideways: 1, arms: 1}, noise{share: .01}, 0, 12, FreeBending, Guided)
		for i := range curves {
			for j := range curves[i].X {
				curves[i].X[j] *= by
			}
		}
		r, err := Fit(t.Context(), air, 0, curves, .95)
		if err != nil {
			t.Fatal(err)
		}
		if said := strings.Contains(strings.Join(r.Notes, " "), "units"); said != want {
			t.Errorf("pressures of %g times as much: %q", by, r.Notes)
		}
	}
}

// Air that opens the finger, or bends it aside, is off while its closing is on the bench.
func TestChambersThatOpenAreLeftOut(t *testing.T) {
	one, three := airHand(t, 4, .002, .002, 2e-6, .082), airHand(t, 4, .002, .002, 2e-6, .082)
	closing := three.Chambers[0]
	for _, towards := range []float64{60, -60} {
		sin, cos := math.Sincos((towards - 180) * math.Pi / 180)
		next := trialsim.Chamber{Pressure: closing.Pressure, Torque: make([]float64, len(closing.Torque))}
		first := 0
		for _, f := range three.Fingers {
			for j := range f.Chain.Joints() {
				axis := f.Chain.Joint(j).Axis
				next.Torque[first+j] = -2e-6 * (cos*axis.Y - sin*axis.X)
			}
			first += f.Chain.Joints()
		}
		three.Chambers = append(three.Chambers, next)
	}
	curves := measured(t, one, factors{moment: 1.3, closing: .8, sideways: 1, arms: 1}, noise{share: .01}, 0, 12, FreeBending, Guided)
	want, err := Fit(t.Context(), one, 0, curves, .95)
	if err != nil {
		t.Fatal(err)
	}
	got, err := Fit(t.Context(), three, 0, curves, .95)
	if err != nil {
		t.Fatal(err)
	}
	for i, q := range got.Quantities {
		if q != want.Quantities[i] {
			t.Errorf("%+v, with one chamber %+v", q, want.Quantities[i])
		}
	}
	for i, c := range got.Hand.Chambers {
		for j, torque := range c.Torque {
			if math.Abs(torque-1.3*three.Chambers[i].Torque[j]) > .02*2e-6 {
				t.Errorf("chamber %d, joint %d: %g of %g", i+1, j+1, torque, three.Chambers[i].Torque[j])
			}
		}
	}
	if said := strings.Join(got.Notes, " "); !strings.Contains(said, "open the finger") || strings.Contains(strings.Join(want.Notes, " "), "open the finger") {
		t.Errorf("%s", said)
	}
}

// A coefficient of friction without a curve to rub around takes nothing, in the simulation as here.
func TestFrictionWithoutACurveTakesNothing(t *testing.T) {
	plain, coefficient := tendonHand(t), tendonHand(t)
	coefficient.Cords[0].Friction = .2
	curves := measured(t, plain, factors{1, 1.3, 1, 1, 0, 0}, noise{share: .002}, 0, 12, Tension)
	for i := range curves[0].Opening {
		curves[0].Opening[i] = false
	}
	for _, h := range []*trialsim.Hand{plain, coefficient} {
		r, err := Fit(t.Context(), h, 0, curves, .95)
		if err != nil {
			t.Fatal(err)
		}
		if factor := r.Quantities[0].Fitted / r.Quantities[0].Described; math.Abs(factor-1.3) > .02 {
			t.Errorf("described friction %g: stiffness is %g times as described, want 1.3", h.Cords[0].Friction, factor)
		}
	}
}

// What gives besides the joints that bend, as a rail on a spring, keeps its share of a push.
func TestRailGivesItsShareOfAPush(t *testing.T) {
	sprung := func(bow float64) *trialsim.Hand {
		h := tendonHand(t)
		chain := h.Fingers[0].Chain
		joints := []hand.Joint{{Slides: true, Axis: hand.Vec{X: -1}, Stiffness: 40, Link: hand.Link{To: hand.Vec{Z: .01}, Radius: .008, Mass: .01, Inertia: hand.Inertia{XX: 1e-6, YY: 1e-6, ZZ: 1e-6}}}}
		for j := range chain.Joints() {
			joint := chain.Joint(j)
			if bendsOf(joint) == closes {
				joint.Stiffness *= bow
			}
			joints = append(joints, joint)
		}
		whole, err := hand.NewChain(joints)
		if err != nil {
			t.Fatal(err)
		}
		h.Fingers[0].Chain, h.Cords[0].Arms = whole, append([]float64{0}, h.Cords[0].Arms...)
		return h
	}
	// The truth is the chain itself, with springs of its joints that are half as stiff again.
	f, _, err := view(sprung(1.5), 0)
	if err != nil {
		t.Fatal(err)
	}
	truth := Curve{Kind: PushClosing}
	for i := range 10 {
		x := 5e-4 * float64(i+1)
		s := upright(f.chain)
		last := f.chain.Joints() - 1
		_, rest, _ := s.Capsule(last)
		force, err := s.SettleBlocked(nil, nil, hand.Block{Link: last, Point: f.chain.Joint(last).Link.To, Direction: hand.Vec{X: -1}, Position: -rest.X + x})
		if err != nil {
			t.Fatal(err)
		}
		truth.X, truth.Y = append(truth.X, x), append(truth.Y, force)
	}
	r, err := Fit(t.Context(), sprung(1), 0, []Curve{truth}, .95)
	if err != nil {
		t.Fatal(err)
	}
	if factor := r.Quantities[0].Fitted / r.Quantities[0].Described; math.Abs(factor-1.5) > .01 {
		t.Errorf("springs are found %g times as stiff, want 1.5", factor)
	}
}

// Names of files stand as they are, whatever their first letter.
func TestNamesOfFilesStandAsTheyAre(t *testing.T) {
	h := tendonHand(t)
	curves := measured(t, h, factors{1, 1, 1.2, 1, 0, 0}, noise{share: .001, zero: .1}, 0, 20, PushSideways)
	curves[0].From = "éclair.csv"
	r, err := Fit(t.Context(), h, 0, curves, .95)
	if err != nil {
		t.Fatal(err)
	}
	if said := strings.Join(r.Notes, "\n"); !strings.Contains(said, "éclair.csv, push sideways is off zero") {
		t.Errorf("%s", said)
	}
}
