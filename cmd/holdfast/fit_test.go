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
		"trials.csv, row 1, column offset_x_mm":   {"--terms", "offset_x"},
		"trials.csv, row 1, column item_mass_g":   {"--terms", "closing,item_mass"},
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

// Eight items whose mass matters and whose size, drawn apart from it, does not.
func TestFitBySizeAndMass(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 1))
	var b strings.Builder
	b.WriteString("tilt_deg,azimuth_deg,roll_deg,item,item_size_mm,item_mass_g,hand,outcome\n")
	for i := range 640 {
		item := i % 8
		mass := 5 * float64(int(1)<<item)
		outcome := "dropped"
		if rng.Float64() < 0.9-0.1*float64(item) {
			outcome = "held"
		}
		fmt.Fprintf(&b, "%g,%g,0,item %d,%d,%g,hand %d,%s\n", 20*float64(i%3), 60*float64(i%5), item, 40+(item*5)%8*9, mass, i/320, outcome)
	}
	dir := t.TempDir()
	path := filepath.Join(dir, "trials.csv")
	if err := os.WriteFile(path, []byte(b.String()), 0o600); err != nil {
		t.Fatal(err)
	}
	code, stdout, stderr := program(t, "fit", "--trials", path, "--out", dir, "--item-symmetry", "axial")
	if code != 0 {
		t.Fatalf("exit %d: %s", code, stderr)
	}
	for _, want := range []string{"item_size took 8 different values and item_mass took 8 different values in 640 trials", "The term item takes up what item_size and item_mass leave", "is taken for all of the file's 2 hands and 8 items"} {
		if !strings.Contains(stderr, want) {
			t.Errorf("the notes do not say %q:\n%s", want, stderr)
		}
	}
	if !strings.Contains(stdout, " times\n") {
		t.Errorf("no length scale as a ratio:\n%s", stdout)
	}
	f, err := os.Open(filepath.Join(dir, "effects.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	chance := map[string]string{} // by grams
	for _, row := range rows {
		if row[0] == "item_mass" {
			chance[row[6]] = row[11]
		}
	}
	if light, heavy := chance["5"], chance["640"]; len(chance) != 41 || !(light > "0.75" && light < "0.95" && heavy > "0.1" && heavy < "0.35") {
		t.Errorf("held %s of the lightest and %s of the heaviest, true are 0.9 and 0.2: %v", light, heavy, chance)
	}
	code, _, stderr = program(t, "fit", "--trials", path, "--terms", "item_mass", "--no-matter")
	if code != 0 || !strings.Contains(stderr, "Without the term item") {
		t.Errorf("exit %d: %s", code, stderr)
	}
	if err := os.WriteFile(path, []byte(strings.Replace(b.String(), ",20,hand 0", ",2 0,hand 0", 1)), 0o600); err != nil {
		t.Fatal(err)
	}
	code, _, stderr = program(t, "fit", "--trials", path)
	if code != 2 || !strings.Contains(stderr, "row 3 (line 4), column item_mass_g") {
		t.Errorf("exit %d: %s", code, stderr)
	}
}
