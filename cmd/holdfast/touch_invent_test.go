package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// What is invented can be trained on, and the same seed gives the same bytes.
func TestInventedClipsCanBeTrainedOn(t *testing.T) {
	dir := t.TempDir()
	one, two := filepath.Join(dir, "one"), filepath.Join(dir, "two")
	for _, out := range []string{one, two} {
		if code, said, told := program(t, "touch", "invent", "--out", out, "--clips", "90", "--noise", "0.02", "--seed", "7"); code != 0 || !strings.Contains(said, "no finger was recorded") {
			t.Fatalf("%d %s %s", code, said, told)
		}
	}
	for _, name := range []string{"labels.csv", "touch-00001.wav", "touch-00090.wav"} {
		if fileText(t, filepath.Join(one, name)) != fileText(t, filepath.Join(two, name)) {
			t.Errorf("%s differs for the same seed", name)
		}
	}
	code, out, told := program(t, "touch", "train", "--clips", one, "--labels", filepath.Join(one, "labels.csv"), "--out", filepath.Join(dir, "model"), "--target", "zone", "--method", "discriminant", "--json")
	if code != 0 {
		t.Fatal(told)
	}
	var r touchTrainReport
	if err := json.Unmarshal([]byte(out), &r); err != nil {
		t.Fatal(err)
	}
	if len(r.Zones) != 6 || r.RateHz != 48000 {
		t.Errorf("%d zones at %d Hz", len(r.Zones), r.RateHz)
	}
}

func TestInventRefuses(t *testing.T) {
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "mine.txt"), nil, 0o600); err != nil {
		t.Fatal(err)
	}
	for want, args := range map[string][]string{
		"is not empty":   {"--out", dir},
		"--clips is 0":   {"--out", filepath.Join(dir, "a"), "--clips", "0"},
		"--fingers is 0": {"--out", filepath.Join(dir, "b"), "--fingers", "0"},
		"--zones is 90":  {"--out", filepath.Join(dir, "c"), "--zones", "90"},
		"--noise is 20":  {"--out", filepath.Join(dir, "d"), "--noise", "20"},
		"mine.txt":       {"--out", filepath.Join(dir, "mine.txt", "below")},
	} {
		if code, out, told := program(t, append([]string{"touch", "invent"}, args...)...); code != 2 || out != "" || !strings.Contains(told, want) {
			t.Errorf("%v: %d %q %q does not say %q", args, code, out, told, want)
		}
	}
	if list, err := os.ReadDir(dir); err != nil || len(list) != 1 {
		t.Errorf("refused calls left %v, %v", list, err)
	}
}
