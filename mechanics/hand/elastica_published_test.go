package hand_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"holdfast/mechanics/hand"
)

// P6: elastica under a dead end force. Boundary value problem as in lecture notes TKT4140 of NTNU, sect. 3.2.1 (read);
// K. Mattiasson, IJNME 17 (1981) 145, Table 1 (read as quoted by others for loads 1, 2, 5, 10); figures computed by
// elliptic integrals and by shooting.
var elasticaTable = []struct{ load, angle, y, x float64 }{
	{.25, .124292, .082746, .995882}, {.5, .244534, .162144, .984081}, {1, .461352, .301721, .943567},
	{1.5, .639540, .410978, .892058}, {2, .781750, .493457, .839358}, {3, .986017, .603253, .745580},
	{4, 1.121239, .669964, .671059}, {5, 1.215368, .713792, .612372}, {6, 1.283697, .744571, .565411},
	{7, 1.334960, .767369, .527073}, {8, 1.374432, .784982, .495172}, {9, 1.405465, .799056, .468179},
	{10, 1.430286, .810609, .445004},
}

func TestElasticaUnderEndForce(t *testing.T) {
	for _, c := range elasticaTable {
		tip := hand.EndLoaded(c.load)
		near(t, "angle", tip.Angle, c.angle, 0.5e-6)
		near(t, "deflection", tip.Y, c.y, 0.5e-6)
		near(t, "reach", tip.X, c.x, 0.5e-6)
		shot, err := hand.CantileverLoads{Across: c.load}.Bend(c.angle)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "angle, shooting", shot.Angle, tip.Angle, 1e-9)
		near(t, "deflection, shooting", shot.Y, tip.Y, 1e-9)
		near(t, "reach, shooting", shot.X, tip.X, 1e-9)
	}
}

// P7: a force that stays square to the tip; computed by shooting.
func TestElasticaUnderFollower(t *testing.T) {
	for _, c := range []struct{ load, angle, x, y float64 }{
		{1, .495885, .935646, .320642}, {2, .968239, .767362, .573839}, {5, 2.098157, .172278, .780690}, {10, 2.992715, -.092123, .546983},
	} {
		tip, err := hand.CantileverLoads{Follower: c.load}.Bend(0.7)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "angle", tip.Angle, c.angle, 0.5e-6)
		near(t, "reach", tip.X, c.x, 0.5e-6)
		near(t, "deflection", tip.Y, c.y, 0.5e-6)
	}
}

// P8: an even dead load; computed by shooting.
func TestElasticaUnderUniformLoad(t *testing.T) {
	for _, c := range []struct{ load, angle, y, x float64 }{
		{1, .165116, .123471, .991246}, {5, .697005, .495905, .846657}, {10, 1.052643, .700200, .656354}, {20, 1.339502, .829881, .445232},
	} {
		tip, err := hand.CantileverLoads{Uniform: c.load}.Bend(c.angle)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "angle", tip.Angle, c.angle, 0.5e-6)
		near(t, "deflection", tip.Y, c.y, 0.5e-6)
		near(t, "reach", tip.X, c.x, 0.5e-6)
	}
}

// P9: S. P. Timoshenko, J. M. Gere (1961) Table 2-4, from memory (three digits there); computed.
func TestElasticaAfterBuckling(t *testing.T) {
	for _, c := range []struct{ degrees, force, x, y float64 }{
		{20, 1.015397, .969731, .219413}, {40, 1.063663, .881204, .422240}, {60, 1.151720, .741020, .593208},
		{80, 1.293889, .559396, .719497}, {100, 1.518389, .348989, .791539}, {120, 1.884801, .123160, .803171},
		{140, 2.542258, -.106923, .750388}, {160, 4.030086, -.340319, .624604}, {176, 9.116218, -.577211, .421442},
	} {
		force, tip := hand.Buckled(c.degrees * degree)
		near(t, "force", force, c.force, 0.5e-6)
		near(t, "reach", tip.X, c.x, 0.5e-6)
		near(t, "deflection", tip.Y, c.y, 0.5e-6)
		shot, err := hand.CantileverLoads{Along: -force * math.Pi * math.Pi / 4}.Bend(tip.Angle + 0.01)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "reach, shooting", shot.X, tip.X, 1e-7)
		near(t, "deflection, shooting", shot.Y, tip.Y, 1e-7)
	}
}

