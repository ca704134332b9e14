package domain

import (
	"strings"
	"time"
)

// BenchRecord is one test of a hand on a bench, with the table as it came in. It never changes: a later one of the same test
// takes its place on the hand's sheet and leaves it on record; one that was wrong is made void, with a reason.
type BenchRecord struct {
	ID       int64  // set by the store, ascending
	Key      string // idempotency key
	Hand     ID
	Test     string    // name of the test, such as "grip"
	Variant  string    // what it was about (a direction, a pose), told from others of the same test; empty: nothing
	Specimen string    // which piece of the hand's kind; empty: not said
	Operator string    // who measured
	Day      time.Time // when it was measured
	Table    string    // CSV, as it came in
	Unit     string    // of the values, where the test takes any
	Ramp     float64   // s, of a relaxation test; 0: the time of the largest force
	Terms    int       // exponential terms of a relaxation test; 0: one
	Limit    *float64  // where a worn hand is replaced, in Unit; nil: not said
	Note     string
	Invented bool      // demonstration data that no bench ever saw
	Recorded time.Time // when it was stored

	Voided     time.Time // zero: it stands
	VoidedBy   string
	VoidReason string
}

// MostBenchTable is how many bytes the table of a bench record may have.
const MostBenchTable = 4 << 20

// Validate says which fields break a rule. Whether the table answers its test is for the test to say.
func (r *BenchRecord) Validate() error {
	var c checks
	c.id("hand", r.Hand)
	if r.Key == "" || len(r.Key) > 200 {
		c.fail("key", r.Key, "must be 1 to 200 bytes: any text that is new for each record, repeated when a request is sent again")
	}
	c.name("test", r.Test)
	c.name("operator", r.Operator)
	for _, f := range []struct{ field, value string }{{"variant", r.Variant}, {"specimen", r.Specimen}} {
		if len(f.value) > 60 || strings.ContainsAny(f.value, "\r\n") {
			c.fail(f.field, f.value, "must be one line of at most 60 bytes")
		}
	}
	if len(r.Unit) > 20 {
		c.fail("unit", r.Unit, "must be at most 20 bytes long")
	}
	switch {
	case strings.TrimSpace(r.Table) == "":
		c.fail("table", "", "must not be empty: CSV whose first row names the columns")
	case len(r.Table) > MostBenchTable:
		c.fail("table", len(r.Table), "must be at most %d bytes; leave out what lies between", MostBenchTable)
	}
	if r.Day.IsZero() {
		c.fail("day", "", "must say when it was measured")
	}
	c.between("ramp_s", r.Ramp, 0, 1e6, " s")
	c.between("terms", float64(r.Terms), 0, 3, "")
	if r.Limit != nil {
		c.between("limit", *r.Limit, -1e12, 1e12, "")
	}
	if len(r.Note) > 4000 {
		c.fail("note", len(r.Note), "must be at most 4000 bytes long")
	}
	return c.err("bench record")
}

// Stands says that the record was not made void.
func (r *BenchRecord) Stands() bool { return r.Voided.IsZero() }

// StandingRecords returns the newest record of each test and variant that was not made void, in the order in which they were stored.
func StandingRecords(list []BenchRecord) []BenchRecord {
	type what struct{ test, variant string }
	newest := map[what]int64{}
	for _, r := range list {
		if k := (what{r.Test, r.Variant}); r.Stands() && r.ID >= newest[k] {
			newest[k] = r.ID
		}
	}
	var out []BenchRecord
	for _, r := range list {
		if r.Stands() && newest[what{r.Test, r.Variant}] == r.ID {
			out = append(out, r)
		}
	}
	return out
}
