package sqlite

import (
	"archive/tar"
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/json"
	"errors"
	"io"
	"os"
	"path/filepath"
	"regexp"

	"holdfast/domain"
)

// packable are the paths that a backup may hold, besides its manifest. Nothing else is ever written to disk.
var packable = regexp.MustCompile(`^(lab\.db|recordings/[0-9a-f]{2}/[0-9a-f]{64})$`)

// Restore unpacks a backup into a new lab folder, once every file matches the manifest and the database is sound.
// KindRefused when the folder exists and is not empty, KindInvalid when the file is no whole backup; the folder is
// then left as it was.
func Restore(ctx context.Context, fromFile, dir string) (Manifest, error) {
	var m Manifest
	if entries, err := os.ReadDir(dir); err == nil && len(entries) > 0 {
		return m, domain.Errorf(domain.KindRefused, "%s is not empty; restore into a new folder, then move it to where you want it", dir)
	} else if err != nil && !errors.Is(err, os.ErrNotExist) {
		return m, domain.Internal("looking at the folder", err)
	}
	f, err := os.Open(fromFile)
	if err != nil {
		return m, domain.Errorf(domain.KindNotFound, "can not open the backup %s: %v", fromFile, err)
	}
	defer f.Close()
	parent := filepath.Dir(filepath.Clean(dir))
	if err := os.MkdirAll(parent, 0o755); err != nil {
		return m, domain.Internal("making the folder", err)
	}
	work, err := os.MkdirTemp(parent, ".holdfast-restore-*")
	if err != nil {
		return m, domain.Internal("making the folder", err)
	}
	defer os.RemoveAll(work)
	lab := filepath.Join(work, "lab")
	if err := os.MkdirAll(filepath.Join(lab, recordingsDir), 0o755); err != nil {
		return m, domain.Internal("making the folder", err)
	}

	m, unpacked, err := unpack(ctx, f, lab)
	if err != nil {
		return m, wrap("unpacking the backup", err)
	}
	if err := agree(m, unpacked); err != nil {
		return m, err
	}
	if err := sound(ctx, filepath.Join(lab, databaseName), m.Schema); err != nil {
		return m, err
	}
	if err := os.Remove(dir); err != nil && !errors.Is(err, os.ErrNotExist) {
		return m, domain.Internal("replacing the empty folder", err)
	}
	if err := os.Rename(lab, dir); err != nil {
		return m, domain.Internal("putting the lab in its place", err)
	}
	return m, wrap("making the lab durable", syncDir(parent))
}

func notWhole(format string, args ...any) error {
	e := domain.Errorf(domain.KindInvalid, format, args...)
	e.Message = "this is no whole backup: " + e.Message + "; nothing was restored, take another copy of it or an older backup"
	return e
}

// unpack writes the backup's files below dir and returns its manifest, and what was found.
func unpack(ctx context.Context, from io.Reader, dir string) (m Manifest, found map[string]BackupFile, err error) {
	found = map[string]BackupFile{}
	for r := tar.NewReader(from); ; {
		if err := ctx.Err(); err != nil {
			return m, nil, err
		}
		h, err := r.Next()
		if errors.Is(err, io.EOF) {
			return m, nil, notWhole("it has no %s at its end", manifestName)
		}
		if err != nil {
			return m, nil, notWhole("it breaks off or is no tar file (%v)", err)
		}
		if h.Name == manifestName {
			if err := json.NewDecoder(io.LimitReader(r, manifestLimit)).Decode(&m); err != nil {
				return m, nil, notWhole("its manifest can not be read (%v)", err)
			}
			return m, found, nil
		}
		if h.Typeflag != tar.TypeReg || !packable.MatchString(h.Name) {
			return m, nil, notWhole("it holds %q, which does not belong in a backup", h.Name)
		}
		if _, twice := found[h.Name]; twice {
			return m, nil, notWhole("it holds %q twice", h.Name)
		}
		file, err := unpackFile(r, h.Name, filepath.Join(dir, filepath.FromSlash(h.Name)))
		if err != nil {
			return m, nil, err
		}
		found[h.Name] = file
	}
}

func unpackFile(r io.Reader, name, path string) (BackupFile, error) {
	file := BackupFile{Path: name}
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return file, err
	}
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return file, err
	}
	defer f.Close()
	h := sha256.New()
	if file.Size, err = io.Copy(io.MultiWriter(f, h), r); err != nil {
		return file, notWhole("%s breaks off (%v)", name, err)
	}
	file.SHA256 = sumText(h)
	if err := f.Sync(); err != nil {
		return file, err
	}
	return file, syncDir(filepath.Dir(path))
}

// agree compares what was found with what the manifest says.
func agree(m Manifest, found map[string]BackupFile) error {
	if m.Format != backupFormat {
		return notWhole("its format is %q, this program knows %q", m.Format, backupFormat)
	}
	if m.Schema > schemaVersion {
		return newerSchema(m.Schema)
	}
	if _, ok := found[databaseName]; !ok {
		return notWhole("%s is missing", databaseName)
	}
	for _, want := range m.Files {
		got, ok := found[want.Path]
		switch {
		case !ok:
			return notWhole("%s is missing", want.Path)
		case got != want:
			return notWhole("%s is damaged: its digest is %.12s…, the manifest says %.12s…", want.Path, got.SHA256, want.SHA256)
		}
		delete(found, want.Path)
	}
	for path := range found {
		return notWhole("%s is not in its manifest", path)
	}
	return nil
}

// sound demands that a copied database is a lab of the schema and has no fault inside. SQLite takes a tiny or empty
// file for an empty database, so looking for faults alone is not enough.
func sound(ctx context.Context, path string, schema int64) error {
	db, err := openCopy(path)
	if err != nil {
		return err
	}
	defer db.Close()
	version, err := storedVersion(ctx, db)
	if err != nil {
		return err
	}
	if version != schema || schema == 0 {
		return notWhole("its database has schema %d, the manifest says %d", version, schema)
	}
	faults, err := databaseFaults(ctx, db)
	if err != nil {
		return err
	}
	if len(faults) > 0 {
		return notWhole("its database is damaged (%s)", faults[0].What)
	}
	return nil
}

// openCopy opens a database that nobody else has open.
func openCopy(path string) (*sql.DB, error) {
	db, err := sql.Open("sqlite", dsn(path, "query_only(on)")+"&mode=ro")
	return db, wrap("opening the copied database", err)
}
