package sqlite

import (
	"archive/tar"
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"encoding/json"
	"errors"
	"hash"
	"io"
	"os"
	"path/filepath"
	"time"

	"holdfast/domain"
)

// A backup is one tar file: lab.db (a consistent copy), the recordings that it names under recordings/, and last
// manifest.json with the SHA-256 of every file before it. Any tar program can unpack it; [Restore] also verifies it.
const (
	backupFormat  = "holdfast-backup-1"
	manifestName  = "manifest.json"
	databaseName  = "lab.db"
	manifestLimit = 64 << 20 // bytes
)

// Manifest lists what a backup holds.
type Manifest struct {
	Format  string       `json:"format"`
	Schema  int64        `json:"schema"`
	Made    time.Time    `json:"made"`
	Files   []BackupFile `json:"files"`
	Missing []BackupFile `json:"missing,omitempty"` // recordings that the lab names but could not be read whole
}

// BackupFile is one file of a backup, by its path inside the lab's folder.
type BackupFile struct {
	Path   string `json:"path"`
	Size   int64  `json:"size"` // bytes
	SHA256 string `json:"sha256"`
	Fault  string `json:"fault,omitempty"` // why it is missing
}

// Backup writes a backup of the lab, as it is at one moment, to a new file. It works beside a running server, which
// is not held up. A recording that is damaged or gone is listed in the manifest as missing rather than ending the
// backup of all the rest. KindRefused when the file exists or its folder can not be written to.
func (l *Lab) Backup(ctx context.Context, toFile string) (Manifest, error) {
	m := Manifest{Format: backupFormat, Schema: schemaVersion, Made: l.clock.Now().UTC().Round(0)}
	if _, err := os.Lstat(toFile); !errors.Is(err, os.ErrNotExist) {
		return m, domain.Errorf(domain.KindRefused, "%s exists already; a backup never overwrites: choose another name", toFile)
	}
	folder := filepath.Dir(toFile)
	work, err := os.MkdirTemp(folder, ".holdfast-backup-*")
	if err != nil {
		return m, domain.Errorf(domain.KindRefused, "nothing can be written to %s: %v; name a file in a folder that exists and that you may write to", folder, err)
	}
	defer os.RemoveAll(work)

	copied := filepath.Join(work, databaseName)
	if err := l.copyDatabase(ctx, copied); err != nil {
		return m, err
	}
	recordings, err := recordingsIn(ctx, copied)
	if err != nil {
		return m, err
	}
	packed := filepath.Join(work, "backup.tar")
	if err := l.pack(ctx, packed, copied, recordings, &m); err != nil {
		return m, wrap("writing the backup", err)
	}
	if err := os.Rename(packed, toFile); err != nil {
		return m, domain.Internal("putting the backup in its place", err)
	}
	return m, wrap("making the backup durable", syncDir(folder))
}

// copyDatabase writes a consistent copy. It needs a connection of its own: the pool's refuse even this writing.
func (l *Lab) copyDatabase(ctx context.Context, to string) error {
	path := filepath.Join(l.dir, databaseName)
	name := dsn(path) + "&mode=ro"
	if atRest(path) {
		name += "&immutable=1"
	}
	db, err := sql.Open("sqlite", name)
	if err != nil {
		return wrap("copying the database", err)
	}
	defer db.Close()
	_, err = db.ExecContext(ctx, `VACUUM INTO ?`, to)
	return wrap("copying the database", err)
}

// recordingsIn lists the recordings that a copied database names.
func recordingsIn(ctx context.Context, path string) ([]domain.Recording, error) {
	db, err := openCopy(path)
	if err != nil {
		return nil, err
	}
	defer db.Close()
	return listRecordings(ctx, db)
}

func (l *Lab) pack(ctx context.Context, path, database string, recordings []domain.Recording, m *Manifest) error {
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return err
	}
	defer f.Close()
	w := tar.NewWriter(f)
	add := func(name, from, want string) error {
		if err := ctx.Err(); err != nil {
			return err
		}
		file, fault, err := packFile(w, name, from, want, m.Made)
		if fault != "" {
			m.Missing = append(m.Missing, BackupFile{Path: name, SHA256: want, Fault: fault})
		} else if err == nil {
			m.Files = append(m.Files, file)
		}
		return err
	}
	if err := add(databaseName, database, ""); err != nil {
		return err
	}
	for _, r := range recordings {
		path := recordingPath(r.SHA256)
		if err := add(filepath.ToSlash(path), filepath.Join(l.dir, path), r.SHA256); err != nil {
			return err
		}
	}
	list, err := json.MarshalIndent(m, "", "  ")
	if err != nil {
		return err
	}
	if err := w.WriteHeader(header(manifestName, int64(len(list)), m.Made)); err != nil {
		return err
	}
	if _, err := w.Write(list); err != nil {
		return err
	}
	if err := w.Close(); err != nil {
		return err
	}
	return f.Sync()
}

// packFile adds one file. A recording, told by its wanted digest, is read twice: a damaged one must not go in.
func packFile(w *tar.Writer, name, from, want string, made time.Time) (BackupFile, string, error) {
	file := BackupFile{Path: name}
	f, err := os.Open(from)
	if err != nil {
		if want != "" {
			return file, "the file can not be opened", nil
		}
		return file, "", err
	}
	defer f.Close()
	if want != "" {
		sum, _, err := digest(f)
		if err != nil || sum != want {
			return file, "the content does not match its digest", nil
		}
		if _, err := f.Seek(0, io.SeekStart); err != nil {
			return file, "", err
		}
	}
	info, err := f.Stat()
	if err != nil {
		return file, "", err
	}
	if err := w.WriteHeader(header(name, info.Size(), made)); err != nil {
		return file, "", err
	}
	h := sha256.New()
	if file.Size, err = io.Copy(io.MultiWriter(w, h), f); err != nil {
		return file, "", err
	}
	file.SHA256 = sumText(h)
	return file, "", nil
}

func header(name string, size int64, made time.Time) *tar.Header {
	return &tar.Header{Typeflag: tar.TypeReg, Name: name, Size: size, Mode: 0o644, ModTime: made.Truncate(time.Second), Format: tar.FormatPAX}
}

func digest(r io.Reader) (sum string, size int64, err error) {
	h := sha256.New()
	size, err = io.Copy(h, r)
	return sumText(h), size, err
}

func sumText(h hash.Hash) string { return hex.EncodeToString(h.Sum(nil)) }
