package store

import "holdfast/domain"

func itemEconomics(id domain.ID) domain.ItemEconomics {
	shared := 0.25
	return domain.ItemEconomics{ID: id, Good: 0.4, Damaged: 1.2, Failed: 0.05, FailedBy: map[domain.Outcome]float64{domain.OutcomeStopped: 2}, PersonItem: 0.1,
		PersonSeconds: 4, ItemSeconds: 0.5, FailSeconds: 1, WaitSeconds: 3, CycleSeconds: 6, Demand: 500, Share: 0.3, Target: 0.9, Confidence: 0.95,
		Retry: []domain.RetryStep{domain.RetrySame, domain.RetryNext, domain.RetryPerson}, Shared: &shared, RetryFactor: 0.8, Meta: domain.Meta{Invented: true}}
}

func handEconomics(id domain.ID) domain.HandEconomics {
	return domain.HandEconomics{ID: id, Price: 900, LifeHours: 2000, LifePicks: 1e6, ChangeSeconds: 120}
}

var economicsTests = append(nounTests([]kept{
	{"ItemEconomics",
		func(b *bench, id domain.ID, note string, revision int) (domain.Meta, error) {
			e := itemEconomics(id)
			e.Note, e.Revision = note, revision
			return b.PutItemEconomics(b.ctx, e)
		},
		func(b *bench, id domain.ID) (string, domain.Meta, any, error) {
			e, err := b.ItemEconomics(b.ctx, id)
			return e.Note, e.Meta, e, err
		},
		func(b *bench) (ids []domain.ID, err error) {
			list, err := b.ItemsEconomics(b.ctx)
			for _, e := range list {
				ids = append(ids, e.ID)
			}
			return ids, err
		},
		func(id domain.ID, note string, meta domain.Meta) any {
			e := itemEconomics(id)
			e.Note, e.Meta = note, meta
			return e
		}},
	{"HandEconomics",
		func(b *bench, id domain.ID, note string, revision int) (domain.Meta, error) {
			e := handEconomics(id)
			e.Note, e.Revision = note, revision
			return b.PutHandEconomics(b.ctx, e)
		},
		func(b *bench, id domain.ID) (string, domain.Meta, any, error) {
			e, err := b.HandEconomics(b.ctx, id)
			return e.Note, e.Meta, e, err
		},
		func(b *bench) (ids []domain.ID, err error) {
			list, err := b.HandsEconomics(b.ctx)
			for _, e := range list {
				ids = append(ids, e.ID)
			}
			return ids, err
		},
		func(id domain.ID, note string, meta domain.Meta) any {
			e := handEconomics(id)
			e.Note, e.Meta = note, meta
			return e
		}},
}), conformance{"LineEconomicsIsKeptWhole", func(b *bench) {
	_, err := b.LineEconomics(b.ctx)
	b.kind(err, domain.KindNotFound)
	e := domain.LineEconomics{ID: domain.LineID, Currency: "EUR", Hour: 40, Standing: 90, PersonHour: 28, CycleHours: 8, Note: "é"}
	e.Meta, err = b.PutLineEconomics(b.ctx, e)
	b.ok(err)
	got, err := b.LineEconomics(b.ctx)
	b.ok(err)
	b.equal(got, e, "the line's economics")
	e.Hour = 50
	_, err = b.PutLineEconomics(b.ctx, e)
	b.ok(err)
	_, err = b.PutLineEconomics(b.ctx, e)
	b.kind(err, domain.KindStale)
}})
