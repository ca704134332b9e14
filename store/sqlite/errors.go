package sqlite

import (
	"context"
	"database/sql"
	"errors"

	driver "modernc.org/sqlite"
	codes "modernc.org/sqlite/lib"

	"holdfast/domain"
)

// wrap turns a failure of the database into a [domain.Error] that names the step; an error that already is one, and
// the end of the caller's context, pass through.
func wrap(step string, err error) error {
	var known *domain.Error
	switch {
	case err == nil:
		return nil
	case errors.As(err, &known), errors.Is(err, context.Canceled), errors.Is(err, context.DeadlineExceeded):
		return err
	}
	return domain.Internal(step, err)
}

// isUnique says whether err is the refusal of a second row with the same primary or unique key.
func isUnique(err error) bool {
	var e *driver.Error
	return errors.As(err, &e) && (e.Code() == codes.SQLITE_CONSTRAINT_UNIQUE || e.Code() == codes.SQLITE_CONSTRAINT_PRIMARYKEY)
}

// isForeign says whether err is the refusal of a row that refers to one that does not exist.
func isForeign(err error) bool {
	var e *driver.Error
	return errors.As(err, &e) && e.Code() == codes.SQLITE_CONSTRAINT_FOREIGNKEY
}

func isNoRows(err error) bool { return errors.Is(err, sql.ErrNoRows) }

// isDamaged says whether err tells that the database file itself is broken.
func isDamaged(err error) bool {
	var e *driver.Error
	return errors.As(err, &e) && (e.Code()&0xff == codes.SQLITE_CORRUPT || e.Code()&0xff == codes.SQLITE_NOTADB)
}
