package sqlite

import (
	"context"
	"database/sql"
	"embed"
	"io/fs"

	"github.com/pressly/goose/v3"

	"holdfast/domain"
)

//go:embed migrations/*.sql
var migrationFiles embed.FS

// schemaVersion is the number of the newest migration in this program.
const schemaVersion = 8

// storedVersion returns the number of the newest migration that the database has seen; 0 for an empty database.
func storedVersion(ctx context.Context, db *sql.DB) (int64, error) {
	var table int
	if err := db.QueryRowContext(ctx, `SELECT count(*) FROM sqlite_master WHERE type = 'table' AND name = 'goose_db_version'`).Scan(&table); err != nil {
		return 0, domain.Internal("reading the lab's database", err)
	}
	if table == 0 {
		return 0, nil
	}
	var version int64
	if err := db.QueryRowContext(ctx, `SELECT coalesce(max(version_id), 0) FROM goose_db_version WHERE is_applied`).Scan(&version); err != nil {
		if isDamaged(err) {
			return 0, &domain.Error{Kind: domain.KindRefused, Message: "the lab's database is damaged and can not be opened. " + fromBackup, Cause: err}
		}
		return 0, domain.Internal("reading the lab's schema version", err)
	}
	return version, nil
}

// wholeSchema says whether the database has seen every migration of this program: its newest version alone does not tell,
// since a lower number may have come in after a higher one.
func wholeSchema(ctx context.Context, db *sql.DB, version int64) (bool, error) {
	if version < schemaVersion {
		return false, nil
	}
	files, err := fs.Glob(migrationFiles, "migrations/*.sql")
	if err != nil {
		return false, domain.Internal("reading the migrations", err)
	}
	var seen int
	if err := db.QueryRowContext(ctx, `SELECT count(DISTINCT version_id) FROM goose_db_version WHERE is_applied AND version_id > 0`).Scan(&seen); err != nil {
		return false, domain.Internal("reading the lab's schema version", err)
	}
	return seen >= len(files), nil
}

// migrate brings the database to [schemaVersion], each step in a transaction. A database from a newer program is
// refused: writing to tables that we do not know could lose what it keeps there.
func migrate(ctx context.Context, db *sql.DB) error {
	version, err := storedVersion(ctx, db)
	if err != nil {
		return err
	}
	if version > schemaVersion {
		return newerSchema(version)
	}
	if whole, err := wholeSchema(ctx, db, version); err != nil || whole {
		return err
	}
	files, err := fs.Sub(migrationFiles, "migrations")
	if err != nil {
		return domain.Internal("reading the migrations", err)
	}
	// Migrations are written side by side: a lab may have seen a higher number before a lower one came in.
	steps, err := goose.NewProvider(goose.DialectSQLite3, db, files, goose.WithAllowOutofOrder(true))
	if err != nil {
		return domain.Internal("preparing the lab's schema", err)
	}
	if _, err := steps.Up(ctx); err != nil {
		return domain.Internal("bringing the lab's schema up to date", err)
	}
	return nil
}

func newerSchema(version int64) error {
	return domain.Errorf(domain.KindRefused,
		"this lab was written by a newer Holdfast (schema %d, this program knows up to %d); use that version or a later one", version, schemaVersion)
}
