package main

import (
	"bufio"
	"fmt"
	"math/rand/v2"
	"os"
	"time"

	"holdfast/orient"
)

// row is one invented trial.
type row struct {
	block           int
	q               orient.Rotation
	offset          [2]float64 // mm
	force, duration float64    // N, s
	outcome         string
	strategy        string
}

// drawRows draws n trials from a fixed seed.
func drawRows(n int) []row {
	r := rand.New(rand.NewPCG(20260314, 2))
	list := make([]row, n)
	for i := range list {
		list[i] = row{block: i/40 + 1, q: orient.FromDirectionHeading(r.Float64(), 6.28*r.Float64(), 6.28*r.Float64()),
			offset: [2]float64{2 * r.NormFloat64(), 2 * r.NormFloat64()}, force: 2 + 4*r.Float64(), duration: 5 + 3*r.Float64(),
			outcome: []string{"held", "held", "held", "slipped", "missed"}[r.IntN(5)], strategy: []string{"free", "surface-guided"}[i%2]}
	}
	return list
}

// writeCSV writes the rows as an engineer's script would.
func writeCSV(path string, list []row) error {
	f, err := os.Create(path)
	if err != nil {
		return err
	}
	defer f.Close()
	w := bufio.NewWriter(f)
	fmt.Fprintln(w, "qw,qx,qy,qz,outcome,strategy,closing,offset_x_mm,offset_y_mm,peak_force_N,duration_s,block,operator,started_at")
	start := time.Date(2026, 3, 14, 8, 0, 0, 0, time.UTC)
	for i := range list {
		t := &list[i]
		fmt.Fprintf(w, "%.9f,%.9f,%.9f,%.9f,%s,%s,0.75,%.3f,%.3f,%.3f,%.2f,%d,ada,%s\n", t.q.W, t.q.X, t.q.Y, t.q.Z, t.outcome, t.strategy,
			t.offset[0], t.offset[1], t.force, t.duration, t.block, start.Add(time.Duration(i)*40*time.Second).Format(time.RFC3339))
	}
	if err := w.Flush(); err != nil {
		return err
	}
	return f.Close()
}
