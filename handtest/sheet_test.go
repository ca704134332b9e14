package handtest

import (
	"strings"
	"testing"
)

func TestSheetLaysHandsSideBySide(t *testing.T) {
	read := func(kind, csv string) *Report {
		r, err := run(t, kind, csv, usual())
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	s, err := NewSheet([]Hand{
		{"soft", []HandRecord{{"", read("grip", examples["grip"])}, {"left", read("strength", examples["strength"])}}},
		{"stiff", []HandRecord{{"", read("grip", "diameter_mm,force_N\n50,30\n50,32\n")}}},
	})
	if err != nil {
		t.Fatal(err)
	}
	grip, strength := s.Tests[2], s.Tests[1]
	if len(s.Tests) != len(Kinds()) || len(grip.Rows) != 4 || len(strength.Rows) != 2 {
		t.Fatalf("%+v", s)
	}
	if r := grip.Rows[1]; r.Group != "50 mm" || r.Cells[0].Value != 20.5 || r.Cells[1].Value != 31 {
		t.Errorf("%+v", r)
	}
	if grip.Rows[0].Cells[1] != nil || strength.Rows[0].Cells[1] != nil || strength.Rows[0].Variant != "left" {
		t.Errorf("a figure that a hand lacks is not left out: %+v %+v", grip.Rows[0], strength.Rows[0])
	}
	if _, err := NewSheet([]Hand{{Name: "a"}, {Name: "a"}}); err == nil {
		t.Error("two hands of one name pass")
	}
}

func TestFileKind(t *testing.T) {
	if k, v, err := FileKind("stiffness-side-ways.csv"); err != nil || k.Name != "stiffness" || v != "side-ways" {
		t.Errorf("%s %q %v", k.Name, v, err)
	}
	for _, file := range []string{"hope.csv", "grip.txt", "grip-.csv", "", "Grip.csv"} {
		if _, _, err := FileKind(file); err == nil || !strings.Contains(err.Error(), "KIND one of closing") {
			t.Errorf("%q: %v", file, err)
		}
	}
}
