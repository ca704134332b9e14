package tables

import (
	"bytes"
	"encoding/csv"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/parquet-go/parquet-go"
	"pgregory.net/rapid"

	"holdfast/domain"
	"holdfast/orient"
)

func someTrials() []domain.CountedTrial {
	force, duration := 3.25, 4.1
	measured := orient.FromApproach(orient.Approach{Tilt: 0.5, Azimuth: 1, Roll: -2})
	at := time.Date(2026, 3, 1, 13, 5, 0, 120_000_000, time.UTC)
	return []domain.CountedTrial{
		{Trial: domain.Trial{ID: 9, Root: 7, Key: "k-1", Order: 3, Block: 2, Hand: "soft-hand", Item: "croissant", Setting: "tray",
			Strategy: domain.StrategySurface, Planned: orient.Identity, Measured: &measured, Closing: 0.55,
			Offset: [3]float64{0.0123, -0.0007, 0}, PeakForce: &force, Duration: &duration, Outcome: domain.OutcomeHeld,
			Operator: "Ida", Note: "=crumbs, \"many\"\nand more", StartedAt: at, RecordedAt: at.Add(time.Minute),
			Recordings: []domain.Recording{{SHA256: "aa"}, {SHA256: "bb"}}},
			Counted: domain.OutcomeDamaged, Entries: 2, Inspection: domain.FindingDamaged},
		{Trial: domain.Trial{ID: 8, Root: 8, Key: "-k", Hand: "h", Item: "i", Setting: "s", Strategy: domain.StrategyFree,
			Planned: orient.RotX(math.Pi), Outcome: domain.OutcomeVoid, VoidReason: "tray fell", Reference: true, Proof: "rolls-proof"},
			Counted: domain.OutcomeVoid, Entries: 1},
	}
}

func TestTrialsGolden(t *testing.T) {
	var b bytes.Buffer
	if err := WriteTrials(&b, CSV, someTrials()); err != nil {
		t.Fatal(err)
	}
	golden(t, "trials.csv", b.String())
	if _, err := csv.NewReader(&b).ReadAll(); err != nil {
		t.Errorf("the standard library can not read it: %v", err)
	}
}

func TestPlanGolden(t *testing.T) {
	var b bytes.Buffer
	runs := []domain.PlannedRun{
		{Order: 1, Block: 1, WholePlot: 1, Hand: "h", Item: "egg", Setting: "s", Strategy: domain.StrategyFree, Cell: -1,
			Planned: orient.Identity, Closing: 0.5, Reference: true},
		{Order: 2, Block: 1, WholePlot: 1, Hand: "h", Item: "egg", Setting: "s", Strategy: domain.StrategyScoop, Cell: 4,
			Planned: orient.FromApproach(orient.Approach{Tilt: math.Pi / 6, Azimuth: math.Pi / 2, Roll: math.Pi / 4}), Closing: 0.7,
			Offset: [3]float64{0.002, -0.0013}, Replicate: 1},
	}
	if err := WritePlan(&b, CSV, runs); err != nil {
		t.Fatal(err)
	}
	golden(t, "plan.csv", b.String())
	grid, err := ReadGrid(FromBytes("plan.csv", b.Bytes()), nil)
	if err != nil {
		t.Fatal(err)
	}
	for i := range runs {
		if d := grid[i].AngleTo(runs[i].Planned); d > 1e-15 {
			t.Errorf("run %d comes back %g rad off", i, d)
		}
	}
	b.Reset()
	if err := WritePlan(&b, CSV, nil); err != nil || strings.Count(b.String(), "\n") != 1 {
		t.Errorf("an empty plan is written as %q, %v", b.String(), err)
	}
}

func TestMapGolden(t *testing.T) {
	rows := []MapRow{
		{orient.Identity, 0.1, 0.05, 1.0 / 3, 0.2},
		{orient.FromApproach(orient.Approach{Tilt: 1, Azimuth: 2, Roll: 3}), 1, 0, 1, math.NaN()},
	}
	var b bytes.Buffer
	if err := WriteMap(&b, CSV, rows); err != nil {
		t.Fatal(err)
	}
	golden(t, "map.csv", b.String())
	b.Reset()
	if err := WriteMap(&b, Parquet, rows); err != nil {
		t.Fatal(err)
	}
	back, err := parquet.Read[mapRecord](bytes.NewReader(b.Bytes()), int64(b.Len()))
	if err != nil {
		t.Fatal(err)
	}
	if len(back) != 2 || back[0].PHigh != 1.0/3 || *back[0].PBlurred != 0.2 || back[1].PBlurred != nil {
		t.Errorf("Parquet map comes back as %+v", back)
	}
	if _, err := newRecordWriter[mapRecord](&b, "xlsx"); err == nil {
		t.Error("an unknown format is taken")
	}
}

