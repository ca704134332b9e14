package store

import (
	"time"

	"holdfast/domain"
)

func (b *bench) judge(study domain.ID, id domain.TrialID, key, judge string, o domain.Outcome) domain.Judgement {
	b.Helper()
	stored, repeated, err := b.Judge(b.ctx, study, []domain.Judgement{{Trial: id, Key: key, Judge: judge, Outcome: o, Note: "seen «slowly»", JudgedAt: noon.Add(time.Hour), Recorded: noon.Add(2 * time.Hour)}})
	b.ok(err)
	b.equal(repeated, []bool{false}, "repeated")
	return stored[0]
}

var judgementTests = []conformance{
	{"LeaveTheRecordAsItIs", func(b *bench) {
		b.planned("s", 1)
		b.append("s", trial("s", "k1", domain.OutcomeHeld), trial("s", "k2", domain.OutcomeMissed))
		before, mark := b.counted("s", domain.TrialFilter{}), b.mark("s")
		first := b.judge("s", 1, "j1", "bo", domain.OutcomeSlipped)
		second := b.judge("s", 1, "j2", "bo", domain.OutcomeHeld)
		third := b.judge("s", 2, "j3", "cy", domain.OutcomeMissed)
		b.equal(b.counted("s", domain.TrialFilter{}), before, "the record")
		b.equal(b.mark("s"), mark, "the mark")
		list, err := b.Judgements(b.ctx, "s")
		b.ok(err)
		b.equal(list, []domain.Judgement{first, second, third}, "the judgements")
	}},
	{"HoldForTheWholeChain", func(b *bench) {
		b.planned("s", 1)
		first := b.append("s", trial("s", "k1", domain.OutcomeHeld))[0]
		second := b.correct(first, "k2", func(t *domain.Trial) { t.Note = "second look" })
		b.equal(b.judge("s", second.ID, "j1", "bo", domain.OutcomeHeld).Trial, first.ID, "the judged trial")
	}},
	{"StayInTheirStudy", func(b *bench) {
		b.planned("s", 1)
		b.planned("other", 1)
		b.append("s", trial("s", "k1", domain.OutcomeHeld))
		elsewhere := b.append("other", trial("other", "k1", domain.OutcomeHeld))[0]
		b.judge("s", 1, "j1", "bo", domain.OutcomeHeld)
		b.judge("other", elsewhere.ID, "j1", "bo", domain.OutcomeHeld)
		list, err := b.Judgements(b.ctx, "s")
		b.ok(err)
		b.equal(len(list), 1, "judgements of s")
		_, err = b.Judgements(b.ctx, "nobody")
		b.kind(err, domain.KindNotFound)
	}},
	{"RepeatedKeyReturnsTheStoredJudgement", func(b *bench) {
		b.planned("s", 1)
		b.append("s", trial("s", "k1", domain.OutcomeHeld))
		kept := b.judge("s", 1, "j1", "bo", domain.OutcomeHeld)
		sent := kept
		sent.ID, sent.Recorded = 0, noon.Add(48*time.Hour)
		again, repeated, err := b.Judge(b.ctx, "s", []domain.Judgement{sent})
		b.ok(err)
		b.equal(repeated, []bool{true}, "repeated")
		b.equal(again[0], kept, "the judgement")
	}},
	{"KnownKeyWithOtherContentIsConflict", func(b *bench) {
		b.planned("s", 1)
		b.append("s", trial("s", "k1", domain.OutcomeHeld), trial("s", "k2", domain.OutcomeHeld))
		kept := b.judge("s", 1, "j1", "bo", domain.OutcomeHeld)
		for _, other := range []domain.Judgement{
			{Trial: 1, Key: "j1", Judge: "bo", Outcome: domain.OutcomeMissed}, {Trial: 1, Key: "j1", Judge: "cy", Outcome: domain.OutcomeHeld},
			{Trial: 2, Key: "j1", Judge: "bo", Outcome: domain.OutcomeHeld},
		} {
			_, _, err := b.Judge(b.ctx, "s", []domain.Judgement{{Trial: 2, Key: "j2", Judge: "bo", Outcome: domain.OutcomeHeld}, other})
			b.kind(err, domain.KindConflict)
			list, err := b.Judgements(b.ctx, "s")
			b.ok(err)
			b.equal(list, []domain.Judgement{kept}, "the judgements after a refusal")
		}
	}},
	{"UnknownTrialIsNotFoundAndNothingIsStored", func(b *bench) {
		b.planned("s", 1)
		b.planned("other", 1)
		b.append("s", trial("s", "k1", domain.OutcomeHeld))
		elsewhere := b.append("other", trial("other", "k1", domain.OutcomeHeld))[0]
		for _, id := range []domain.TrialID{99, elsewhere.ID} {
			_, _, err := b.Judge(b.ctx, "s", []domain.Judgement{{Trial: 1, Key: "j1", Judge: "bo", Outcome: domain.OutcomeHeld}, {Trial: id, Key: "j2", Judge: "bo", Outcome: domain.OutcomeHeld}})
			b.kind(err, domain.KindNotFound)
			list, err := b.Judgements(b.ctx, "s")
			b.ok(err)
			b.equal(len(list), 0, "judgements after a refusal")
		}
		_, _, err := b.Judge(b.ctx, "nobody", []domain.Judgement{{Trial: 1, Key: "j1", Judge: "bo", Outcome: domain.OutcomeHeld}})
		b.kind(err, domain.KindNotFound)
	}},
}