// P5: R. J. Webster, B. A. Jones, IJRR 2010 (from memory); the arc under an end moment also read in a benchmark for finite
// elements. Computed.
func TestArc(t *testing.T) {
	for _, c := range []struct{ degrees, y, x, chord float64 }{
		{30, .255873, .954930, .988616}, {60, .477465, .826993, .954930}, {90, .636620, .636620, .900316},
		{120, .716197, .413497, .826993}, {180, .636620, 0, .636620}, {270, .212207, -.212207, .300105},
	} {
		tip := hand.Arc(c.degrees * degree)
		near(t, "across", tip.Y, c.y, 0.5e-6)
		near(t, "along", tip.X, c.x, 0.5e-6)
		near(t, "chord", tip.Chord(), c.chord, 0.5e-6)
		close(t, "chord, closed form", tip.Chord(), math.Abs(2*math.Sin(c.degrees*degree/2)/(c.degrees*degree)), 1e-9)
		for name, l := range map[string]hand.CantileverLoads{"end moment": {Moment: c.degrees * degree}, "curvature": {Curvature: c.degrees * degree}} {
			shot, err := l.Bend(0)
			if err != nil {
				t.Fatal(err)
			}
			near(t, name, shot.Y, tip.Y, 1e-9)
			near(t, name, shot.X, tip.X, 1e-9)
		}
	}
	near(t, "series", hand.Arc(0.9999e-4).Y, 0.9999e-4/2-math.Pow(0.9999e-4, 3)/24, 1e-18)
	near(t, "straight", hand.Arc(0).X, 1, 0)
}

// P10: constants from L. L. Howell, "Compliant Mechanisms" (2001), from memory; errors against P6 computed.
func TestPseudoRigidBody(t *testing.T) {
	for _, c := range []struct{ load, percent float64 }{{.5, -3.15}, {1, -2.16}, {2, -.28}, {3, .66}, {4, .95}, {5, .89}} {
		exact, model := hand.EndLoaded(c.load), hand.PseudoRigidForce.EndLoaded(c.load)
		near(t, "error of deflection, %", 100*(model.Y/exact.Y-1), c.percent, 0.05)
		if e := 100 * math.Abs(model.X-exact.X); e > 0.93+0.005 {
			t.Errorf("reach at load %g is %.3f %% of the length out, want at most 0.93 %%", c.load, e)
		}
	}
	for _, moment := range []float64{0.2, 0.8, 1.5} {
		model, exact := hand.PseudoRigidMoment.EndMoment(moment), hand.Arc(moment)
		close(t, "end moment, angle", model.Angle, exact.Angle, 1e-9)
		near(t, "end moment, deflection", model.Y, exact.Y, 0.01)
		near(t, "end moment, reach", model.X, exact.X, 0.01)
	}
}

func TestElasticaLimits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		load := math.Exp(rapid.Float64Range(math.Log(1e-7), math.Log(60)).Draw(t, "log load"))
		tip := hand.EndLoaded(load)
		if !(tip.Angle > 0 && tip.Angle < math.Pi/2 && tip.X > 0 && tip.X <= 1 && tip.Y > 0 && tip.Y < 1) {
			t.Fatalf("load %g: %+v", load, tip)
		}
		if more := hand.EndLoaded(load * 1.01); !(more.Angle > tip.Angle && more.Y > tip.Y && more.X <= tip.X) {
			t.Fatalf("more load than %g bends less", load)
		}
		if load < 1e-2 {
			same(t, "small deflection", tip.Y/load, 1./3, 1e-4)
		}
	})
	for _, bad := range []float64{-1, math.NaN(), math.Inf(1)} {
		if !math.IsNaN(hand.EndLoaded(bad).X) || !math.IsNaN(hand.PseudoRigidForce.EndLoaded(bad).X) {
			t.Errorf("load %g gives a number", bad)
		}
	}
	if _, tip := hand.Buckled(math.Pi); !math.IsNaN(tip.X) {
		t.Error("a tip turned by half a turn gives a number")
	}
	if _, err := (hand.CantileverLoads{Across: math.NaN()}).Bend(0); err == nil {
		t.Error("a load that is no number passes")
	}
}
