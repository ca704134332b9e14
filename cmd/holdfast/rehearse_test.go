package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// A study of the lab is carried out in simulation over the very interface that a robot uses: every run has its trial with its
// replay, and doing it again adds nothing.
func TestRehearseCarriesOutAStudy(t *testing.T) {
	lab := filepath.Join(t.TempDir(), "lab")
	address, stop := serving(t, lab)
	defer stop()
	stock(t, address)
	base := address + "/api/v1"
	// The lab's hand is called pair; in the files it is the one with five fingers.
	dir := t.TempDir()
	if err := os.CopyFS(dir, os.DirFS("../../examples/scenes")); err != nil {
		t.Fatal(err)
	}
	if err := os.Rename(filepath.Join(dir, "hands", "tendon-five.yaml"), filepath.Join(dir, "hands", "pair.yaml")); err != nil {
		t.Fatal(err)
	}
	// Shorter than the bakery holds and shakes, to save time.
	short := "name: Free\nkind: free\nstandoff_mm: 100\nphases:\n  - {do: move, to: above, command: 0}\n  - {do: move, to: grasp}\n  - {do: close, time_s: 0.5, command: 1}\n  - {do: lift, distance_mm: 100, speed_mm_per_s: 500}\n  - {do: hold, time_s: 0.3}\n"
	if err := os.WriteFile(filepath.Join(dir, "strategies", "free.yaml"), []byte(short), 0o600); err != nil {
		t.Fatal(err)
	}
	args := []string{"rehearse", "--server", address, "--study", "small", "--scenes", dir, "--workers", "2"}
	code, out, told := program(t, args...)
	if code != 0 || !strings.Contains(out, "10 trials logged.") {
		t.Fatalf("%d: %s%s", code, out, told)
	}
	var list struct {
		Trials []struct {
			Outcome, VoidReason, Note, Operator string
			Recordings                          []struct{ Type string }
		}
	}
	if err := json.Unmarshal([]byte(send(t, "GET", base+"/studies/small/trials", "", 200)), &list); err != nil {
		t.Fatal(err)
	}
	if len(list.Trials) != 10 {
		t.Fatalf("%d trials", len(list.Trials))
	}
	filmed := 0
	for _, tr := range list.Trials {
		if !strings.HasPrefix(tr.Note, "simulated") || !strings.HasPrefix(tr.Operator, "simulated-bench-") {
			t.Errorf("%+v", tr)
		}
		if tr.Outcome != "void" {
			filmed += len(tr.Recordings)
		}
	}
	if filmed < 2 {
		t.Errorf("%d replays", filmed)
	}
	if code, out, told := program(t, args...); code != 2 || !strings.Contains(told, "refused") {
		t.Errorf("again: %d %s%s", code, out, told)
	}
	if code, _, told := program(t, "rehearse", "--server", address, "--study", "nothing", "--scenes", dir); code != 2 || told == "" {
		t.Errorf("unknown study: %d %s", code, told)
	}
	if code, _, told := program(t, "rehearse", "--study", "small", "--scenes", "nowhere"); code != 2 || !strings.Contains(told, "nowhere") {
		t.Errorf("no scenes: %d %s", code, told)
	}
}

// Runs that the planner finds impossible are void, so they stay open; each is tried once and none is handed out for ever.
func TestRehearsePassesOverWhatIsImpossible(t *testing.T) {
	lab := filepath.Join(t.TempDir(), "lab")
	address, stop := serving(t, lab)
	defer stop()
	stock(t, address)
	dir := t.TempDir()
	if err := os.CopyFS(dir, os.DirFS("../../examples/scenes")); err != nil {
		t.Fatal(err)
	}
	if err := os.Rename(filepath.Join(dir, "hands", "tendon-five.yaml"), filepath.Join(dir, "hands", "pair.yaml")); err != nil {
		t.Fatal(err)
	}
	// There is no wall on the open table.
	toWall := "name: Free\nkind: free\nphases:\n  - {do: move, to: above, command: 0}\n  - {do: slide, toward: wall, speed_mm_per_s: 40}\n  - {do: lift, distance_mm: 100}\n  - {do: hold, time_s: 0.1}\n"
	if err := os.WriteFile(filepath.Join(dir, "strategies", "free.yaml"), []byte(toWall), 0o600); err != nil {
		t.Fatal(err)
	}
	code, out, told := program(t, "rehearse", "--server", address, "--study", "small", "--scenes", dir)
	if code != 0 || !strings.Contains(out, "10 trials logged.") || strings.Count(out, "void") != 10 {
		t.Fatalf("%d: %s%s", code, out, told)
	}
	var next struct{ Left int }
	if err := json.Unmarshal([]byte(send(t, "GET", address+"/api/v1/studies/small/next?holder=person", "", 200)), &next); err != nil || next.Left != 10 {
		t.Errorf("%d runs are left for people, %v", next.Left, err)
	}
}
