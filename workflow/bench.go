package workflow

import (
	"context"
	"math"
	"slices"
	"strings"

	"holdfast/domain"
	"holdfast/handtest"
	"holdfast/readings"
)

// BenchLevel is that of the intervals of a hand's own numbers, unless a sheet asks for another.
const BenchLevel = 0.95

// BenchEntry is a bench record with what its test says.
type BenchEntry struct {
	domain.BenchRecord
	OnSheet bool             // it is the newest of its test and variant that stands
	Report  *handtest.Report // nil: Fault says why
	Fault   string           // the record was kept by rules that hold no more
}

// BenchSheetHand is a hand of a sheet and the records that it shows.
type BenchSheetHand struct {
	Hand    domain.Hand
	Records []domain.BenchRecord
}

// BenchSheet is the numbers of hands side by side.
type BenchSheet struct {
	Level float64
	Hands []BenchSheetHand
	Sheet *handtest.Sheet // its hands are the catalogue's names, with the ID behind those that are not unique
	// Reports are those of the hands' records, in their order.
	Reports [][]*handtest.Report
}

// CheckBench says what a bench record's table yields, or what of it breaks a rule. Nothing is stored.
func (l *Lab) CheckBench(ctx context.Context, r domain.BenchRecord) (*handtest.Report, error) {
	l.readyBench(&r)
	if err := r.Validate(); err != nil {
		return nil, err
	}
	if _, err := l.Store.Hand(ctx, r.Hand); err != nil {
		return nil, err
	}
	return benchReport(&r, BenchLevel)
}

// KeepBench stores a bench record whose table answers its test. repeated says that its key was known and nothing new was stored.
func (l *Lab) KeepBench(ctx context.Context, r domain.BenchRecord) (e BenchEntry, repeated bool, err error) {
	l.readyBench(&r)
	report, err := l.CheckBench(ctx, r)
	if err != nil {
		return e, false, err
	}
	stored, known, err := l.Store.AddBenchRecords(ctx, []domain.BenchRecord{r})
	if err != nil {
		return e, false, err
	}
	if !known[0] {
		l.changed("bench", "", string(r.Hand))
	}
	return BenchEntry{BenchRecord: stored[0], OnSheet: stored[0].Stands(), Report: report}, known[0], nil
}

func (l *Lab) readyBench(r *domain.BenchRecord) {
	for _, s := range []*string{&r.Variant, &r.Specimen, &r.Operator, &r.Unit} {
		*s = strings.TrimSpace(*s)
	}
	if r.Recorded.IsZero() {
		r.Recorded = l.Clock.Now()
	}
	if r.Day.IsZero() {
		r.Day = r.Recorded
	}
}

// Bench returns the bench records of a hand with what they say, newest first.
func (l *Lab) Bench(ctx context.Context, hand domain.ID) ([]BenchEntry, error) {
	if _, err := l.Store.Hand(ctx, hand); err != nil {
		return nil, err
	}
	list, err := l.Store.BenchRecords(ctx, hand)
	if err != nil {
		return nil, err
	}
	standing := map[int64]bool{}
	for _, r := range domain.StandingRecords(list) {
		standing[r.ID] = true
	}
	entries := make([]BenchEntry, len(list))
	for i, r := range list {
		entries[i] = BenchEntry{BenchRecord: r, OnSheet: standing[r.ID]}
		if entries[i].Report, err = benchReport(&r, BenchLevel); err != nil {
			entries[i].Fault = err.Error()
		}
	}
	slices.Reverse(entries)
	return entries, nil
}

// BenchRecord returns a record of a hand; KindNotFound if it has none of this number.
func (l *Lab) BenchRecord(ctx context.Context, hand domain.ID, id int64) (domain.BenchRecord, error) {
	r, err := l.Store.BenchRecord(ctx, id)
	if err == nil && r.Hand != hand {
		return r, domain.Errorf(domain.KindNotFound, "bench record %d is of hand %s, not of %s", id, r.Hand, hand)
	}
	return r, err
}

