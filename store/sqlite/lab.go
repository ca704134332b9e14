// Package sqlite keeps a lab in one folder: lab.db (SQLite, write-ahead log, synchronous=FULL) for everything but the
// content of recordings, which lies beside it in recordings/ab/<sha256>, and lab.lock, which only one server can hold.
//
// DESIGN.md in this folder says why it is built as it is.
package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"net/url"
	"os"
	"path/filepath"
	"runtime"
	"sync"
	"time"

	"holdfast/domain"
)

// Options sets what a lab needs from outside. The zero value is ready to use.
type Options struct {
	Clock domain.Clock // stamps Created and Updated; nil: the system's clock
}

type systemClock struct{}

func (systemClock) Now() time.Time { return time.Now() }

// Lab is an open lab folder. It implements [domain.Store] and may be used by many goroutines.
type Lab struct {
	dir      string
	clock    domain.Clock
	readOnly bool
	locked   *os.File // holds lab.lock; nil when read-only
	write    *sql.DB  // one connection; nil when read-only
	read     *sql.DB  // a pool of connections that can not write
	stmt     statements

	// writing is held by whoever changes the record, from its first look to its last note: what a writer has read
	// stays true until it is done.
	writing sync.Mutex

	known      sync.RWMutex // guards the fields below
	studies    map[domain.ID]*studyNotes
	conditions conditionTable
}

var _ domain.Store = (*Lab)(nil)

// Open opens the lab in the folder, and creates folder and lab if they do not exist. KindRefused when another process
// has the lab open, a newer program wrote it, the folder can not be made, or it holds other people's files.
func Open(dir string, opts Options) (*Lab, error) {
	if err := isOursOrEmpty(dir); err != nil {
		return nil, err
	}
	if err := os.MkdirAll(filepath.Join(dir, recordingsDir), 0o755); err != nil {
		return nil, domain.Errorf(domain.KindRefused, "the lab's folder %s can not be made: %v; name a folder that you may write to", dir, err)
	}
	locked, err := lock(filepath.Join(dir, lockFile))
	if err != nil {
		return nil, err
	}
	l := newLab(dir, opts)
	l.locked = locked
	if err := l.openForWriting(); err != nil {
		l.Close()
		return nil, err
	}
	return l, nil
}

// isOursOrEmpty refuses a folder that is full of something else: a lab started in a folder of documents would be hard to
// tell apart from them again. Names that begin with a dot are left out of account.
func isOursOrEmpty(dir string) error {
	found, err := os.ReadDir(dir)
	if err != nil {
		return nil // not there yet, or making it will say what is wrong
	}
	other := ""
	for _, f := range found {
		switch name := f.Name(); {
		case name == "lab.db" || name == lockFile || name == recordingsDir:
			return nil
		case name[0] != '.':
			other = name
		}
	}
	if other != "" {
		return domain.Errorf(domain.KindRefused, "the folder %s holds other files (such as %s) and no lab; name an empty or a new folder", dir, other)
	}
	return nil
}

// OpenReadOnly opens an existing lab for reading, also beside a running server. Methods that change the lab return
// KindRefused. KindNotFound when the folder holds no lab.
func OpenReadOnly(dir string, opts Options) (*Lab, error) {
	path := filepath.Join(dir, "lab.db")
	if _, err := os.Stat(path); errors.Is(err, os.ErrNotExist) {
		return nil, domain.Errorf(domain.KindNotFound, "there is no lab in %s: it has no lab.db", dir)
	}
	l := newLab(dir, opts)
	l.readOnly = true
	if err := l.openForReading(); err != nil {
		l.Close()
		return nil, err
	}
	version, err := storedVersion(context.Background(), l.read)
	whole := false
	if err == nil {
		whole, err = wholeSchema(context.Background(), l.read, version)
	}
	switch {
	case err != nil:
	case version > schemaVersion:
		err = newerSchema(version)
	case !whole:
		err = domain.Errorf(domain.KindRefused, "this lab was written by an older Holdfast (schema %d, this program needs %d); open it once with serve, which brings it up to date", version, schemaVersion)
	}
	if err != nil {
		l.Close()
		return nil, err
	}
	return l, nil
}

func newLab(dir string, opts Options) *Lab {
	if opts.Clock == nil {
		opts.Clock = systemClock{}
	}
	return &Lab{dir: dir, clock: opts.Clock, studies: map[domain.ID]*studyNotes{}}
}

// dsn names the database with its pragmas, which SQLite keeps per connection: set here, every connection has them.
func dsn(path string, pragmas ...string) string {
	q := url.Values{}
	q.Add("_pragma", "busy_timeout(10000)")
	q.Add("_pragma", "foreign_keys(on)")
	for _, p := range pragmas {
		q.Add("_pragma", p)
	}
	return "file:" + (&url.URL{Path: path}).EscapedPath() + "?" + q.Encode()
}

