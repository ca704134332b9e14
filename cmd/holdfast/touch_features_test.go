package main

import (
	"encoding/json"
	"path/filepath"
	"strings"
	"testing"
)

func TestTouchTrainChoosesFeatures(t *testing.T) {
	dir := t.TempDir()
	labels := touchedFingers(t, dir)
	model := filepath.Join(t.TempDir(), "finger.touch")
	args := []string{"touch", "train", "--clips", dir, "--labels", labels, "--out", model, "--method", "discriminant", "--target", "zone", "--features"}
	code, table, stderr := program(t, append(args, "auto")...)
	if code != 0 || !strings.Contains(table, "Features chosen by held-out clips: ") || !strings.Contains(table, " of 3 parts without the clips they are asked about") {
		t.Fatalf("code %d\n%s%s", code, table, stderr)
	}
	code, stdout, stderr := program(t, append(args, "auto", "--json")...)
	var r touchTrainReport
	if err := json.Unmarshal([]byte(stdout), &r); code != 0 || err != nil {
		t.Fatalf("code %d, %v\n%s%s", code, err, stdout, stderr)
	}
	f := r.Evidence.Features
	if f == nil || f.By != "zone" || len(f.ByFold) != 3 || len(f.Model) == 0 || !strings.Contains(table, strings.Join(f.Model, ",")) {
		t.Errorf("%+v", f)
	}
	// The model that is kept has the features of the set, and tells clips by them.
	_, plain, _ := program(t, append(args, strings.Join(f.Model, ","), "--json")...)
	var given touchTrainReport
	if err := json.Unmarshal([]byte(plain), &given); err != nil || given.Features != r.Features || given.Evidence.Features != nil {
		t.Errorf("%v: %d features where %d were chosen, %+v", err, given.Features, r.Features, given.Evidence.Features)
	}
	code, told, stderr := program(t, "touch", "predict", "--model", model, "--clips", dir, "--out", filepath.Join(t.TempDir(), "told.csv"))
	if code != 0 || !strings.Contains(told, "120 clips told") {
		t.Errorf("code %d\n%s%s", code, told, stderr)
	}
	code, _, stderr = program(t, append(args, "auto,flux")...)
	if code != 2 || !strings.Contains(stderr, "leave out flux") {
		t.Errorf("code %d: %s", code, stderr)
	}
}
