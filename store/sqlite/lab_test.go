package sqlite_test

import (
	"database/sql"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"holdfast/domain"
	"holdfast/store/sqlite"
)

func wantKind(t *testing.T, err error, want domain.Kind, words ...string) {
	t.Helper()
	var e *domain.Error
	if !errors.As(err, &e) || e.Kind != want {
		t.Fatalf("got %v, want an error of kind %s", err, want)
	}
	for _, w := range words {
		if !strings.Contains(err.Error(), w) {
			t.Errorf("%q does not say %q", err, w)
		}
	}
}

// raw opens the lab's database as any other program would.
func raw(t *testing.T, dir string) *sql.DB {
	t.Helper()
	db, err := sql.Open("sqlite", filepath.Join(dir, "lab.db"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { db.Close() })
	return db
}

// filled makes a lab with a study, planned and unplanned trials, a correction, inspections, a judgement, recordings, a
// proof run with a trial, a bench record, and a card.
func filled(t *testing.T, dir string) *sqlite.Lab {
	t.Helper()
	l, ctx := mustOpen(t, dir), t.Context()
	must := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	_, err := l.PutHand(ctx, domain.Hand{ID: "soft-two", Name: "Soft two", Actuation: domain.ActuationMotor, Fingers: 2, RollFold: 2, FingerLength: 0.09,
		PalmDiameter: 0.07, OpeningMax: 0.1, CommandUnit: "mm", CommandFull: 30, ForceMax: 10})
	must(err)
	_, err = l.PutItem(ctx, domain.Item{ID: "croissant", Name: "Croissant", Shape: domain.ShapeCrescent, Size: [3]float64{0.13, 0.07, 0.05}, Mass: 0.06,
		Friction: 0.5, Turning: domain.Turning{Fold: 1}, Food: true})
	must(err)
	_, err = l.PutSetting(ctx, domain.Setting{ID: "tray", Name: "Tray", Support: domain.SupportTray, Friction: 0.4, Turning: domain.Turning{Fold: 4}})
	must(err)
	run := domain.PlannedRun{Study: "s", Order: 1, Block: 1, WholePlot: 1, Hand: "soft-two", Item: "croissant", Setting: "tray", Strategy: domain.StrategyFree, Replicate: 1}
	run.Planned.W = 1
	_, err = l.PutStudy(ctx, domain.Study{ID: "s", Name: "S", State: domain.StudyPlanned}, []domain.PlannedRun{run})
	must(err)
	photo, err := l.PutRecording(ctx, "photo.txt", "text/plain", strings.NewReader("a photo"))
	must(err)
	list := rows("s", 20)
	list[0].Order, list[0].Strategy = 1, domain.StrategyFree
	list[3].Recordings = []domain.Recording{photo}
	_, _, err = l.Append(ctx, "s", list)
	must(err)
	fix := list[1]
	fix.Key, fix.Corrects, fix.Outcome = "fix", 2, domain.OutcomeDamaged
	_, _, err = l.Append(ctx, "s", []domain.Trial{fix})
	must(err)
	_, _, err = l.Inspect(ctx, "s", []domain.Inspection{{Trial: 21, Key: "i", Finding: domain.FindingSound}})
	must(err)
	_, _, err = l.Judge(ctx, "s", []domain.Judgement{{Trial: 21, Key: "j", Judge: "bo", Outcome: domain.OutcomeHeld}})
	must(err)
	proof := domain.Proof{ID: "p", Study: "s", Design: domain.ProofDesign{Kind: domain.ProofSuccessRun, Success: 0.9, Confidence: 0.9}, SignedBy: "ada", SignedAt: time.Unix(1e9, 0)}
	proof.Digest = proof.Sum()
	must(l.SignProof(ctx, proof))
	shown := rows("s", 1)[0]
	shown.Key, shown.Proof, shown.StartedAt, shown.RecordedAt = "shown", "p", time.Time{}, time.Unix(1e9+60, 0)
	_, _, err = l.Append(ctx, "s", []domain.Trial{shown})
	must(err)
	_, _, err = l.AddBenchRecords(ctx, []domain.BenchRecord{{Hand: "soft-two", Key: "b", Test: "grip", Operator: "ada", Day: time.Unix(1e9, 0), Table: "diameter_mm,force_N\n50,20\n"}})
	must(err)
	must(l.AddCard(ctx, domain.Card{ID: "c-1", Study: "s", ReleasedAt: time.Unix(1e9, 0), Digest: "today"}))
	return l
}

func everything(t *testing.T, l *sqlite.Lab) []any {
	t.Helper()
	ctx := t.Context()
	var all []any
	for _, read := range []func() (any, error){
		func() (any, error) { return l.Hands(ctx) },
		func() (any, error) { return l.Studies(ctx) },
		func() (any, error) { return l.Plan(ctx, "s") },
		func() (any, error) { return l.Counted(ctx, "s", domain.TrialFilter{}) },
		func() (any, error) { return l.Judgements(ctx, "s") },
		func() (any, error) { return l.Cards(ctx) },
		func() (any, error) { return l.Proofs(ctx, "s") },
		func() (any, error) { return l.BenchRecords(ctx, "soft-two") },
		func() (any, error) { return l.Mark(ctx, "s") },
	} {
		v, err := read()
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, v)
	}
	return all
}

