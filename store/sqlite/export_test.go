package sqlite

import (
	"database/sql"
	"testing"
)

// PragmasOf are the settings of one connection.
type PragmasOf struct {
	Writer                                bool
	ForeignKeys, BusyTimeout, Synchronous int
	Journal                               string
}

// Pragmas reads the settings of the writer and of several connections of the pool at once.
func (l *Lab) Pragmas(t *testing.T) (list []PragmasOf) {
	t.Helper()
	for _, db := range []*sql.DB{l.write, l.read, l.read, l.read} {
		c, err := db.Conn(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		defer c.Close()
		p := PragmasOf{Writer: db == l.write}
		for name, into := range map[string]any{"foreign_keys": &p.ForeignKeys, "busy_timeout": &p.BusyTimeout, "synchronous": &p.Synchronous, "journal_mode": &p.Journal} {
			if err := c.QueryRowContext(t.Context(), `PRAGMA `+name).Scan(into); err != nil {
				t.Fatal(err)
			}
		}
		list = append(list, p)
	}
	return list
}
