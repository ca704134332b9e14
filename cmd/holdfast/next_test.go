package main

import (
	"encoding/csv"
	"encoding/json"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

func TestNextBeginsTheCoverWithoutTrials(t *testing.T) {
	dir := t.TempDir()
	header := filepath.Join(dir, "trials.csv")
	if err := os.WriteFile(header, []byte("tilt_deg,azimuth_deg,roll_deg,outcome\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	var files [2][]byte
	for i, from := range [][]string{{}, {"--trials", header}} {
		out := filepath.Join(dir, "next.csv")
		code, _, stderr := program(t, append([]string{"next", "--question", "best", "-n", "5", "--max-tilt-deg", "60", "--hand-symmetry", "2", "--strategy", "free", "--out", out}, from...)...)
		if code != 0 {
			t.Fatalf("exit code %d: %s", code, stderr)
		}
		var err error
		if files[i], err = os.ReadFile(out); err != nil {
			t.Fatal(err)
		}
	}
	if string(files[0]) != string(files[1]) {
		t.Error("a file without rows and no file give different trials")
	}
	rows, err := csv.NewReader(strings.NewReader(string(files[0]))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(rows) != 6 || rows[0][0] != "order" || rows[0][len(rows[0])-1] != "why" || rows[1][6] != "free" || !strings.HasPrefix(rows[1][len(rows[1])-1], "First cover of free") {
		t.Errorf("rows %v", rows)
	}
}

func TestNextSettlesAndSaysWhatChoosingLoses(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "trials.csv")
	text := "tilt_deg,azimuth_deg,roll_deg,outcome,strategy,closing\n"
	for i := range 80 {
		tilt, azimuth, roll := (i*37)%60, (i*61)%360, (i*83)%180
		outcome := "dropped"
		if (tilt-20)*(tilt-20) < 300 && roll < 120 {
			outcome = "held"
		}
		text += strings.Join([]string{strconv.Itoa(tilt), strconv.Itoa(azimuth), strconv.Itoa(roll), outcome, "free", "0.6"}, ",") + "\n"
	}
	if err := os.WriteFile(file, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	args := []string{"next", "--trials", file, "--max-tilt-deg", "60", "--hand-symmetry", "2", "--blur-deg", "5", "--target", "0.8", "-n", "3", "--first-cover", "20", "--json"}
	for _, question := range []string{"best", "border", "measure"} {
		code, stdout, stderr := program(t, append(args, "--question", question, "--value-per-pick", "0.5")...)
		if code != 0 {
			t.Fatalf("%s: exit code %d: %s", question, code, stderr)
		}
		var r nextReport
		if err := json.Unmarshal([]byte(stdout), &r); err != nil {
			t.Fatal(err)
		}
		if !r.Known || r.Trials != 80 || len(r.Proposed) != 3 || len(r.Choices) != 1 || !(r.LossLow <= r.Loss && r.Loss <= r.LossHigh) {
			t.Errorf("%s: %+v", question, r)
		}
		if (r.LossMoney != nil) != (question == "best") || question == "best" && *r.LossMoney != 0.5*r.Loss {
			t.Errorf("%s: money %v", question, r.LossMoney)
		}
		again, second, _ := program(t, append(args, "--question", question, "--value-per-pick", "0.5")...)
		if again != 0 || second != stdout {
			t.Errorf("%s: the same call gives another answer", question)
		}
	}
	code, stdout, _ := program(t, append(args[:len(args)-1], "--question", "best")...)
	if code != 0 || !strings.Contains(stdout, "Would be chosen now") || !strings.Contains(stdout, "1. Tells most about") {
		t.Errorf("exit code %d, %s", code, stdout)
	}
}

func TestNextRefuses(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "trials.csv")
	if err := os.WriteFile(file, []byte("tilt_deg,azimuth_deg,roll_deg,outcome\n10,0,0,held\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	for says, args := range map[string][]string{
		"is not known":              {"--question", "fastest"},
		"propose 1 to 200":          {"-n", "201"},
		"a border needs one inside": {"--question", "border"},
		"two strategies at least":   {"--question", "rank"},
		"--blur-deg 100":            {"--blur-deg", "100"},
		"--max-tilt-deg -1":         {"--max-tilt-deg=-1"},
		"--tolerance 0":             {"--tolerance", "0"},
		"no such file":              {"--trials", filepath.Join(dir, "none.csv")},
		"would be lost":             {"--trials", file, "--out", file},
		"--lab needs --study":       {"--lab", dir},
		"belong to a lab":           {"--study", "x"},
		"can't be used together":    {"--lab", dir, "--trials", file},
		"--hand-symmetry":           {"--hand-symmetry", "0"},
		"--item-symmetry":           {"--item-symmetry", "round"},
		"it cannot have less":       {"--first-cover=-3"},
		"columns do not tell":       {"--trials", columnless(t, dir)},
	} {
		code, _, stderr := program(t, append([]string{"next"}, args...)...)
		if code != 2 || !strings.Contains(stderr, says) {
			t.Errorf("%v: exit code %d, %q, should say %q", args, code, stderr, says)
		}
	}
}

func columnless(t *testing.T, dir string) string {
	path := filepath.Join(dir, "odd.csv")
	if err := os.WriteFile(path, []byte("a,b\n1,2\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	return path
}

func TestNextExtendsTheStudyOfALab(t *testing.T) {
	lab := filepath.Join(t.TempDir(), "lab")
	address, stop := serving(t, lab)
	stock(t, address)
	stop()
	// Its plan covers what there is to try; until that is made nothing can be placed.
	if code, _, stderr := program(t, "next", "--lab", lab, "--study", "small"); code != 2 || !strings.Contains(stderr, "come first") {
		t.Errorf("exit code %d: %s", code, stderr)
	}
	text := "tilt_deg,azimuth_deg,roll_deg,outcome\n"
	for i := range 40 {
		outcome := "dropped"
		if i%5 > i%3 {
			outcome = "held"
		}
		text += strings.Join([]string{strconv.Itoa(i % 4 * 10), "0", strconv.Itoa(i * 37 % 360), outcome}, ",") + "\n"
	}
	file := filepath.Join(t.TempDir(), "trials.csv")
	if err := os.WriteFile(file, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	if code, _, stderr := program(t, "import", "--lab", lab, "--study", "small", file); code != 0 {
		t.Fatalf("import: %s", stderr)
	}
	count := func() int {
		code, stdout, stderr := program(t, "next", "--lab", lab, "--study", "small", "-n", "4", "--dry-run", "--json")
		var r nextReport
		if err := json.Unmarshal([]byte(stdout), &r); code != 0 || err != nil {
			t.Fatalf("exit code %d, %v: %s", code, err, stderr)
		}
		if r.Stored != 0 || len(r.Proposed) < 4 {
			t.Fatalf("dry run: %+v", r)
		}
		return r.Proposed[0].Order
	}
	first := count()
	if again := count(); again != first {
		t.Fatalf("a dry run has changed the plan: run %d, then %d", first, again)
	}
	out := filepath.Join(t.TempDir(), "next.csv")
	code, stdout, stderr := program(t, "next", "--lab", lab, "--study", "small", "-n", "4", "--out", out)
	if code != 0 || !strings.Contains(stdout, "added to the plan") {
		t.Fatalf("exit code %d: %s%s", code, stdout, stderr)
	}
	if now := count(); now <= first {
		t.Errorf("after adding runs the next is still run %d", now)
	}
	if code, _, stderr := program(t, "next", "--lab", lab, "--study", "nobody"); code != 2 || !strings.Contains(stderr, "nobody") {
		t.Errorf("exit code %d: %s", code, stderr)
	}
	if code, _, stderr := program(t, "next", "--lab", t.TempDir(), "--study", "small"); code != 2 || !strings.Contains(stderr, "no lab") {
		t.Errorf("exit code %d: %s", code, stderr)
	}
	if code, stdout, _ := program(t, "check", "--lab", lab); code != 0 {
		t.Errorf("the lab has faults after its plan grew: %s", stdout)
	}
}
