package main

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"holdfast/signals/strips"
)

func TestInventedStripsGiveTheShape(t *testing.T) {
	var r strips.FingerReport
	at, args := readInvented(t, "strips", "shape", &r)
	v := strips.Invent(1)
	for i, f := range r.Frames {
		for k, c := range f.Curvatures {
			if math.Abs(c-v.Curvatures[i][k]) > 6*f.SDs[k] {
				t.Errorf("frame %d, strip %d: %g ± %g, truly %g", i, k+1, c, f.SDs[k], v.Curvatures[i][k])
			}
		}
	}
	if lines := strings.Count(fileText(t, at("out.csv")), "\n"); lines != 1+len(r.Frames)*len(r.ArcMM) {
		t.Errorf("%d lines for %d frames of %d points", lines, len(r.Frames), len(r.ArcMM))
	}
	if code, out, told := program(t, args...); code != 0 || !strings.Contains(out, "5 strips over 300 frames") {
		t.Errorf("%d %s %s", code, out, told)
	}
	for want, places := range map[string]string{
		"row 3, column to_mm": "strip,from_mm,to_mm\n1,0,10\n2,20,12\n", "strip 2 has a calibration and no place": "strip,from_mm,to_mm\n1,0,10\n",
		"begins before the one before it ends": "strip,from_mm,to_mm\n1,0,10\n2,8,12\n",
	} {
		if err := os.WriteFile(at("places.csv"), []byte(places), 0o600); err != nil {
			t.Fatal(err)
		}
		if code, _, told := program(t, args...); code != 2 || !strings.Contains(told, want) {
			t.Errorf("%d, %q does not say %q", code, told, want)
		}
	}
}

// A sensor that levels off is read backwards by the monotone curve.
func TestCalibrateByAMonotoneCurve(t *testing.T) {
	var b strings.Builder
	b.WriteString("reference,signal\n")
	for i := range 40 {
		x := float64(i / 2)
		b.WriteString(strings.Join([]string{jsonNumber(x), jsonNumber(math.Tanh(x/8) + 0.002*float64(i%2))}, ",") + "\n")
	}
	file := filepath.Join(t.TempDir(), "flex.csv")
	if err := os.WriteFile(file, []byte(b.String()), 0o600); err != nil {
		t.Fatal(err)
	}
	code, out, told := program(t, "touch", "calibrate", file, "--curve", "monotone", "--read", jsonNumber(math.Tanh(1)+0.001), "--json")
	var r sensorReport
	if err := json.Unmarshal([]byte(out), &r); code != 0 || err != nil {
		t.Fatal(told, err)
	}
	if got := r.Read[0]; math.Abs(got.Reference-8) > 0.05 || got.Low == nil || got.High == nil || *got.Low > 8 || *got.High < 8 || len(r.Points) != 20 {
		t.Errorf("%+v, %d points", got, len(r.Points))
	}
	if code, out, _ = program(t, "touch", "calibrate", file, "--curve", "monotone"); code != 0 || !strings.Contains(out, "monotone curve") {
		t.Error(out)
	}
}

func jsonNumber(x float64) string {
	b, _ := json.Marshal(x)
	return string(b)
}
