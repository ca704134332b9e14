package sqlite_test

import (
	"archive/tar"
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"holdfast/domain"
	"holdfast/store/sqlite"
)

func readOnly(t *testing.T, dir string) *sqlite.Lab {
	t.Helper()
	l, err := sqlite.OpenReadOnly(dir, sqlite.Options{})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { l.Close() })
	return l
}

func matchesToday(_ context.Context, c domain.Card) (bool, error) { return c.Digest == "today", nil }

func faults(t *testing.T, l *sqlite.Lab) []string {
	t.Helper()
	list, err := l.Check(t.Context(), matchesToday)
	if err != nil {
		t.Fatal(err)
	}
	var lines []string
	for _, f := range list {
		lines = append(lines, f.String())
	}
	return lines
}

func TestBackupRestores(t *testing.T) {
	dir, to := t.TempDir(), filepath.Join(t.TempDir(), "lab.tar")
	l := filled(t, dir)
	m, err := readOnly(t, dir).Backup(t.Context(), to)
	if err != nil {
		t.Fatal(err)
	}
	if len(m.Files) != 2 || len(m.Missing) != 0 {
		t.Errorf("%+v", m)
	}
	before := everything(t, l)
	if _, _, err := l.Append(t.Context(), "s", []domain.Trial{{Key: "after the backup", Outcome: domain.OutcomeHeld}}); err != nil {
		t.Fatal(err)
	}
	restored := filepath.Join(t.TempDir(), "new", "lab")
	if _, err := sqlite.Restore(t.Context(), to, restored); err != nil {
		t.Fatal(err)
	}
	r := mustOpen(t, restored)
	if d := cmp.Diff(before, everything(t, r)); d != "" {
		t.Error(d)
	}
	if f := faults(t, r); len(f) > 0 {
		t.Error(f)
	}
	f, rec, err := r.OpenRecording(t.Context(), m.Files[1].SHA256)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if content, err := io.ReadAll(f); string(content) != "a photo" || rec.Name != "photo.txt" || err != nil {
		t.Errorf("%q %+v %v", content, rec, err)
	}
}

func TestBackupNeverOverwrites(t *testing.T) {
	dir, to := t.TempDir(), filepath.Join(t.TempDir(), "lab.tar")
	l := filled(t, dir)
	if err := os.WriteFile(to, []byte("older"), 0o644); err != nil {
		t.Fatal(err)
	}
	_, err := l.Backup(t.Context(), to)
	wantKind(t, err, domain.KindRefused, "never overwrites")
	if left, _ := os.ReadDir(filepath.Dir(to)); len(left) != 1 {
		t.Errorf("left behind: %v", left)
	}
}

func TestBackupWithoutADamagedRecording(t *testing.T) {
	dir, to := t.TempDir(), filepath.Join(t.TempDir(), "lab.tar")
	l := filled(t, dir)
	if err := os.WriteFile(onlyRecording(t, dir), []byte("another photo"), 0o644); err != nil {
		t.Fatal(err)
	}
	m, err := l.Backup(t.Context(), to)
	if err != nil || len(m.Missing) != 1 || len(m.Files) != 1 {
		t.Fatalf("%+v %v", m, err)
	}
	if _, err := sqlite.Restore(t.Context(), to, filepath.Join(t.TempDir(), "lab")); err != nil {
		t.Fatal(err)
	}
}

// Online: the copy is whole whatever a server does meanwhile.
func TestBackupWhileTrialsAreLogged(t *testing.T) {
	dir, out := t.TempDir(), t.TempDir()
	l := filled(t, dir)
	ctx, stop := context.WithCancel(t.Context())
	done := make(chan error, 1)
	go func() {
		for i := 0; ctx.Err() == nil; i++ {
			batch := rows("s", 3)
			for j := range batch {
				batch[j].Key = fmt.Sprintf("%d of batch %d", j, i)
			}
			if _, _, err := l.Append(ctx, "s", batch); err != nil && !errors.Is(err, context.Canceled) {
				done <- err
				return
			}
		}
		done <- nil
	}()
	for i := range 5 {
		to := filepath.Join(out, fmt.Sprint(i, ".tar"))
		if _, err := readOnly(t, dir).Backup(t.Context(), to); err != nil {
			t.Fatal(err)
		}
		restored := filepath.Join(out, fmt.Sprint(i))
		if _, err := sqlite.Restore(t.Context(), to, restored); err != nil {
			t.Fatal(err)
		}
		r := readOnly(t, restored)
		if list, err := r.Counted(t.Context(), "s", domain.TrialFilter{}); err != nil || len(list)%3 != 21%3 {
			t.Errorf("%d trials (a batch in part?), %v", len(list), err)
		}
		if f := faults(t, r); len(f) > 0 {
			t.Error(f)
		}
	}
	stop()
	if err := <-done; err != nil {
		t.Fatal(err)
	}
}

