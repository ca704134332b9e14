package main

import (
	"bytes"
	"encoding/json"
	"math"
	"path/filepath"
	"strings"
	"testing"
)

func calibrate(t *testing.T, args ...string) (code int, stdout, stderr string) {
	t.Helper()
	var out, told bytes.Buffer
	m := &Main{environment: environment{ctx: t.Context(), stdin: strings.NewReader(""), stdout: &out, stderr: &told}}
	code = m.exitCode(append([]string{"calibrate"}, args...))
	return code, out.String(), told.String()
}

func TestCalibrateTellsWhatTrialsSay(t *testing.T) {
	bench := filepath.Join(t.TempDir(), "bench.csv")
	if code, _, told := simulated(t.Context(), "--scene", peerScene, "--trials", "30", "--seed", "5", "--tilt-max", "40", "--step-ms", "4", "--out", bench); code != 0 {
		t.Fatal(told)
	}
	code, out, told := calibrate(t, "--scene", peerScene, "--trials", bench, "--fit", "friction=0.2:1.2", "--budget", "500", "--step-ms", "4", "--hand-symmetry", "3+mirror", "--json")
	if code != 0 {
		t.Fatal(told)
	}
	var got calibrationReport
	if err := json.Unmarshal([]byte(out), &got); err != nil {
		t.Fatal(err)
	}
	if got.Trials != 30 || got.Simulated != 400 || len(got.Predicted) != 30 || len(got.Fitted) != 1 || got.Sentence == "" {
		t.Errorf("%s", out)
	}
	// The scene's own friction of 0.6 made the trials.
	if e := got.Fitted[0]; e.Name != "friction" || !(0.2 <= e.Low && e.Low < 0.6 && 0.6 < e.High && e.High <= 1.2) || math.IsNaN(e.Mean) {
		t.Errorf("fitted %+v", e)
	}
}

func TestCalibrateRefuses(t *testing.T) {
	for says, args := range map[string][]string{
		"--step-ms is 9":        {"--step-ms", "9"},
		"--fit weight is not":   {"--fit", "weight=1:2"},
		"friction=2:1 is not":   {"--fit", "friction=2:1"},
		"friction=high is not":  {"--fit", "friction=high"},
		"nowhere.csv":           {"--fit", "friction=0.3:1"},
		"--hand-symmetry round": {"--hand-symmetry", "round"},
	} {
		code, _, told := calibrate(t, append([]string{"--scene", peerScene, "--trials", "nowhere.csv"}, args...)...)
		if code != 2 || !strings.Contains(told, says) {
			t.Errorf("%v: %d %s", args, code, told)
		}
	}
}
