package benchfit

import (
	"math"
	"slices"
	"strings"
	"testing"

	"holdfast/handtest"
	"holdfast/mechanics/hand"
	"holdfast/mechanics/trialsim"
	"holdfast/numeric"
	"holdfast/orient"
	"holdfast/readings"
)

// airHand has two fingers of n segments: bending EI (N m²), sideways EI, moment per pressure (N m/Pa), length (m).
func airHand(t *testing.T, n int, bending, sideways, moment, length float64) *trialsim.Hand {
	t.Helper()
	rod := hand.Rod{Length: length, BendX: sideways, BendY: bending, Mass: .03, Radius: .01}
	joints, per, err := rod.Segments(n)
	if err != nil {
		t.Fatal(err)
	}
	h := &trialsim.Hand{Name: "air", Chambers: []trialsim.Chamber{{Pressure: 8e4}}}
	for range 2 {
		chain, err := hand.NewChain(joints)
		if err != nil {
			t.Fatal(err)
		}
		h.Fingers = append(h.Fingers, trialsim.Finger{Chain: chain, Turn: orient.Identity})
		for j := range n * per {
			h.Chambers[0].Torque = append(h.Chambers[0].Torque, -moment*chain.Joint(j).Axis.Y)
		}
	}
	return h
}

func tendonHand(t *testing.T) *trialsim.Hand {
	t.Helper()
	joint := func(axis hand.Vec, k, length float64, at float64) hand.Joint {
		return hand.Joint{Origin: hand.Vec{Z: at}, Axis: axis, Stiffness: k, Link: hand.Link{To: hand.Vec{Z: length}, Radius: .008, Mass: .01, Centre: hand.Vec{Z: length / 2}, Inertia: hand.Inertia{XX: 1e-6, YY: 1e-6, ZZ: 1e-6}}}
	}
	closing := hand.Vec{Y: -1}
	chain, err := hand.NewChain([]hand.Joint{joint(hand.Vec{X: 1}, 2, .01, 0), joint(closing, .08, .035, 0), joint(closing, .06, .026, .035), joint(closing, .04, .022, .026)})
	if err != nil {
		t.Fatal(err)
	}
	return &trialsim.Hand{Name: "tendon", Fingers: []trialsim.Finger{{Chain: chain, Turn: orient.Identity}}, Cords: []trialsim.Cord{{Arms: []float64{0, .009, .007, .005}}}}
}

// noise is what a simulated bench adds: a share of the curve's largest reading, and the loop of pushes as a share of the same.
type noise struct {
	share, loop float64
	zero        float64 // share of the largest reading, of the largest angle for a tension
}

// measured simulates a bench on a hand: so many readings of each kind, half of them going back.
func measured(t *testing.T, h *trialsim.Hand, p factors, n noise, index, readings int, kinds ...Kind) []Curve {
	t.Helper()
	f, _, err := view(h, 0)
	if err != nil {
		t.Fatal(err)
	}
	far := map[Kind]float64{FreeBending: 8e4, Guided: 8e4, TipHeld: 8e4, Travel: 2, Tension: 2, PushClosing: .02, PushSideways: .01}
	var out []Curve
	for k, kind := range kinds {
		r := numeric.Stream(5, "bench "+string(kind), index, k)
		c := Curve{Kind: kind}
		half := (readings + 1) / 2
		for i := range readings {
			c.X = append(c.X, far[kind]*float64(i%half+1)/float64(half))
			c.Opening = append(c.Opening, (kind == Tension || kind == Travel) && i >= half)
		}
		c.Y = make([]float64, len(c.X))
		if err := f.bow(&c); err != nil {
			t.Fatal(err)
		}
		c.loose = n.zero * far[Tension]
		switch {
		case kind == Tension:
			c.zero = n.zero * far[Tension]
		case hasZero(&c):
			f.predict(&c, p, c.Y)
			c.zero = n.zero * largest(c.Y)
		}
		f.predict(&c, p, c.Y)
		top := largest(c.Y)
		for i := range c.Y {
			c.Y[i] += n.share * top * r.NormFloat64()
			if kind == PushClosing || kind == PushSideways {
				at, way := c.X[i]/far[kind], 1.0
				if i >= half {
					way = -1
				}
				c.Y[i] += way * 2 * n.loop * top * at * (1 - at)
			}
		}
		out = append(out, c)
	}
	return out
}

