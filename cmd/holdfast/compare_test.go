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

// strategyCSV writes trials of a strategy: block numbers from 1 on, or those given by blockOf; success falls with tilt.
func strategyCSV(t *testing.T, path, strategy string, n int, level float64, blockOf func(int) int) string {
	t.Helper()
	r := rand.New(rand.NewPCG(uint64(len(strategy)), 5))
	var b strings.Builder
	b.WriteString("key,block,strategy,tilt_deg,azimuth_deg,roll_deg,outcome\n")
	for i := range n {
		tilt, outcome := 60*r.Float64(), "slipped"
		if r.Float64() < 1/(1+math.Exp(-level-math.Cos(tilt/40))) {
			outcome = "held"
		}
		fmt.Fprintf(&b, "k%d,%d,%s,%.2f,%.2f,%.2f,%s\n", i, blockOf(i), strategy, tilt, 360*r.Float64()-180, 360*r.Float64()-180, outcome)
	}
	if err := os.WriteFile(path, []byte(b.String()), 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

func compared(t *testing.T, args ...string) (r compareReport, notes string) {
	t.Helper()
	code, out, stderr := program(t, append([]string{"compare", "--json"}, args...)...)
	if err := json.Unmarshal([]byte(out), &r); code != 0 || err != nil {
		t.Fatalf("%v: code %d, %v\n%s%s", args, code, err, out, stderr)
	}
	return r, stderr
}

func TestCompareTwoFiles(t *testing.T) {
	dir := t.TempDir()
	shared := func(i int) int { return i/30 + 1 }
	wall := strategyCSV(t, filepath.Join(dir, "wall.csv"), "wall-guided", 120, 1.5, shared)
	free := strategyCSV(t, filepath.Join(dir, "free.csv"), "free", 120, -1, shared)
	out := filepath.Join(dir, "difference.csv")
	r, _ := compared(t, wall, free, "--blur-deg", "5", "--no-worse-by", "0.02", "--out", out)
	if r.Design != "blocks" || r.Diff < 0.2 || r.Low <= 0 || *r.Better < 0.99 || r.P.TwoSided > 0.01 || !r.NoWorse.Shown || r.Maps.ClearA < 0.2 || r.Maps.ClearB > 0.05 {
		t.Errorf("%+v %+v %+v", r, r.NoWorse, r.Maps)
	}
	if raw, err := os.ReadFile(out); err != nil || strings.Count(string(raw), "\n") != r.Maps.Orientations+1 {
		t.Errorf("%v: %d lines for %d orientations", err, strings.Count(string(raw), "\n"), r.Maps.Orientations)
	}
	if r, _ = compared(t, wall, free, "--ignore-blocks"); r.Design != "trials" || !strings.HasPrefix(r.Sentence, "wall holds more often than free: ") {
		t.Errorf("%+v", r)
	}
	if r, _ = compared(t, wall, free, "--pairs"); r.Design != "pairs" {
		t.Errorf("%+v", r)
	}
	swapped, _ := compared(t, free, wall)
	straight, _ := compared(t, wall, free)
	if math.Abs(swapped.Diff+straight.Diff) > 1e-12 || math.Abs(*swapped.Better+*straight.Better-1) > 1e-9 {
		t.Errorf("swapped %+v, straight %+v", swapped, straight)
	}
}

// A factor that was changed only between blocks is compared between blocks: each block is one observation.
func TestCompareWholePlots(t *testing.T) {
	dir := t.TempDir()
	a := strategyCSV(t, filepath.Join(dir, "a.csv"), "free", 90, 1, func(i int) int { return 1 + 2*(i/30) })
	b := strategyCSV(t, filepath.Join(dir, "b.csv"), "free-again", 90, 1, func(i int) int { return 2 + 2*(i/30) })
	r, notes := compared(t, a, b)
	if r.Design != "whole plots" || r.Better != nil || r.P.TwoSided < 0.05 || !strings.Contains(notes, "could also be the day") {
		t.Errorf("%+v\n%s", r, notes)
	}
	single := strategyCSV(t, filepath.Join(dir, "single.csv"), "free", 90, 1, func(int) int { return 7 })
	code, _, stderr := program(t, "compare", a, single)
	if code != 2 || !strings.Contains(stderr, "run at least two of each") || !strings.Contains(stderr, "--ignore-blocks") {
		t.Errorf("code %d, %s", code, stderr)
	}
}

func TestCompareGroupsOfOneFile(t *testing.T) {
	dir := t.TempDir()
	var rows []string
	for _, g := range []struct {
		name      string
		held, all int
	}{{"free", 60, 100}, {"wall-guided", 90, 100}, {"scoop", 62, 100}} {
		for i := range g.all {
			outcome := "missed"
			if i < g.held {
				outcome = "held"
			}
			rows = append(rows, fmt.Sprintf("%s,10,%d,0,%s", g.name, i, outcome))
		}
	}
	path := filepath.Join(dir, "all.csv")
	if err := os.WriteFile(path, []byte("strategy,tilt_deg,azimuth_deg,roll_deg,outcome\n"+strings.Join(rows, "\n")+"\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	code, out, stderr := program(t, "compare", path, "--by", "strategy", "--json")
	var r groupsReport
	if err := json.Unmarshal([]byte(out), &r); code != 0 || err != nil {
		t.Fatalf("code %d, %v, %s", code, err, stderr)
	}
	if len(r.Groups) != 3 || len(r.Pairs) != 3 || r.Groups[0].Name != "wall-guided" || r.Pairs[0].Holm > 0.001 || r.Pairs[2].Holm < 0.5 || r.Pairs[0].Holm < r.Pairs[0].P {
		t.Errorf("%+v", r)
	}
	for _, c := range []struct {
		args  []string
		words string
	}{
		{[]string{"compare", path}, "two files are compared"},
		{[]string{"compare", path, "--by", "colour"}, "--by colour is not understood"},
		{[]string{"compare", path, "--by", "hand"}, "trials without hand"},
		{[]string{"compare", path, path, "--by", "strategy"}, "one file"},
		{[]string{"compare", path, filepath.Join(dir, "none.csv")}, "no such file"},
		{[]string{"compare", path, path, "--level", "2"}, "--level 2"},
		{[]string{"compare", path, path, "--no-worse-by", "3"}, "the margin is 3"},
	} {
		if code, _, stderr := program(t, c.args...); code != 2 || !strings.Contains(stderr, c.words) {
			t.Errorf("%v: code %d, %s", c.args, code, stderr)
		}
	}
}

func TestAgree(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "judges.csv")
	write := func(text string) {
		t.Helper()
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	var b strings.Builder
	b.WriteString("trial,judge,outcome\n")
	for i := range 40 {
		first, second := "held", "held"
		if i%4 == 0 {
			first, second = "slipped", "slipped"
		}
		if i == 5 {
			second = "missed"
		}
		fmt.Fprintf(&b, "T%d,Ada,%s\nT%d,Bo,%s\n", i, first, i, second)
	}
	write(b.String())
	code, out, stderr := program(t, "agree", path, "--json")
	var r agreeReport
	if err := json.Unmarshal([]byte(out), &r); code != 0 || err != nil {
		t.Fatalf("code %d, %v, %s", code, err, stderr)
	}
	if r.Trials != 40 || len(r.Pairs) != 1 || math.Abs(r.Pairs[0].Agreed-39./40) > 1e-12 || *r.Pairs[0].Kappa < 0.9 || len(r.Again) != 1 || r.Again[0].Trial != "T5" || !r.Again[0].Decisive {
		t.Errorf("%+v", r)
	}
	if code, out, _ = program(t, "agree", path); code != 0 || !strings.Contains(out, "T5 (Ada: held, Bo: missed)") {
		t.Errorf("code %d, %s", code, out)
	}
	for text, words := range map[string]string{
		"":                                 "no header",
		"trial,judge\nT1,Ada\n":            "no column outcome",
		"trial,judge,outcome\nT1,Ada,ok\n": "line 2, column outcome",
		"trial,judge,outcome\nT1,Ada,held\nT1,Ada,missed\n": "line 3: Ada judged trial T1 already",
		"trial,judge,outcome\nT1,Ada,held\n":                "at least two judges",
		"trial,judge,outcome\nT1,Ada,held\nT2,Bo,held\n":    "no trial was judged twice",
		"trial,judge,outcome\n,Ada,held\n":                  "line 2: trial and judge",
	} {
		write(text)
		if code, _, stderr := program(t, "agree", path); code != 2 || !strings.Contains(stderr, words) {
			t.Errorf("%q: code %d, %s", text, code, stderr)
		}
	}
	write("trial,judge,outcome\nT1,Ada,held\nT1,Bo,held\nT2,Ada,held\nT2,Bo,held\n")
	if code, out, _ := program(t, "agree", path); code != 0 || !strings.Contains(out, "nothing to agree on") {
		t.Errorf("code %d, %s", code, out)
	}
}
