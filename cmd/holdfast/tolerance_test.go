package main

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// offsetCSV writes trials whose success falls with tilt and with the placement offset.
func offsetCSV(t *testing.T, n int, spread float64) string {
	t.Helper()
	r := rand.New(rand.NewPCG(9, 5))
	var b strings.Builder
	b.WriteString("strategy,tilt_deg,azimuth_deg,roll_deg,offset_x_mm,offset_y_mm,outcome\n")
	for i := range n {
		tilt := math.Acos(1-0.6*r.Float64()) * 180 / math.Pi
		x, y, outcome := spread*r.NormFloat64(), spread*r.NormFloat64(), "slipped"
		strategy := []string{"free", "wall"}[i%2]
		f := 3.5 - tilt*tilt/900 - (x*x+y*y)/40
		if strategy == "wall" {
			f++
		}
		if r.Float64() < 1/(1+math.Exp(-f)) {
			outcome = "held"
		}
		fmt.Fprintf(&b, "%s,%.2f,%.2f,%.2f,%.3f,%.3f,%s\n", strategy, tilt, 360*r.Float64()-180, 360*r.Float64()-180, x, y, outcome)
	}
	path := filepath.Join(t.TempDir(), "trials.csv")
	if err := os.WriteFile(path, []byte(b.String()), 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

func TestToleranceOfAFile(t *testing.T) {
	trials := offsetCSV(t, 800, 4)
	out := filepath.Join(t.TempDir(), "surface.csv")
	args := []string{"tolerance", "--trials", trials, "--target", "0.8", "--position-mm", "2", "--angle-deg", "4", "--where", "strategy=wall", "--hand-symmetry", "2", "--json"}
	code, first, stderr := program(t, append(args, "--out", out)...)
	var r toleranceReport
	if err := json.Unmarshal([]byte(first), &r); code != 0 || err != nil {
		t.Fatalf("code %d, %v\n%s%s", code, err, first, stderr)
	}
	if r.Success < 0.9 || r.Low > r.Success || r.High < r.Success || r.Scale.Largest < 1 || !strings.HasPrefix(r.Sentence, "No fixture is needed up to ") {
		t.Errorf("%+v", r)
	}
	if r.PositionTo.Largest < 2 || r.PositionTo.Largest > 8 || r.AngleTo.Largest < 4 || len(r.Frontier) < 3 {
		t.Errorf("%+v", r)
	}
	if raw, err := os.ReadFile(out); err != nil || strings.Count(string(raw), "\n") != toleranceGrid*toleranceGrid+1 {
		t.Errorf("%v: %d lines", err, strings.Count(string(raw), "\n"))
	}
	if _, again, _ := program(t, args...); again != first {
		t.Error("the same file gives another answer")
	}
	code, text, _ := program(t, "tolerance", "--trials", trials, "--target", "0.999", "--position-mm", "3,4,0.2", "--where", "strategy=free", "--at", "40,0,0", "--hand-symmetry", "2")
	if code != 0 || !strings.Contains(text, "not surely the target") {
		t.Errorf("code %d: %s", code, text)
	}
}

func TestToleranceWithoutOffsetsClaimsNone(t *testing.T) {
	code, out, stderr := program(t, "tolerance", "--trials", offsetCSV(t, 300, 0), "--target", "0.7", "--where", "strategy=wall", "--json")
	var r toleranceReport
	if err := json.Unmarshal([]byte(out), &r); code != 0 || err != nil {
		t.Fatalf("code %d, %v\n%s%s", code, err, out, stderr)
	}
	if r.PositionTo.Largest > 0.1 || !strings.Contains(strings.Join(r.Warnings, " "), "same placement offset") {
		t.Errorf("%+v", r)
	}
}

func TestToleranceRefusesBadInput(t *testing.T) {
	trials := offsetCSV(t, 40, 3)
	for want, args := range map[string][]string{
		"--target 1.2":                        {"--target", "1.2"},
		"--position-mm 3,x,0":                 {"--target", "0.9", "--position-mm", "3,x,0"},
		"--position-mm 3,4,2":                 {"--target", "0.9", "--position-mm", "3,4,2"},
		"--angle-deg 80":                      {"--target", "0.9", "--angle-deg", "80"},
		"--at left":                           {"--target", "0.9", "--at", "left"},
		"the trials differ in their strategy": {"--target", "0.9"},
		"there is no colour":                  {"--target", "0.9", "--where", "colour=red"},
		"no trial of that strategy":           {"--target", "0.9", "--where", "strategy=slow"},
		"--closing 3":                         {"--target", "0.9", "--where", "strategy=wall", "--closing", "3"},
	} {
		code, _, stderr := program(t, append([]string{"tolerance", "--trials", trials}, args...)...)
		if code != 2 || !strings.Contains(stderr, want) {
			t.Errorf("%v: code %d, %s", args, code, stderr)
		}
	}
}