// truths are what the simulated benches find, and how the quantities are called.
func truths(q Quantity, p factors) float64 {
	switch q.Name {
	case "moment per pressure":
		return q.Described * p.moment
	case "stiffness against closing, all joints in series":
		return q.Described * p.closing
	case "stiffness sideways, all joints in series":
		return q.Described * p.sideways
	case "tendon travel per angle":
		return q.Described * p.arms
	case "friction of the tendon":
		return p.friction
	case "stretch of the finger's tendon":
		return 1e3 * p.stretch
	}
	return math.NaN()
}

// The numbers of a known hand lie inside their limits as often as the level says, whether a curve has five readings or sixty, and
// whatever their scatter; where pushes have a loop, more often.
func TestLimitsCoverAtTheirLevel(t *testing.T) {
	truth := factors{moment: 1.12, closing: .85, sideways: 1.2, arms: 1.05, friction: .06, stretch: 6e-5}
	air, tendon := airHand(t, 4, .002, .12, 2e-6, .082), tendonHand(t)
	for _, c := range []struct {
		name     string
		hand     *trialsim.Hand
		noise    noise
		readings int
		level    float64
		kinds    []Kind
		want     int
	}{
		{"air", air, noise{share: .02}, 24, .95, []Kind{FreeBending, Guided, PushSideways}, 3},
		{"air, few readings", air, noise{share: .01}, 5, .95, []Kind{FreeBending, Guided}, 2},
		{"air, lower level", air, noise{share: .05}, 10, .8, []Kind{FreeBending, Guided}, 2},
		{"air, tip held", airHand(t, 4, .008, .12, 2e-6, .082), noise{share: .02}, 10, .95, []Kind{FreeBending, TipHeld}, 2},
		{"tendon", tendon, noise{share: .005}, 26, .95, []Kind{Travel, Tension, PushClosing, PushSideways}, 5},
		{"tendon, its record alone", tendon, noise{share: .01}, 12, .95, []Kind{Travel, Tension}, 4},
		{"tendon, zeros off", tendon, noise{share: .01, zero: .08}, 26, .95, []Kind{Travel, Tension, PushClosing, PushSideways}, 5},
		{"tendon, loops", tendon, noise{share: .005, loop: .1}, 40, .95, []Kind{PushClosing, PushSideways}, 2},
	} {
		const runs = 600
		inside := map[string]int{}
		for run := range runs {
			r, err := Fit(t.Context(), c.hand, 0, measured(t, c.hand, truth, c.noise, run, c.readings, c.kinds...), c.level)
			if err != nil {
				t.Fatalf("%s: %v", c.name, err)
			}
			if len(r.Quantities) != c.want {
				t.Fatalf("%s: %+v", c.name, r.Quantities)
			}
			for _, q := range r.Quantities {
				if v := truths(q, truth); q.Low <= v && v <= q.High {
					inside[q.Name]++
				}
			}
		}
		// Four standard deviations of a binomial share: once in ten thousand by chance, each way.
		spread := 4 * math.Sqrt(c.level*(1-c.level)*runs)
		low, high := c.level*runs-spread, c.level*runs+spread
		if c.noise.loop > 0 {
			high = runs
		}
		t.Logf("%s: %v of %d", c.name, inside, runs)
		if len(inside) != c.want {
			t.Errorf("%s: %v", c.name, inside)
		}
		for name, n := range inside {
			if float64(n) < low || float64(n) > high {
				t.Errorf("%s: %s lies inside its limits in %d of %d runs", c.name, name, n, runs)
			}
		}
	}
}