func TestRestoreRefusesWhatIsNoWholeBackup(t *testing.T) {
	good := filepath.Join(t.TempDir(), "good.tar")
	m, err := filled(t, t.TempDir()).Backup(t.Context(), good)
	if err != nil {
		t.Fatal(err)
	}
	content, err := os.ReadFile(good)
	if err != nil {
		t.Fatal(err)
	}
	photo := bytes.Index(content, []byte("a photo"))
	other := bytes.Clone(content)
	other[photo]++
	for _, c := range []struct {
		name    string
		content []byte
		words   string
	}{
		{"Empty", nil, "no manifest.json"},
		{"NoTar", bytes.Repeat([]byte("crumbs "), 1000), "no tar file"},
		{"BrokenOff", content[:len(content)/2], "breaks off"},
		{"Damaged", other, "is damaged"},
		{"Stranger", tarOf(t, "../../etc/evil", "x"), "does not belong"},
		{"NoDatabase", tarOf(t, "manifest.json", `{"format":"holdfast-backup-1","schema":1}`), "lab.db is missing"},
		{"OtherFormat", tarOf(t, "manifest.json", `{"format":"holdfast-backup-9"}`), "holdfast-backup-9"},
		{"Missing", tarOf(t, "lab.db", "x", "manifest.json", `{"format":"holdfast-backup-1","schema":1,"files":[{"path":"`+m.Files[1].Path+`"}]}`), "is missing"},
		{"NotADatabase", tarOf(t, "lab.db", "x", "manifest.json", `{"format":"holdfast-backup-1","schema":1,"files":[{"path":"lab.db","size":1,"sha256":"2d711642b726b04401627ca9fbac32f5c8530fb1903cc4db02258717921a4881"}]}`), "database"},
	} {
		t.Run(c.name, func(t *testing.T) {
			from, dir := filepath.Join(t.TempDir(), "b.tar"), filepath.Join(t.TempDir(), "lab")
			if err := os.WriteFile(from, c.content, 0o644); err != nil {
				t.Fatal(err)
			}
			_, err := sqlite.Restore(t.Context(), from, dir)
			if err == nil || !strings.Contains(err.Error(), c.words) {
				t.Errorf("got %v, want an error that says %q", err, c.words)
			}
			if left, _ := os.ReadDir(filepath.Dir(dir)); len(left) > 0 {
				t.Errorf("left behind: %v", left)
			}
		})
	}
	t.Run("FolderInUse", func(t *testing.T) {
		dir := t.TempDir()
		filled(t, dir)
		_, err := sqlite.Restore(t.Context(), good, dir)
		wantKind(t, err, domain.KindRefused, "not empty")
	})
}

