package store

import (
	"time"

	"holdfast/domain"
)

// benchRecord gives a record of the hand with every field that a client may set.
func benchRecord(hand domain.ID, key string) domain.BenchRecord {
	limit := -0.5
	return domain.BenchRecord{
		Hand: hand, Key: key, Test: "wear", Variant: "left «é»", Specimen: "no. 3", Operator: "ada", Day: noon.Add(-time.Hour), Table: "cycles,value\n0,1\n1000,2\n",
		Unit: "N", Ramp: 0.25, Terms: 2, Limit: &limit, Note: "after a clean", Invented: true, Recorded: noon,
	}
}

// handy stores a hand.
func (b *bench) handy(id domain.ID) {
	b.Helper()
	_, err := b.PutHand(b.ctx, domain.Hand{ID: id, Name: "Two soft fingers"})
	b.ok(err)
}

var benchTests = []conformance{
	{"AreKeptWholeAndInOrder", func(b *bench) {
		b.handy("soft-two")
		b.handy("other")
		first, second := benchRecord("soft-two", "k1"), benchRecord("soft-two", "k2")
		second.Limit, second.Variant, second.Recorded = nil, "", noon.Add(-time.Minute)
		stored, repeated, err := b.AddBenchRecords(b.ctx, []domain.BenchRecord{first, second})
		b.ok(err)
		b.equal(repeated, []bool{false, false}, "repeated")
		first.ID, second.ID = stored[0].ID, stored[1].ID
		b.equal(stored, []domain.BenchRecord{first, second}, "what was stored")
		if !(first.ID > 0 && second.ID > first.ID) {
			b.Fatalf("numbers %d and %d do not rise", first.ID, second.ID)
		}
		list, err := b.BenchRecords(b.ctx, "soft-two")
		b.ok(err)
		b.equal(list, stored, "the list")
		one, err := b.BenchRecord(b.ctx, second.ID)
		b.ok(err)
		b.equal(one, second, "one record")
		list, err = b.BenchRecords(b.ctx, "other")
		b.ok(err)
		b.equal(len(list), 0, "records of another hand")
	}},
	{"RepeatedKeyIsStoredOnce", func(b *bench) {
		b.handy("soft-two")
		b.handy("other")
		stored, _, err := b.AddBenchRecords(b.ctx, []domain.BenchRecord{benchRecord("soft-two", "k1")})
		b.ok(err)
		again := benchRecord("soft-two", "k1")
		again.Note, again.Recorded = "sent twice", noon.Add(time.Hour)
		got, repeated, err := b.AddBenchRecords(b.ctx, []domain.BenchRecord{again, benchRecord("other", "k1")})
		b.ok(err)
		b.equal(repeated, []bool{true, false}, "repeated")
		b.equal(got[0], stored[0], "the record in its place")
	}},
	{"KnownKeyWithAnotherTableIsConflictAndNothingIsStored", func(b *bench) {
		b.handy("soft-two")
		_, _, err := b.AddBenchRecords(b.ctx, []domain.BenchRecord{benchRecord("soft-two", "k1")})
		b.ok(err)
		for _, change := range []func(*domain.BenchRecord){func(r *domain.BenchRecord) { r.Table += "2000,3\n" }, func(r *domain.BenchRecord) { r.Test = "grip" }} {
			other := benchRecord("soft-two", "k1")
			change(&other)
			_, _, err := b.AddBenchRecords(b.ctx, []domain.BenchRecord{benchRecord("soft-two", "k2"), other})
			b.kind(err, domain.KindConflict)
			list, err := b.BenchRecords(b.ctx, "soft-two")
			b.ok(err)
			b.equal(len(list), 1, "records after a refusal")
		}
	}},
	{"UnknownIsNotFound", func(b *bench) {
		_, _, err := b.AddBenchRecords(b.ctx, []domain.BenchRecord{benchRecord("nobody", "k1")})
		b.kind(err, domain.KindNotFound)
		_, err = b.BenchRecord(b.ctx, 7)
		b.kind(err, domain.KindNotFound)
		_, err = b.VoidBenchRecord(b.ctx, 7, "bo", "the cell was loose", noon)
		b.kind(err, domain.KindNotFound)
	}},
	{"VoidOnceAndStaysOnRecord", func(b *bench) {
		b.handy("soft-two")
		stored, _, err := b.AddBenchRecords(b.ctx, []domain.BenchRecord{benchRecord("soft-two", "k1"), benchRecord("soft-two", "k2")})
		b.ok(err)
		want := stored[0]
		want.Voided, want.VoidedBy, want.VoidReason = noon, "bo", "the cell was loose"
		got, err := b.VoidBenchRecord(b.ctx, want.ID, "bo", "the cell was loose", noon)
		b.ok(err)
		b.equal(got, want, "the void record")
		_, err = b.VoidBenchRecord(b.ctx, want.ID, "cy", "again", noon.Add(time.Hour))
		b.kind(err, domain.KindRefused)
		list, err := b.BenchRecords(b.ctx, "soft-two")
		b.ok(err)
		b.equal(list, []domain.BenchRecord{want, stored[1]}, "the records")
	}},
}