// A hand that was brought to a bench without noise does what the bench saw: it is fitted again with factors of 1.
func TestFittedHandDoesWhatWasMeasured(t *testing.T) {
	h := tendonHand(t)
	curves := measured(t, h, factors{1, 1.3, .9, .95, .08, 5e-5}, noise{}, 0, 24, Travel, Tension, PushSideways)
	first, err := Fit(t.Context(), h, 0, curves, .95)
	if err != nil {
		t.Fatal(err)
	}
	again, err := Fit(t.Context(), first.Hand, 0, curves, .95)
	if err != nil {
		t.Fatal(err)
	}
	if len(again.Quantities) != 5 {
		t.Errorf("%+v", again.Quantities)
	}
	for _, q := range again.Quantities {
		if math.Abs(q.Fitted-q.Described) > 1e-6*(1e-3+q.Described) {
			t.Errorf("%s: %g is fitted again as %g", q.Name, q.Described, q.Fitted)
		}
	}
	for _, s := range first.Curves {
		for i := range s.Y {
			if math.Abs(s.Fitted[i]-s.Y[i]) > 1e-6*largest(s.Y) {
				t.Errorf("%s at %g: %g, measured %g", s.Kind, s.X[i], s.Fitted[i], s.Y[i])
			}
		}
		if was, now := s.Misfit(); !(was > .01*largest(s.Y)) || now > 1e-6*largest(s.Y) {
			t.Errorf("%s: misfit %g before and %g after", s.Kind, was, now)
		}
	}
	if j := h.Fingers[0].Chain.Joint(1); j.Stiffness != .08 || h.Cords[0].Friction != 0 {
		t.Error("the hand handed in was changed")
	}
}

// What the finger has and the readings do not tell is named, and stays as described; a cord over several fingers keeps its stiffness.
func TestWhatIsNotToldIsNamed(t *testing.T) {
	air, tendon := airHand(t, 4, .002, .12, 2e-6, .082), tendonHand(t)
	pair := tendonHand(t)
	pair.Fingers = append(pair.Fingers, pair.Fingers[0])
	pair.Cords[0].Arms = append(pair.Cords[0].Arms, pair.Cords[0].Arms...)
	pair.Cords[0].Stiffness = 6e3
	truth := factors{1.1, .9, 1.2, 1.05, .06, 5e-5}
	for _, c := range []struct {
		name  string
		hand  *trialsim.Hand
		kinds []Kind
		want  []string
	}{
		{"bending alone", air, []Kind{FreeBending}, []string{"stiffness against closing", "stiffness sideways", "shares of the joints"}},
		{"blocked alone", air, []Kind{Guided}, []string{"stiffness against closing", "stiffness sideways", "shares of the joints"}},
		{"bending and push", air, []Kind{FreeBending, PushClosing}, []string{"stiffness sideways", "shares of the joints"}},
		{"push of a tendon finger", tendon, []Kind{PushClosing}, []string{"stiffness sideways", "tendon travel per angle", "friction of the tendon", "stretch of the finger's tendon", "shares of the joints"}},
		{"a tendon over two fingers", pair, []Kind{Travel, Tension, PushSideways}, []string{"stretch of the whole cord", "shares of the joints"}},
	} {
		r, err := Fit(t.Context(), c.hand, 0, measured(t, c.hand, truth, noise{share: .005}, 1, 30, c.kinds...), .95)
		if err != nil {
			t.Fatalf("%s: %v", c.name, err)
		}
		var names []string
		for _, u := range r.Unknowns {
			names = append(names, u.Name)
			if u.Why == "" {
				t.Errorf("%s: no reason for %s", c.name, u.Name)
			}
		}
		if !slices.Equal(names, c.want) {
			t.Errorf("%s: %q, want %q", c.name, names, c.want)
		}
		if c.hand == pair && r.Hand.Cords[0].Stiffness != 6e3 {
			t.Errorf("the shared cord's stiffness became %g", r.Hand.Cords[0].Stiffness)
		}
		if c.name == "bending alone" && r.Hand.Fingers[0].Chain.Joint(1).Stiffness != air.Fingers[0].Chain.Joint(1).Stiffness {
			t.Error("a stiffness was changed that nothing told")
		}
	}
}

// Curves that can not both be right are told to contradict each other, and those that agree are not.
func TestContradictionsAreNoted(t *testing.T) {
	h := tendonHand(t)
	truth := factors{1, .9, 1.2, 1.05, .06, 5e-5}
	curves := measured(t, h, truth, noise{share: .01}, 2, 30, Travel, Tension, PushClosing)
	speaks := func() bool {
		r, err := Fit(t.Context(), h, 0, curves, .95)
		if err != nil {
			t.Fatal(err)
		}
		return strings.Contains(strings.Join(r.Notes, " "), "contradict")
	}
	if speaks() {
		t.Error("curves of one truth are told to contradict each other")
	}
	for i := range curves[2].Y {
		curves[2].Y[i] *= 2.5
	}
	if !speaks() {
		t.Error("a push of a finger two and a half times as stiff as its tendon's record passes")
	}
}