func (l *Lab) openForWriting() (err error) {
	path := filepath.Join(l.dir, "lab.db")
	l.write, err = sql.Open("sqlite", dsn(path, "journal_mode(wal)", "synchronous(full)")+"&_txlock=immediate")
	if err != nil {
		return domain.Internal("opening the lab's database", err)
	}
	l.write.SetMaxOpenConns(1)
	l.write.SetMaxIdleConns(1)
	ctx := context.Background()
	if err := migrate(ctx, l.write); err != nil {
		return err
	}
	// The database file's own entry in the folder must survive a power cut as well.
	if err := syncDir(l.dir); err != nil {
		return domain.Internal("making the lab's folder durable", err)
	}
	if err := l.stmt.prepare(ctx, l.write); err != nil {
		return err
	}
	return l.openForReading()
}

func (l *Lab) openForReading() (err error) {
	path := filepath.Join(l.dir, databaseName)
	name := dsn(path, "query_only(on)")
	if l.readOnly && atRest(path) {
		name += "&mode=ro&immutable=1"
	}
	l.read, err = sql.Open("sqlite", name)
	if err != nil {
		return domain.Internal("opening the lab's database", err)
	}
	l.read.SetMaxOpenConns(max(4, 2*runtime.NumCPU()))
	l.read.SetMaxIdleConns(4)
	return nil
}

// Close releases the lab; calls under way end with an error.
func (l *Lab) Close() error {
	var errs []error
	l.stmt.close()
	// The writer closes last: the last connection to close folds the write-ahead log into the database file.
	for _, db := range []*sql.DB{l.read, l.write} {
		if db != nil {
			errs = append(errs, db.Close())
		}
	}
	if l.locked != nil {
		errs = append(errs, l.locked.Close())
		l.locked = nil
	}
	return wrap("closing the lab", errors.Join(errs...))
}

// Dir returns the lab's folder.
func (l *Lab) Dir() string { return l.dir }

// begin starts a change: it takes the writer's lock and an immediate transaction. A change once begun is not broken
// off when the caller goes away, so that "acknowledged or not stored" does not hang on the moment of leaving.
func (l *Lab) begin(ctx context.Context) (*change, error) {
	if l.readOnly {
		return nil, domain.Errorf(domain.KindRefused, "this lab is open for reading only")
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	l.writing.Lock()
	ctx = context.WithoutCancel(ctx)
	tx, err := l.write.BeginTx(ctx, nil)
	if err != nil {
		l.writing.Unlock()
		return nil, domain.Internal("starting a change", err)
	}
	return &change{Tx: tx, lab: l, ctx: ctx}, nil
}

// change is one writing transaction. End it with commit, or with drop, which does nothing after a commit.
type change struct {
	*sql.Tx
	lab   *Lab
	ctx   context.Context
	after []func()           // run once the change is durable, still under the writer's lock
	made  []domain.Condition // numbered in this change
	done  bool
}

func (c *change) commit() error {
	c.done = true
	defer c.lab.writing.Unlock()
	if err := c.Tx.Commit(); err != nil {
		c.lab.forget()
		return domain.Internal("storing a change", err)
	}
	for _, f := range c.after {
		f()
	}
	return nil
}

func (c *change) drop() {
	if !c.done {
		c.done = true
		c.Tx.Rollback()
		c.lab.known.Lock()
		for _, made := range c.made {
			delete(c.lab.conditions.nums, made)
		}
		c.lab.known.Unlock()
		c.lab.writing.Unlock()
	}
}

// forget drops what is remembered between calls, to be read again from the database: after a commit that failed, nobody
// knows what is stored.
func (l *Lab) forget() {
	l.known.Lock()
	defer l.known.Unlock()
	l.studies = map[domain.ID]*studyNotes{}
	l.conditions = conditionTable{}
}

// snapshot starts a reading transaction: everything read through it is the lab at one moment.
func (l *Lab) snapshot(ctx context.Context) (*sql.Tx, error) {
	tx, err := l.read.BeginTx(ctx, &sql.TxOptions{ReadOnly: true})
	return tx, wrap("reading the lab", err)
}

// querier is what reads: a pool, a transaction or a change.
type querier interface {
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
	QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row
}

// stamp gives a time as the database keeps it: nanoseconds since 1970, NULL for the zero time.
func stamp(t time.Time) any {
	if t.IsZero() {
		return nil
	}
	return t.UnixNano()
}

func fromNanos(ns int64) time.Time { return time.Unix(0, ns).UTC() }

func fromStamp(ns sql.NullInt64) time.Time {
	if !ns.Valid {
		return time.Time{}
	}
	return time.Unix(0, ns.Int64).UTC()
}
