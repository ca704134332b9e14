package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"holdfast/handtest"
	"holdfast/signals/sound"
)

func written(t *testing.T, name, text string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

func TestHandtestTellsFigures(t *testing.T) {
	file := written(t, "grip.csv", "diameter_mm,force_N\n30,10\n30,11\n50,20\n50,21\n70,12\n70,11\n")
	code, out, stderr := program(t, "handtest", "grip", file, "--json")
	var r handtest.Report
	if err := json.Unmarshal([]byte(out), &r); code != 0 || err != nil || r.Rows != 6 || len(r.Figures) != 4 || r.Figures[1].Value != 20.5 {
		t.Fatalf("code %d, %v: %s%s", code, err, out, stderr)
	}
	if code, out, _ = program(t, "handtest", "grip", file); code != 0 || !strings.Contains(out, "size gripped hardest") {
		t.Errorf("code %d: %s", code, out)
	}
	if code, out, _ = program(t, "handtest", "life"); code != 0 || !strings.Contains(out, "failed or running") {
		t.Errorf("code %d: %s", code, out)
	}
	bad := written(t, "bad.csv", "diameter_mm,force_N\n30,x\n")
	if code, _, stderr = program(t, "handtest", "grip", bad); code != 2 || !strings.Contains(stderr, "bad.csv: row 2, column force_N") {
		t.Errorf("code %d: %s", code, stderr)
	}
	if code, _, stderr = program(t, "handtest", "grip", "nowhere.csv"); code != 2 || !strings.Contains(stderr, "no such file") {
		t.Errorf("code %d: %s", code, stderr)
	}
}

func TestTouchCalibrate(t *testing.T) {
	var b strings.Builder
	b.WriteString("reference,signal,cycle,direction\n")
	for c := range 3 {
		for k := range 6 {
			fmt.Fprintf(&b, "%d,%.3f,%d,rising\n%d,%.3f,%d,falling\n", 20*k, float64(k)+.01*float64((k+c)%2), c, 20*k, float64(k)+.03, c)
		}
	}
	file := written(t, "flex.csv", b.String())
	code, out, stderr := program(t, "touch", "calibrate", file, "--read", "2.5,4", "--json")
	var r sensorReport
	if err := json.Unmarshal([]byte(out), &r); code != 0 || err != nil || r.Sheet == nil || len(r.Sheet.Linearity) != 3 || len(r.Read) != 2 {
		t.Fatalf("code %d, %v: %s%s", code, err, out, stderr)
	}
	if v := r.Read[0]; v.Reference < 49 || v.Reference > 50.5 || *v.Low > v.Reference || *v.High < v.Reference {
		t.Errorf("%+v", v)
	}
	if code, out, _ = program(t, "touch", "calibrate", file); code != 0 || !strings.Contains(out, "linearity, minimax line") {
		t.Errorf("code %d: %s", code, out)
	}
	if code, _, stderr = program(t, "touch", "calibrate", file, "--degree", "6"); code != 2 || !strings.Contains(stderr, "flex.csv") {
		t.Errorf("code %d: %s", code, stderr)
	}
}

func TestTouchOnset(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	var b strings.Builder
	b.WriteString("time_s,value\n")
	for i := range 6000 {
		v := .01 * r.NormFloat64()
		if i >= 4000 && i < 4200 {
			v += .1
		}
		fmt.Fprintf(&b, "%.3f,%.5f\n", float64(i)/1000, v)
	}
	file := written(t, "touch.csv", b.String())
	code, out, stderr := program(t, "touch", "onset", file, "--false-alarms-per-hour", "1", "--quiet-s", "2", "--hold-off-s", "0.5", "--json")
	var o onsetReport
	if err := json.Unmarshal([]byte(out), &o); code != 0 || err != nil || len(o.Onsets) != 1 || o.Onsets[0].Began < 3.99 || o.Onsets[0].Told > 4.02 {
		t.Fatalf("code %d, %v: %s%s", code, err, out, stderr)
	}
	if code, out, _ = program(t, "touch", "onset", file, "--false-alarms-per-hour", "1"); code != 0 || !strings.Contains(out, "no safety function") {
		t.Errorf("code %d: %s", code, out)
	}
	rec := &sound.Recording{RateHz: 8000, Channels: [][]float64{make([]float64, 16000)}}
	for i := range rec.Channels[0] {
		if rec.Channels[0][i] = .01 * r.NormFloat64(); i >= 12000 {
			rec.Channels[0][i] += .1
		}
	}
	var wav bytes.Buffer
	if err := sound.Write(&wav, rec, sound.Coding{Bits: 16}); err != nil {
		t.Fatal(err)
	}
	clip := written(t, "tap.wav", wav.String())
	code, out, stderr = program(t, "touch", "onset", clip, "--false-alarms-per-hour", "1", "--hold-off-s", "1", "--json")
	if err := json.Unmarshal([]byte(out), &o); code != 0 || err != nil || len(o.Onsets) != 1 || o.Onsets[0].Told < 1.5 || o.Onsets[0].Told > 1.51 {
		t.Fatalf("code %d, %v: %s%s", code, err, out, stderr)
	}
	if code, _, stderr = program(t, "touch", "onset", clip, "--false-alarms-per-hour", "1", "--channel", "2"); code != 2 || !strings.Contains(stderr, "tap.wav has") {
		t.Errorf("code %d: %s", code, stderr)
	}
	if code, _, stderr = program(t, "touch", "onset", file); code != 2 || !strings.Contains(stderr, "false-alarms-per-hour") {
		t.Errorf("code %d: %s", code, stderr)
	}
}