func TestFitRefuses(t *testing.T) {
	air, tendon := airHand(t, 4, .002, .12, 2e-6, .082), tendonHand(t)
	line := func(kind Kind, y ...float64) Curve {
		return Curve{Kind: kind, X: []float64{1, 2, 3}[:len(y)], Y: y}
	}
	for _, c := range []struct {
		name   string
		hand   *trialsim.Hand
		finger int
		level  float64
		curves []Curve
		want   string
	}{
		{"nothing", air, 0, .95, nil, "no curve"},
		{"no such finger", air, 7, .95, nil, "finger 8"},
		{"no tendon", air, 0, .95, []Curve{line(Tension, 1, 2, 3)}, "no part"},
		{"no chamber", tendon, 0, .95, []Curve{line(FreeBending, 1, 2, 3)}, "no part"},
		{"level", air, 0, 1, []Curve{line(FreeBending, 1, 2, 3)}, "level"},
		{"none finite", air, 0, .95, []Curve{line(FreeBending, 1, math.NaN(), 3)}, "reading 2"},
		{"no readings", air, 0, .95, []Curve{line(FreeBending)}, "0 places"},
		{"all zero", air, 0, .95, []Curve{line(FreeBending, 0, 0, 0)}, "0"},
	} {
		if _, err := Fit(t.Context(), c.hand, c.finger, c.curves, c.level); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v", c.name, err)
		}
	}
}

func TestCurvesOfTables(t *testing.T) {
	for _, c := range []struct {
		test, csv string
		kinds     []Kind
		x, y      float64 // of the first curve's last reading
	}{
		{"bending", "pressure_kPa,angle_deg\n40,90\n80,180\n", []Kind{FreeBending}, 8e4, math.Pi},
		{"blocking", "bench,pressure_kPa,force_N\nguided,40,1\ntip-held,40,1.5\n", []Kind{Guided, TipHeld}, 4e4, 1},
		{"tendon", "direction,travel_mm,angle_deg,tension_N\nclosing,5,90,2\nopening,10,180,4\n", []Kind{Travel, Tension}, math.Pi, .01},
		{"stiffness", "direction,cycle,branch,deflection_mm,force_N\nsideways,1,loading,5,1\nup,1,loading,5,9\n", []Kind{PushSideways}, .005, 1},
	} {
		kind, _ := handtest.Find(c.test)
		table, err := readings.Read(strings.NewReader(c.csv), kind.Columns)
		if err != nil {
			t.Fatal(err)
		}
		curves, err := CurvesOf(c.test, table)
		if err != nil || len(curves) != len(c.kinds) {
			t.Fatalf("%s: %+v, %v", c.test, curves, err)
		}
		first := curves[0]
		if last := len(first.X) - 1; first.Kind != c.kinds[0] || math.Abs(first.X[last]-c.x) > 1e-9*c.x || math.Abs(first.Y[last]-c.y) > 1e-9 {
			t.Errorf("%s: %+v", c.test, first)
		}
		if _, _, perX, perY := first.Kind.Edge(); !(perX > 0 && perY > 0) {
			t.Errorf("%s has no units", first.Kind)
		}
	}
	if _, err := CurvesOf("life", &readings.Table{}); err == nil || !strings.Contains(err.Error(), "stiffness") {
		t.Errorf("%v", err)
	}
}

func TestHeldLoadBetweenItsSteps(t *testing.T) {
	for _, angle := range []float64{0, .003, .47, -1.63, 2.75, 3.49} {
		want := hand.HeldLoad(angle)
		if got := heldLoad(angle); math.Abs(got-want) > 1e-5*(1+math.Abs(want)) {
			t.Errorf("at %g: %g, want %g", angle, got, want)
		}
	}
	if !math.IsNaN(heldLoad(3.6)) {
		t.Error("a tip is held at 3.6 rad")
	}
}
