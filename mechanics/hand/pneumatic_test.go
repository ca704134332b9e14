package hand_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"holdfast/mechanics/hand"
)

// Measured on a finger whose two numbers are known, either bench must give them back.
func TestCalibrationFindsTheFinger(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		length := rapid.Float64Range(.05, .2).Draw(t, "length")
		bending := math.Exp(rapid.Float64Range(math.Log(1e-3), math.Log(1e-1)).Draw(t, "log bending"))
		angle := rapid.Float64Range(.1, 3).Draw(t, "angle at 100 kPa")
		moment := angle * bending / length / 100e3
		var free, guided, held []hand.Reading
		for _, p := range []float64{40e3, 100e3} {
			free = append(free, hand.Reading{Pressure: p, Value: angle * p / 100e3})
			guided = append(guided, hand.Reading{Pressure: p, Value: moment * p / length})
			held = append(held, hand.Reading{Pressure: p, Value: hand.HeldLoad(angle*p/100e3) * bending / (length * length)})
		}
		for bench, blocked := range map[hand.Bench][]hand.Reading{hand.Guided: guided, hand.TipHeld: held} {
			for _, count := range []int{1, 2} {
				c, err := hand.Calibrate(length, free[:count], blocked[:count], bench)
				if err != nil {
					t.Fatal(err)
				}
				same(t, "bending", c.Bending/bending, 1, 1e-8)
				same(t, "moment", c.MomentPerPressure/moment, 1, 1e-8)
				same(t, "misfit", c.AngleMisfit+c.ForceMisfit, 0, 1e-8)
			}
		}
		// Taking the one bench for the other is out by half: the reason why the bench is asked for.
		c, err := hand.Calibrate(length, free[:1], held[:1], hand.Guided)
		if err != nil {
			t.Fatal(err)
		}
		if c.Bending < 1.2*bending {
			t.Fatalf("the wrong bench gives %g for %g", c.Bending, bending)
		}
	})
}

// Two numbers off the bench make a chain that shows these two numbers on the same bench.
func TestCalibratedChainShowsTheBench(t *testing.T) {
	const length, pressure, angle, force = .11, 80e3, 1.4, .62
	c, err := hand.Calibrate(length, []hand.Reading{{Pressure: pressure, Value: angle}}, []hand.Reading{{Pressure: pressure, Value: force}}, hand.TipHeld)
	if err != nil {
		t.Fatal(err)
	}
	f, err := hand.NewPressureFinger(hand.Rod{Length: length, BendY: c.Bending, Mass: .03}, []hand.Chamber{{MomentPerPressure: c.MomentPerPressure}}, 8)
	if err != nil {
		t.Fatal(err)
	}
	s, drive := f.Chain.NewState(), make([]float64, 8)
	f.Drive(drive, []float64{pressure})
	block := hand.Block{Link: 7, Point: f.Chain.Joint(7).Link.To, Direction: hand.Vec{X: 1}}
	held, err := s.SettleBlocked(drive, nil, block)
	if err != nil {
		t.Fatal(err)
	}
	close(t, "blocked force", -held, force, 0.006) // what eight segments leave, see DESIGN.md
	if err := s.Settle(drive, nil); err != nil {
		t.Fatal(err)
	}
	close(t, "free angle", end(s).Angle, angle, 1e-9)
}

// The nonlinear finger of P2 does not lie on a line; the misfit says by how much.
func TestCalibrationShowsMisfit(t *testing.T) {
	var free, blocked []hand.Reading
	for _, p := range []float64{50e3, 100e3, 150e3} {
		free = append(free, hand.Reading{Pressure: p, Value: elastomer.FreeAngle(p)})
		blocked = append(blocked, hand.Reading{Pressure: p, Value: elastomer.MomentPerPressure() * p / elastomer.Length})
	}
	c, err := hand.Calibrate(elastomer.Length, free, blocked, hand.Guided)
	if err != nil {
		t.Fatal(err)
	}
	if c.AngleMisfit < .03 || c.AngleMisfit > .1 || c.ForceMisfit > 1e-12 {
		t.Errorf("misfits %g and %g", c.AngleMisfit, c.ForceMisfit)
	}
	close(t, "moment", c.MomentPerPressure, elastomer.MomentPerPressure(), 1e-12)
	for name, bad := range map[string][]hand.Reading{"none": nil, "negative": {{1, -1}}, "no pressure": {{0, 1}}, "infinite": {{1, math.Inf(1)}}} {
		if _, err := hand.Calibrate(.1, bad, blocked, hand.Guided); err == nil {
			t.Errorf("free angles, %s, pass", name)
		}
		if _, err := hand.Calibrate(.1, free, bad, hand.Guided); err == nil {
			t.Errorf("blocked forces, %s, pass", name)
		}
	}
	if _, err := hand.Calibrate(0, free, blocked, hand.Guided); err == nil {
		t.Error("a finger without length passes")
	}
	if _, err := hand.Calibrate(.1, free, blocked, hand.Bench(7)); err == nil {
		t.Error("an unknown bench passes")
	}
	if _, err := hand.Calibrate(.1, []hand.Reading{{1, 1}}, []hand.Reading{{5, 1}}, hand.TipHeld); err == nil {
		t.Error("a held tip of a finger that would bend by 5 rad passes")
	}
}

