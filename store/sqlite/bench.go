package sqlite

import (
	"context"
	"database/sql"
	"encoding/json"
	"fmt"
	"time"

	"holdfast/domain"
)

const benchColumns = `SELECT id, hand, key, recorded, body, voided, voided_by, reason FROM bench_record `

func readBenchRecords(ctx context.Context, q querier, where string, args ...any) ([]domain.BenchRecord, error) {
	rows, err := q.QueryContext(ctx, benchColumns+where+` ORDER BY id`, args...)
	if err != nil {
		return nil, wrap("reading bench records", err)
	}
	defer rows.Close()
	var list []domain.BenchRecord
	for rows.Next() {
		var columns domain.BenchRecord
		var body []byte
		var recorded int64
		var voided sql.NullInt64
		var by, reason sql.NullString
		if err := rows.Scan(&columns.ID, &columns.Hand, &columns.Key, &recorded, &body, &voided, &by, &reason); err != nil {
			return nil, wrap("reading bench records", err)
		}
		var r domain.BenchRecord
		if err := json.Unmarshal(body, &r); err != nil {
			return nil, domain.Internal("decoding a stored bench record", err)
		}
		r.ID, r.Hand, r.Key, r.Recorded = columns.ID, columns.Hand, columns.Key, fromNanos(recorded)
		r.Voided, r.VoidedBy, r.VoidReason = fromStamp(voided), by.String, reason.String
		list = append(list, r)
	}
	return list, wrap("reading bench records", rows.Err())
}

// BenchRecords returns all records of a hand; see [domain.BenchRecords].
func (l *Lab) BenchRecords(ctx context.Context, hand domain.ID) ([]domain.BenchRecord, error) {
	return readBenchRecords(ctx, l.read, `WHERE hand = ?`, string(hand))
}

// BenchRecord returns a record; KindNotFound if there is none.
func (l *Lab) BenchRecord(ctx context.Context, id int64) (domain.BenchRecord, error) {
	return readBenchRecord(ctx, l.read, id)
}

func readBenchRecord(ctx context.Context, q querier, id int64) (domain.BenchRecord, error) {
	list, err := readBenchRecords(ctx, q, `WHERE id = ?`, id)
	if err == nil && len(list) == 0 {
		err = domain.Errorf(domain.KindNotFound, "there is no bench record %d in this lab", id)
	}
	if err != nil {
		return domain.BenchRecord{}, err
	}
	return list[0], nil
}

// AddBenchRecords stores records, all or none; see [domain.BenchRecords].
func (l *Lab) AddBenchRecords(ctx context.Context, list []domain.BenchRecord) (stored []domain.BenchRecord, repeated []bool, err error) {
	c, err := l.begin(ctx)
	if err != nil {
		return nil, nil, err
	}
	defer c.drop()
	stored, repeated = make([]domain.BenchRecord, len(list)), make([]bool, len(list))
	for i := range list {
		if stored[i], repeated[i], err = c.addBenchRecord(list[i]); err != nil {
			return nil, nil, atRow(err, i, len(list))
		}
	}
	if err := c.commit(); err != nil {
		return nil, nil, err
	}
	return stored, repeated, nil
}

func (c *change) addBenchRecord(r domain.BenchRecord) (domain.BenchRecord, bool, error) {
	if _, err := hands.get(c.ctx, c, r.Hand); err != nil {
		return r, false, err
	}
	r.Day, r.Recorded = r.Day.Round(0).UTC(), r.Recorded.Round(0).UTC()
	r.ID, r.Voided, r.VoidedBy, r.VoidReason = 0, time.Time{}, "", ""
	body := r
	body.Hand, body.Key, body.Recorded = "", "", time.Time{}
	raw, err := json.Marshal(body)
	if err != nil {
		return r, false, domain.Internal("encoding a bench record", err)
	}
	err = c.QueryRowContext(c.ctx, `INSERT INTO bench_record (hand, key, recorded, body) VALUES (?, ?, ?, ?)
		ON CONFLICT (hand, key) DO NOTHING RETURNING id`, string(r.Hand), r.Key, r.Recorded.UnixNano(), string(raw)).Scan(&r.ID)
	if err == nil {
		return r, false, nil
	}
	if !isNoRows(err) {
		return r, false, wrap("storing a bench record", err)
	}
	old, err := readBenchRecords(c.ctx, c, `WHERE hand = ? AND key = ?`, string(r.Hand), r.Key)
	if err != nil || len(old) == 0 {
		return r, false, wrap("reading a bench record", err)
	}
	if o := old[0]; o.Test != r.Test || o.Table != r.Table {
		return r, false, domain.Errorf(domain.KindConflict, "key %q is already used by bench record %d (%s of %s); give every record a key of its own", r.Key, o.ID, o.Test, o.Hand)
	}
	return old[0], true, nil
}

// VoidBenchRecord makes a record void. KindRefused if it is already, KindNotFound if there is none.
func (l *Lab) VoidBenchRecord(ctx context.Context, id int64, by, reason string, at time.Time) (domain.BenchRecord, error) {
	c, err := l.begin(ctx)
	if err != nil {
		return domain.BenchRecord{}, err
	}
	defer c.drop()
	r, err := readBenchRecord(c.ctx, c, id)
	if err != nil {
		return r, err
	}
	if !r.Stands() {
		return domain.BenchRecord{}, domain.Errorf(domain.KindRefused, "bench record %d was made void on %s by %s already", id, r.Voided.Format(time.DateOnly), r.VoidedBy)
	}
	r.Voided, r.VoidedBy, r.VoidReason = at.UTC().Round(0), by, reason
	if _, err := c.ExecContext(c.ctx, `UPDATE bench_record SET voided = ?, voided_by = ?, reason = ? WHERE id = ?`, r.Voided.UnixNano(), by, reason, id); err != nil {
		return domain.BenchRecord{}, wrap("making a bench record void", err)
	}
	if err := c.commit(); err != nil {
		return domain.BenchRecord{}, err
	}
	return r, nil
}

// benchFaults demands that every bench record can be read and keeps the rules that it was stored by.
func benchFaults(ctx context.Context, q querier) ([]Fault, error) {
	list, err := readBenchRecords(ctx, q, ``)
	if err != nil {
		return nil, err
	}
	var faults []Fault
	for i := range list {
		if err := list[i].Validate(); err != nil {
			faults = append(faults, Fault{true, fmt.Sprintf("bench record %d", list[i].ID), err.Error(), fromBackup})
		}
	}
	return faults, nil
}
