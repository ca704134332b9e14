package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// runs gives what the command printed and its error.
func runs(t *testing.T, c interface{ Run(*environment) error }) (string, error) {
	t.Helper()
	var out bytes.Buffer
	err := c.Run(&environment{ctx: t.Context(), stdout: &out, stderr: &out})
	return out.String(), err
}

func TestBackupCheckRestore(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "lab")
	makeKillLab(t, dir)
	server, err := openLab(dir) // as a running server has it open
	if err != nil {
		t.Fatal(err)
	}
	defer server.Close()
	rec, err := server.PutRecording(t.Context(), "photo.txt", "text/plain", strings.NewReader("a photo"))
	if err != nil {
		t.Fatal(err)
	}
	file, copied := filepath.Join(t.TempDir(), "lab.tar"), filepath.Join(t.TempDir(), "copy")
	for _, c := range []struct {
		name string
		run  interface{ Run(*environment) error }
		want string
	}{
		{"check", &checkCommand{Lab: dir}, "is sound"},
		{"backup", &backupCommand{Lab: dir, To: file}, "the database and 1 recordings"},
		{"restore", &restoreCommand{From: file, Lab: copied}, "Restored the database and 1 recordings"},
		{"check of the copy", &checkCommand{Lab: copied}, "is sound"},
	} {
		if out, err := runs(t, c.run); err != nil || !strings.Contains(out, c.want) {
			t.Errorf("%s: %v, printed %q, want %q", c.name, err, out, c.want)
		}
	}
	if out, err := runs(t, &backupCommand{Lab: dir, To: file}); err == nil || !strings.Contains(err.Error(), "never overwrites") {
		t.Errorf("a second backup to the same file: %q, %v", out, err)
	}

	if err := os.WriteFile(filepath.Join(dir, "recordings", rec.SHA256[:2], rec.SHA256), []byte("b photo"), 0o644); err != nil {
		t.Fatal(err)
	}
	if out, err := runs(t, &checkCommand{Lab: dir}); err == nil || !strings.Contains(out, "FAULT") || !strings.Contains(out, "content has changed") {
		t.Errorf("check of a lab with a changed recording: %v, printed %q", err, out)
	}
	if out, err := runs(t, &backupCommand{Lab: dir, To: file + "2"}); err == nil || !strings.Contains(out, "Not in the backup") {
		t.Errorf("backup of a lab with a changed recording: %v, printed %q", err, out)
	}
	if _, err := runs(t, &checkCommand{Lab: t.TempDir()}); err == nil || !strings.Contains(err.Error(), "no lab") {
		t.Errorf("check of an empty folder: %v", err)
	}
}
