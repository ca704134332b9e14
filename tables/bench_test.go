package tables

import (
	"bytes"
	"fmt"
	"io"
	"math/rand/v2"
	"testing"

	"holdfast/domain"
	"holdfast/orient"
)

// manyRows is a file of n trials with the columns that a bench log usually has.
func manyRows(n int) []byte {
	rng := rand.New(rand.NewPCG(1, 2))
	var b bytes.Buffer
	b.WriteString("key,hand,item,setting,strategy,tilt_deg,azimuth_deg,roll_deg,closing,offset_x_mm,offset_y_mm,outcome,peak_force_N,duration_s,block,operator,started_at,note\n")
	outcomes := []string{"held", "slipped", "missed", "dropped"}
	for i := range n {
		fmt.Fprintf(&b, "k-%d,soft-hand-2,croissant,tray,surface-guided,%.3f,%.3f,%.3f,%.2f,%.3f,%.3f,%s,%.2f,%.1f,%d,Ida,2026-03-01T%02d:%02d:%02dZ,\n",
			i, rng.Float64()*90, rng.Float64()*360-180, rng.Float64()*360-180, rng.Float64(), rng.NormFloat64()*3, rng.NormFloat64()*3,
			outcomes[rng.IntN(4)], rng.Float64()*5, 3+rng.Float64(), i/50, i/3600%24, i/60%60, i%60)
	}
	return b.Bytes()
}

func BenchmarkReadCSV100k(b *testing.B) {
	text := manyRows(100_000)
	b.SetBytes(int64(len(text)))
	b.ReportAllocs()
	for b.Loop() {
		table, err := Read(FromBytes("t.csv", text), nil)
		if err != nil || len(table.Trials) != 100_000 {
			b.Fatal(err)
		}
	}
}

func BenchmarkStreamCSV100k(b *testing.B) {
	text := manyRows(100_000)
	b.SetBytes(int64(len(text)))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Stream(FromBytes("t.csv", text), nil, func(*Row) error { return nil }); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkReadParquet100k(b *testing.B) {
	table, err := Read(FromBytes("t.csv", manyRows(100_000)), nil)
	if err != nil {
		b.Fatal(err)
	}
	trials := make([]domain.CountedTrial, len(table.Trials))
	for i := range trials {
		trials[i].Trial = table.Trials[i].Trial("s")
		trials[i].Counted = trials[i].Outcome
	}
	var file bytes.Buffer
	if err := WriteTrials(&file, Parquet, trials); err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		table, err := Read(FromBytes("t.parquet", file.Bytes()), nil)
		if err != nil || len(table.Trials) != 100_000 {
			b.Fatal(err)
		}
	}
}

func BenchmarkWriteMapCSV50k(b *testing.B) {
	rows := make([]MapRow, 50_000)
	rng := rand.New(rand.NewPCG(1, 2))
	for i := range rows {
		rows[i] = MapRow{orient.FromApproach(orient.Approach{Tilt: rng.Float64(), Azimuth: rng.Float64(), Roll: rng.Float64()}),
			rng.Float64(), rng.Float64(), rng.Float64(), rng.Float64()}
	}
	for b.Loop() {
		if err := WriteMap(io.Discard, CSV, rows); err != nil {
			b.Fatal(err)
		}
	}
}
