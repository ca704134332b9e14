package main

import (
	"encoding/json"
	"strings"
	"testing"

	"holdfast/domain"
	"holdfast/handtest"
)

func TestHandtestIsKeptInTheLab(t *testing.T) {
	dir := t.TempDir()
	store, err := openLab(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, id := range []domain.ID{"soft", "stiff"} {
		if _, err := store.PutHand(t.Context(), domain.Hand{ID: id, Name: strings.ToUpper(string(id))}); err != nil {
			t.Fatal(err)
		}
	}
	store.Close()
	grip := written(t, "grip.csv", "diameter_mm,force_N\n50,20\n50,21\n")
	for _, s := range []struct {
		name string
		args []string
		code int
		want string
	}{
		{"only checked", []string{"handtest", "grip", grip, "--lab", dir, "--hand", "soft", "--operator", "ada", "--dry-run"}, 0, "nothing was stored"},
		{"kept", []string{"handtest", "grip", grip, "--lab", dir, "--hand", "soft", "--operator", "ada", "--day", "2026-03-01"}, 0, "bench record 1 of soft"},
		{"kept once", []string{"handtest", "grip", grip, "--lab", dir, "--hand", "soft", "--operator", "ada", "--day", "2026-03-01"}, 0, "known already as bench record 1"},
		{"nobody measured", []string{"handtest", "grip", grip, "--lab", dir, "--hand", "soft"}, 2, "--operator"},
		{"unknown hand", []string{"handtest", "grip", grip, "--lab", dir, "--hand", "paw", "--operator", "ada"}, 2, `no hand "paw"`},
		{"no lab", []string{"handtest", "grip", grip, "--lab", t.TempDir(), "--hand", "soft", "--operator", "ada"}, 2, "no lab in"},
		{"no day", []string{"handtest", "grip", grip, "--lab", dir, "--hand", "soft", "--operator", "ada", "--day", "3/1"}, 2, "2026-03-14"},
		{"no unit", []string{"handtest", "wear", written(t, "wear.csv", "cycles,value\n0,1\n1,2\n2,2\n"), "--lab", dir, "--hand", "soft", "--operator", "ada"}, 2, "unit"},
		{"unit", []string{"handtest", "wear", written(t, "wear.csv", "cycles,value_N\n0,1\n1,2\n2,2\n"), "--lab", dir, "--hand", "soft", "--operator", "ada"}, 0, "bench record 2 of soft"},
	} {
		if code, out, stderr := program(t, s.args...); code != s.code || !strings.Contains(stderr, s.want) {
			t.Errorf("%s: code %d: %s%s", s.name, code, out, stderr)
		}
	}
	code, out, stderr := program(t, "handsheet", "--lab", dir, "soft", "stiff")
	for _, want := range []string{"SOFT", "STIFF", "20.5 (", "rest on:", "Student's t", "fewer than three sizes", "cut motion", "safety function"} {
		if code != 0 || !strings.Contains(strings.ToLower(out), strings.ToLower(want)) {
			t.Errorf("no %q: code %d: %s%s", want, code, out, stderr)
		}
	}
	code, out, _ = program(t, "handsheet", "--lab", dir, "soft", "--json")
	var s handtest.Sheet
	if err := json.Unmarshal([]byte(out), &s); code != 0 || err != nil || len(s.Hands) != 1 {
		t.Errorf("code %d, %v", code, err)
	}
	if code, _, stderr = program(t, "handsheet", "--lab", dir, "paw"); code != 2 || !strings.Contains(stderr, "paw") {
		t.Errorf("code %d: %s", code, stderr)
	}
}

func TestHandsheetTakesSettingsAndCapitals(t *testing.T) {
	dir := written(t, "WEAR.CSV", "cycles,value_N\n0,10\n1000,9.8\n2000,9.7\n3000,9.4\n")
	dir = strings.TrimSuffix(dir, "/WEAR.CSV")
	if code, out, stderr := program(t, "handsheet", "A="+dir, "--limit", "9"); code != 0 || !strings.Contains(out, "cycles to 9 N") {
		t.Errorf("code %d: %s%s", code, out, stderr)
	}
}
