package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"holdfast/domain"
)

// Fault is something in a lab that is not as it should be.
type Fault struct {
	Severe bool   // something is lost or wrong; else something that a person should know
	Where  string // what it is about
	What   string // what is wrong
	Do     string // what to do
}

// String gives the fault in one line.
func (f Fault) String() string { return fmt.Sprintf("%s: %s. %s.", f.Where, f.What, f.Do) }

const fromBackup = "Restore the newest backup into another folder and compare"

// brokenUploadAge is how old an unfinished upload must be to be reported: a running server may still be at work on a
// younger one.
const brokenUploadAge = 24 * time.Hour

// Check verifies the lab: the database's pages and references, the histories of the trials, and the recordings' files
// against their digests. When matches is given it also asks of every card in force whether it still matches the trials
// and settings it came from. Check changes nothing and works beside a running server.
func (l *Lab) Check(ctx context.Context, matches func(context.Context, domain.Card) (bool, error)) ([]Fault, error) {
	// Files first: one that gets its row while we look is then no orphan.
	files, faults, err := l.recordingFiles(ctx)
	if err != nil {
		return nil, err
	}
	tx, err := l.snapshot(ctx)
	if err != nil {
		return nil, err
	}
	defer tx.Rollback()
	for _, part := range []func(context.Context, querier) ([]Fault, error){databaseFaults, chainFaults, proofFaults, nounFaults, economicsFaults, modelFaults, benchFaults, touchFaults} {
		found, err := part(ctx, tx)
		if isDamaged(err) {
			// Nothing behind the damage can be trusted to be read.
			return append(faults, Fault{true, databaseName, "it is damaged and can not be read to its end", fromBackup}), nil
		}
		if err != nil {
			return nil, err
		}
		faults = append(faults, found...)
	}
	recordings, err := listRecordings(ctx, tx)
	if err != nil {
		return nil, err
	}
	for _, r := range recordings {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if what := l.recordingFault(r); what != "" {
			faults = append(faults, Fault{true, "recording " + recordingPath(r.SHA256) + " (" + r.Name + ")", what, "Copy the file back from a backup; its name is its digest"})
		}
		delete(files, r.SHA256)
	}
	orphans, err := l.orphans(ctx, files)
	if err != nil {
		return nil, err
	}
	faults = append(faults, orphans...)
	if matches != nil {
		stale, err := l.cardFaults(ctx, matches)
		if err != nil {
			return nil, err
		}
		faults = append(faults, stale...)
	}
	return faults, nil
}

// databaseFaults runs the database's own checks.
func databaseFaults(ctx context.Context, q querier) ([]Fault, error) {
	var faults []Fault
	rows, err := q.QueryContext(ctx, `PRAGMA integrity_check`)
	if err != nil {
		return nil, wrap("checking the database", err)
	}
	defer rows.Close()
	for rows.Next() {
		var what string
		if err := rows.Scan(&what); err != nil {
			return nil, wrap("checking the database", err)
		}
		if what != "ok" {
			faults = append(faults, Fault{true, databaseName, what, fromBackup})
		}
	}
	if err := rows.Err(); err != nil {
		return nil, wrap("checking the database", err)
	}
	rows.Close()
	refs, err := q.QueryContext(ctx, `PRAGMA foreign_key_check`)
	if err != nil {
		return nil, wrap("checking the references", err)
	}
	defer refs.Close()
	for refs.Next() {
		var table, parent string
		var row sql.NullInt64
		var number int
		if err := refs.Scan(&table, &row, &parent, &number); err != nil {
			return nil, wrap("checking the references", err)
		}
		faults = append(faults, Fault{true, fmt.Sprintf("%s %d", table, row.Int64), "it refers to a " + parent + " that does not exist", fromBackup})
	}
	return faults, wrap("checking the references", refs.Err())
}

