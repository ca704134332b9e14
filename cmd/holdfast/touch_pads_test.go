package main

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"holdfast/signals/pads"
)

// The invented array's faults are named, and its contacts come out where they were, with their force.
func TestInventedPadsAreRead(t *testing.T) {
	var r pads.PadReport
	at, args := readInvented(t, "pads", "pads", &r)
	v := pads.Invent(1)
	want := map[int]string{v.Dead + 1: "dead", v.Bridged[0] + 1: "bridged", v.Bridged[1] + 1: "bridged", v.Clips + 1: "clipping"}
	for _, p := range r.Pads {
		if state := want[p.Pad]; state != p.State && (state != "" || p.State != "good") {
			t.Errorf("pad %d is %s, want %s", p.Pad, p.State, state)
		}
	}
	// Of the frames in which nothing presses, one in a thousand may show something.
	wrong, quiet := 0, 0
	for i, f := range r.Frames {
		most := 0.0
		for _, n := range v.Forces[i] {
			most = math.Max(most, n)
		}
		if most == 0 {
			quiet++
			if len(f.Contacts) > 0 {
				wrong++
			}
		}
		for k, n := range v.Forces[i] {
			// What a pad passes on while it clips can not be taken back from the pads beside it.
			beside := v.Places[k].Add(v.Places[v.Clips].Scale(-1)).Norm() < 0.006
			if want[k+1] == "" && !beside && math.Abs(f.Forces[k]-n) > 0.12 {
				t.Errorf("frame %d, pad %d: %g N, truly %g", i, k+1, f.Forces[k], n)
			}
		}
	}
	if quiet < 90 || wrong > 3 {
		t.Errorf("%d of %d quiet frames show a contact", wrong, quiet)
	}
	lines := strings.Split(strings.TrimSpace(fileText(t, at("out.csv"))), "\n")
	if lines[0] != pads.ContactColumns || len(lines) < 280 {
		t.Errorf("%d lines, the first %q", len(lines), lines[0])
	}
	if code, out, told := program(t, args...); code != 0 || !strings.Contains(out, "Dead pads, which tell nothing: 12.") || !strings.Contains(out, "Bridged pads, which answer each other as if pressed themselves: 24, 25.") {
		t.Errorf("%d %s %s", code, out, told)
	}
}

// readInvented invents the files of an array of sensors and has a command read them, as JSON and into out.csv. It returns where
// the files lie, and the arguments for a table.
func readInvented(t *testing.T, sensor, command string, report any) (at func(name string) string, args []string) {
	t.Helper()
	dir := filepath.Join(t.TempDir(), sensor)
	if code, _, told := program(t, "touch", "invent", "--sensor", sensor, "--out", dir); code != 0 {
		t.Fatal(told)
	}
	at = func(name string) string { return filepath.Join(dir, name) }
	args = []string{"touch", command, "--calibration", at("calibration.csv"), "--places", at("places.csv"), at("record.csv")}
	code, out, told := program(t, append(args, "--json", "--out", at("out.csv"))...)
	if code != 0 {
		t.Fatal(told)
	}
	if err := json.Unmarshal([]byte(out), report); err != nil {
		t.Fatal(err)
	}
	return at, args
}

func TestPadFilesAreRefusedByRowAndColumn(t *testing.T) {
	dir := t.TempDir()
	file := func(name, text string) string {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		return path
	}
	calibration := "pressed_pad,force_N,pad_1,pad_2\n0,0,1,1\n0,0,2,1\n0,0,1,2\n1,1,11,1\n1,2,21,1\n1,3,31,2\n2,1,1,11\n2,2,2,21\n2,3,1,30\n"
	places := "pad,x_mm,y_mm\n1,0,0\n2,5,0\n"
	record := "time_s,pad_1,pad_2\n0,1,1\n0.1,11,1\n"
	for want, files := range map[string][3]string{
		"": {calibration, places, record},
		"calibration.csv: row 5, column pressed_pad: must be a whole number from 0 to 2": {strings.Replace(calibration, "1,1,11", "3,1,11", 1), places, record},
		"row 5, column force_N: must be above 0":                                         {strings.Replace(calibration, "1,1,11", "1,0,11", 1), places, record},
		"row 2, column force_N: must be 0":                                               {strings.Replace(calibration, "0,0,1,1", "0,3,1,1", 1), places, record},
		"row 2, column pad_2: must be a number":                                          {strings.Replace(calibration, "0,0,1,1", "0,0,1,x", 1), places, record},
		"places.csv: row 3, column pad: pad 1 has its place in row 2":                    {calibration, strings.Replace(places, "2,5", "1,5", 1), record},
		"row 3, column pad: must be a whole number":                                      {calibration, strings.Replace(places, "2,5", "2.5,5", 1), record},
		"pad 1 lies where another one lies":                                              {calibration, strings.Replace(places, "2,5", "2,0", 1), record},
		"3 places for 2 pads":                                                            {calibration, places + "3,10,0\n", record},
		"record.csv: row 3, column time_s: must be later":                                {calibration, places, strings.Replace(record, "0.1,", "0,", 1)},
		"there is no column pad_1":                                                       {calibration, places, "time_s,value\n0,1\n"},
		"there is no column pad_2, though there is pad_3":                                {calibration, places, "time_s,pad_1,pad_3\n0,1,1\n"},
		"1 readings for an array of 2 pads":                                              {calibration, places, "time_s,pad_1\n0,1\n"},
	} {
		code, _, told := program(t, "touch", "pads", "--calibration", file("calibration.csv", files[0]), "--places", file("places.csv", files[1]), file("record.csv", files[2]))
		if (code == 0) != (want == "") || !strings.Contains(told, want) {
			t.Errorf("%d, %q does not say %q", code, told, want)
		}
	}
}
