package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"holdfast/mechanics/firsttouch"
	"holdfast/scenes"
)

const rollScene = "../../examples/scenes/roll-on-table.yaml"

func TestTouchAdjustLearnsAndGains(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "feeling.yaml")
	args := []string{"touch", "adjust", "--scene", rollScene, "--learn", "150", "--test", "60", "--json", "--out", file}
	code, out, told := program(t, append(args, "--workers", "1")...)
	if code != 0 {
		t.Fatal(told)
	}
	var r firsttouch.Report
	if err := json.Unmarshal([]byte(out), &r); err != nil {
		t.Fatal(err)
	}
	if !(r.AfterMM < 0.75*r.BeforeMM) || r.Tested != 60 || r.Touched < 140 || len(r.Advice) < 5 {
		t.Errorf("%+v", r)
	}
	if p := r.Pairs; p.N() != 60 || !(r.GainLow <= r.Gain && r.Gain <= r.GainHigh) || r.Gain <= 0 {
		t.Errorf("pairs %+v, gain %g, %g to %g", p, r.Gain, r.GainLow, r.GainHigh)
	}
	first := fileText(t, file)
	if code, again, told := program(t, append(args, "--workers", "3")...); code != 0 || again != out || fileText(t, file) != first {
		t.Errorf("three workers tell something else than one: %s", told)
	}
	s, err := scenes.ReadStrategy(os.DirFS(dir), "feeling.yaml")
	if err != nil {
		t.Fatal(err)
	}
	if !s.Phases[2].UntilTouch || len(s.Phases[3].Adjustments) != len(r.Advice) || s.Kind != "free-feeling" {
		t.Errorf("%+v", s)
	}
}

// A table of an invented person teaches the hand of a scene; without a scene it is told and not tried.
func TestTouchAdjustLearnsFromGuidedTrials(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "guided")
	if code, out, told := program(t, "touch", "invent", "--sensor", "guided", "--out", dir); code != 0 || !strings.Contains(out, "nobody guided a hand") {
		t.Fatal(out, told)
	}
	table, strategy := filepath.Join(dir, "guided.csv"), filepath.Join(dir, "feeling.yaml")
	code, out, told := program(t, "touch", "adjust", "--guided", table)
	if code != 0 || !strings.Contains(out, "The rule was not tried") || !strings.Contains(out, "The direction of the touch would tell more") || !strings.Contains(out, "17 of 120 guided trials did not end held") {
		t.Errorf("%s %s", out, told)
	}
	if code, out, told := program(t, "touch", "adjust", "--guided", table, "--direction"); code != 0 || strings.Contains(out, "The direction of the touch would tell more") || !strings.Contains(out, "mean direction") {
		t.Errorf("by direction: %s %s", out, told)
	}
	code, out, told = program(t, "touch", "adjust", "--guided", table, "--scene", rollScene, "--test", "60", "--json", "--out", strategy)
	if code != 0 {
		t.Fatal(told)
	}
	var r firsttouch.Report
	if err := json.Unmarshal([]byte(out), &r); err != nil {
		t.Fatal(err)
	}
	if r.Learnt != 120 || r.Touched != 103 || r.Tested != 60 || r.Guided == nil || r.Gain <= 0 || !(r.AfterMM < 0.7*r.BeforeMM) || r.Advice[0].TurnDeg == 0 {
		t.Errorf("%+v", r)
	}
	s, err := scenes.ReadStrategy(os.DirFS(dir), "feeling.yaml")
	if err != nil {
		t.Fatal(err)
	}
	if a := s.Phases[3].Adjustments; len(a) != len(r.Advice) || a[0].Turn == 0 || a[0].Move[0] == 0 {
		t.Errorf("%+v", a)
	}
}

func TestTouchAdjustRefuses(t *testing.T) {
	dir := t.TempDir()
	wrongHand, wrongTable := filepath.Join(dir, "hand.csv"), filepath.Join(dir, "table.csv")
	for name, text := range map[string]string{wrongHand: "finger,move_x_mm,move_y_mm,outcome\n7,1,1,dropped\n", wrongTable: "finger,move_x_mm,move_y_mm,outcome\n1,1,1,held\n1,1,1,fine\n"} {
		if err := os.WriteFile(name, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	for want, args := range map[string][]string{
		"nothing.yaml":                    {"--scene", "nothing.yaml"},
		"--placement-mm":                  {"--scene", rollScene, "--placement-mm", "0"},
		"--learn is 5":                    {"--scene", rollScene, "--learn", "5"},
		"--tilt-max is 100":               {"--scene", rollScene, "--tilt-max", "100"},
		"--closing is 2":                  {"--scene", rollScene, "--closing", "2"},
		"--workers is 2000":               {"--scene", rollScene, "--workers", "2000"},
		"name a scene to learn":           {},
		"--out writes a strategy":         {"--guided", "x.csv", "--out", "y.yaml"},
		"nowhere.csv":                     {"--guided", "nowhere.csv"},
		"row 2, column finger: the hand":  {"--guided", wrongHand, "--scene", rollScene},
		"row 3, column outcome":           {"--guided", wrongTable},
		"no column direction_deg":         {"--guided", wrongHand, "--direction"},
		"of 1 guided trials 0 ended held": {"--guided", wrongHand},
		"something was touc":              {"--scene", rollScene, "--closing", "0", "--placement-mm", "0.1", "--tilt-max", "0", "--learn", "20"},
	} {
		if code, out, told := program(t, append([]string{"touch", "adjust"}, args...)...); code != 2 || out != "" || !strings.Contains(told, want) {
			t.Errorf("%v: %d %q %q does not say %q", args, code, out, told, want)
		}
	}
}
