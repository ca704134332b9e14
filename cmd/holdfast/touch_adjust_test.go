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

func TestTouchAdjustRefuses(t *testing.T) {
	for want, args := range map[string][]string{
		"nothing.yaml":       {"--scene", "nothing.yaml"},
		"--placement-mm":     {"--scene", rollScene, "--placement-mm", "0"},
		"--learn is 5":       {"--scene", rollScene, "--learn", "5"},
		"--tilt-max is 100":  {"--scene", rollScene, "--tilt-max", "100"},
		"--closing is 2":     {"--scene", rollScene, "--closing", "2"},
		"--workers is 2000":  {"--scene", rollScene, "--workers", "2000"},
		"something was touc": {"--scene", rollScene, "--closing", "0", "--placement-mm", "0.1", "--tilt-max", "0", "--learn", "20"},
	} {
		if code, out, told := program(t, append([]string{"touch", "adjust"}, args...)...); code != 2 || out != "" || !strings.Contains(told, want) {
			t.Errorf("%v: %d %q %q does not say %q", args, code, out, told, want)
		}
	}
}