func tarOf(t *testing.T, namesAndContents ...string) []byte {
	t.Helper()
	var b bytes.Buffer
	w := tar.NewWriter(&b)
	for i := 0; i < len(namesAndContents); i += 2 {
		if err := w.WriteHeader(&tar.Header{Name: namesAndContents[i], Size: int64(len(namesAndContents[i+1])), Mode: 0o644}); err != nil {
			t.Fatal(err)
		}
		if _, err := io.WriteString(w, namesAndContents[i+1]); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// onlyRecording finds the path of a lab's single recording.
func onlyRecording(t *testing.T, dir string) string {
	t.Helper()
	list, err := filepath.Glob(filepath.Join(dir, "recordings", "*", "*"))
	if err != nil || len(list) != 1 {
		t.Fatal(list, err)
	}
	return list[0]
}

func TestCheckFindsNothingInASoundLab(t *testing.T) {
	if f := faults(t, filled(t, t.TempDir())); len(f) > 0 {
		t.Error(f)
	}
}

func TestCheckFinds(t *testing.T) {
	const gone = "DROP TRIGGER trial_is_not_changed; DROP TRIGGER inspection_is_not_changed; DROP TRIGGER judgement_is_not_changed; PRAGMA foreign_keys = off; "
	for _, c := range []struct {
		name   string
		spoil  func(t *testing.T, dir string)
		words  string
		severe bool
	}{
		{"MissingRecording", func(t *testing.T, dir string) { os.Remove(onlyRecording(t, dir)) }, "missing or can not be opened", true},
		{"ShortRecording", func(t *testing.T, dir string) { os.Truncate(onlyRecording(t, dir), 3) }, "3 bytes instead of 7", true},
		{"ChangedRecording", func(t *testing.T, dir string) { os.WriteFile(onlyRecording(t, dir), []byte("b photo"), 0o644) }, "content has changed", true},
		{"OrphanRecording", func(t *testing.T, dir string) {
			sha := strings.Repeat("ab", 32)
			os.MkdirAll(filepath.Join(dir, "recordings", "ab"), 0o755)
			os.WriteFile(filepath.Join(dir, "recordings", "ab", sha), []byte("x"), 0o644)
		}, "the lab does not know", false},
		{"BrokenUpload", func(t *testing.T, dir string) {
			path := filepath.Join(dir, "recordings", "incoming-1")
			os.WriteFile(path, []byte("x"), 0o644)
			os.Chtimes(path, time.Time{}, time.Now().Add(-48*time.Hour))
		}, "broken off", false},
		{"StrangeFile", func(t *testing.T, dir string) {
			os.WriteFile(filepath.Join(dir, "recordings", "notes.txt"), []byte("x"), 0o644)
		}, "does not belong here", false},
		{"WrongRoot", spoilSQL(gone + `UPDATE trial SET first = 3 WHERE key = 'fix'`), "its history starts at T3", true},
		{"WrongCorrection", spoilSQL(gone + `UPDATE trial SET corrects = 77 WHERE key = 'fix'`), "not an earlier entry", true},
		{"LostRoot", spoilSQL(gone + `UPDATE trial SET corrects = NULL WHERE key = 'fix'`), "corrects nothing", true},
		{"RunCarriedOutTwice", spoilSQL(gone + `UPDATE trial SET ord = 1 WHERE id = 5`), "2 trials that count", true},
		{"InspectionOfACorrection", spoilSQL(gone + `UPDATE inspection SET trial = 21`), "no first entry", true},
		{"JudgementOfACorrection", spoilSQL(gone + `UPDATE judgement SET trial = 21`), "no first entry", true},
		{"LostCondition", spoilSQL(`PRAGMA foreign_keys = off; DELETE FROM condition WHERE num = 2`), "not known", true},
		{"LostRun", spoilSQL(`PRAGMA foreign_keys = off; DELETE FROM run`), "does not exist", true},
		{"UnknownHand", spoilSQL(`DELETE FROM hand`), "does not describe it", false},
		{"RuleOfThisVersion", spoilSQL(`UPDATE hand SET body = replace(body, '"Fingers":2', '"Fingers":0')`), "breaks a rule", false},
		{"ChangedProof", spoilSQL(`DROP TRIGGER proof_is_not_edited; UPDATE proof SET body = replace(body, '0.9', '0.8')`), "changed after it was signed", true},
		{"TrialMovedIntoAProof", spoilSQL(gone + `UPDATE trial SET proof = 'p' WHERE id = 21`), "another proof run", true},
		{"TrialOfNoProof", spoilSQL(gone + `UPDATE trial SET proof = 'q' WHERE key = 'shown'`), "not of its study", true},
		{"BenchRecordWithoutATable", spoilSQL(`DROP TRIGGER bench_record_is_not_edited; UPDATE bench_record SET body = replace(body, '"ada"', '""')`), "operator", true},
		{"OldCard", func(t *testing.T, dir string) {
			spoilSQL(`DROP TRIGGER card_is_not_edited; UPDATE card SET body = replace(body, 'today', 'then')`)(t, dir)
		}, "no longer matches", false},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir := t.TempDir()
			filled(t, dir).Close()
			c.spoil(t, dir)
			l := readOnly(t, dir)
			list, err := l.Check(t.Context(), matchesToday)
			if err != nil {
				t.Fatal(err)
			}
			for _, f := range list {
				if strings.Contains(f.String(), c.words) {
					if f.Severe != c.severe {
						t.Errorf("severe is %v: %v", f.Severe, f)
					}
					return
				}
			}
			t.Errorf("found %v, want %q", list, c.words)
		})
	}
}

