package hand_test

import (
	"math"
	"testing"

	"holdfast/mechanics/hand"
)

var elastomer = hand.HalfRound{Inner: .008, Base: .002, Wall: .002, Length: .160, Shear: .314e6}

// P1: P. Polygerinos et al., IEEE T-RO 31 (2015) 778 (abstract read, equation from memory); computed by two quadratures.
func TestCapMoment(t *testing.T) {
	near(t, "moment per pressure", elastomer.MomentPerPressure(), 5.423953e-7, 0.5e-13)
	near(t, "moment at 50 kPa", elastomer.MomentPerPressure()*50e3, .0271198, 0.5e-7)
}

// P2: model as P1 with a neo-Hookean skin, shear modulus from memory, moment integral re-derived; computed.
func TestFreeBending(t *testing.T) {
	for _, c := range []struct{ degrees, kilopascal float64 }{{45, 41.5141}, {90, 78.1966}, {180, 140.6913}, {270, 192.8152}, {360, 237.8285}} {
		near(t, "pressure, kPa", elastomer.Pressure(c.degrees*degree)/1e3, c.kilopascal, 0.5e-4)
	}
	for _, c := range []struct{ kilopascal, degrees float64 }{{50, 54.9463}, {100, 119.3679}, {150, 195.0140}, {200, 283.5778}} {
		near(t, "angle, degrees", elastomer.FreeAngle(c.kilopascal*1e3)/degree, c.degrees, 0.5e-4)
	}
}

// P3: small angles of P2; derived.
func TestSmallBending(t *testing.T) {
	near(t, "second moment", elastomer.SecondMoment(), 3.899357e-9, 0.5e-15)
	near(t, "angle at 50 kPa, degrees", elastomer.MomentPerPressure()*50e3*elastomer.Length/elastomer.Bending()/degree, 50.7628, 0.5e-4)
	close(t, "slope", elastomer.Pressure(1e-6)/1e-6, elastomer.Bending()/elastomer.Length/elastomer.MomentPerPressure(), 1e-5)
}

// P4: blocked force of the straight finger, idea of the same paper; computed. The one-segment chain in the guided bench is
// the same lever.
func TestBlockedForce(t *testing.T) {
	for i, want := range []float64{.169499, .338997, .508496, .677994} {
		m := elastomer.MomentPerPressure() * 50e3 * float64(i+1)
		near(t, "force", hand.GuidedForce(m, elastomer.Length), want, 0.5e-6)
	}
}

// pressureFinger bends towards x under one chamber, with the free angle given at unit pressure.
func pressureFinger(t testing.TB, segments int, freeAngle float64) (*hand.State, []float64) {
	t.Helper()
	f, err := hand.NewPressureFinger(hand.Rod{Length: 1, BendY: 1, Mass: 1}, []hand.Chamber{{MomentPerPressure: freeAngle}}, segments)
	if err != nil {
		t.Fatal(err)
	}
	drive := make([]float64, segments)
	f.Drive(drive, []float64{1})
	return f.Chain.NewState(), drive
}

// The chain under pressure against the arc (P5): the angle is exact, the tip converges with the square of the segments.
func TestPressureChainBendsToAnArc(t *testing.T) {
	for _, degrees := range []float64{30, 90, 180, 270} {
		var out [2]float64
		for i, n := range []int{10, 20} {
			s, drive := pressureFinger(t, n, degrees*degree)
			if err := s.Settle(drive, nil); err != nil {
				t.Fatal(err)
			}
			tip, arc := end(s), hand.Arc(degrees*degree)
			close(t, "angle", tip.Angle, degrees*degree, 1e-9)
			out[i] = math.Hypot(tip.X-arc.X, tip.Y-arc.Y)
		}
		if ratio := out[0] / out[1]; ratio < 3.8 || ratio > 4.2 {
			t.Errorf("%g°: off by %.3g and %.3g of the length, a ratio of %.3g where 4 is due", degrees, out[0], out[1], ratio)
		}
	}
}

// A held tip: 3/2·M/L for small moments (beam tables, from memory); for large ones the chain must converge to the elastica.
func TestHeldTip(t *testing.T) {
	close(t, "small", hand.HeldLoad(1e-3)/1e-3, 1.5, 1e-6)
	for _, degrees := range []float64{30, 90, 150} {
		exact := hand.HeldLoad(degrees * degree)
		near(t, "odd", hand.HeldLoad(-degrees*degree), -exact, 1e-10)
		var out [2]float64
		for i, n := range []int{20, 40} {
			s, drive := pressureFinger(t, n, degrees*degree)
			last := n - 1
			force, err := s.SettleBlocked(drive, nil, hand.Block{Link: last, Point: s.Chain().Joint(last).Link.To, Direction: hand.Vec{X: 1}})
			if err != nil {
				t.Fatal(err)
			}
			out[i] = math.Abs(-force - exact)
		}
		if ratio := out[0] / out[1]; out[1] > 5e-3*exact || ratio < 3.6 || ratio > 4.4 {
			t.Errorf("%g°: force %.6g, off by %.3g and %.3g, a ratio of %.3g where 4 is due", degrees, exact, out[0], out[1], ratio)
		}
	}
	if !math.IsNaN(hand.HeldLoad(4)) {
		t.Error("a finger that would bend by 4 rad stays held")
	}
}
