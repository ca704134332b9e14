package main

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"holdfast/signals/sound"
	"holdfast/signals/touch/finger"
)

// touchedFingers writes clips of three invented fingers, two sessions each, touched in four zones of 15 mm, and their labels.
func touchedFingers(t *testing.T, dir string) (labelFile string) {
	t.Helper()
	var labels strings.Builder
	labels.WriteString("file,zone,position_mm,session,specimen\n")
	n := 0
	for f, p := range finger.Specimens(3, 1) {
		for session := range 2 {
			for zone, name := range []string{"root", "middle", "pad", "tip"} {
				for tap := range 5 {
					place := 27 + 15*float64(zone) + 3*float64(tap) - 6
					clip := p.Touch(place, 0.05, 2, n)
					file := fmt.Sprintf("clip-%03d.wav", n)
					writeWAV(t, filepath.Join(dir, file), clip, p.RateHz)
					fmt.Fprintf(&labels, "%s,%s,%g,%d-%d,finger %d\n", file, name, place, f, session, f)
					n++
				}
			}
		}
	}
	labelFile = filepath.Join(t.TempDir(), "labels.csv")
	if err := os.WriteFile(labelFile, []byte(labels.String()), 0o600); err != nil {
		t.Fatal(err)
	}
	return labelFile
}

func writeWAV(t *testing.T, path string, clip []float64, rate int) {
	t.Helper()
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if err := sound.Write(f, &sound.Recording{RateHz: rate, Channels: [][]float64{clip}}, sound.Coding{Bits: 32, Float: true}); err != nil {
		t.Fatal(err)
	}
}

func TestTouchTrainAndPredict(t *testing.T) {
	dir := t.TempDir()
	labels := touchedFingers(t, dir)
	model, out := filepath.Join(t.TempDir(), "finger.touch"), filepath.Join(t.TempDir(), "told.csv")
	code, stdout, stderr := program(t, "touch", "train", "--clips", dir, "--labels", labels, "--out", model, "--json")
	var r touchTrainReport
	if err := json.Unmarshal([]byte(stdout), &r); code != 0 || err != nil {
		t.Fatalf("code %d, %v\n%s%s", code, err, stdout, stderr)
	}
	z, p := r.Evidence.Zones, r.Evidence.Positions
	if r.Evidence.HeldOut != "specimen" || r.Evidence.Groups != 3 || z.Grouped.Accuracy.Mean < 0.6 || z.Guess.Accuracy.Mean > 0.3 || p.Grouped.Mean >= p.Guess.Mean {
		t.Errorf("%+v\n%+v\n%+v", r.Evidence, z, p)
	}
	if !strings.Contains(stderr, "Only 3 specimens can be held out") {
		t.Errorf("no word about three specimens: %s", stderr)
	}
	code, table, stderr := program(t, "touch", "train", "--clips", dir, "--labels", labels, "--out", model+"2", "--method", "discriminant", "--target", "zone")
	if code != 0 || !strings.Contains(table, "held out by specimen") || !strings.Contains(table, "split by clip (flatters)") || !strings.Contains(table, "No safety function") || strings.Contains(table, "Positions") {
		t.Errorf("code %d\n%s%s", code, table, stderr)
	}
	hiss := make([]float64, 2400)
	for i := range hiss {
		hiss[i] = math.Sin(float64(i) * float64(i))
	}
	writeWAV(t, filepath.Join(dir, "zz-hiss.wav"), hiss, 48000)
	code, stdout, stderr = program(t, "touch", "predict", "--model", model, "--clips", dir, "--out", out)
	if code != 0 || !strings.Contains(stdout, "121 clips told") {
		t.Fatalf("code %d\n%s%s", code, stdout, stderr)
	}
	f, err := os.Open(out)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil || strings.Join(rows[0], ",") != "file,zone,probability,position_mm,position_low_mm,position_high_mm,unsure" || len(rows) != 122 {
		t.Fatalf("%v: %d rows, %v", err, len(rows), rows[0])
	}
	if last := rows[121]; last[0] != "zz-hiss.wav" || last[6] != "true" {
		t.Errorf("a hiss is told as %v", last)
	}
	for _, row := range rows[1:121] {
		low, _ := strconv.ParseFloat(row[4], 64)
		high, _ := strconv.ParseFloat(row[5], 64)
		if chance, err := strconv.ParseFloat(row[2], 64); err != nil || chance <= 0.2 || chance > 1 || low >= high || row[1] == "" {
			t.Errorf("%v", row)
		}
	}
}

