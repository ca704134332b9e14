package sqlite_test

import (
	"testing"

	"holdfast/domain"
	"holdfast/store"
	"holdfast/store/sqlite"
)

func mustOpen(t *testing.T, dir string) *sqlite.Lab {
	t.Helper()
	l, err := sqlite.Open(dir, sqlite.Options{})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := l.Close(); err != nil {
			t.Error(err)
		}
	})
	return l
}

func TestConformance(t *testing.T) {
	store.Conform(t, func(t *testing.T) domain.Store { return mustOpen(t, t.TempDir()) })
}
