package tables

import (
	"errors"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"holdfast/domain"
	"holdfast/orient"
)

var update = flag.Bool("update", false, "rewrite golden files")

func golden(t *testing.T, name, got string) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), got); diff != "" {
		t.Errorf("%s (-want +got):\n%s", name, diff)
	}
}

func readCSV(t *testing.T, text string) *Table {
	t.Helper()
	table, err := Read(FromBytes("trials.csv", []byte(text)), nil)
	if err != nil {
		t.Fatal(err)
	}
	return table
}

func TestEveryColumn(t *testing.T) {
	table := readCSV(t, "\xEF\xBB\xBFTilt_Deg, azimuth_deg ,roll_deg,OUTCOME,strategy,item,hand,setting,closing,offset_x_mm,offset_y_mm,offset_z_mm,"+
		"peak_force_N,duration_s,block,operator,started_at,note,key,void_reason,reference,colour\r\n"+
		"30,90,-45,Held,free,croissant,soft-hand,tray,0.5,1.5,-2,0,3.25,4,2,Ida,2026-03-01T14:05:00+01:00,\"crumbs, \"\"many\"\"\r\nand more\",k-1,,true,brown\r\n"+
		"\r\n"+
		"0,0,0,void,,,,,,,,,,,,,,,,tray fell,,\r\n")
	want := Row{
		Number: 1, Line: 2, Key: "k-1", Hand: "soft-hand", Item: "croissant", Setting: "tray", Strategy: "free", Operator: "Ida",
		Note:     "crumbs, \"many\"\nand more",
		Rotation: orient.FromApproach(orient.Approach{Tilt: 30 * (3.141592653589793 / 180), Azimuth: 90 * (3.141592653589793 / 180), Roll: -45 * (3.141592653589793 / 180)}),
		Outcome:  domain.OutcomeHeld, Closing: 0.5, Offset: [3]float64{0.0015, -0.002, 0}, PeakForce: 3.25, Duration: 4, Block: 2,
		Reference: true, StartedAt: time.Date(2026, 3, 1, 13, 5, 0, 0, time.UTC),
	}
	want.Given = Fields(0).with(FieldHand, FieldItem, FieldSetting, FieldStrategy, FieldOperator, FieldNote, FieldKey, FieldTilt, FieldAzimuth,
		FieldRoll, FieldClosing, FieldOffsetX, FieldOffsetY, FieldOffsetZ, FieldPeakForce, FieldDuration, FieldBlock, FieldReference,
		FieldOutcome, FieldStartedAt)
	if diff := cmp.Diff(want, table.Trials[0]); diff != "" {
		t.Errorf("first row (-want +got):\n%s", diff)
	}
	second := table.Trials[1]
	if second.Number != 2 || second.Line != 5 {
		t.Errorf("second row is row %d on line %d, want row 2 on line 5", second.Number, second.Line)
	}
	if second.Has(FieldClosing) || second.Has(FieldPeakForce) || second.Has(FieldHand) {
		t.Errorf("empty cells count as given: %b", second.Given)
	}
	if trial := second.Trial("s"); trial.PeakForce != nil || trial.Duration != nil || trial.VoidReason != "tray fell" {
		t.Errorf("trial of a row without force and duration: %+v", trial)
	}
	if diff := cmp.Diff([]string{"colour"}, table.Ignored); diff != "" {
		t.Errorf("ignored columns: %s", diff)
	}
	if table.Rows != 2 || table.Count != 2 || table.Aggregated {
		t.Errorf("summary %+v", table.Summary)
	}
}

func TestQuaternionsAreNormalisedAndPreferred(t *testing.T) {
	table := readCSV(t, "tilt_deg,azimuth_deg,roll_deg,qw,qx,qy,qz,outcome\n5,5,5,-0.7071,0,0,-0.7071,1\n")
	got := table.Trials[0].Rotation
	if d := got.AngleTo(orient.RotZ(3.141592653589793 / 2)); d > 1e-12 {
		t.Errorf("rotation %v is %g rad from a quarter turn", got, d)
	}
	if got.W < 0 || got.Norm() < 1-1e-15 || got.Norm() > 1+1e-15 {
		t.Errorf("rotation %v is not a canonical unit quaternion", got)
	}
	if diff := cmp.Diff([]string{"tilt_deg", "azimuth_deg", "roll_deg"}, table.Ignored); diff != "" {
		t.Errorf("ignored columns: %s", diff)
	}
}

func TestOutcomeWords(t *testing.T) {
	for word, want := range map[string]domain.Outcome{
		"1": domain.OutcomeHeld, "0": domain.OutcomeFailed, "TRUE": domain.OutcomeHeld, "false": domain.OutcomeFailed,
		" Pushed ": domain.OutcomePushed, "damaged": domain.OutcomeDamaged, "failed": domain.OutcomeFailed,
	} {
		table := readCSV(t, "tilt_deg,azimuth_deg,roll_deg,outcome\n0,0,0,"+word+"\n")
		if got := table.Trials[0].Outcome; got != want {
			t.Errorf("%q reads as %q, want %q", word, got, want)
		}
	}
}

