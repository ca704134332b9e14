package firsttouch_test

import (
	"bytes"
	"math"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"holdfast/domain"
	"holdfast/mechanics/firsttouch"
	"holdfast/statistics/guide"
)

func read(t testing.TB, text string) *firsttouch.Guided {
	t.Helper()
	g, err := firsttouch.ReadGuided(strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	return g
}

func TestGuidedTablesAreRead(t *testing.T) {
	g := read(t, "outcome,finger,link,command,place_mm,direction_deg,move_x_mm,move_y_mm,turn_deg,remark\nheld,2,3,0.4,12,180,5,-3,30,good\ndropped,0,0,0.1,0,0,0,0,0,\n")
	want := firsttouch.GuidedTrial{Finger: 1, Link: 2, Command: 0.4, Place: 0.012, Direction: math.Pi, Move: guide.Move{0.005, -0.003, 0, math.Pi / 6}, Outcome: domain.OutcomeHeld}
	if got := g.Trials[0]; len(g.Trials) != 2 || math.Abs(got.Move[guide.Turn]-want.Move[guide.Turn]) > 1e-15 || got.Finger != 1 || got.Link != 2 || got.Place != want.Place || got.Move[1] != want.Move[1] || got.Outcome != want.Outcome {
		t.Errorf("%+v, want %+v", got, want)
	}
	if g.Trials[1].Finger != -1 || g.Trials[1].Link != -1 || !g.HasCommand || !g.HasPlace || !g.HasDirection {
		t.Errorf("%+v", g)
	}
	least := read(t, "finger,move_x_mm,move_y_mm,outcome\n1,2,3,held\n")
	if least.HasCommand || least.HasPlace || least.HasDirection || least.Trials[0].Link != -1 {
		t.Errorf("%+v", least)
	}
}

func TestGuidedTablesAreRefusedByRowAndColumn(t *testing.T) {
	const header = "finger,link,command,move_x_mm,move_y_mm,turn_deg,outcome\n"
	for text, want := range map[string]string{
		"finger,move_x_mm,move_y_mm\n1,2,3\n":    "no column outcome",
		header + "1.5,1,0.3,1,1,0,held\n":        "row 2, column finger: must be a whole number (got 1.5)",
		header + "-1,1,0.3,1,1,0,held\n":         "row 2, column finger: must not be below 0",
		header + "1,1,1.3,1,1,0,held\n":          "row 2, column command: must not be more than 1 (got 1.3)",
		header + "1,1,0.3,1,1,0,held\n1,1,0.3,":  "row 3, column move_x_mm",
		header + "1,1,0.3,-120,1,0,held\n":       "row 2, column move_x_mm: must not be more than 100 (got -120)",
		header + "1,1,0.3,1,1,95,held\n":         "row 2, column turn_deg: must not be more than 90 (got 95)",
		header + "1,1,0.3,1,1,0,good\n":          "row 2, column outcome: must be held or",
		header + "0,2,0.3,1,1,0,held\n":          "row 2, column link: must be 0 where the palm was touched",
		header + "1000000000000,1,0.3,1,1,0,h\n": "row 2, column outcome",
		header + "1e14,1,0.3,1,1,0,held\n":       "row 2, column finger: must not be more than 100",
	} {
		g, err := firsttouch.ReadGuided(strings.NewReader(text))
		if err == nil || g != nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v does not say %q", text, err, want)
		}
	}
	hand := &task(t).Scene.Hand
	g := read(t, "finger,link,move_x_mm,move_y_mm,outcome\n1,1,2,3,held\n4,0,2,3,held\n1,9,2,3,held\n")
	if err := g.Check(hand); err == nil || !strings.Contains(err.Error(), "row 3, column finger: the hand has 3 fingers (got 4)") || !strings.Contains(err.Error(), "row 4, column link: finger 1 has") {
		t.Errorf("%v", err)
	}
}

// What is written is read again as it was, to the digits that are written.
func TestGuidedTablesComeBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := &firsttouch.Guided{HasCommand: true, HasPlace: true, HasDirection: true}
		for range rapid.IntRange(1, 8).Draw(t, "trials") {
			x := firsttouch.GuidedTrial{
				Finger: rapid.IntRange(-1, 4).Draw(t, "finger"), Link: -1, Command: float64(rapid.IntRange(0, 1000).Draw(t, "command")) / 1000,
				Place:   float64(rapid.IntRange(0, 80).Draw(t, "place")) / 1e3,
				Outcome: rapid.SampledFrom(domain.Outcomes).Draw(t, "outcome"),
			}
			x.Move[guide.MoveX] = float64(rapid.IntRange(-100, 100).Draw(t, "x")) / 1e3
			x.Move[guide.Turn] = float64(rapid.IntRange(-90, 90).Draw(t, "turn")) * math.Pi / 180
			g.Trials = append(g.Trials, x)
		}
		var b bytes.Buffer
		if err := firsttouch.WriteGuided(&b, g); err != nil {
			t.Fatal(err)
		}
		again, err := firsttouch.ReadGuided(&b)
		if err != nil || !reflect.DeepEqual(again, g) {
			t.Fatalf("%+v came back (%v), %+v was written", again, err, g)
		}
	})
}

