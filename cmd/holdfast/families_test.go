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

// familyCSV writes items and their trials; success falls with tilt, the faster the larger the item.
func familyCSV(t *testing.T, trials []int) (table, items string) {
	t.Helper()
	r := rand.New(rand.NewPCG(4, 2))
	var b, f strings.Builder
	b.WriteString("item,tilt_deg,azimuth_deg,roll_deg,outcome\n")
	f.WriteString("item,shape,size_mm,mass_g,stiffness_N_per_mm,friction\n")
	for i, n := range trials {
		size := 45 + 10*i
		fmt.Fprintf(&f, "roll %d,ellipsoid,%d,60,,0.6\n", i+1, size)
		for range n {
			tilt, outcome := 80*math.Sqrt(r.Float64()), "slipped"
			if r.Float64() < 1/(1+math.Exp(-3+tilt*float64(size)/900)) {
				outcome = "held"
			}
			fmt.Fprintf(&b, "roll %d,%.2f,%.2f,%.2f,%s\n", i+1, tilt, 360*r.Float64()-180, 360*r.Float64()-180, outcome)
		}
	}
	dir := t.TempDir()
	table, items = filepath.Join(dir, "trials.csv"), filepath.Join(dir, "items.csv")
	for path, text := range map[string]string{table: b.String(), items: f.String()} {
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return table, items
}

func TestFitFamilies(t *testing.T) {
	table, items := familyCSV(t, []int{120, 120, 120, 15})
	out := filepath.Join(t.TempDir(), "family")
	code, text, stderr := program(t, "fit", "--trials", table, "--families", items, "--hand-symmetry", "2", "--json", "--out", out)
	var r familyReport
	if err := json.Unmarshal([]byte(text), &r); code != 0 || err != nil {
		t.Fatalf("code %d, %v\n%s%s", code, err, text, stderr)
	}
	if r.Item != "roll 4" || r.Own != 15 || r.Worth < 5 || len(r.Donors) != 3 || r.OwnShare <= 0 || r.OwnShare >= 1 {
		t.Errorf("%+v", r)
	}
	for file, lines := range map[string]int{"map.csv": r.Rows + 1, "borrowed.csv": 4} {
		if raw, err := os.ReadFile(filepath.Join(out, file)); err != nil || strings.Count(string(raw), "\n") != lines {
			t.Errorf("%s: %v, %d lines", file, err, strings.Count(string(raw), "\n"))
		}
	}
	code, text, _ = program(t, "fit", "--trials", table, "--families", items, "--hand-symmetry", "2", "--for", "roll 1")
	if code != 0 || !strings.HasPrefix(text, "roll 1: 120 own trials") || !strings.Contains(text, "likeness") {
		t.Errorf("code %d: %s", code, text)
	}
}

func TestFitFamiliesRefusesBadInput(t *testing.T) {
	table, items := familyCSV(t, []int{20, 20})
	bad := func(text string) string {
		path := filepath.Join(t.TempDir(), "bad.csv")
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		return path
	}
	for want, args := range map[string][]string{
		"needs --families":                    {"--for", "roll 1"},
		"--for egg: there is no such item":    {"--families", items, "--for", "egg"},
		"item roll 2 has no row in bad.csv":   {"--families", bad("item\nroll 1\n")},
		"has no column item":                  {"--families", bad("name\nroll 1\n")},
		"row 1, column mass_g: \"-3\" is not": {"--families", bad("item,mass_g\nroll 1,-3\n")},
		"roll 1 is listed twice":              {"--families", bad("item\nroll 1\nroll 1\n")},
		"nothing.csv":                         {"--families", "nothing.csv"},
	} {
		code, _, stderr := program(t, append([]string{"fit", "--trials", table}, args...)...)
		if code != 2 || !strings.Contains(stderr, want) {
			t.Errorf("%v: code %d, %s", args, code, stderr)
		}
	}
}