func TestAggregatedRowsExpand(t *testing.T) {
	text := "tilt_deg,azimuth_deg,roll_deg,held,trials,key\n0,0,0,2,3,day-1\n10,0,0,0,0,\n20,0,0,0,2,\n"
	table := readCSV(t, text)
	var got []string
	for _, r := range table.Trials {
		got = append(got, fmt.Sprintf("%d %d %s %s", r.Number, r.Copy, r.Outcome, strings.Replace(r.Key, table.Digest[:16], "DIGEST", 1)))
	}
	want := []string{"1 1 held day-1#1", "1 2 held day-1#2", "1 3 failed day-1#3", "3 1 failed file-DIGEST-3#1", "3 2 failed file-DIGEST-3#2"}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
	if table.Rows != 3 || table.Count != 5 || !table.Aggregated {
		t.Errorf("summary %+v", table.Summary)
	}
	again := readCSV(t, text)
	if diff := cmp.Diff(table, again); diff != "" {
		t.Errorf("the same file reads differently:\n%s", diff)
	}
}

func TestColumnMap(t *testing.T) {
	text, err := os.ReadFile("../examples/palm-orientation-slip.columns.yaml")
	if err != nil {
		t.Fatal(err)
	}
	m, err := ParseColumnMap("map", text)
	if err != nil {
		t.Fatal(err)
	}
	table, err := Read(FromBytes("counts.csv", []byte("object,hand_orientation,held,slipped,trials,held_fraction\n"+
		"bun,palm_down,1,1,2,0.5\nbun,palm_side,0,1,1,0\n")), m)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, r := range table.Trials {
		got = append(got, fmt.Sprintf("%s %s %s %.4f", r.Item, r.Strategy, r.Outcome, r.Rotation.Approach().Tilt))
	}
	want := []string{"bun free held 0.0000", "bun free slipped 0.0000", "bun free slipped 1.5708"}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
	if diff := cmp.Diff([]string{"slipped", "held_fraction"}, table.Ignored); diff != "" {
		t.Error(diff)
	}
}

// faulty files and maps, each with its whole message as a golden file.
func TestFaults(t *testing.T) {
	const head = "tilt_deg,azimuth_deg,roll_deg,outcome"
	many := head + "\n" + strings.Repeat("0,0,steep,held\n", 60)
	for _, c := range []struct{ name, text, columns string }{
		{name: "empty", text: ""},
		{name: "header-only", text: head + "\n"},
		{name: "semicolons", text: "tilt_deg;azimuth_deg;outcome\n1;2;held\n"},
		{name: "utf16", text: "\xff\xfet\x00"},
		{name: "latin1", text: head + ",item\n0,0,0,held,\xe9clair\n"},
		{name: "workbook", text: "PK\x03\x04rest"},
		{name: "no-orientation", text: "qw,qx,outcome\n1,0,held\n"},
		{name: "no-outcome", text: "tilt_deg,azimuth_deg,roll_deg,held\n0,0,0,1\n"},
		{name: "twice", text: head + ",Outcome\n0,0,0,held,held\n"},
		{name: "values", text: head + ",closing,block,started_at,reference,offset_x_mm,key\n" +
			"-1,\"7,5\",0x10,maybe,1.5,2.5,1 March 2026,perhaps,1e9,\n" +
			"0,0,0,held,0.5,2,2026-03-01T14:05:00,yes,0,a\n0,0,0,void,0.5,2,,no,NaN,a\n,,0,,,,,,,\n0,0,0\n"},
		{name: "quaternion", text: "qw,qx,qy,qz,outcome\n1,1,0,0,held\n1,,0,0,held\n0,0,0,0,held\n"},
		{name: "counts", text: "tilt_deg,azimuth_deg,roll_deg,held,trials\n0,0,0,3,2\n0,0,0,-1,2\n0,0,0,1.5,2\n"},
		{name: "void", text: head + ",void_reason\n0,0,0,void,\n0,0,0,held,why\n"},
		{name: "many", text: many},
		{name: "open-quote", text: head + "\n0,0,0,\"held\n0,0,0,held\n"},
		{name: "stray-quote", text: head + "\n0,0,0,he\"l\"d\n"},
		{name: "after-quote", text: head + "\n0,0,0,\"held\"x\n"},
		{name: "old-line-ends", text: head + "\r0,0,0,held\r"},
		{name: "parquet-cut", text: "PAR1 is not the whole story"},
		{name: "map-missing-column", text: head + "\n0,0,0,held\n", columns: "columns: {item: thing}\nvalues: {pose: {up: {roll_deg: 0}}}\n"},
		{name: "map-unknown-word", text: "pose,roll_deg,outcome\nup,0,held\nsideways,0,held\n",
			columns: "values: {pose: {up: {tilt_deg: 0, azimuth_deg: 0}, side: {tilt_deg: 90, azimuth_deg: 0}}}\n"},
		{name: "map-not-yaml", columns: "columns: {item: [\n"},
		{name: "map-unknown-part", columns: "column: {item: thing}\n"},
		{name: "map-anchors", columns: "columns: &c {item: thing}\n"},
		{name: "map-faults", columns: "columns: {itme: thing, item: thing, hand: thing, setting: ''}\n" +
			"constants: {item: bun, tilt_deg: 200, key: k, roll_deg: [1], hand: ''}\n" +
			"values: {pose: {a: {tilt_deg: 1}, b: {roll_deg: 1}}, none: {}, thing: {x: {block: 1}}}\nfailed_as: held\n"},
	} {
		t.Run(c.name, func(t *testing.T) {
			var m *ColumnMap
			var err error
			if c.columns != "" {
				m, err = ParseColumnMap("columns.yaml", []byte(c.columns))
			}
			if err == nil {
				_, err = Read(FromBytes("trials.csv", []byte(c.text)), m)
			}
			var faults *Errors
			if !errors.As(err, &faults) {
				t.Fatalf("got %v, want faults", err)
			}
			if domain.KindOf(err) != domain.KindInvalid {
				t.Errorf("kind %q, want invalid", domain.KindOf(err))
			}
			golden(t, "faults/"+c.name+".txt", err.Error()+"\n")
		})
	}
}

