package readings

import (
	"bytes"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// What is written of a series is read again to the bit, whatever its numbers.
func TestSeriesComeBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		sensors, moments := rapid.IntRange(1, 12).Draw(t, "sensors"), rapid.IntRange(1, 20).Draw(t, "moments")
		s := &Series{}
		at := rapid.Float64Range(-1e6, 1e6).Draw(t, "start")
		for range moments {
			row := make([]float64, sensors)
			for k := range row {
				row[k] = rapid.Float64Range(-1e15, 1e15).Draw(t, "reading")
			}
			s.Times, s.Readings = append(s.Times, at), append(s.Readings, row)
			at += rapid.Float64Range(1e-3, 10).Draw(t, "step")
		}
		var b bytes.Buffer
		if err := WriteSeries(&b, s, "cell_"); err != nil {
			t.Fatal(err)
		}
		got, err := ReadSeries(&b, "cell_")
		if err != nil {
			t.Fatal(err)
		}
		if !reflect.DeepEqual(got, s) {
			t.Fatalf("%v came back, %v was written", got, s)
		}
	})
}

func TestTablesAreRefusedByRowAndColumn(t *testing.T) {
	columns := []Column{{Name: "way", Meaning: "which way", Text: true, Words: []string{"up", "down"}}, {Name: "load_N", Meaning: "load", Natural: true}}
	for text, want := range map[string]string{
		"way,load_N\nup,1\ndown,2\n":   "",
		"":                             "no header",
		"way,load_N\n":                 "no rows",
		"way\nup\n":                    "no column load_N (load)",
		"way,load_N,WAY\nup,1,up\n":    "column way is there twice",
		"way,load_N\nup,-1\n":          `row 2, column load_N: must not be below 0 (got "-1")`,
		"way,load_N\nup,1\nleft,x\n":   "row 3, column way: must be up or down (got \"left\")\nrow 3, column load_N: must be a number",
		"way,load_N\nup\n":             `row 2, column load_N: must be a number with a decimal point (got "")`,
		"way,load_N\nup,1\n\"up,1\n":   "row 3",
		"\uFEFFWay , load_n\nup , 1\n": "",
	} {
		_, err := Read(strings.NewReader(text), columns)
		if (err == nil) != (want == "") || err != nil && !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %q", text, err, want)
		}
	}
}

func TestEightFaultsAreTold(t *testing.T) {
	_, err := Read(strings.NewReader("x\n"+strings.Repeat("no\n", 20)), []Column{{Name: "x", Meaning: "a number"}})
	if err == nil || strings.Count(err.Error(), "row ") != 8 {
		t.Errorf("%v", err)
	}
}

func TestLabelsKeepUnitAndNameApart(t *testing.T) {
	for column, want := range map[string]string{"peak_force_N": "peak force, N", "value (N)": "value (N)", "angle_deg": "angle, °", "command": "command", "_N": " N", "free_end": "free end"} {
		if got := Label(column); got != want {
			t.Errorf("%q is %q, want %q", column, got, want)
		}
	}
}

func FuzzSeries(f *testing.F) {
	f.Add("time_s,cell_1\n0,1\n1,2\n")
	f.Add("time_s,cell_2,cell_1\n0,1,2\n")
	f.Add("time_s,cell_1\n1,1\n1,2\n")
	f.Add("time_s,cell_01\n0,1\n")
	f.Add("cell_1,time_s\n\"0,1\n")
	f.Fuzz(func(t *testing.T, text string) {
		s, err := ReadSeries(strings.NewReader(text), "cell_")
		if err != nil {
			if s != nil {
				t.Fatal("a series with an error")
			}
			return
		}
		var b bytes.Buffer
		if err := WriteSeries(&b, s, "cell_"); err != nil {
			t.Fatal(err)
		}
		again, err := ReadSeries(&b, "cell_")
		if err != nil || !reflect.DeepEqual(again, s) {
			t.Fatalf("%v came back (%v), %v was read", again, err, s)
		}
	})
}
