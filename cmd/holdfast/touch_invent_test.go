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

// Every finger and day has all objects and pressures, and training says what a new one costs.
func TestInventedClipsVaryByObjectAndPressure(t *testing.T) {
	dir := t.TempDir()
	out := filepath.Join(dir, "clips")
	if code, _, told := program(t, "touch", "invent", "--out", out, "--clips", "144", "--noise", "0.02", "--objects", "roll-skin,egg-shell", "--pressures-kpa", "0,40"); code != 0 {
		t.Fatal(told)
	}
	lines := strings.Split(strings.TrimSpace(fileText(t, filepath.Join(out, "labels.csv"))), "\n")
	if lines[0] != "file,zone,position_mm,session,specimen,snr_db,object,pressure_kpa" {
		t.Fatal(lines[0])
	}
	count := map[string]int{}
	for _, l := range lines[1:] {
		cells := strings.Split(l, ",")
		count[strings.Join(append(cells[3:5:5], cells[6:]...), " ")]++
		if cells[5] != "33.98" { // 0.02 of the root mean square
			t.Fatalf("%s dB above the noise", cells[5])
		}
	}
	for key, n := range count {
		if len(count) != 24 || n != 6 {
			t.Fatalf("%d of %s, in %d kinds", n, key, len(count))
		}
	}
	code, stdout, told := program(t, "touch", "train", "--clips", out, "--labels", filepath.Join(out, "labels.csv"), "--out", filepath.Join(dir, "model"), "--target", "zone", "--method", "discriminant", "--json")
	var r touchTrainReport
	if err := json.Unmarshal([]byte(stdout), &r); code != 0 || err != nil {
		t.Fatal(told, err)
	}
	for _, c := range r.Evidence.Changes {
		if c.Why != "" || c.What == "object" && c.Unheard.Mean > c.Heard.Mean-0.1 {
			t.Errorf("%+v", c)
		}
	}
	if own := r.Evidence.OwnSNR; len(r.Evidence.Changes) != 4 || own == nil || own.MedianDB != 33.98 || own.Clips != 144 {
		t.Errorf("%d changes, %+v", len(r.Evidence.Changes), own)
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
		`"anvil" is not`: {"--out", filepath.Join(dir, "e"), "--objects", "crust,anvil"},
		"kpa: 200 is":    {"--out", filepath.Join(dir, "f"), "--pressures-kpa", "0,200"},
		"not for --sens": {"--out", filepath.Join(dir, "g"), "--objects", "crust", "--sensor", "pads"},
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
