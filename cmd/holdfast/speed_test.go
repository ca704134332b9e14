package main

import (
	"bytes"
	"database/sql"
	"fmt"
	"io"
	"net/http"
	"path/filepath"
	"slices"
	"testing"
	"time"

	_ "modernc.org/sqlite"
)

// BenchmarkLogTrial compares one trial logged through HTTP with one bare commit on the same disk, turn by turn, and
// reports the medians and their ratio.
func BenchmarkLogTrial(b *testing.B) {
	dir := b.TempDir()
	db, err := sql.Open("sqlite", "file:"+filepath.Join(dir, "bare.db")+"?_pragma=journal_mode(wal)&_pragma=synchronous(full)")
	if err != nil {
		b.Fatal(err)
	}
	defer db.Close()
	db.SetMaxOpenConns(1)
	if _, err := db.Exec(`CREATE TABLE t (id INTEGER PRIMARY KEY, body TEXT)`); err != nil {
		b.Fatal(err)
	}
	insert, err := db.Prepare(`INSERT INTO t (body) VALUES (?)`)
	if err != nil {
		b.Fatal(err)
	}
	address, _ := serving(b, filepath.Join(dir, "lab"))
	stock(b, address)
	var bare, logged []time.Duration
	b.ResetTimer()
	for i := range b.N {
		began := time.Now()
		if _, err := insert.Exec("a trial of about the same length as the one that is logged, so that both write a page"); err != nil {
			b.Fatal(err)
		}
		bare = append(bare, time.Since(began))
		body := fmt.Sprintf(`{"key":"k-%d","orientation":{"qw":1,"qx":0,"qy":0,"qz":0},"outcome":"held","peak_force_N":4.2,"duration_s":5.1,"operator":"rig"}`, i)
		began = time.Now()
		res, err := http.Post(address+"/api/v1/studies/small/trials", "application/json", bytes.NewReader([]byte(body)))
		if err != nil {
			b.Fatal(err)
		}
		_, _ = io.Copy(io.Discard, res.Body)
		res.Body.Close()
		logged = append(logged, time.Since(began))
		if res.StatusCode != 201 {
			b.Fatalf("status %d", res.StatusCode)
		}
	}
	slices.Sort(bare)
	slices.Sort(logged)
	mb, ml := bare[len(bare)/2], logged[len(logged)/2]
	b.ReportMetric(float64(mb.Microseconds()), "bare-µs")
	b.ReportMetric(float64(ml.Microseconds()), "http-µs")
	b.ReportMetric(float64(ml)/float64(mb), "ratio")
}
