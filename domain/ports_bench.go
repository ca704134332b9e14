package domain

import (
	"context"
	"time"
)

// BenchRecords keeps the append-only bench records of hands.
type BenchRecords interface {
	// BenchRecords returns all records of a hand, void ones too, in the order in which they were stored. Whether the hand is
	// in the catalogue is not asked.
	BenchRecords(ctx context.Context, hand ID) ([]BenchRecord, error)
	BenchRecord(ctx context.Context, id int64) (BenchRecord, error)
	// AddBenchRecords stores records, all or none, and returns them with ID; repeated says which keys the hand's records had
	// already, with the stored record returned in their place. A hand that is not in the catalogue is KindNotFound, a known
	// key with another test or table KindConflict.
	AddBenchRecords(ctx context.Context, list []BenchRecord) (stored []BenchRecord, repeated []bool, err error)
	// VoidBenchRecord makes a record void; KindRefused if it is already.
	VoidBenchRecord(ctx context.Context, id int64, by, reason string, at time.Time) (BenchRecord, error)
}