// A person who guides by 5 mm and 12° when finger 1 is touched, and by −8 mm when finger 2 is, teaches just that.
func TestGuidedTrialsTeachWhatThePersonDid(t *testing.T) {
	var b strings.Builder
	b.WriteString("finger,link,command,place_mm,move_x_mm,move_y_mm,turn_deg,outcome\n")
	for i := range 12 {
		d := []string{"-1", "1"}[i%2] // by which every second trial differs
		for _, line := range []string{"1,1,0.3,5,5.DD,0,12.DD,held", "2,1,0.4,5,-8.DD,2.DD,0,held"} {
			b.WriteString(strings.ReplaceAll(line, "DD", map[string]string{"-1": "0", "1": "2"}[d]) + "\n")
		}
	}
	b.WriteString("1,1,0.3,5,50,50,80,dropped\n3,1,0.5,5,1,1,0,held\n0,0,0.5,5,1,1,0,held\n3,1,0.5,5,1,1,0,held\n")
	g := read(t, b.String())
	learnt, err := firsttouch.LearnGuided(g, 1, false)
	if err != nil {
		t.Fatal(err)
	}
	if learnt.Examples != 24 || learnt.NotHeld != 1 || !reflect.DeepEqual(learnt.Few, []firsttouch.FewTouches{{Finger: -1, Examples: 1}, {Finger: 2, Examples: 2}}) {
		t.Errorf("%+v", learnt)
	}
	one, _ := learnt.Rule.For(0, 0, 0.3)
	two, _ := learnt.Rule.For(1, 0, 0.4)
	if math.Abs(one[guide.MoveX]-0.0051) > 1e-5 || math.Abs(one[guide.Turn]-12.1*math.Pi/180) > 1e-4 || math.Abs(two[guide.MoveX]+0.0081) > 1e-5 || math.Abs(two[guide.MoveY]-0.0021) > 1e-5 {
		t.Errorf("%v and %v", one, two)
	}
	if _, ok := learnt.Rule.For(2, 0, 0.5); ok {
		t.Error("a finger of two trials has an entry")
	}
	r := firsttouch.NewReport(learnt)
	all := strings.Join(r.Warnings, "\n")
	if !strings.Contains(all, "finger 3 was touched first held (2; 5 are needed)") || !strings.Contains(all, "the palm was touched first held (1;") || !strings.Contains(all, "no") || len(r.How) != 1 {
		t.Errorf("%s\n%+v", all, r.Guided)
	}
	if a := r.Advice[0]; a.Finger != 1 || a.Link != 0 || a.Examples != 12 || math.Abs(a.TurnDeg-12.1) > 0.01 || !(a.TurnHalf > 0 && a.TurnHalf < 1) || a.TooFew {
		t.Errorf("%+v", a)
	}
	if _, err := firsttouch.LearnGuided(&firsttouch.Guided{Trials: g.Trials[:10]}, 1, false); domain.KindOf(err) != domain.KindInvalid || !strings.Contains(err.Error(), "of 10 guided trials 10 ended held") {
		t.Errorf("ten trials: %v", err)
	}
}

// The invented person guides over the item, so the rule leaves much less than there was; the direction of the touch tells more of where
// that lay than finger and command do, and a rule that goes by it leaves less still.
func TestInventedTableTeaches(t *testing.T) {
	hand := &task(t).Scene.Hand
	g := firsttouch.Invent(hand, 90, 3)
	if err := g.Check(hand); err != nil {
		t.Fatal(err)
	}
	learnt, err := firsttouch.LearnGuided(g, 1, false)
	if err != nil {
		t.Fatal(err)
	}
	if !(learnt.Rule.After < 0.75*learnt.Rule.Before) || len(learnt.Few) != 0 || learnt.NotHeld == 0 {
		t.Errorf("%g m before, %g after; %+v", learnt.Rule.Before, learnt.Rule.After, learnt)
	}
	for _, h := range learnt.How {
		if (h.Name == "direction") != (h.P < 0.01) {
			t.Errorf("%+v", h)
		}
	}
	directed, err := firsttouch.LearnGuided(g, 1, true)
	if err != nil {
		t.Fatal(err)
	}
	if len(directed.How) != 1 || !(directed.Rule.After < 0.85*learnt.Rule.After) {
		t.Errorf("%g m by direction, %g m without; %+v", directed.Rule.After, learnt.Rule.After, directed.How)
	}
	if _, err := firsttouch.LearnGuided(&firsttouch.Guided{Trials: g.Trials}, 1, true); err == nil || !strings.Contains(err.Error(), "direction_deg") {
		t.Errorf("directions that are not there: %v", err)
	}
	if !reflect.DeepEqual(g, firsttouch.Invent(hand, 90, 3)) || reflect.DeepEqual(g, firsttouch.Invent(hand, 90, 4)) {
		t.Error("the seed does not decide")
	}
}

func FuzzGuided(f *testing.F) {
	f.Add("finger,link,command,place_mm,direction_deg,move_x_mm,move_y_mm,turn_deg,outcome\n1,1,0.3,5,90,4,0,10,held\n")
	f.Add("finger,move_x_mm,move_y_mm,outcome\n" + strings.Repeat("1,4,0.5,held\n2,-4,1,held\n", 12))
	f.Add("finger,link,move_x_mm,move_y_mm,outcome\n0,2,1,1,void\n")
	f.Add("FINGER;MOVE\n\"")
	f.Fuzz(func(t *testing.T, text string) {
		g, err := firsttouch.ReadGuided(strings.NewReader(text))
		if err != nil {
			if g != nil {
				t.Fatal("a table with an error")
			}
			return
		}
		_ = g.Check(&task(t).Scene.Hand)
		learnt, err := firsttouch.LearnGuided(g, 1, g.HasDirection)
		if err != nil {
			return
		}
		firsttouch.NewReport(learnt)
		task := task(t)
		feeling, err := firsttouch.NewFeeling(&task.Scene.Strategy)
		if err != nil {
			t.Fatal(err)
		}
		feeling.Follow(learnt.Rule)
		if err := feeling.Strategy.Check(); err != nil {
			t.Fatalf("the table teaches what no strategy takes: %v", err)
		}
	})
}