// Two chambers at a right angle under equal pressure bend the finger in the plane between, to the arc of the joint moment.
func TestTwoChambersBendBetween(t *testing.T) {
	rod := hand.Rod{Length: 1, BendX: 1, BendY: 1, Twist: 2, Mass: 1}
	var out, beside [2]float64
	for i, n := range []int{16, 32} {
		f, err := hand.NewPressureFinger(rod, []hand.Chamber{{MomentPerPressure: 1}, {MomentPerPressure: 1, Towards: math.Pi / 2}}, n)
		if err != nil {
			t.Fatal(err)
		}
		drive := make([]float64, f.Chain.Joints())
		f.Drive(drive, []float64{1, 1})
		s := f.Chain.NewState()
		if err := s.Settle(drive, nil); err != nil {
			t.Fatal(err)
		}
		last := f.Chain.Joints() - 1
		p := s.Point(last, f.Chain.Joint(last).Link.To)
		arc := hand.Arc(math.Sqrt2)
		out[i] = math.Hypot((p.X+p.Y)/math.Sqrt2-arc.Y, p.Z-arc.X)
		beside[i] = math.Abs(p.X-p.Y) / math.Sqrt2
	}
	if r, b := out[0]/out[1], beside[0]/beside[1]; out[1] > 2e-3 || beside[1] > 2e-3 || r < 3.8 || r > 4.2 || b < 3.8 || b > 4.2 {
		t.Errorf("off the arc by %v, beside the plane by %v of the length", out, beside)
	}
}

// Twist comes by compliance: a side force on the tip of a bent finger turns it about its axis.
func TestBentFingerTwists(t *testing.T) {
	f, err := hand.NewPressureFinger(hand.Rod{Length: .1, BendX: 2e-3, BendY: 2e-3, Twist: 1e-3, Mass: .02}, []hand.Chamber{{MomentPerPressure: 5e-7}}, 6)
	if err != nil {
		t.Fatal(err)
	}
	drive := make([]float64, f.Chain.Joints())
	f.Drive(drive, []float64{60e3})
	s := f.Chain.NewState()
	last := f.Chain.Joints() - 1
	if err := s.Settle(drive, []hand.Load{{Link: last, Point: f.Chain.Joint(last).Link.To, Force: hand.Vec{Y: .05}}}); err != nil {
		t.Fatal(err)
	}
	twist := 0.0
	for i := range s.Q {
		if f.Chain.Joint(i).Axis.Z == 1 {
			twist += s.Q[i]
		}
	}
	// The force's lever about the root's axis is how far the tip has gone to the side: a positive moment about z.
	if !(twist > 0.02) {
		t.Errorf("a side force twists by %g rad", twist)
	}
}

func TestFilling(t *testing.T) {
	c := hand.Chamber{Filling: .2, Venting: .5}
	close(t, "one time constant", c.Next(0, 100, .2), 100*(1-math.Exp(-1)), 1e-12)
	close(t, "venting", c.Next(100, 0, .5), 100*math.Exp(-1), 1e-12)
	p := 0.0
	for range 200 {
		p = c.Next(p, 100, .001)
	}
	close(t, "steps do not matter", p, 100*(1-math.Exp(-1)), 1e-12)
	near(t, "at once", hand.Fill(3, 7, 0, .001), 7, 0)
}

func TestPressureFingerRefusesNonsense(t *testing.T) {
	rod := hand.Rod{Length: 1, BendY: 1, Mass: 1}
	for name, c := range map[string]hand.Chamber{
		"no moment": {}, "sideways": {MomentPerPressure: 1, Towards: 1}, "time constant": {MomentPerPressure: 1, Filling: -1}, "direction": {MomentPerPressure: 1, Towards: math.NaN()},
	} {
		if _, err := hand.NewPressureFinger(rod, []hand.Chamber{c}, 3); err == nil {
			t.Errorf("%s passes", name)
		}
	}
	if elastomer.Validate() != nil || (hand.HalfRound{}).Validate() == nil {
		t.Error("validation is wrong")
	}
	if !math.IsNaN((hand.HalfRound{}).FreeAngle(1)) || !math.IsNaN((hand.HalfRound{Inner: 1, Base: 1, Wall: 1, Length: 1}).FreeAngle(1)) {
		t.Error("a finger without measures bends")
	}
	if !math.IsNaN(elastomer.FreeAngle(-1)) || !math.IsNaN(elastomer.Pressure(-1)) {
		t.Error("negative pressure bends")
	}
}
