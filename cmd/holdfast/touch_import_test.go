package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"holdfast/domain"
)

// labWithHand makes a lab that has one hand, soft.
func labWithHand(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	store, err := openLab(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer store.Close()
	if _, err := store.PutHand(t.Context(), domain.Hand{ID: "soft", Name: "Soft"}); err != nil {
		t.Fatal(err)
	}
	return dir
}

func clipsOf(t *testing.T, lab string) []domain.TouchClip {
	t.Helper()
	store, err := openLab(lab)
	if err != nil {
		t.Fatal(err)
	}
	defer store.Close()
	list, err := store.TouchClips(t.Context(), "soft")
	if err != nil {
		t.Fatal(err)
	}
	return list
}

func TestTouchImportKeepsClipsOnce(t *testing.T) {
	lab, dir := labWithHand(t), t.TempDir()
	labels := touchedFingers(t, dir)
	args := []string{"touch", "import", "--lab", lab, "--hand", "soft", "--clips", dir, "--labels", labels, "--by", "ada"}
	for _, s := range []struct {
		more []string
		want string
	}{
		{[]string{"--dry-run"}, "Would store 120 clips from 120 rows of labels.csv for hand soft.\n"},
		{nil, "Stored 120 clips from 120 rows of labels.csv for hand soft.\n"},
		{[]string{"--json"}, `{"rows":120,"stored":0,"repeated":120,"dry_run":false}`},
		{[]string{"--dry-run"}, "120 were known already, and their labels stay as they are"},
	} {
		if code, out, stderr := program(t, append(args, s.more...)...); code != 0 || !strings.Contains(out, s.want) {
			t.Errorf("%v: code %d: %s%s", s.more, code, out, stderr)
		}
		if s.want[0] == 'W' && len(clipsOf(t, lab)) != 0 {
			t.Error("a dry run stored clips")
		}
	}
	list := clipsOf(t, lab)
	if len(list) != 120 {
		t.Fatalf("%d clips", len(list))
	}
	c := list[0]
	if c.Label.Zone != "root" || c.Label.PositionMm == nil || *c.Label.PositionMm != 21 || c.Label.By != "ada" || c.Session != "0-0" || c.Specimen != "finger 0" || c.RateHz != 48000 || c.Invented {
		t.Errorf("%+v", c)
	}
}

func TestTouchImportTakesWhatElseIsKnown(t *testing.T) {
	lab, dir := labWithHand(t), t.TempDir()
	writeWAV(t, filepath.Join(dir, "a.wav"), []float64{0.1, 0.2}, 48000)
	writeWAV(t, filepath.Join(dir, "b.wav"), []float64{0.3, 0.4}, 48000)
	labels := written(t, "labels.csv", "file,session,specimen,object,pressure_kpa,day\na.wav,monday,1,roll,35.5,mon\nb.wav,monday,1,,,\n")
	if code, out, stderr := program(t, "touch", "import", "--lab", lab, "--hand", "soft", "--clips", dir, "--labels", labels, "--invented"); code != 0 {
		t.Fatalf("code %d: %s%s", code, out, stderr)
	}
	list := clipsOf(t, lab)
	if len(list) != 2 || list[0].Object != "roll" || list[0].PressureKPa == nil || *list[0].PressureKPa != 35.5 || list[1].PressureKPa != nil || list[1].Label.Zone != "" || !list[1].Invented {
		t.Errorf("%+v", list)
	}
}

// Every fault is told by row and column, and nothing of a file with faults is kept.
func TestTouchImportFaultsSayWhere(t *testing.T) {
	lab, dir := labWithHand(t), t.TempDir()
	writeWAV(t, filepath.Join(dir, "a.wav"), []float64{0.1, 0.2}, 48000)
	writeWAV(t, filepath.Join(dir, "twin.wav"), []float64{0.1, 0.2}, 48000)
	writeWAV(t, filepath.Join(dir, "other.wav"), []float64{0.3, 0.2}, 48000)
	for name, text := range map[string]string{"torn.wav": "RIFF", "long.wav": strings.Repeat("x", domain.MostTouchClip+1)} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Mkdir(filepath.Join(dir, "folder.wav"), 0o700); err != nil {
		t.Fatal(err)
	}
	const header = "file,session,specimen,zone,pressure_kpa\n"
	const good = "a.wav,monday,1,tip,\n"
	for name, s := range map[string]struct {
		rows string
		want []string
	}{
		"torn and missing": {good + "torn.wav,monday,1,tip,\nnone.wav,monday,1,tip,\n", []string{"2 faults", "row 2 (line 3), column file", "byte 0", "row 3 (line 4), column file", "no such file"}},
		"same sound":       {good + "twin.wav,monday,1,pad,\n", []string{"row 2 (line 3), column file", "same sound as row 1"}},
		"pressure":         {good + "other.wav,monday,1,tip,much\n", []string{`row 2 (line 3), column pressure_kpa: "much" is no number of kilopascals`}},
		"pressure's range": {"a.wav,monday,1,tip,99999\n", []string{"row 1 (line 2), column pressure_kpa", "2000"}},
		"too long a name":  {"a.wav,monday,1," + strings.Repeat("z", 61) + ",\n", []string{"row 1 (line 2), column zone", "60 bytes"}},
		"too long a file":  {good + "long.wav,monday,1,tip,\n", []string{"row 2 (line 3), column file", "cut the touch out"}},
		"a folder":         {good + "folder.wav,monday,1,tip,\n", []string{"folder.wav is no file"}},
		"no session":       {good + "torn.wav,,1,tip,\n", []string{"line 3, column session"}},
	} {
		code, out, stderr := program(t, "touch", "import", "--lab", lab, "--hand", "soft", "--clips", dir, "--labels", written(t, "labels.csv", header+s.rows))
		for _, want := range s.want {
			if code != 2 || !strings.Contains(stderr, want) {
				t.Errorf("%s: no %q: code %d: %s%s", name, want, code, out, stderr)
			}
		}
	}
	if n := len(clipsOf(t, lab)); n != 0 {
		t.Errorf("%d clips were kept of files with faults", n)
	}
	labels := written(t, "labels.csv", header+good)
	for want, args := range map[string][]string{
		`no hand "paw"`: {"--lab", lab, "--hand", "paw"},
		"no lab in":     {"--lab", t.TempDir(), "--hand", "soft"},
	} {
		if code, _, stderr := program(t, append([]string{"touch", "import", "--clips", dir, "--labels", labels}, args...)...); code != 2 || !strings.Contains(stderr, want) {
			t.Errorf("%s: code %d: %s", want, code, stderr)
		}
	}
}