// Who finds a lab open learns where it is served, and nothing of a server that is gone.
func TestServedLabSaysWhere(t *testing.T) {
	dir := t.TempDir()
	if got := sqlite.ServedAt(dir); got != "" {
		t.Errorf("no lab is served at %q", got)
	}
	lab, err := sqlite.Open(dir, sqlite.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if got := sqlite.ServedAt(dir); got != "" {
		t.Errorf("a lab without an address is served at %q", got)
	}
	for _, address := range []string{"http://127.0.0.1:18420", "http://127.0.0.1:90"} {
		if err := lab.Announce(address); err != nil {
			t.Fatal(err)
		}
		if got := sqlite.ServedAt(dir); got != address {
			t.Errorf("served at %q, want %q", got, address)
		}
		_, err = sqlite.Open(dir, sqlite.Options{})
		wantKind(t, err, domain.KindRefused, "already open", address)
	}
	if err := lab.Close(); err != nil {
		t.Fatal(err)
	}
	if got := sqlite.ServedAt(dir); got != "" {
		t.Errorf("after the end it is served at %q", got)
	}
	reader, err := sqlite.OpenReadOnly(dir, sqlite.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer reader.Close()
	wantKind(t, reader.Announce("http://127.0.0.1:1"), domain.KindRefused, "only read")
}

// A lab in a folder that takes no writing, as on a share or a disk of backups, is read; to write to it is refused with what to do.
func TestFolderWithoutWriting(t *testing.T) {
	if os.Geteuid() == 0 {
		t.Skip("nothing is forbidden to root")
	}
	dir := filepath.Join(t.TempDir(), "lab")
	lab, err := sqlite.Open(dir, sqlite.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if err := lab.Close(); err != nil {
		t.Fatal(err)
	}
	for _, path := range []string{"lab.db", "lab.lock"} {
		if err := os.Chmod(filepath.Join(dir, path), 0o444); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Chmod(dir, 0o555); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = os.Chmod(dir, 0o755) }) // so that the folder can be cleared away
	_, err = sqlite.Open(dir, sqlite.Options{})
	wantKind(t, err, domain.KindRefused, "can not be written to", "copy it")
	reader, err := sqlite.OpenReadOnly(dir, sqlite.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer reader.Close()
	if _, err := reader.Hands(t.Context()); err != nil {
		t.Error(err)
	}
	if _, err := reader.Backup(t.Context(), filepath.Join(t.TempDir(), "copy.tar")); err != nil {
		t.Error(err)
	}
}

func TestSecondServerIsRefused(t *testing.T) {
	dir := t.TempDir()
	first, err := sqlite.Open(dir, sqlite.Options{})
	if err != nil {
		t.Fatal(err)
	}
	_, err = sqlite.Open(dir, sqlite.Options{})
	wantKind(t, err, domain.KindRefused, "already open", fmt.Sprintf("process %d", os.Getpid()))
	if err := first.Close(); err != nil {
		t.Fatal(err)
	}
	mustOpen(t, dir)
}

func TestEverythingSurvivesReopening(t *testing.T) {
	dir := t.TempDir()
	l := filled(t, dir)
	before := everything(t, l)
	l.Close()
	if d := cmp.Diff(before, everything(t, mustOpen(t, dir))); d != "" {
		t.Error(d)
	}
}

func TestReadOnlyBesideAServer(t *testing.T) {
	dir := t.TempDir()
	_, err := sqlite.OpenReadOnly(dir, sqlite.Options{})
	wantKind(t, err, domain.KindNotFound)
	l := filled(t, dir)
	r, err := sqlite.OpenReadOnly(dir, sqlite.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	if d := cmp.Diff(everything(t, l), everything(t, r)); d != "" {
		t.Error(d)
	}
	_, _, err = l.Append(t.Context(), "s", []domain.Trial{{Key: "new", Hand: "other", Outcome: domain.OutcomeHeld}})
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(everything(t, l), everything(t, r)); d != "" {
		t.Errorf("what the server stored meanwhile: %s", d)
	}
	_, err = r.PutHand(t.Context(), domain.Hand{ID: "h"})
	wantKind(t, err, domain.KindRefused, "reading only")
	_, _, err = r.Append(t.Context(), "s", rows("s", 1))
	wantKind(t, err, domain.KindRefused)
	_, err = r.PutRecording(t.Context(), "x", "text/plain", strings.NewReader("x"))
	wantKind(t, err, domain.KindRefused)
}

func TestReadOnlyAfterTheServerEnded(t *testing.T) {
	dir := t.TempDir()
	filled(t, dir).Close()
	r, err := sqlite.OpenReadOnly(dir, sqlite.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	everything(t, r)
}

func TestNewerSchemaIsRefused(t *testing.T) {
	dir := t.TempDir()
	mustOpen(t, dir).Close()
	if _, err := raw(t, dir).Exec(`INSERT INTO goose_db_version (version_id, is_applied) VALUES (99, 1)`); err != nil {
		t.Fatal(err)
	}
	_, err := sqlite.Open(dir, sqlite.Options{})
	wantKind(t, err, domain.KindRefused, "newer Holdfast", "99")
	_, err = sqlite.OpenReadOnly(dir, sqlite.Options{})
	wantKind(t, err, domain.KindRefused, "newer Holdfast")
}

// A lab of the first version keeps what it holds and learns what is new.
func TestOlderSchemaIsBroughtUpToDate(t *testing.T) {
	dir := t.TempDir()
	filled(t, dir).Close()
	if _, err := raw(t, dir).Exec(`DROP TABLE judgement; DROP TABLE item_economics; DROP TABLE hand_economics; DROP TABLE line_economics; DROP TABLE model_fit; DROP TABLE bench_record; DROP TABLE touch_model; DROP TABLE touch_label; DROP TABLE touch_clip; DELETE FROM goose_db_version WHERE version_id IN (3, 5, 6, 7, 8)`); err != nil {
		t.Fatal(err)
	}
	_, err := sqlite.OpenReadOnly(dir, sqlite.Options{})
	wantKind(t, err, domain.KindRefused, "serve")
	l := mustOpen(t, dir)
	if list, err := l.Counted(t.Context(), "s", domain.TrialFilter{}); err != nil || len(list) != 21 {
		t.Fatalf("%d trials, %v", len(list), err)
	}
	if _, _, err := l.Judge(t.Context(), "s", []domain.Judgement{{Trial: 1, Key: "j", Judge: "bo", Outcome: domain.OutcomeHeld}}); err != nil {
		t.Fatal(err)
	}
}

// The record is append-only whoever writes to the database.
func TestDatabaseRefusesToChangeTheRecord(t *testing.T) {
	dir := t.TempDir()
	filled(t, dir)
	db := raw(t, dir)
	for _, change := range []string{
		`UPDATE trial SET outcome = 1 WHERE id = 2`, `DELETE FROM trial WHERE id = 2`, `REPLACE INTO trial SELECT * FROM trial WHERE id = 2`,
		`UPDATE inspection SET finding = 2`, `DELETE FROM inspection`, `UPDATE judgement SET outcome = 2`, `DELETE FROM judgement`,
		`UPDATE trial_recording SET name = 'x'`, `DELETE FROM trial_recording`,
		`UPDATE card SET body = '{}'`, `DELETE FROM card`, `UPDATE proof SET body = '{}'`, `DELETE FROM proof`,
		`UPDATE bench_record SET body = '{}'`, `DELETE FROM bench_record`, `UPDATE bench_record SET voided = 1; UPDATE bench_record SET voided = 2`,
	} {
		_, err := db.Exec(`PRAGMA recursive_triggers = on; ` + change)
		if err == nil {
			t.Errorf("%s: went through", change)
		} else if !strings.Contains(err.Error(), "append-only") && !strings.Contains(err.Error(), "released card") && !strings.Contains(err.Error(), "signed proof run") && !strings.Contains(err.Error(), "bench record") {
			t.Errorf("%s: %v", change, err)
		}
	}
	for _, table := range []string{"trial", "outcome", "inspection", "judgement"} {
		if _, err := db.Exec(`INSERT INTO ` + table + ` DEFAULT VALUES`); err == nil {
			t.Errorf("an empty row went into %s", table)
		}
	}
}

func TestEveryConnectionHasThePragmas(t *testing.T) {
	l := mustOpen(t, t.TempDir())
	for _, p := range l.Pragmas(t) {
		if p.ForeignKeys != 1 || p.BusyTimeout < 1000 || p.Journal != "wal" || p.Writer && p.Synchronous != 2 {
			t.Errorf("%+v", p)
		}
	}
}

// A rig that holds a run when the server is restarted keeps it.
func TestLeaseSurvivesRestart(t *testing.T) {
	dir, now := t.TempDir(), time.Unix(2e9, 0)
	l := mustOpen(t, dir)
	plan := make([]domain.PlannedRun, 2)
	for i := range plan {
		plan[i] = domain.PlannedRun{Order: i + 1, Hand: "h", Item: "i", Setting: "t", Strategy: domain.StrategyFree}
	}
	if _, err := l.PutStudy(t.Context(), domain.Study{ID: "s"}, plan); err != nil {
		t.Fatal(err)
	}
	if _, _, err := l.Lease(t.Context(), "s", "a", now, time.Minute); err != nil {
		t.Fatal(err)
	}
	l.Close()
	l = mustOpen(t, dir)
	for holder, want := range map[string]int{"a": 1, "b": 2} {
		if run, _, err := l.Lease(t.Context(), "s", holder, now, time.Minute); err != nil || run.Order != want {
			t.Errorf("%s got run %d, %v; want %d", holder, run.Order, err, want)
		}
	}
}

// The view for other tools says the same as the store.
func TestEntryViewNamesThings(t *testing.T) {
	dir := t.TempDir()
	filled(t, dir)
	var study, hand, outcome string
	var root, replaced int
	row := raw(t, dir).QueryRow(`SELECT study, hand, outcome, root, replaced FROM entry WHERE key = 'fix'`)
	if err := row.Scan(&study, &hand, &outcome, &root, &replaced); err != nil {
		t.Fatal(err)
	}
	if got := fmt.Sprint(study, " ", hand, " ", outcome, " ", root, " ", replaced); got != "s soft-two damaged 2 0" {
		t.Error(got)
	}
}

func TestCountedSeqGivesWhatCountedGives(t *testing.T) {
	l := filled(t, t.TempDir())
	f := domain.TrialFilter{Block: 1, After: 1}
	want, err := l.Counted(t.Context(), "s", f)
	if err != nil {
		t.Fatal(err)
	}
	var got []domain.CountedTrial
	for c, err := range l.CountedSeq(t.Context(), "s", f) {
		if err != nil {
			t.Fatal(err)
		}
		got = append(got, *c)
	}
	if d := cmp.Diff(want, got); d != "" || len(got) != 20 {
		t.Error(len(got), d)
	}
	for range l.CountedSeq(t.Context(), "s", f) {
		break
	}
	for c, err := range l.CountedSeq(t.Context(), "nobody", f) {
		if c != nil {
			t.Error("a trial of a study that does not exist")
		}
		wantKind(t, err, domain.KindNotFound)
	}
}

// What was stored by one version must be read by the next: a renamed field would be lost in silence.
func TestStoredFormIsAPromise(t *testing.T) {
	dir := t.TempDir()
	filled(t, dir)
	db := raw(t, dir)
	for table, want := range map[string]string{
		"hand": `{"ID":"soft-two","Name":"Soft two","Actuation":"motor","Fingers":2,"RollFold":2,"Mirror":false,"FingerLength":0.09,"PalmDiameter":0.07,` +
			`"OpeningMax":0.1,"CommandUnit":"mm","CommandFull":30,"ForceMax":10,"FoodContact":false,"Note":"","Revision":0,"Created":"0001-01-01T00:00:00Z","Updated":"0001-01-01T00:00:00Z","Invented":false}`,
		"item": `{"ID":"croissant","Name":"Croissant","Shape":"crescent","Size":[0.13,0.07,0.05],"SizeSpread":0,"Mass":0.06,"MassSpread":0,"Friction":0.5,"Stiffness":0,` +
			`"DamageForce":0,"LateDamage":0,"Turning":{"Axial":false,"Fold":1,"Mirror":false},"Food":true,"Note":"","Revision":0,"Created":"0001-01-01T00:00:00Z","Updated":"0001-01-01T00:00:00Z","Invented":false}`,
		"setting": `{"ID":"tray","Name":"Tray","Support":"tray","Wall":false,"WallGap":0,"Edge":false,"EdgeGap":0,"Friction":0.4,` +
			`"Turning":{"Axial":false,"Fold":4,"Mirror":false},"Note":"","Revision":0,"Created":"0001-01-01T00:00:00Z","Updated":"0001-01-01T00:00:00Z","Invented":false}`,
		"bench_record": `{"ID":0,"Key":"","Hand":"","Test":"grip","Variant":"","Specimen":"","Operator":"ada","Day":"2001-09-09T01:46:40Z","Table":"diameter_mm,force_N\n50,20\n","Unit":"",` +
			`"Ramp":0,"Terms":0,"Limit":null,"Note":"","Invented":false,"Recorded":"0001-01-01T00:00:00Z","Voided":"0001-01-01T00:00:00Z","VoidedBy":"","VoidReason":""}`,
	} {
		var got string
		if err := db.QueryRow(`SELECT body FROM ` + table).Scan(&got); err != nil {
			t.Fatal(err)
		}
		if got != want {
			t.Errorf("%s is stored as\n%s\nwant\n%s\nLabs in use hold the wanted form: add a migration with the change.", table, got, want)
		}
	}
}

func TestOpenLeavesForeignFoldersAlone(t *testing.T) {
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, ".hidden"), nil, 0o600); err != nil {
		t.Fatal(err)
	}
	l, err := sqlite.Open(dir, sqlite.Options{})
	if err != nil {
		t.Fatal(err)
	}
	l.Close()
	if err := os.WriteFile(filepath.Join(dir, "letter.txt"), nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if l, err = sqlite.Open(dir, sqlite.Options{}); err != nil {
		t.Fatal("a lab with a stray file beside it must open:", err)
	}
	l.Close()

	foreign := t.TempDir()
	if err := os.WriteFile(filepath.Join(foreign, "letter.txt"), nil, 0o600); err != nil {
		t.Fatal(err)
	}
	_, err = sqlite.Open(foreign, sqlite.Options{})
	if domain.KindOf(err) != domain.KindRefused || !strings.Contains(err.Error(), "letter.txt") {
		t.Fatalf("got %v", err)
	}
	if found, _ := os.ReadDir(foreign); len(found) != 1 {
		t.Fatalf("the refused folder now holds %d files", len(found))
	}
}
