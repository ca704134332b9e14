package firsttouch

import (
	"math"
	"strings"
	"testing"

	"holdfast/domain"
	"holdfast/mechanics/trialsim"
	"holdfast/numeric"
	"holdfast/orient"
	"holdfast/statistics/guide"
)

// The move that would have been right, along the palm's own axes, carries the palm onto the item however it was tilted and turned.
func TestRightMoveCarriesThePalmToTheItem(t *testing.T) {
	offset := orient.Vec3{0.012, -0.007, 0}
	for n := range 20 {
		o := trialsim.RandomOrientation(3, n, 1)
		m := rightMove(o, offset)
		// The palm looks along its own z, down where it is not tilted: half a turn about x beyond the orientation.
		palm := o.Mul(orient.RotX(math.Pi))
		if there := palm.Apply(orient.Vec3{m[guide.MoveX], m[guide.MoveY], m[guide.MoveZ]}); there.Add(offset.Scale(-1)).Norm() > 1e-12 || m[guide.Turn] != 0 {
			t.Errorf("%v: the move %v leads to %v", o, m, there)
		}
	}
}

// A strategy moves as its rule says, and a report tells the same, for touches in and beyond all that was learnt from.
func TestStrategyAndReportFollowTheRule(t *testing.T) {
	r := numeric.Stream(1, "first touch told")
	var examples []guide.Example
	for range 60 {
		angle := 0.6 + 0.5*r.NormFloat64()
		e := guide.Example{Finger: 1, Link: 0, Command: 0.4 + 0.1*r.NormFloat64(), Direction: [2]float64{math.Cos(angle), math.Sin(angle)}}
		e.Move = guide.Move{0.004 - 0.012*e.Direction[0] + 0.03*(e.Command-0.4) + 2e-4*r.NormFloat64(), 0.009*e.Direction[1] + 2e-4*r.NormFloat64(), 0.002, 0.1}
		examples = append(examples, e)
	}
	rule, err := guide.LearnByDirection(examples, 1)
	if err != nil {
		t.Fatal(err)
	}
	list := adjustments(rule)
	told := NewReport(&Learnt{Rule: rule, Directed: true}).Advice
	for i, a := range rule.Advice {
		got := list[i]
		if got.Finger != 1 || got.Link != a.Link || math.Abs(got.Turn-0.1) > 0.001 {
			t.Errorf("%+v", got)
		}
		for k := range 3 {
			for what, pair := range map[string][2]float64{
				"move": {got.Move[k], a.Move[k]}, "per command": {got.PerCommand[k], a.PerCommand[k]},
				"per x": {got.ByDirection.PerX[k], a.ByDirection.Per[0][k]}, "per y": {got.ByDirection.PerY[k], a.ByDirection.Per[1][k]},
				"told move": {told[i].MoveMM[k] / 1e3, a.Move[k]}, "told per command": {told[i].PerMM[k] / 1e3, a.PerCommand[k]},
				"told per x": {told[i].PerXMM[k] / 1e3, a.ByDirection.Per[0][k]}, "told per y": {told[i].PerYMM[k] / 1e3, a.ByDirection.Per[1][k]},
				"told half": {told[i].HalfMM[k] / 1e3, a.Half(k, 0.95)},
			} {
				most := 6e-5 // moves of a strategy are rounded to 0.01 mm, slopes to 0.1 mm
				if strings.HasPrefix(what, "told") {
					most = 1e-15
				}
				if math.Abs(pair[0]-pair[1]) > most {
					t.Errorf("%s, number %d: %g, the rule has %g", what, k, pair[0], pair[1])
				}
			}
		}
		mean := math.Atan2(a.ByDirection.At[1], a.ByDirection.At[0])
		for by, got := range map[float64][2]float64{-30: told[i].LessMM, 30: told[i].MoreMM} {
			sin, cos := math.Sincos(mean + by*math.Pi/180)
			// x falls by 12 mm and y rises by 9 mm for each unit.
			if want := [2]float64{4 - 12*cos + 30*(a.At-0.4), 9 * sin}; math.Hypot(got[0]-want[0], got[1]-want[1]) > 0.3 {
				t.Errorf("%g° from the mean: %v mm, want about %v", by, got, want)
			}
		}
	}
}

// A person who guides along the direction that the table tells teaches to go along it.
func TestGuidedDirectionsCountFromXTowardsY(t *testing.T) {
	g := &Guided{HasDirection: true}
	for n := range 72 {
		angle := 5 * float64(n) * math.Pi / 180
		g.Trials = append(g.Trials, GuidedTrial{Finger: 0, Link: -1, Direction: angle, Outcome: domain.OutcomeHeld, Move: guide.Move{0.01 * math.Cos(angle), 0.005 * math.Sin(angle)}})
	}
	learnt, err := LearnGuided(g, 1, true)
	if err != nil {
		t.Fatal(err)
	}
	m, _ := learnt.Rule.Foresee(&guide.Example{Finger: 0, Link: -1, Direction: [2]float64{math.Cos(0.5), math.Sin(0.5)}})
	if math.Abs(m[guide.MoveX]-0.01*math.Cos(0.5)) > 1e-6 || math.Abs(m[guide.MoveY]-0.005*math.Sin(0.5)) > 1e-6 {
		t.Errorf("%v", m)
	}
}
