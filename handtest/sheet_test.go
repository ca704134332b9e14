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
	if k, v, err := FileKind("Grip-Left.CSV"); err != nil || k.Name != "grip" || v != "Left" {
		t.Errorf("%s %q %v", k.Name, v, err)
	}
	for _, file := range []string{"hope.csv", "grip.txt", "grip-.csv", ""} {
		if _, _, err := FileKind(file); err == nil || !strings.Contains(err.Error(), "KIND one of closing") {
			t.Errorf("%q: %v", file, err)
		}
	}
}

func TestSheetKeepsUnitsApart(t *testing.T) {
	read := func(csv string, unit string) *Report {
		s := usual()
		s.Unit = unit
		r, err := run(t, "wear", csv, s)
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	told := strings.Replace(examples["wear"], "value", "value_N", 1)
	for _, c := range []struct {
		name string
		a, b *Report
		rows int
	}{
		{"untold units", read(examples["wear"], ""), read(examples["wear"], ""), 4},
		{"the same unit", read(told, ""), read(examples["wear"], "N"), 2},
		{"two units", read(told, ""), read(examples["wear"], "mm"), 4},
	} {
		s, err := NewSheet([]Hand{{"a", []HandRecord{{"", c.a}}}, {"b", []HandRecord{{"", c.b}}}})
		if err != nil {
			t.Fatal(err)
		}
		for _, test := range s.Tests {
			if test.Kind == "wear" && len(test.Rows) != c.rows {
				t.Errorf("%s: %d rows", c.name, len(test.Rows))
			}
		}
	}
}

func TestSheetTellsNotes(t *testing.T) {
	r, err := run(t, "strength", examples["strength"], usual())
	if err != nil {
		t.Fatal(err)
	}
	s, err := NewSheet([]Hand{{"a", []HandRecord{{"left", r}}}})
	if err != nil {
		t.Fatal(err)
	}
	if n := s.Tests[1].Notes; len(n) != 1 || n[0].Hand != "a" || n[0].Variant != "left" || !strings.Contains(n[0].Text, "pose") {
		t.Errorf("%+v", n)
	}
}

func FuzzFileKind(f *testing.F) {
	for _, name := range []string{"grip.csv", "STIFFNESS-side-ways.CSV", ".csv", "-", "grip-.csv", "\xff.csv"} {
		f.Add(name)
	}
	f.Fuzz(func(t *testing.T, name string) {
		k, variant, err := FileKind(name)
		if err != nil {
			return
		}
		if back := k.Name + "-" + variant; !strings.EqualFold(name, k.Name+".csv") && !strings.EqualFold(name[:len(back)], back) {
			t.Errorf("%q is taken for %s, %q", name, k.Name, variant)
		}
	})
}