func TestTouchTrainSaysWhatChangesAndNoiseCost(t *testing.T) {
	dir := t.TempDir()
	labels := touchedFingers(t, dir)
	text, err := os.ReadFile(labels)
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSpace(string(text)), "\n")
	for i := range lines {
		lines[i] += "," + map[bool]string{true: "object", false: []string{"roll", "egg"}[i%2]}[i == 0]
	}
	if err := os.WriteFile(labels, []byte(strings.Join(lines, "\n")), 0o600); err != nil {
		t.Fatal(err)
	}
	args := []string{"touch", "train", "--clips", dir, "--labels", labels, "--out", filepath.Join(t.TempDir(), "m"), "--method", "discriminant", "--noise-db=200,-30"}
	code, table, stderr := program(t, args...)
	for _, want := range []string{"never heard", "object roll", "object egg", "Held-out clips under noise"} {
		if code != 0 || !strings.Contains(table, want) {
			t.Fatalf("code %d, no word of %q\n%s%s", code, want, table, stderr)
		}
	}
	code, stdout, stderr := program(t, append(args, "--json")...)
	var r touchTrainReport
	if err := json.Unmarshal([]byte(stdout), &r); code != 0 || err != nil {
		t.Fatalf("code %d, %v\n%s%s", code, err, stdout, stderr)
	}
	noise := r.Evidence.UnderNoise
	if len(noise) != 2 || noise[0].Right.Mean < 0.8 || noise[1].Right.Mean > 0.5 || len(r.Evidence.Changes) != 2 || r.Evidence.Changes[0].Clips != 60 {
		t.Errorf("%+v %+v %+v %+v", *noise[0].Right, *noise[1].Right, noise, r.Evidence.Changes)
	}
}

func TestTouchFaultsSayWhere(t *testing.T) {
	dir := t.TempDir()
	writeWAV(t, filepath.Join(dir, "a.wav"), make([]float64, 3000), 48000)
	writeWAV(t, filepath.Join(dir, "slow.wav"), make([]float64, 3000), 16000)
	if err := os.WriteFile(filepath.Join(dir, "b.wav"), []byte("RIFF"), 0o600); err != nil {
		t.Fatal(err)
	}
	header := "file,zone,position_mm,session,specimen\n"
	for name, c := range map[string]struct{ labels, want string }{
		"no column":      {"file,zone,session\na.wav,tip,1\n", "no column specimen"},
		"no session":     {header + "a.wav,tip,,,1\n", "line 2, column session"},
		"twice":          {header + "a.wav,tip,,1,1\na.wav,tip,,1,1\n", "line 3, column file: a.wav stands in line 2"},
		"outside":        {header + "../a.wav,tip,,1,1\n", "line 2, column file"},
		"no number":      {header + "a.wav,,far,1,1\n", `line 2, column position_mm: "far"`},
		"no decibels":    {"file,zone,session,specimen,snr_db\na.wav,tip,1,1,loud\n", `line 2, column snr_db: "loud"`},
		"half labelled":  {header + "a.wav,tip,,1,1\nb.wav,,,1,1\n", "column zone: nothing is given for b.wav"},
		"nothing known":  {header + "a.wav,,,1,1\n", "neither zones nor positions"},
		"no such clip":   {header + "a.wav,tip,,1,1\nc.wav,pad,,2,1\n", "c.wav: there is no such file"},
		"broken clip":    {header + "a.wav,tip,,1,1\nb.wav,pad,,2,1\n", "b.wav: byte 0"},
		"other rate":     {header + "a.wav,tip,,1,1\nslow.wav,pad,,2,1\n", "slow.wav is sampled at 16000 Hz"},
		"one group only": {header + "a.wav,tip,,1,1\n", "record at least two sessions"},
	} {
		labels := filepath.Join(t.TempDir(), "labels.csv")
		if err := os.WriteFile(labels, []byte(c.labels), 0o600); err != nil {
			t.Fatal(err)
		}
		model := filepath.Join(t.TempDir(), "model")
		code, _, stderr := program(t, "touch", "train", "--clips", dir, "--labels", labels, "--out", model)
		if code != 2 || !strings.Contains(stderr, c.want) {
			t.Errorf("%s: code %d, %s", name, code, stderr)
		}
		if _, err := os.Stat(model); err == nil {
			t.Errorf("%s: a model was written", name)
		}
	}
	code, _, stderr := program(t, "touch", "predict", "--model", filepath.Join(dir, "b.wav"), "--clips", dir, "--out", filepath.Join(dir, "out.csv"))
	if code != 2 || !strings.Contains(stderr, "b.wav: the model file is no JSON") {
		t.Errorf("code %d, %s", code, stderr)
	}
	if code, _, stderr := program(t, "touch", "train", "--clips", dir, "--labels", "x", "--out", "y", "--folds", "1"); code != 2 || !strings.Contains(stderr, "--folds") {
		t.Errorf("code %d, %s", code, stderr)
	}
}