// What is written reads back as the same trials, in either format.
func TestTrialsRoundTrip(t *testing.T) {
	texts := rapid.StringOfN(rapid.SampledFrom([]rune("aé=+-@'\",\n\t 1")), 0, 12, -1)
	names := rapid.StringMatching(`['=+@-]{0,3}[a-zé]{1,5}[, "']{0,2}[a-z]`)
	unit := rapid.Float64Range(0, 1)
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 4).Draw(t, "n")
		trials := make([]domain.CountedTrial, n)
		for i := range trials {
			c := &trials[i]
			c.Key = names.Draw(t, "key") + string(rune('a'+i))
			c.Hand, c.Item = domain.ID(names.Draw(t, "hand")), domain.ID(names.Draw(t, "item"))
			c.Setting, c.Strategy = "tray", domain.StrategyFree
			c.Planned = orient.FromApproach(orient.Approach{Tilt: math.Pi * unit.Draw(t, "tilt"), Azimuth: 6 * unit.Draw(t, "azimuth"), Roll: 6 * unit.Draw(t, "roll")})
			c.Closing = unit.Draw(t, "closing")
			c.Offset = [3]float64{0.1 * unit.Draw(t, "x"), -0.01 * unit.Draw(t, "y"), 0}
			if rapid.Bool().Draw(t, "force") {
				f := 10 * unit.Draw(t, "N")
				c.PeakForce = &f
			}
			c.Outcome = rapid.SampledFrom(domain.Outcomes).Draw(t, "outcome")
			if c.Outcome == domain.OutcomeVoid {
				c.VoidReason = "=" + names.Draw(t, "reason")
			}
			c.Counted = c.Outcome
			c.Note = texts.Draw(t, "note")
			if strings.TrimSpace(c.Note) == "" {
				c.Note = ""
			}
			if rapid.Bool().Draw(t, "started") {
				c.StartedAt = time.Unix(rapid.Int64Range(0, 4e9).Draw(t, "s"), rapid.Int64Range(1, 999_999_999).Draw(t, "ns")).UTC()
			}
		}
		for _, f := range []Format{CSV, Parquet} {
			var b bytes.Buffer
			if err := WriteTrials(&b, f, trials); err != nil {
				t.Fatal(err)
			}
			table, err := Read(FromBytes("trials", b.Bytes()), nil)
			if err != nil {
				t.Fatalf("%s: %v\n%s", f, err, b.String())
			}
			for i := range trials {
				want, got := trials[i].Trial, table.Trials[i].Trial("")
				if d := got.Planned.AngleTo(want.Planned); d > 1e-15 {
					t.Errorf("%s: orientation is %g rad off", f, d)
				}
				got.Planned = want.Planned
				for k := range got.Offset {
					if math.Abs(got.Offset[k]-want.Offset[k]) > math.Abs(want.Offset[k])*0x1p-52 {
						t.Errorf("%s: offset %g m comes back as %g m", f, want.Offset[k], got.Offset[k])
					}
				}
				got.Offset = want.Offset
				if diff := cmp.Diff(want, got); diff != "" {
					t.Fatalf("%s (-want +got):\n%s", f, diff)
				}
			}
		}
	})
}

func TestMillimetresReadBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		mm := float64(rapid.IntRange(-999_999, 999_999).Draw(t, "µm")) / 1000
		if got := millimetres(metres(mm)); got != mm {
			t.Fatalf("%g mm is written as %g", mm, got)
		}
		// A plan holds the number nearest to so many micrometres.
		planned := math.Round(mm*1e3) / 1e6
		if got := millimetres(planned); got != mm || metres(got) != planned {
			t.Fatalf("%g mm in a plan is written as %g", mm, got)
		}
	})
}

// A foreign Parquet file with the types that data frames use.
func TestParquetTypes(t *testing.T) {
	type foreign struct {
		Tilt    float32  `parquet:"TILT_DEG"`
		Azimuth int32    `parquet:"azimuth_deg"`
		Roll    *float64 `parquet:"roll_deg,optional"`
		Outcome bool     `parquet:"outcome"`
		Item    int64    `parquet:"item"`
		Block   uint32   `parquet:"block"`
		Start   int64    `parquet:"started_at,timestamp(millisecond)"`
		Force   float64  `parquet:"peak_force_N"`
		Tags    []string `parquet:"tags,list"`
		Date    int32    `parquet:"day,date"`
	}
	roll := -30.0
	at := time.Date(2026, 1, 2, 3, 4, 5, 0, time.UTC)
	var b bytes.Buffer
	if err := parquet.Write(&b, []foreign{{30, 90, &roll, true, 17, 3, at.UnixMilli(), math.NaN(), []string{"a", "b"}, 20000}}); err != nil {
		t.Fatal(err)
	}
	table, err := Read(FromBytes("foreign.parquet", b.Bytes()), nil)
	if err != nil {
		t.Fatal(err)
	}
	r := table.Trials[0]
	if r.Item != "17" || r.Block != 3 || !r.StartedAt.Equal(at) || r.Outcome != domain.OutcomeHeld || r.Has(FieldPeakForce) || r.Line != 0 {
		t.Errorf("row comes out as %+v", r)
	}
	if d := r.Rotation.AngleTo(orient.FromApproach(orient.Approach{Tilt: math.Pi / 6, Azimuth: math.Pi / 2, Roll: -math.Pi / 6})); d > 1e-7 {
		t.Errorf("orientation is %g rad off", d)
	}
	if diff := cmp.Diff([]string{"day", "tags"}, table.Ignored); diff != "" {
		t.Error(diff)
	}

	type odd struct {
		Tilt, Azimuth int32
		Roll          *float64 `parquet:"roll_deg,optional"`
		Outcome       int32    `parquet:"outcome,date"`
	}
	m, err := ParseColumnMap("m", []byte("columns: {tilt_deg: Tilt, azimuth_deg: Azimuth}"))
	if err != nil {
		t.Fatal(err)
	}
	b.Reset()
	if err := parquet.Write(&b, []odd{{1, 2, nil, 3}}); err != nil {
		t.Fatal(err)
	}
	_, err = Read(FromBytes("odd.parquet", b.Bytes()), m)
	golden(t, "faults/parquet-type.txt", err.Error()+"\n")
}
