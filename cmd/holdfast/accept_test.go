package main

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// trialsCSV writes a file of trials with the outcomes, h for held, m for missed, v for void, begun at the time.
func trialsCSV(t *testing.T, dir, outcomes, began string) string {
	t.Helper()
	words := map[rune]string{'h': "held,", 'm': "missed,", 'v': "void,the tray slid"}
	var b strings.Builder
	b.WriteString("tilt_deg,azimuth_deg,roll_deg,started_at,outcome,void_reason\n")
	for i, o := range outcomes {
		fmt.Fprintf(&b, "10,%d,0,%s,%s\n", i%360-180, began, words[o])
	}
	path := filepath.Join(dir, "trials.csv")
	if err := os.WriteFile(path, []byte(b.String()), 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

func TestAcceptFromPlanToVerdict(t *testing.T) {
	dir := t.TempDir()
	plan, curve := filepath.Join(dir, "plan.json"), filepath.Join(dir, "curve.csv")
	code, out, stderr := program(t, "accept", "plan", "--success", "0.95", "--confidence", "0.95", "--sign", "Ida Bench", "--out", plan, "--curve", curve, "--json")
	var report planReport
	if err := json.Unmarshal([]byte(out), &report); code != 0 || err != nil || report.Longest != 59 || report.Plan.SignedBy != "Ida Bench" {
		t.Fatalf("code %d, %v, %s%s", code, err, out, stderr)
	}
	if raw, err := os.ReadFile(curve); err != nil || strings.Count(string(raw), "\n") != 102 {
		t.Fatalf("curve: %v\n%s", err, raw)
	}
	later := "2199-01-01T00:00:00Z"
	for _, c := range []struct {
		outcomes, verdict string
		trials, void      int
	}{
		{strings.Repeat("h", 30) + "v" + strings.Repeat("h", 29), "accepted", 59, 1},
		{"hhhmhh", "rejected", 4, 0},
		{"hhhv", "go on", 3, 1},
	} {
		code, out, stderr = program(t, "accept", "run", plan, "--trials", trialsCSV(t, dir, c.outcomes, later), "--json")
		var r runReport
		if err := json.Unmarshal([]byte(out), &r); code != 0 || err != nil || r.Verdict != c.verdict || r.Trials != c.trials || r.Void != c.void {
			t.Errorf("%s: code %d, %v, %s%s", c.outcomes, code, err, out, stderr)
		}
	}
	if code, _, _ := program(t, "accept", "run", plan, "--trials", trialsCSV(t, dir, "hm", later), "--require", "accepted"); code != 1 {
		t.Errorf("a rejected run that had to be accepted ends with %d", code)
	}
	code, out, _ = program(t, "accept", "run", plan, "--trials", trialsCSV(t, dir, "hhh", later))
	if code != 0 || !strings.HasPrefix(out, "Go on: 0 failures after 3 trials, of 59 at most.") {
		t.Errorf("code %d, %s", code, out)
	}
}

func TestAcceptRefusesWhatProvesNothing(t *testing.T) {
	dir := t.TempDir()
	plan, unsigned := filepath.Join(dir, "plan.json"), filepath.Join(dir, "unsigned.json")
	program(t, "accept", "plan", "--sign", "Ida Bench", "--out", plan)
	program(t, "accept", "plan", "--out", unsigned)
	changed := filepath.Join(dir, "changed.json")
	raw, err := os.ReadFile(plan)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(changed, []byte(strings.Replace(string(raw), "0.95", "0.55", 1)), 0o600); err != nil {
		t.Fatal(err)
	}
	earlier := trialsCSV(t, t.TempDir(), "hh", "2020-01-01T00:00:00Z")
	good := trialsCSV(t, dir, "hh", "2199-01-01T00:00:00Z")
	for _, c := range []struct {
		args  []string
		words string
	}{
		{[]string{"accept", "run", unsigned, "--trials", good}, "is not signed"},
		{[]string{"accept", "run", changed, "--trials", good}, "was changed after it was signed"},
		{[]string{"accept", "run", plan, "--trials", earlier}, "row 1 of trials.csv began at 2020-01-01T00:00:00Z, before the plan was signed"},
		{[]string{"accept", "run", good, "--trials", good}, "is no plan of a proof run"},
		{[]string{"accept", "run", filepath.Join(dir, "none.json"), "--trials", good}, "no such file"},
		{[]string{"accept", "plan", "--success", "1.5"}, "must lie between 0 and 1"},
		{[]string{"accept", "plan", "--kind", "two-point", "--good", "0.2", "--bad", "0.1"}, "must be smaller"},
		{[]string{"accept", "plan", "--kind", "table", "--lot-size", "100", "--aql", "3"}, "not in the tables"},
		{[]string{"accept", "plan", "--kind", "double"}, "are not a double plan"},
		{[]string{"accept", "plan", "--kind", "lucky"}, "--kind"},
		{[]string{"accept", "plan", "--prior-failures", "0"}, "must be positive"},
	} {
		code, out, stderr := program(t, c.args...)
		if code != 2 || !strings.Contains(stderr, c.words) || out != "" {
			t.Errorf("%v: code %d, %q, want words %q", c.args, code, stderr, c.words)
		}
	}
}