func TestNothingIsHandedOutAfterAFault(t *testing.T) {
	text := "tilt_deg,azimuth_deg,roll_deg,outcome\n0,0,0,held\n0,0,0,odd\n0,0,0,held\n"
	n := 0
	_, err := Stream(FromBytes("t.csv", []byte(text)), nil, func(*Row) error { n++; return nil })
	if err == nil || n != 1 {
		t.Errorf("%d rows and error %v, want 1 row and an error", n, err)
	}
	stop := errors.New("full")
	_, err = Stream(FromBytes("t.csv", []byte(text)), nil, func(*Row) error { return stop })
	if !errors.Is(err, stop) {
		t.Errorf("the receiver's error came back as %v", err)
	}
}

func TestReadGridKeepsOrder(t *testing.T) {
	grid, err := ReadGrid(FromBytes("grid.csv", []byte("name,qw,qx,qy,qz,closing\nb,0,1,0,0,no number\na,1,0,0,0,\n")), nil)
	if err != nil {
		t.Fatal(err)
	}
	want := []orient.Rotation{{X: 1}, {W: 1}}
	if diff := cmp.Diff(want, grid); diff != "" {
		t.Error(diff)
	}
}

func TestLongLinesAndRecords(t *testing.T) {
	note := strings.Repeat("ab,\"\"\r\n", 500)
	filler := strings.Repeat("x", 200_000)
	table := readCSV(t, "tilt_deg,azimuth_deg,roll_deg,outcome,note,filler\n0,0,0,held,\""+note+"\","+filler+"\n1,1,1,held,,\""+filler+"\"\n")
	if got, want := table.Trials[0].Note, strings.Repeat("ab,\"\n", 500); got != want {
		t.Errorf("note of %d bytes, want %d", len(got), len(want))
	}
	if len(table.Trials) != 2 || table.Trials[1].Line != 503 {
		t.Errorf("%d rows, second on line %d", len(table.Trials), table.Trials[1].Line)
	}
}

// Size and mass of items are read by who asks for them, with faults by row and column; for an import they are columns that
// are passed over, whatever stands in them.
func TestFeaturesOfItems(t *testing.T) {
	src := FromBytes("trials.csv", []byte("tilt_deg,azimuth_deg,roll_deg,outcome,item,Item_Size_mm,item_mass_g\n0,0,0,held,roll,82.5,61\n0,0,0,held,egg,,\n"))
	var rows []Row
	if _, err := StreamFeatures(src, nil, func(r *Row) error { rows = append(rows, *r); return nil }); err != nil {
		t.Fatal(err)
	}
	if r := rows[0]; r.ItemSize != 0.0825 || r.ItemMass != 0.061 || !r.Has(FieldItemSize) || rows[1].Has(FieldItemMass) {
		t.Errorf("%+v", rows)
	}
	table, err := Read(src, nil)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff([]string{"Item_Size_mm", "item_mass_g"}, table.Ignored); diff != "" || table.Trials[0].ItemMass != 0 || table.Trials[0].Has(FieldItemMass) {
		t.Errorf("an import reads features: %s %+v", diff, table.Trials[0])
	}
	bad := FromBytes("bad.csv", []byte("tilt_deg,azimuth_deg,roll_deg,outcome,item_size_mm,item_mass_g\n0,0,0,held,0.2,61\n0,0,0,held,80,heavy\n"))
	_, err = StreamFeatures(bad, nil, func(*Row) error { return nil })
	for _, want := range []string{"row 1", "item_size_mm", "row 2", "item_mass_g", "heavy"} {
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v does not say %q", err, want)
		}
	}
	if _, err := Read(bad, nil); err != nil {
		t.Errorf("an import stumbles over what it passes over: %v", err)
	}
}
