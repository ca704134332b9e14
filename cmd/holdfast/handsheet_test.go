package main

import (
	"encoding/json"
	"path/filepath"
	"strings"
	"testing"

	"holdfast/handtest"
)

func TestHandsheet(t *testing.T) {
	soft := filepath.Dir(written(t, "grip.csv", "diameter_mm,force_N\n50,20\n50,21\n"))
	stiff := filepath.Dir(written(t, "strength-left.csv", "finger,peak_force_N\nthumb,12\nthumb,13\n"))
	code, out, stderr := program(t, "handsheet", "Soft="+soft, "Stiff="+stiff)
	if code != 0 || !strings.Contains(out, "20.5 (") || !strings.Contains(out, "left thumb") || !strings.Contains(out, "safety function") {
		t.Fatalf("code %d: %s%s", code, out, stderr)
	}
	code, out, _ = program(t, "handsheet", "Soft="+soft, "Stiff="+stiff, "--json")
	var s handtest.Sheet
	if err := json.Unmarshal([]byte(out), &s); code != 0 || err != nil || len(s.Hands) != 2 || s.Tests[2].Rows[0].Cells[0].Value != 20.5 || s.Tests[2].Rows[0].Cells[1] != nil {
		t.Errorf("code %d, %v: %s", code, err, out)
	}
	for arg, want := range map[string]string{
		"Soft": "NAME=DIR", "A=" + t.TempDir(): "no CSV",
		"B=" + filepath.Dir(written(t, "hope.csv", "a\n")):                           "hope.csv: no test",
		"C=" + filepath.Dir(written(t, "grip.csv", "diameter_mm,force_N\n30,ten\n")): "grip.csv: row 2, column force_N",
	} {
		if code, _, stderr := program(t, "handsheet", arg); code != 2 || !strings.Contains(stderr, want) {
			t.Errorf("%s: code %d: %s", arg, code, stderr)
		}
	}
}
