package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// What README tells: invented records are written, one is read, all are judged.
func TestTouchSlip(t *testing.T) {
	dir := t.TempDir()
	if code, out, stderr := program(t, "touch", "invent", "--sensor", "slips", "--out", dir, "--seed", "3"); code != 0 || !strings.Contains(out, "They are computed") {
		t.Fatalf("code %d: %s%s", code, out, stderr)
	}
	code, out, stderr := program(t, "touch", "slip", filepath.Join(dir, "hold-02.csv"), "--quiet-s", "1", "--false-alarms-per-hour", "6", "--json")
	var r slipReport
	if err := json.Unmarshal([]byte(out), &r); code != 0 || err != nil || len(r.Slips) != 1 || !(r.Slips[0].Began < r.Slips[0].Told && r.Slips[0].Told < r.Slips[0].Ended) || r.Rate < 1999 || r.Rate > 2001 {
		t.Errorf("code %d, %v: %s%s", code, err, out, stderr)
	}
	if code, out, _ = program(t, "touch", "slip", filepath.Join(dir, "hold-01.csv"), "--quiet-s", "1", "--false-alarms-per-hour", "6"); code != 0 || !strings.Contains(out, "passed over as knocks") || !strings.Contains(out, "no safety function") {
		t.Errorf("code %d: %s", code, out)
	}
	labels := filepath.Join(dir, "labels.csv")
	code, out, stderr = program(t, "touch", "slip", "--labels", labels, "--quiet-s", "1", "--false-alarms-per-hour", "6", "--json")
	var j judgementReport
	if err := json.Unmarshal([]byte(out), &j); code != 0 || err != nil || j.Events != 12 || j.Found < 11 || j.Delay == nil || *j.Delay > 0.07 || j.FalseAlarms > 1 || j.Area == nil || j.Area.AUC < 0.95 || len(j.Curve) < 3 {
		t.Errorf("code %d, %v: %s%s", code, err, out, stderr)
	}
	// An onset detector is judged by the same rule.
	if code, out, stderr = program(t, "touch", "onset", "--labels", labels, "--quiet-s", "1", "--false-alarms-per-hour", "6"); code != 0 || !strings.Contains(out, "Found: ") || !strings.Contains(out, "6 were allowed") {
		t.Errorf("code %d: %s%s", code, out, stderr)
	}
	bad := filepath.Join(dir, "bad.csv")
	for words, text := range map[string]string{
		"row 2, column event":           "file,event,from_s,to_s\nhold-01.csv,maybe,0,0\n",
		"hold-77.csv":                   "file,event,from_s,to_s\nhold-77.csv,no,0,0\n",
		"hold-02.csv: record 1: an eve": "file,event,from_s,to_s\nhold-02.csv,yes,0.1,0.2\n",
	} {
		if err := os.WriteFile(bad, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		if code, _, stderr = program(t, "touch", "slip", "--labels", bad, "--false-alarms-per-hour", "6"); code != 2 || !strings.Contains(stderr, words) {
			t.Errorf("code %d, %q does not say %q", code, stderr, words)
		}
	}
	if code, _, stderr = program(t, "touch", "slip", "--false-alarms-per-hour", "6"); code != 2 || !strings.Contains(stderr, "either a record or --labels") {
		t.Errorf("code %d: %s", code, stderr)
	}
}