// VoidBench makes a record of a hand void; it stays on record.
func (l *Lab) VoidBench(ctx context.Context, hand domain.ID, id int64, by, reason string) (domain.BenchRecord, error) {
	by, reason = strings.TrimSpace(by), strings.TrimSpace(reason)
	var fields []domain.FieldError
	for _, f := range []struct{ field, value, words string }{{"by", by, "must say who makes it void"}, {"reason", reason, "must say why it is void"}} {
		if f.value == "" || len(f.value) > 400 {
			fields = append(fields, domain.FieldError{Field: f.field, Value: f.value, Reason: f.words + ", in at most 400 bytes"})
		}
	}
	if len(fields) > 0 {
		return domain.BenchRecord{}, invalid("this record can not be made void; mend the fields named", fields...)
	}
	if r, err := l.BenchRecord(ctx, hand, id); err != nil {
		return r, err
	}
	r, err := l.Store.VoidBenchRecord(ctx, id, by, reason, l.Clock.Now())
	if err == nil {
		l.changed("bench", "", string(hand))
	}
	return r, err
}

// benchReport computes what a record says at a level; faults of the table are told under the field table.
func benchReport(r *domain.BenchRecord, level float64) (*handtest.Report, error) {
	kind, ok := handtest.Find(r.Test)
	if !ok {
		var names []string
		for _, k := range handtest.Kinds() {
			names = append(names, k.Name)
		}
		return nil, invalid("this bench record can not be accepted; mend the fields named", domain.FieldError{Field: "test", Value: r.Test, Reason: "must be one of " + strings.Join(names, ", ")})
	}
	s := handtest.Settings{Level: level, Ramp: r.Ramp, Terms: max(1, r.Terms), Limit: math.NaN(), Unit: r.Unit}
	if r.Limit != nil {
		s.Limit = *r.Limit
	}
	table, err := readings.Read(strings.NewReader(r.Table), kind.Columns)
	if err != nil {
		return nil, tableFaults(err)
	}
	if kind.TakesUnit() {
		switch {
		case r.Unit == "" && table.Unit == "":
			return nil, invalid("this bench record can not be accepted; mend the fields named", domain.FieldError{Field: "unit", Reason: "must say the unit of the values, such as N; the column's name may carry it too, as value_N"})
		case r.Unit != "" && table.Unit != "" && r.Unit != table.Unit:
			return nil, invalid("this bench record can not be accepted; mend the fields named", domain.FieldError{Field: "unit", Value: r.Unit, Reason: "is another than the table's column has, " + table.Unit})
		}
	}
	report, err := kind.Compute(table, s)
	if err != nil {
		return nil, tableFaults(err)
	}
	return report, nil
}

// tableFaults gives each line of a fault as one of the field table.
func tableFaults(err error) error {
	var fields []domain.FieldError
	for _, line := range strings.Split(err.Error(), "\n") {
		fields = append(fields, domain.FieldError{Field: "table", Reason: line})
	}
	return invalid("the table does not answer this test, so nothing was kept; mend what is named", fields...)
}

// HandSheet lays the standing bench records of hands side by side, in the order of the hands.
func (l *Lab) HandSheet(ctx context.Context, ids []domain.ID, level float64) (BenchSheet, error) {
	out := BenchSheet{Level: level}
	names := map[string]int{}
	for i, id := range ids {
		if slices.Contains(ids[:i], id) {
			return out, invalid("a hand can stand on a sheet once", domain.FieldError{Field: "hand", Value: string(id), Reason: "is there twice"})
		}
		h, err := l.Store.Hand(ctx, id)
		if err != nil {
			return out, err
		}
		list, err := l.Store.BenchRecords(ctx, id)
		if err != nil {
			return out, err
		}
		out.Hands = append(out.Hands, BenchSheetHand{h, domain.StandingRecords(list)})
		names[h.Name]++
	}
	var sheet []handtest.Hand
	for _, h := range out.Hands {
		on := handtest.Hand{Name: h.Hand.Name}
		if names[h.Hand.Name] > 1 {
			on.Name += " (" + string(h.Hand.ID) + ")"
		}
		var reports []*handtest.Report
		for _, r := range h.Records {
			report, err := benchReport(&r, level)
			if err != nil {
				return out, err
			}
			reports = append(reports, report)
			on.Records = append(on.Records, handtest.HandRecord{Variant: r.Variant, Report: report})
		}
		sheet, out.Reports = append(sheet, on), append(out.Reports, reports)
	}
	var err error
	if out.Sheet, err = handtest.NewSheet(sheet); err != nil {
		return out, domain.Errorf(domain.KindInvalid, "%v", err)
	}
	return out, nil
}
