package api_test

import (
	"encoding/json"
	"strings"
	"testing"

	"holdfast/api"
	"holdfast/signals/pads"
	"holdfast/signals/strips"
)

// What the page does: the files of an invented array come, go back as they are, and are read.
func TestInventedSensorsAreReadOverTheInterface(t *testing.T) {
	b := stocked(t)
	var padReport pads.PadReport
	readInvented(b, "/touch/pads", &padReport)
	if v := pads.Invent(1); len(padReport.Pads) != len(v.Places) || padReport.Pads[v.Dead].State != "dead" || len(padReport.Frames) != len(v.Record.Times) || len(padReport.Contacts) == 0 {
		t.Errorf("%d pads, %d frames, %d contacts: %s", len(padReport.Pads), len(padReport.Frames), len(padReport.Contacts), padReport.Sentence)
	}
	var finger strips.FingerReport
	readInvented(b, "/touch/strips", &finger)
	if v := strips.Invent(1); len(finger.Strips) != len(v.Calibrations) || len(finger.Frames) != len(v.Record.Times) || finger.Level != 0.95 {
		t.Errorf("%d strips, %d frames, level %g: %s", len(finger.Strips), len(finger.Frames), finger.Level, finger.Sentence)
	}
}

func readInvented(b *bench, url string, report any) {
	b.t.Helper()
	// The files are sent on as they came.
	files := b.run(scenario{name: "invented", method: "GET", url: url + "/invented", status: 200})
	body := b.run(scenario{name: "read", method: "POST", url: url, body: files, status: 200})
	if err := json.Unmarshal([]byte(body), report); err != nil {
		b.t.Fatal(err)
	}
}

// A fault names the file, the row and the column.
func TestFilesOfSensorsAreRefusedByRowAndColumn(t *testing.T) {
	b := stocked(t)
	padFiles := api.TouchFiles{
		Calibration: "pressed_pad,force_N,pad_1\n0,0,1\n0,0,2\n0,0,1\n1,1,11\n1,2,21\n1,3,31\n", Places: "pad,x_mm,y_mm\n1,0,0\n", Record: "time_s,pad_1\n0,1\n0.1,11\n",
	}
	stripFiles := api.TouchFiles{
		Calibration: "strip,curvature_per_m,signal\n1,0,1\n1,0,1.1\n1,10,2\n1,10,2.1\n1,20,3\n1,20,3.1\n", Places: "strip,from_mm,to_mm\n1,0,20\n", Record: "time_s,strip_1\n0,1\n1,2\n",
	}
	for _, c := range []struct {
		name, url string
		files     api.TouchFiles
		change    func(*api.TouchFiles)
		status    int
		want      string
	}{
		{"pads in order", "/touch/pads", padFiles, func(*api.TouchFiles) {}, 200, `"sentence"`},
		{"strips in order", "/touch/strips", stripFiles, func(*api.TouchFiles) {}, 200, `"sentence"`},
		{"a pad that is none", "/touch/pads", padFiles, func(f *api.TouchFiles) { f.Calibration = strings.Replace(f.Calibration, "1,1,11", "3,1,11", 1) }, 422, "Calibration: row 5, column pressed_pad"},
		{"two places", "/touch/pads", padFiles, func(f *api.TouchFiles) { f.Places += "2,5,0\n" }, 422, "Places: "},
		{"time runs back", "/touch/pads", padFiles, func(f *api.TouchFiles) { f.Record += "0.05,1\n" }, 422, "Record: row 4, column time_s: must be later"},
		{"no file", "/touch/pads", padFiles, func(f *api.TouchFiles) { f.Places = "" }, 422, "places"},
		{"a strip ends before it begins", "/touch/strips", stripFiles, func(f *api.TouchFiles) { f.Places = "strip,from_mm,to_mm\n1,30,20\n" }, 422, "Places: row 2, column to_mm"},
		{"a strip without calibration", "/touch/strips", stripFiles, func(f *api.TouchFiles) { f.Places += "2,20,40\n" }, 422, "strip 2"},
		{"a signal that is no number", "/touch/strips", stripFiles, func(f *api.TouchFiles) { f.Record = "time_s,strip_1\n0,x\n" }, 422, "Record: row 2, column strip_1"},
		{"too much to draw", "/touch/strips", stripFiles, func(f *api.TouchFiles) {
			var r strings.Builder
			r.WriteString("time_s,strip_1\n")
			for i := range 130_000 {
				r.WriteString(jsonOf(t, i) + ",1\n")
			}
			f.Record = r.String()
		}, 422, "holdfast touch"},
	} {
		files := c.files
		c.change(&files)
		b.run(scenario{name: c.name, method: "POST", url: c.url, body: jsonOf(t, files), status: c.status, want: []string{c.want}})
	}
}

func jsonOf(t *testing.T, v any) string {
	t.Helper()
	raw, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	return string(raw)
}
