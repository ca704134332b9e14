package main

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// variedFile writes trials of an invented bench on which closing and strategy matter and hands do not.
func variedFile(t *testing.T, n int) string {
	t.Helper()
	rng := rand.New(rand.NewPCG(4, 2))
	var b strings.Builder
	b.WriteString("tilt_deg,azimuth_deg,roll_deg,closing,offset_x_mm,strategy,hand,block,outcome\n")
	for i := range n {
		closing, strategy := rng.Float64(), []string{"from above", "scoop"}[i%2]
		p := 0.15 + 0.6*closing
		if strategy == "scoop" {
			p += 0.2
		}
		outcome := "dropped"
		if rng.Float64() < p {
			outcome = "held"
		}
		fmt.Fprintf(&b, "%g,%g,0,%.3f,,%s,hand %d,%d,%s\n", 20*float64(i%3), 60*float64(i%5), closing, strategy, i%3, i/40, outcome)
	}
	path := filepath.Join(t.TempDir(), "trials.csv")
	if err := os.WriteFile(path, []byte(b.String()), 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

func TestFitTellsWhatMatters(t *testing.T) {
	trials, dir := variedFile(t, 320), filepath.Join(t.TempDir(), "out")
	code, stdout, stderr := program(t, "fit", "--trials", trials, "--out", dir, "--json", "--hand-symmetry", "2+mirror")
	if code != 0 {
		t.Fatalf("exit %d: %s", code, stderr)
	}
	var r fitReport
	if err := json.Unmarshal([]byte(stdout), &r); err != nil {
		t.Fatal(err)
	}
	if r.Trials != 320 || r.ScoredBy != "blocks" || *r.LogScore <= *r.BaseScore {
		t.Errorf("report: %+v", r)
	}
	if first := r.Terms[0].Term; first != "closing" && first != "strategy" {
		t.Errorf("%s matters most, but only closing and strategy do anything", first)
	}
	f, err := os.Open(filepath.Join(dir, "effects.csv"))
	if err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil || f.Close() != nil {
		t.Fatal(err)
	}
	if len(rows) != 1+41+2+3+8 {
		t.Errorf("%d rows of effects", len(rows))
	}
	for _, name := range []string{"terms.csv", "summary.json"} {
		if _, err := os.Stat(filepath.Join(dir, name)); err != nil {
			t.Error(err)
		}
	}
	code, table, _ := program(t, "fit", "--trials", trials, "--terms", "closing,strategy,strategy*closing")
	if code != 0 || !strings.Contains(table, "strategy × closing") || !strings.Contains(table, "lost when left out") {
		t.Errorf("exit %d:\n%s", code, table)
	}
}

func TestFitRefusesInSentences(t *testing.T) {
	trials := variedFile(t, 40)
	for want, args := range map[string][]string{
		`term "mass" is not known`:                {"--terms", "mass"},
		"row 1: offset_x is not given":            {"--terms", "offset_x"},
		"no trial names its item":                 {"--terms", "item"},
		"--hand-symmetry axial is not understood": {"--hand-symmetry", "axial"},
		"there is no such file":                   {"--columns", "nowhere.yaml"},
	} {
		code, _, stderr := program(t, append([]string{"fit", "--trials", trials}, args...)...)
		if code != 2 || !strings.Contains(stderr, want) {
			t.Errorf("%v: exit %d, %s", args, code, stderr)
		}
	}
}
