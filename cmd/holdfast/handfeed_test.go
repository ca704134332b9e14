package main

import (
	"encoding/json"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"holdfast/domain"
	"holdfast/examples"
	"holdfast/scenes"
)

// Tables of a finger that pushes a tenth weaker than air-four's description and bends as far: a tenth softer and weaker.
func airTables() (bending, blocking string) {
	var b, f strings.Builder
	b.WriteString("finger,pressure_kPa,angle_deg\n")
	f.WriteString("bench,pressure_kPa,force_N\n")
	for i := 1; i <= 8; i++ {
		p := 10 * float64(i)
		off := float64(i%3) - 1 // readings are never quite on the line
		fmt.Fprintf(&b, "arm-1,%g,%.2f\n", p, 1.7286*p+.3*off)
		fmt.Fprintf(&f, "guided,%g,%.4f\n", p, .9*.025*p-.004*off)
	}
	return b.String(), f.String()
}

func TestHandtestFeedBringsADescriptionToItsBench(t *testing.T) {
	dir := t.TempDir()
	if err := os.CopyFS(dir, examples.Scenes()); err != nil {
		t.Fatal(err)
	}
	described, out := filepath.Join(dir, "hands", "air-four.yaml"), filepath.Join(dir, "hands", "fed.yaml")
	bending, blocking := airTables()
	bend, block := written(t, "bend.csv", bending), written(t, "block.csv", blocking)
	code, said, stderr := program(t, "handtest", "feed", described, "--bending", bend, "--blocking", block, "--out", out)
	for _, want := range []string{"moment per pressure", "N mm/kPa", "2.05", "1.84", "block.csv", "guided", "stiffness sideways; it needs a push sideways", "no proof of a real one"} {
		if code != 0 || !strings.Contains(said, want) {
			t.Errorf("no %q: code %d: %s%s", want, code, said, stderr)
		}
	}
	before, err := scenes.ReadHand(os.DirFS(dir), "hands/air-four.yaml")
	if err != nil {
		t.Fatal(err)
	}
	after, err := scenes.ReadHand(os.DirFS(dir), "hands/fed.yaml")
	if err != nil {
		t.Fatal(err)
	}
	for i, f := range after.Fingers {
		for j := range f.Chain.Joints() {
			was, now := before.Fingers[i].Chain.Joint(j), f.Chain.Joint(j)
			want := was.Stiffness
			if math.Abs(was.Axis.Y) > .7 {
				want *= .9
			}
			if math.Abs(now.Stiffness-want) > .005*want {
				t.Errorf("finger %d, joint %d: %g, want %g", i+1, j+1, now.Stiffness, want)
			}
		}
	}
	text, err := os.ReadFile(out)
	if err != nil || !strings.HasPrefix(string(text), "# Brought to bench records of finger arm-1.") || !strings.Contains(string(text), "#   moment per pressure: from 2.05 to 1.8") {
		t.Errorf("%v: %.600s", err, text)
	}

	scene, err := os.ReadFile(filepath.Join(dir, "roll-on-table.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	fed := strings.Replace(string(scene), "hands/tendon-five.yaml", "hands/fed.yaml", 1)
	if fed == string(scene) {
		t.Fatalf("the scene names another hand: %s", scene)
	}
	path := filepath.Join(dir, "fed-scene.yaml")
	if err := os.WriteFile(path, []byte(fed), 0o600); err != nil {
		t.Fatal(err)
	}
	if code, said, stderr := program(t, "simulate", "--scene", path, "--trials", "1", "--out", filepath.Join(dir, "trials.csv")); code != 0 {
		t.Errorf("the fed hand can not be simulated: code %d: %s%s", code, said, stderr)
	}

	code, said, stderr = program(t, "handtest", "feed", described, "--bending", bend, "--finger", "arm-3", "--json")
	var r feedReport
	if err := json.Unmarshal([]byte(said), &r); code != 0 || err != nil || r.Finger != "arm-3" || len(r.Quantities) != 1 || len(r.Curves) != 1 || r.Curves[0].XS[7] != 80 || len(r.Unknowns) != 3 {
		t.Errorf("code %d, %v: %s%s", code, err, said, stderr)
	}
}

func TestHandtestFeedRefusesAndWritesNothing(t *testing.T) {
	dir := t.TempDir()
	if err := os.CopyFS(dir, examples.Scenes()); err != nil {
		t.Fatal(err)
	}
	air, out := filepath.Join(dir, "hands", "air-four.yaml"), filepath.Join(dir, "new.yaml")
	bending, _ := airTables()
	bend := written(t, "bend.csv", bending)
	bad := written(t, "bad.csv", "pressure_kPa,angle_deg\n40,x\n")
	up := written(t, "up.csv", "direction,cycle,branch,deflection_mm,force_N\nup,1,loading,5,1\n")
	draw := written(t, "draw.csv", "direction,travel_mm,angle_deg,tension_N\nclosing,5,90,2\nclosing,10,180,4\nopening,5,90,1\n")
	for _, s := range []struct {
		name string
		args []string
		code int
		want string
	}{
		{"nothing", nil, 2, "name the hand's description"},
		{"no files", []string{air}, 2, "--bending"},
		{"no such description", []string{filepath.Join(dir, "none.yaml"), "--bending", bend}, 2, "no such file"},
		{"not a hand", []string{bend, "--bending", bend}, 2, "bend.csv"},
		{"no such finger", []string{air, "--bending", bend, "--finger", "thumb"}, 2, "arm-1"},
		{"a fault of a row", []string{air, "--bending", bad}, 2, "bad.csv: row 2, column angle_deg"},
		{"another direction", []string{air, "--stiffness", up}, 2, "up.csv, column direction"},
		{"a tendon's record of an air hand", []string{air, "--tendon", draw}, 2, "draw.csv, tendon travel: the described finger has no part"},
		{"over the description", []string{air, "--bending", bend, "--out", air}, 2, "names the description itself"},
		{"level", []string{air, "--bending", bend, "--level", "2"}, 2, "--level"},
		{"lab without hand", []string{air, "--lab", dir}, 2, "--hand"},
		{"no lab", []string{air, "--lab", dir, "--hand", "soft"}, 2, "lab"},
	} {
		args := append([]string{"handtest", "feed"}, s.args...)
		if s.name != "over the description" {
			args = append(args, "--out", out)
		}
		if code, said, stderr := program(t, args...); code != s.code || !strings.Contains(stderr, s.want) {
			t.Errorf("%s: code %d: %s%s", s.name, code, said, stderr)
		}
		if _, err := os.Stat(out); err == nil {
			t.Fatalf("%s: a file was written", s.name)
		}
	}
}

func TestHandtestFeedFromTheLab(t *testing.T) {
	dir := t.TempDir()
	store, err := openLab(dir)
	if err != nil {
		t.Fatal(err)
	}
	bending, blocking := airTables()
	for _, id := range []domain.ID{"air-four", "other"} {
		if _, err := store.PutHand(t.Context(), domain.Hand{ID: id, Name: string(id)}); err != nil {
			t.Fatal(err)
		}
	}
	lab := newWorkflow(store, "lab")
	for key, table := range map[string]string{"bending": bending, "blocking": blocking, "grip": "diameter_mm,force_N\n30,10\n50,20\n"} {
		r := domain.BenchRecord{Hand: "air-four", Key: key, Test: key, Operator: "ada", Day: time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC), Table: table}
		if _, _, err := lab.KeepBench(t.Context(), r); err != nil {
			t.Fatal(err)
		}
	}
	store.Close()
	code, said, stderr := program(t, "handtest", "feed", "--lab", dir, "--hand", "air-four")
	if code != 0 || !strings.Contains(said, "1.84") || !strings.Contains(said, "(bending)") || strings.Contains(said, "grip") {
		t.Errorf("code %d: %s%s", code, said, stderr)
	}
	if code, said, stderr = program(t, "handtest", "feed", "--lab", dir, "--hand", "other"); code != 2 || !strings.Contains(stderr, "no description of other comes with the program") {
		t.Errorf("code %d: %s%s", code, said, stderr)
	}
	text, err := fs.ReadFile(examples.Scenes(), "hands/air-four.yaml")
	if err != nil {
		t.Fatal(err)
	}
	air := written(t, "air.yaml", string(text))
	if code, said, stderr = program(t, "handtest", "feed", air, "--lab", dir, "--hand", "other"); code != 2 || !strings.Contains(stderr, "keep one of bending, blocking, tendon, stiffness") {
		t.Errorf("code %d: %s%s", code, said, stderr)
	}
	if code, said, stderr = program(t, "handtest", "feed", air, "--lab", dir, "--hand", "paw"); code != 2 || !strings.Contains(stderr, "paw") {
		t.Errorf("code %d: %s%s", code, said, stderr)
	}
}
