package main

import (
	"database/sql"
	"time"

	_ "modernc.org/sqlite" // the driver that the lab uses
)

// bare is a table that keeps trials and nothing else: what any program on this disk must pay.
type bare struct {
	db     *sql.DB
	insert *sql.Stmt
	rows   int
}

func openBare(path string) (*bare, error) {
	db, err := sql.Open("sqlite", "file:"+path+"?_pragma=busy_timeout(10000)&_pragma=journal_mode(wal)&_pragma=synchronous(full)")
	if err != nil {
		return nil, err
	}
	db.SetMaxOpenConns(1)
	if _, err := db.Exec(`CREATE TABLE trial (id INTEGER PRIMARY KEY, study INTEGER NOT NULL, block INTEGER NOT NULL, at REAL NOT NULL,
		qw REAL, qx REAL, qy REAL, qz REAL, command REAL, dx REAL, dy REAL, peak_n REAL, outcome TEXT NOT NULL)`); err != nil {
		return nil, err
	}
	insert, err := db.Prepare(`INSERT INTO trial (study, block, at, qw, qx, qy, qz, command, dx, dy, peak_n, outcome) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`)
	return &bare{db: db, insert: insert}, err
}

func (b *bare) add(insert *sql.Stmt, t *row) error {
	b.rows++
	_, err := insert.Exec(7, t.block, 1773475200+float64(b.rows), t.q.W, t.q.X, t.q.Y, t.q.Z, 0.75, t.offset[0], t.offset[1], t.force, t.outcome)
	return err
}

// commit stores one row durably and tells how long that took.
func (b *bare) commit(t *row) (time.Duration, error) {
	start := time.Now()
	err := b.add(b.insert, t)
	return time.Since(start), err
}

// all stores the rows in one transaction and tells how long that took.
func (b *bare) all(list []row) (time.Duration, error) {
	start := time.Now()
	tx, err := b.db.Begin()
	if err != nil {
		return 0, err
	}
	defer tx.Rollback()
	insert := tx.Stmt(b.insert)
	for i := range list {
		if err := b.add(insert, &list[i]); err != nil {
			return 0, err
		}
	}
	err = tx.Commit()
	return time.Since(start), err
}