// chainFaults looks for histories that could not have come about by adding entries. Each query gives a place and a
// fault in words.
func chainFaults(ctx context.Context, q querier) ([]Fault, error) {
	var faults []Fault
	for _, query := range []string{
		`SELECT 'trial T' || t.id, 'it corrects T' || t.corrects || ', which is not an earlier entry of its study'
			FROM trial t LEFT JOIN trial c ON c.id = t.corrects
			WHERE t.corrects IS NOT NULL AND (c.id IS NULL OR c.id >= t.id OR c.study <> t.study)`,
		`SELECT 'trial T' || t.id, 'its history starts at T' || coalesce(t.first, t.id) || ', that of the entry it corrects at T' || coalesce(c.first, c.id)
			FROM trial t JOIN trial c ON c.id = t.corrects WHERE t.first IS NOT coalesce(c.first, c.id)`,
		`SELECT 'trial T' || id, 'it corrects nothing, yet belongs to the history of T' || first FROM trial WHERE corrects IS NULL AND first IS NOT NULL`,
		`SELECT 'trial T' || t.id, 'its hand, item, setting and strategy are not known' FROM trial t LEFT JOIN condition c ON c.num = t.condition WHERE c.num IS NULL`,
		`SELECT 'run ' || t.ord || ' of ' || s.id, 'it is carried out by ' || count(*) || ' trials that count' FROM trial t JOIN study s ON s.num = t.study
			WHERE t.ord IS NOT NULL AND t.outcome <> 9 AND NOT EXISTS (SELECT 1 FROM trial c WHERE c.corrects = t.id) GROUP BY t.study, t.ord HAVING count(*) > 1`,
		`SELECT 'inspection ' || i.id, 'it is kept at T' || i.trial || ', which is no first entry of its study'
			FROM inspection i LEFT JOIN trial t ON t.id = i.trial WHERE t.id IS NULL OR t.first IS NOT NULL OR t.study <> i.study`,
		`SELECT 'judgement ' || j.id, 'it is kept at T' || j.trial || ', which is no first entry of its study'
			FROM judgement j LEFT JOIN trial t ON t.id = j.trial WHERE t.id IS NULL OR t.first IS NOT NULL OR t.study <> j.study`,
		`SELECT 'trial T' || t.id, 'it belongs to the proof run ' || t.proof || ', which is not of its study'
			FROM trial t LEFT JOIN proof p ON p.id = t.proof WHERE t.proof IS NOT NULL AND (p.id IS NULL OR p.study <> t.study)`,
		`SELECT 'trial T' || t.id, 'it belongs to another proof run than the entry that it corrects'
			FROM trial t JOIN trial c ON c.id = t.corrects WHERE t.proof IS NOT c.proof`,
		`SELECT 'trial T' || r.trial, 'a recording is attached to it under another study' FROM trial_recording r JOIN trial t ON t.id = r.trial WHERE t.study <> r.study`,
	} {
		rows, err := q.QueryContext(ctx, query)
		if err != nil {
			return nil, wrap("checking the record", err)
		}
		for rows.Next() {
			f := Fault{Severe: true, Do: fromBackup}
			if err := rows.Scan(&f.Where, &f.What); err != nil {
				rows.Close()
				return nil, wrap("checking the record", err)
			}
			faults = append(faults, f)
		}
		rows.Close()
		if err := rows.Err(); err != nil {
			return nil, wrap("checking the record", err)
		}
	}
	return faults, nil
}

// nounFaults demands that every noun can be read and keeps the rules, and that trials name nouns that exist.
func nounFaults(ctx context.Context, q querier) ([]Fault, error) {
	var faults []Fault
	rule := func(where string, err error) {
		if err != nil {
			faults = append(faults, Fault{false, where, "it breaks a rule of this version: " + err.Error(), "Open it on the page and store it again"})
		}
	}
	hs, err := hands.list(ctx, q)
	if err != nil {
		return nil, err
	}
	for i := range hs {
		rule("hand "+string(hs[i].ID), hs[i].Validate())
	}
	is, err := items.list(ctx, q)
	if err != nil {
		return nil, err
	}
	for i := range is {
		rule("item "+string(is[i].ID), is[i].Validate())
	}
	ss, err := settings.list(ctx, q)
	if err != nil {
		return nil, err
	}
	for i := range ss {
		rule("setting "+string(ss[i].ID), ss[i].Validate())
	}
	for _, table := range []string{"hand", "item", "setting"} {
		rows, err := q.QueryContext(ctx, fmt.Sprintf(`SELECT DISTINCT c.%[1]s FROM condition c WHERE c.%[1]s <> '' AND NOT EXISTS (SELECT 1 FROM %[1]s n WHERE n.id = c.%[1]s) ORDER BY 1`, table))
		if err != nil {
			return nil, wrap("checking the names", err)
		}
		for rows.Next() {
			var id string
			if err := rows.Scan(&id); err != nil {
				rows.Close()
				return nil, wrap("checking the names", err)
			}
			faults = append(faults, Fault{false, table + " " + id, "trials or plans name it, but the lab does not describe it", "Add the " + table + " under this name"})
		}
		rows.Close()
		if err := rows.Err(); err != nil {
			return nil, wrap("checking the names", err)
		}
	}
	return faults, nil
}

