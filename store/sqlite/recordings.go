package sqlite

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io"
	"os"
	"path/filepath"

	"holdfast/domain"
)

const (
	recordingsDir = "recordings"
	lockFile      = "lab.lock"
)

// recordingPath is where a recording lies inside a lab's folder.
func recordingPath(sha string) string { return filepath.Join(recordingsDir, sha[:2], sha) }

func noRecording(sha string) error {
	return domain.Errorf(domain.KindNotFound, "there is no recording %.12s in this lab; store the file first, then name it in the trial", sha)
}

// PutRecording stores the content under its digest and returns its description. The file is durable before the
// database names it; content that is stored already is kept once, with the name and type it first came with.
func (l *Lab) PutRecording(ctx context.Context, name, mediaType string, content io.Reader) (domain.Recording, error) {
	rec := domain.Recording{Name: name, Type: mediaType}
	if l.readOnly {
		return rec, domain.Errorf(domain.KindRefused, "this lab is open for reading only")
	}
	temp, err := os.CreateTemp(filepath.Join(l.dir, recordingsDir), "incoming-*")
	if err != nil {
		return rec, domain.Internal("storing a recording", err)
	}
	defer os.Remove(temp.Name())
	defer temp.Close()
	sum := sha256.New()
	rec.Size, err = io.Copy(io.MultiWriter(temp, sum), attentive{ctx, content})
	if err == nil {
		err = temp.Sync()
	}
	if err != nil {
		return rec, wrap("storing a recording", err)
	}
	rec.SHA256 = hex.EncodeToString(sum.Sum(nil))
	if err := l.settle(temp.Name(), rec.SHA256); err != nil {
		return rec, domain.Internal("storing a recording", err)
	}
	c, err := l.begin(ctx)
	if err != nil {
		return rec, err
	}
	defer c.drop()
	if _, err := c.ExecContext(c.ctx, `INSERT INTO recording (sha256, name, type, size, stored) VALUES (?, ?, ?, ?, ?) ON CONFLICT DO NOTHING`,
		rec.SHA256, name, mediaType, rec.Size, l.clock.Now().UnixNano()); err != nil {
		return rec, wrap("storing a recording", err)
	}
	return rec, c.commit()
}

// settle moves a finished file to its place and makes the move durable.
func (l *Lab) settle(temp, sha string) error {
	path := filepath.Join(l.dir, recordingPath(sha))
	folder := filepath.Dir(path)
	if err := os.Mkdir(folder, 0o755); err == nil {
		err = syncDir(filepath.Dir(folder))
		if err != nil {
			return err
		}
	} else if !errors.Is(err, os.ErrExist) {
		return err
	}
	if err := os.Rename(temp, path); err != nil {
		return err
	}
	return syncDir(folder)
}

// attentive stops reading when its context ends.
type attentive struct {
	ctx context.Context
	io.Reader
}

func (r attentive) Read(p []byte) (int, error) {
	if err := r.ctx.Err(); err != nil {
		return 0, err
	}
	return r.Reader.Read(p)
}

// OpenRecording opens the content by digest; KindNotFound if there is none.
func (l *Lab) OpenRecording(ctx context.Context, sha string) (io.ReadSeekCloser, domain.Recording, error) {
	rec := domain.Recording{SHA256: sha}
	err := l.read.QueryRowContext(ctx, `SELECT name, type, size FROM recording WHERE sha256 = ?`, sha).Scan(&rec.Name, &rec.Type, &rec.Size)
	if isNoRows(err) {
		return nil, rec, noRecording(sha)
	}
	if err != nil {
		return nil, rec, wrap("reading a recording", err)
	}
	f, err := os.Open(filepath.Join(l.dir, recordingPath(sha)))
	if err != nil {
		return nil, rec, domain.Internal("opening a recording (holdfast check says what is missing)", err)
	}
	return f, rec, nil
}
