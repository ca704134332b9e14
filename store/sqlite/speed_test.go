package sqlite_test

import (
	"database/sql"
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"holdfast/domain"
	"holdfast/orient"
	"holdfast/store/sqlite"
)

// rows gives n trials as a bench would log them, from a seed.
func rows(study domain.ID, n int) []domain.Trial {
	r := rand.New(rand.NewPCG(7, 11))
	list := make([]domain.Trial, n)
	start := time.Date(2026, 3, 14, 8, 0, 0, 0, time.UTC)
	for i := range list {
		force, seconds := 2+4*r.Float64(), 5+3*r.Float64()
		list[i] = domain.Trial{
			Study: study, Key: fmt.Sprintf("import-1f3c:%d", i+1), Block: i/40 + 1, Hand: "soft-two", Item: "croissant", Setting: "tray",
			Strategy: domain.StrategyKinds[i%2], Planned: orient.FromDirectionHeading(r.Float64(), 6*r.Float64(), 6*r.Float64()), Closing: 0.75,
			Offset: [3]float64{0.002 * r.NormFloat64(), 0.002 * r.NormFloat64(), 0}, PeakForce: &force, Duration: &seconds,
			Outcome: domain.Outcomes[r.IntN(4)], Operator: "ada", StartedAt: start.Add(time.Duration(i) * 40 * time.Second), RecordedAt: start.Add(time.Duration(i) * 41 * time.Second),
		}
	}
	return list
}

// cpu reports the processor time of an operation: on a machine that is shared it says more than the clock.
func cpu(b *testing.B) func() {
	var from, to syscall.Rusage
	syscall.Getrusage(syscall.RUSAGE_SELF, &from)
	return func() {
		syscall.Getrusage(syscall.RUSAGE_SELF, &to)
		used := to.Utime.Nano() + to.Stime.Nano() - from.Utime.Nano() - from.Stime.Nano()
		b.ReportMetric(float64(used)/1e6/float64(b.N), "cpu-ms/op")
	}
}

func openStudy(t testing.TB) *sqlite.Lab {
	t.Helper()
	l, err := sqlite.Open(t.TempDir(), sqlite.Options{})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { l.Close() })
	if _, err := l.PutStudy(t.Context(), domain.Study{ID: "s", Name: "S", State: domain.StudyRunning}, nil); err != nil {
		t.Fatal(err)
	}
	return l
}

// BenchmarkAppendOne and BenchmarkBareCommit are the two sides of the bar "a logged trial costs about one commit".
func BenchmarkAppendOne(b *testing.B) {
	l := openStudy(b)
	list := rows("s", b.N+1)
	if _, _, err := l.Append(b.Context(), "s", list[:1]); err != nil {
		b.Fatal(err)
	}
	b.ResetTimer()
	defer cpu(b)()
	for i := range b.N {
		if _, _, err := l.Append(b.Context(), "s", list[i+1:i+2]); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkBareCommit(b *testing.B) {
	db, insert := bare(b)
	defer db.Close()
	defer cpu(b)()
	for i := 0; b.Loop(); i++ {
		if _, err := insert.Exec(7, 3, 1736943000.125+float64(i), 0.5, 0.5, -0.5, 0.5, 0.8, 1.25, -0.75, 4.5, "held"); err != nil {
			b.Fatal(err)
		}
	}
}

func bare(b *testing.B) (*sql.DB, *sql.Stmt) {
	db, err := sql.Open("sqlite", "file:"+filepath.Join(b.TempDir(), "bare.db")+"?_pragma=journal_mode(wal)&_pragma=synchronous(full)")
	if err != nil {
		b.Fatal(err)
	}
	db.SetMaxOpenConns(1)
	if _, err := db.Exec(`CREATE TABLE trial (id INTEGER PRIMARY KEY, study INTEGER NOT NULL, block INTEGER NOT NULL, at REAL NOT NULL,
		qw REAL, qx REAL, qy REAL, qz REAL, command REAL, dx REAL, dy REAL, peak_n REAL, outcome TEXT NOT NULL)`); err != nil {
		b.Fatal(err)
	}
	insert, err := db.Prepare(`INSERT INTO trial (study, block, at, qw, qx, qy, qz, command, dx, dy, peak_n, outcome) VALUES (?,?,?,?,?,?,?,?,?,?,?,?)`)
	if err != nil {
		b.Fatal(err)
	}
	return db, insert
}

func BenchmarkAppend100k(b *testing.B) {
	list := rows("s", 100_000)
	defer cpu(b)()
	for b.Loop() {
		l := openStudy(b)
		if _, _, err := l.Append(b.Context(), "s", list); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkBare100k(b *testing.B) {
	defer cpu(b)()
	for b.Loop() {
		db, insert := bare(b)
		tx, err := db.Begin()
		if err != nil {
			b.Fatal(err)
		}
		in := tx.Stmt(insert)
		for i := range 100_000 {
			if _, err := in.Exec(7, 3, 1736943000.125+float64(i), 0.5, 0.5, -0.5, 0.5, 0.8, 1.25, -0.75, 4.5, "held"); err != nil {
				b.Fatal(err)
			}
		}
		if err := tx.Commit(); err != nil {
			b.Fatal(err)
		}
		db.Close()
	}
}

func BenchmarkCounted100k(b *testing.B) {
	l := openStudy(b)
	if _, _, err := l.Append(b.Context(), "s", rows("s", 100_000)); err != nil {
		b.Fatal(err)
	}
	defer cpu(b)()
	for b.Loop() {
		list, err := l.Counted(b.Context(), "s", domain.TrialFilter{})
		if err != nil || len(list) != 100_000 {
			b.Fatal(len(list), err)
		}
	}
}

func BenchmarkCountedSeq100k(b *testing.B) {
	l := openStudy(b)
	if _, _, err := l.Append(b.Context(), "s", rows("s", 100_000)); err != nil {
		b.Fatal(err)
	}
	defer cpu(b)()
	for b.Loop() {
		n := 0
		for _, err := range l.CountedSeq(b.Context(), "s", domain.TrialFilter{}) {
			if err != nil {
				b.Fatal(err)
			}
			n++
		}
	}
}
