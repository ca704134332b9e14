package handtest

import (
	"fmt"
	"slices"
	"strings"
)

// HandRecord is one test of one hand. Variant is what follows KIND- in the file's
// name (a direction, a specimen); empty for none.
type HandRecord struct {
	Variant string
	Report  *Report
}

// Hand is a hand of a sheet with its tests.
type Hand struct {
	Name    string
	Records []HandRecord
}

// Sheet lays the figures of several hands side by side.
type Sheet struct {
	Hands []string    `json:"hands"`
	Tests []SheetTest `json:"tests"` // in the order of Kinds; those that no hand has are there, without rows
}

// SheetTest is a test with the figures of all hands.
type SheetTest struct {
	Kind  string      `json:"kind"`
	Title string      `json:"title"`
	Rows  []SheetRow  `json:"rows"`
	Notes []SheetNote `json:"notes"` // of all hands, in the order of the hands
}

// SheetNote is what a hand's record does not show, or a caution.
type SheetNote struct {
	Hand    string `json:"hand"`
	Variant string `json:"variant,omitempty"`
	Text    string `json:"text"`
}

// SheetRow is one figure; Cells has one entry for each hand, nil where the hand lacks it.
type SheetRow struct {
	Name    string    `json:"name"`
	Variant string    `json:"variant,omitempty"`
	Group   string    `json:"group,omitempty"`
	Unit    string    `json:"unit"`
	Cells   []*Figure `json:"cells"`
}

// Of says what the row's figure is of: variant and group.
func (r SheetRow) Of() string {
	if r.Variant == r.Group {
		return r.Group
	}
	return strings.TrimSpace(r.Variant + " " + r.Group)
}

// SheetBasis is what figures of a test of a hand rest on.
type SheetBasis struct{ Kind, Hand, Text string }

// Bases lists what the figures rest on, each once for a test and hand.
func (s *Sheet) Bases() (list []SheetBasis) {
	for _, t := range s.Tests {
		for column, hand := range s.Hands {
			for _, r := range t.Rows {
				if f := r.Cells[column]; f != nil {
					if b := (SheetBasis{t.Kind, hand, f.Basis}); !slices.Contains(list, b) {
						list = append(list, b)
					}
				}
			}
		}
	}
	return list
}

// FileKind tells a test and its variant from a file's name, KIND.csv or KIND-something.csv, in capitals or not.
func FileKind(file string) (k Kind, variant string, err error) {
	stem, isCSV := file, false
	if n := len(file) - len(".csv"); n >= 0 && strings.EqualFold(file[n:], ".csv") {
		stem, isCSV = file[:n], true
	}
	name, variant, dashed := strings.Cut(stem, "-")
	k, known := Find(strings.ToLower(name))
	if !isCSV || !known || dashed && variant == "" {
		var all []string
		for _, k := range Kinds() {
			all = append(all, k.Name)
		}
		return Kind{}, "", fmt.Errorf("%s: no test is told by this name; call it KIND.csv or KIND-something.csv, KIND one of %s", file, strings.Join(all, ", "))
	}
	return k, variant, nil
}

// NewSheet aligns figures by test, variant, name, group and unit, in the order in
// which they first come; figures whose unit nobody told are not put beside those of
// another hand. Hands need different names, and each test and variant of
// a hand may come once.
func NewSheet(hands []Hand) (*Sheet, error) {
	if len(hands) == 0 {
		return nil, fmt.Errorf("a sheet needs a hand")
	}
	s := &Sheet{}
	seen := map[string]bool{}
	for _, h := range hands {
		if h.Name == "" || seen[h.Name] {
			return nil, fmt.Errorf("hand %q: each hand needs a name of its own", h.Name)
		}
		seen[h.Name] = true
		s.Hands = append(s.Hands, h.Name)
	}
	type key struct {
		variant, name, group, unit string
		alone                      int // the hand, where the unit is not known
	}
	for _, k := range Kinds() {
		test := SheetTest{Kind: k.Name, Title: k.Title, Rows: []SheetRow{}, Notes: []SheetNote{}}
		place := map[key]int{}
		for column, h := range hands {
			variants := map[string]bool{}
			for _, record := range h.Records {
				if record.Report.Kind != k.Name {
					continue
				}
				if variants[record.Variant] {
					return nil, fmt.Errorf("hand %s: %s %s is there twice", h.Name, k.Name, record.Variant)
				}
				variants[record.Variant] = true
				for _, f := range record.Report.Figures {
					at := key{variant: record.Variant, name: f.Name, group: f.Group, unit: f.Unit}
					if f.Unit == untoldUnit {
						at.alone = column + 1
					}
					i, there := place[at]
					if !there {
						i = len(test.Rows)
						place[at] = i
						test.Rows = append(test.Rows, SheetRow{f.Name, record.Variant, f.Group, f.Unit, make([]*Figure, len(hands))})
					}
					test.Rows[i].Cells[column] = &f
				}
				for _, n := range record.Report.Notes {
					test.Notes = append(test.Notes, SheetNote{h.Name, record.Variant, n})
				}
			}
		}
		s.Tests = append(s.Tests, test)
	}
	return s, nil
}