func TestCheckFindsDamagedPages(t *testing.T) {
	dir := t.TempDir()
	l := filled(t, dir)
	if _, _, err := l.Append(t.Context(), "s", func() []domain.Trial {
		list := rows("s", 2000)
		for i := range list {
			list[i].Key = fmt.Sprint("more ", i)
		}
		return list
	}()); err != nil {
		t.Fatal(err)
	}
	l.Close()
	path := filepath.Join(dir, "lab.db")
	content, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	at := bytes.LastIndex(content, []byte("more 1999"))
	copy(content[at-4096:], make([]byte, 4096))
	if err := os.WriteFile(path, content, 0o644); err != nil {
		t.Fatal(err)
	}
	r := readOnly(t, dir)
	list, err := r.Check(t.Context(), nil)
	if err == nil && len(list) == 0 {
		t.Error("nothing found in a database with a page of zeros")
	}
	t.Log(len(list), err)
}

func spoilSQL(text string) func(*testing.T, string) {
	return func(t *testing.T, dir string) {
		t.Helper()
		db := raw(t, dir)
		db.SetMaxOpenConns(1)
		if _, err := db.Exec(text); err != nil {
			t.Fatal(err)
		}
		db.Close()
	}
}

// spoilPages overwrites the database's pages that hold the text.
func spoilPages(t *testing.T, dir string, spoil func(page []byte) bool) {
	t.Helper()
	path := filepath.Join(dir, "lab.db")
	content, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	const size = 4096
	for at := size; at+size <= len(content); at += size {
		if page := content[at : at+size]; spoil(page) {
			copy(page, bytes.Repeat([]byte{0xff}, size))
		}
	}
	if err := os.WriteFile(path, content, 0o644); err != nil {
		t.Fatal(err)
	}
}

func TestCheckOfATableThatCanNotBeRead(t *testing.T) {
	dir := t.TempDir()
	filled(t, dir).Close()
	// A table's rows are there, but its page is not: the version, kept elsewhere, can still be read.
	spoilPages(t, dir, func(page []byte) bool { return bytes.Contains(page, []byte("Croissant")) })
	l, err := sqlite.OpenReadOnly(dir, sqlite.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	list, err := l.Check(t.Context(), matchesToday)
	if err != nil || len(list) == 0 || !list[0].Severe || !strings.Contains(list[0].String(), "Restore the newest backup") {
		t.Errorf("%v, %v", list, err)
	}
}

func TestOpenOfADamagedDatabase(t *testing.T) {
	dir := t.TempDir()
	filled(t, dir).Close()
	spoilPages(t, dir, func(page []byte) bool { return !bytes.Contains(page, []byte("CREATE ")) })
	_, err := sqlite.OpenReadOnly(dir, sqlite.Options{})
	if domain.KindOf(err) != domain.KindRefused || !strings.Contains(err.Error(), "Restore the newest backup") {
		t.Error(err)
	}
}

func TestBackupToNowhere(t *testing.T) {
	dir := t.TempDir()
	_, err := filled(t, dir).Backup(t.Context(), filepath.Join(dir, "none", "b.tar"))
	if domain.KindOf(err) != domain.KindRefused || !strings.Contains(err.Error(), "a folder that exists") {
		t.Error(err)
	}
}

func TestLabInPlaceOfAFileIsRefused(t *testing.T) {
	path := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(path, []byte("x"), 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := sqlite.Open(path, sqlite.Options{}); domain.KindOf(err) != domain.KindRefused || !strings.Contains(err.Error(), "may write to") {
		t.Error(err)
	}
}
