package tables

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"testing"
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