func listRecordings(ctx context.Context, q querier) ([]domain.Recording, error) {
	rows, err := q.QueryContext(ctx, `SELECT sha256, name, type, size FROM recording ORDER BY sha256`)
	if err != nil {
		return nil, wrap("listing the recordings", err)
	}
	defer rows.Close()
	var list []domain.Recording
	for rows.Next() {
		var r domain.Recording
		if err := rows.Scan(&r.SHA256, &r.Name, &r.Type, &r.Size); err != nil {
			return nil, wrap("listing the recordings", err)
		}
		list = append(list, r)
	}
	return list, wrap("listing the recordings", rows.Err())
}

// recordingFiles lists the files below recordings/ by name, with faults for what does not belong there.
func (l *Lab) recordingFiles(ctx context.Context) (files map[string]string, faults []Fault, err error) {
	files = map[string]string{}
	root := filepath.Join(l.dir, recordingsDir)
	err = filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err == nil {
			err = ctx.Err()
		}
		if errors.Is(err, os.ErrNotExist) {
			return nil // an upload that ended while we looked
		}
		if err != nil || d.IsDir() {
			return err
		}
		inside, err := filepath.Rel(l.dir, path)
		if err != nil {
			return err
		}
		name := d.Name()
		switch {
		case len(name) == 64 && inside == recordingPath(name):
			files[name] = inside
		case strings.HasPrefix(name, "incoming-"):
			if info, err := d.Info(); err == nil && l.clock.Now().Sub(info.ModTime()) > brokenUploadAge {
				faults = append(faults, Fault{false, inside, "an upload that was broken off", "Delete the file"})
			}
		default:
			faults = append(faults, Fault{false, inside, "a file that does not belong here", "Move it elsewhere"})
		}
		return nil
	})
	return files, faults, wrap("listing the recordings' files", err)
}

// recordingFault says what is wrong with a recording's file; empty: nothing.
func (l *Lab) recordingFault(r domain.Recording) string {
	f, err := os.Open(filepath.Join(l.dir, recordingPath(r.SHA256)))
	if err != nil {
		return "its file is missing or can not be opened"
	}
	defer f.Close()
	sum, size, err := digest(f)
	switch {
	case err != nil:
		return "its file can not be read"
	case size != r.Size:
		return fmt.Sprintf("its file has %d bytes instead of %d", size, r.Size)
	case sum != r.SHA256:
		return "its content has changed: the digest is " + sum
	}
	return ""
}

// orphans names the files that no row describes; it looks once more, for uploads that ended meanwhile.
func (l *Lab) orphans(ctx context.Context, files map[string]string) ([]Fault, error) {
	var faults []Fault
	for sha, path := range files {
		var known bool
		if err := l.read.QueryRowContext(ctx, `SELECT EXISTS (SELECT 1 FROM recording WHERE sha256 = ?)`, sha).Scan(&known); err != nil {
			return nil, wrap("looking for a recording", err)
		}
		if !known {
			faults = append(faults, Fault{false, path, "a recording that the lab does not know: storing it was broken off", "Delete the file, or store it again"})
		}
	}
	return faults, nil
}

func (l *Lab) cardFaults(ctx context.Context, matches func(context.Context, domain.Card) (bool, error)) ([]Fault, error) {
	cards, err := l.Cards(ctx)
	if err != nil {
		return nil, err
	}
	var faults []Fault
	for _, c := range cards {
		if !c.Withdrawn.IsZero() {
			continue
		}
		same, err := matches(ctx, c)
		where := "card " + string(c.ID)
		switch {
		case ctx.Err() != nil:
			return nil, ctx.Err()
		case err != nil:
			faults = append(faults, Fault{true, where, "what it came from can not be read: " + err.Error(), fromBackup})
		case !same:
			faults = append(faults, Fault{false, where, "it no longer matches the trials and settings it came from: they were added to or edited since its release",
				"Look at the map again, then keep the card, or withdraw it and release a new one"})
		}
	}
	return faults, nil
}
