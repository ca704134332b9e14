package tables

import (
	"bytes"
	"encoding/csv"
	"errors"
	"math"
	"os"
	"regexp"
	"strings"
	"testing"

	"holdfast/domain"
	"holdfast/faults"
)

// checkRead sees that reading ends in a sound table or in faults of the caller's file, never in anything else.
func checkRead(t *testing.T, content []byte, m *ColumnMap) *Table {
	table, err := Read(FromBytes("f", content), m)
	if err != nil {
		var list *Errors
		if !errors.As(err, &list) || len(list.Faults) == 0 || len(list.Faults) > faults.Most || len(list.Error()) > 1<<20 {
			t.Fatalf("error %v is not a list of faults", err)
		}
		return nil
	}
	keys := map[string]bool{}
	for i := range table.Trials {
		r := &table.Trials[i]
		trial := r.Trial("s")
		if err := trial.Validate(); err != nil {
			t.Fatalf("row %d is taken but does not hold: %v", r.Number, err)
		}
		if keys[r.Key] {
			t.Fatalf("key %q is given twice", r.Key)
		}
		keys[r.Key] = true
	}
	if len(table.Trials) != table.Count {
		t.Fatalf("%d trials, counted %d", len(table.Trials), table.Count)
	}
	return table
}

var manyDigits = regexp.MustCompile(`[0-9]{4}|[0-9][eE]`)

func FuzzCSV(f *testing.F) {
	f.Add([]byte("tilt_deg,azimuth_deg,roll_deg,outcome\n0,0,0,held\n"))
	f.Add([]byte("\xEF\xBB\xBFqw,qx,qy,qz,held,trials,note\r\n1,0,0,0,1,2,\"a\"\"\r\nb\"\r\n"))
	f.Add([]byte("tilt_deg,azimuth_deg,roll_deg,outcome,key,void_reason\n0,0,0,void,'=k,why\n\n,,,,,\n1,2,3,1,k2,\n"))
	f.Fuzz(func(t *testing.T, content []byte) {
		if bytes.HasPrefix(content, []byte("PAR1")) || manyDigits.Match(content) {
			return // Parquet has its own target; rows that count thousands of trials only cost time
		}
		table := checkRead(t, content, nil)
		if table == nil || table.Aggregated {
			return
		}
		trials := make([]domain.CountedTrial, len(table.Trials))
		for i := range trials {
			trials[i].Trial = table.Trials[i].Trial("s")
			trials[i].Counted = trials[i].Outcome
		}
		var b bytes.Buffer
		if err := WriteTrials(&b, CSV, trials); err != nil {
			t.Fatal(err)
		}
		again := checkRead(t, b.Bytes(), nil)
		if again == nil || len(again.Trials) != len(trials) {
			t.Fatalf("what was read and written does not read again:\n%s", b.String())
		}
		for i := range trials {
			if again.Trials[i].Note != strings.ReplaceAll(trials[i].Note, "\r\n", "\n") || again.Trials[i].Key != trials[i].Key {
				t.Fatalf("row %d: %+v became %+v", i, trials[i], again.Trials[i])
			}
		}
	})
}

// FuzzScanner compares with the standard library on what both take.
func FuzzScanner(f *testing.F) {
	f.Add([]byte("a,b\n\"x\ny\",\"\"\"\"\r\n\n1,2"))
	f.Fuzz(func(t *testing.T, content []byte) {
		std := csv.NewReader(bytes.NewReader(content))
		std.FieldsPerRecord = -1
		s := newScanner(bytes.NewReader(content))
		for {
			fields, err := s.next()
			if err != nil {
				return // ours is stricter: encodings and lone carriage returns
			}
			want, err := std.Read()
			if err != nil {
				t.Fatalf("the standard library refuses %q: %v", fields, err)
			}
			if len(want) != len(fields) {
				t.Fatalf("fields %q, the standard library has %q", fields, want)
			}
			for i := range want {
				if want[i] != string(fields[i]) {
					t.Fatalf("fields %q, the standard library has %q", fields, want)
				}
			}
		}
	})
}

func FuzzColumnMap(f *testing.F) {
	example, err := os.ReadFile("../examples/palm-orientation-slip.columns.yaml")
	if err != nil {
		f.Fatal(err)
	}
	f.Add(example)
	f.Add([]byte("columns: {item: thing}\nconstants: {block: 2, closing: 0.5, started_at: 2026-01-01T00:00:00Z}\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		m, err := ParseColumnMap("m", text)
		if err != nil {
			var faults *Errors
			if !errors.As(err, &faults) {
				t.Fatalf("error %v is not a list of faults", err)
			}
			return
		}
		checkRead(t, []byte("object,hand_orientation,held,trials,tilt_deg,azimuth_deg,roll_deg,outcome\nbun,palm_side,1,2,3,4,5,held\n"), m)
	})
}

func FuzzParquet(f *testing.F) {
	for _, trials := range [][]domain.CountedTrial{nil, someTrials()} {
		var b bytes.Buffer
		if err := WriteTrials(&b, Parquet, trials); err != nil {
			f.Fatal(err)
		}
		f.Add(b.Bytes())
	}
	var b bytes.Buffer
	if err := WriteMap(&b, Parquet, []MapRow{{P: math.Pi}}); err != nil {
		f.Fatal(err)
	}
	f.Add(b.Bytes())
	f.Fuzz(func(t *testing.T, content []byte) {
		if !bytes.HasPrefix(content, []byte("PAR1")) {
			content = append([]byte("PAR1"), content...)
		}
		checkRead(t, content, nil)
	})
}
