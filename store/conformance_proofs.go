package store

import (
	"time"

	"holdfast/domain"
	"holdfast/orient"
)

// proof gives a signed run of the study with every field filled.
func proof(study, id domain.ID) domain.Proof {
	p := domain.Proof{
		ID: id, Study: study, Condition: domain.Condition{Hand: "soft-two", Item: "croissant", Setting: "tray", Strategy: domain.StrategySurface},
		Design: domain.ProofDesign{Kind: domain.ProofSuccessRun, Success: 0.95, Confidence: 0.9, Failures: 1}, Rule: "77 trials «at most» 1 failure",
		Target: 0.95, Nominal: orient.RotY(0.3),
		Region:  domain.Region{Points: []orient.Rotation{orient.RotY(0.3), orient.RotY(0.5)}, Spacing: 0.1, Radius: 0.2, Share: 0.01},
		Closing: 0.75, Line: domain.LineError{Angle: 0.05, Position: 0.003}, Prior: [2]float64{9.5, 0.5}, Seed: 1<<53 + 1, Note: "second shift",
		SignedBy: "ada", SignedAt: noon, Invented: true,
	}
	p.Digest = p.Sum()
	return p
}

func (b *bench) signed(study, id domain.ID) domain.Proof {
	b.Helper()
	p := proof(study, id)
	b.ok(b.SignProof(b.ctx, p))
	return p
}

// shown gives a trial of a proof run, made after it was signed.
func shown(study, proof domain.ID, key string, o domain.Outcome) domain.Trial {
	t := trial(study, key, o)
	t.Proof = proof
	return t
}

var proofTests = []conformance{
	{"IsKeptWholeAndKeepsItsDigest", func(b *bench) {
		b.planned("s", 1)
		want := b.signed("s", "p-1")
		got, err := b.Proof(b.ctx, "p-1")
		b.ok(err)
		b.equal(got, want, "the proof run")
		b.equal(got.Sum(), want.Digest, "the digest of what came back")
	}},
	{"TakenIDIsConflict", func(b *bench) {
		b.planned("s", 1)
		b.signed("s", "p-1")
		b.kind(b.SignProof(b.ctx, proof("s", "p-1")), domain.KindConflict)
	}},
	{"UnknownIsNotFound", func(b *bench) {
		b.planned("s", 1)
		b.kind(b.SignProof(b.ctx, proof("nobody", "p-1")), domain.KindNotFound)
		_, err := b.Proof(b.ctx, "p-1")
		b.kind(err, domain.KindNotFound)
		_, err = b.Proofs(b.ctx, "nobody")
		b.kind(err, domain.KindNotFound)
		_, err = b.GiveUpProof(b.ctx, "p-1", "bo", "the oven failed", noon)
		b.kind(err, domain.KindNotFound)
		b.unchanged("s", domain.KindNotFound, func() error {
			_, _, err := b.Append(b.ctx, "s", []domain.Trial{shown("s", "p-1", "k1", domain.OutcomeHeld)})
			return err
		})
	}},
	{"ListedInTheOrderOfSigning", func(b *bench) {
		b.planned("s", 1)
		b.planned("other", 1)
		for i, id := range []domain.ID{"b", "a", "c"} {
			p := proof("s", id)
			if id == "c" {
				p.Study = "other"
			}
			p.SignedAt = noon.Add(time.Duration(-i) * time.Hour)
			p.Digest = p.Sum()
			b.ok(b.SignProof(b.ctx, p))
		}
		for study, want := range map[domain.ID][]domain.ID{"s": {"a", "b"}, "": {"c", "a", "b"}} {
			list, err := b.Proofs(b.ctx, study)
			b.ok(err)
			var ids []domain.ID
			for _, p := range list {
				ids = append(ids, p.ID)
			}
			b.equal(ids, want, "the list of "+string(study))
		}
	}},
	{"GivenUpOnce", func(b *bench) {
		b.planned("s", 1)
		want := b.signed("s", "p-1")
		got, err := b.GiveUpProof(b.ctx, "p-1", "bo", "the oven failed", noon.Add(time.Hour))
		b.ok(err)
		want.GivenUp, want.GivenUpBy, want.Reason = noon.Add(time.Hour), "bo", "the oven failed"
		b.equal(got, want, "the run that was given up")
		b.equal(got.Sum(), want.Digest, "its digest")
		_, err = b.GiveUpProof(b.ctx, "p-1", "cy", "again", noon.Add(2*time.Hour))
		b.kind(err, domain.KindRefused)
		got, err = b.Proof(b.ctx, "p-1")
		b.ok(err)
		b.equal(got, want, "the run after a refusal")
	}},
	{"TrialsNameTheirRun", func(b *bench) {
		b.planned("s", 1)
		b.signed("s", "p-1")
		stored := b.append("s", shown("s", "p-1", "k1", domain.OutcomeHeld), trial("s", "k2", domain.OutcomeHeld), shown("s", "p-1", "k3", domain.OutcomeVoid))
		list := b.counted("s", domain.TrialFilter{})
		b.equal([]domain.ID{list[0].Proof, list[1].Proof, list[2].Proof}, []domain.ID{"p-1", "", "p-1"}, "the trials' runs")
		fixed := b.correct(stored[0], "k4", func(t *domain.Trial) { t.Outcome = domain.OutcomeMissed })
		b.equal(fixed.Proof, domain.ID("p-1"), "the run of the correction")
		changed, _, err := b.Changes(b.ctx, "s", domain.Position{Entry: 3})
		b.ok(err)
		b.equal(len(changed), 1, "changes")
		b.equal(changed[0].Proof, domain.ID("p-1"), "the run of a changed trial")
		entries, _, err := b.History(b.ctx, "s", 1)
		b.ok(err)
		b.equal(entries[0].Proof, domain.ID("p-1"), "the run in the history")
	}},
	{"CorrectionMovesNoTrialBetweenRuns", func(b *bench) {
		b.planned("s", 1)
		b.signed("s", "p-1")
		b.signed("s", "p-2")
		stored := b.append("s", shown("s", "p-1", "k1", domain.OutcomeMissed), trial("s", "k2", domain.OutcomeHeld))
		for _, to := range []struct {
			from domain.Trial
			to   domain.ID
		}{{stored[0], ""}, {stored[0], "p-2"}, {stored[1], "p-1"}} {
			b.unchanged("s", domain.KindConflict, func() error {
				t := to.from
				t.Corrects, t.Key, t.ID, t.Root, t.Proof = t.ID, "k9", 0, 0, to.to
				_, _, err := b.Append(b.ctx, "s", []domain.Trial{t})
				return err
			})
		}
	}},
	{"TrialOlderThanTheSignatureIsRefused", func(b *bench) {
		b.planned("s", 1)
		b.signed("s", "p-1")
		for _, old := range []func(*domain.Trial){
			func(t *domain.Trial) { t.StartedAt = noon.Add(-time.Nanosecond) },
			func(t *domain.Trial) { t.RecordedAt, t.StartedAt = noon.Add(-time.Second), time.Time{} },
		} {
			b.unchanged("s", domain.KindRefused, func() error {
				t := shown("s", "p-1", "k1", domain.OutcomeHeld)
				old(&t)
				_, _, err := b.Append(b.ctx, "s", []domain.Trial{t})
				return err
			})
		}
	}},
	{"RunOfAnotherStudyIsNotFound", func(b *bench) {
		b.planned("s", 1)
		b.planned("other", 1)
		b.signed("other", "p-1")
		b.unchanged("s", domain.KindNotFound, func() error {
			_, _, err := b.Append(b.ctx, "s", []domain.Trial{shown("s", "p-1", "k1", domain.OutcomeHeld)})
			return err
		})
	}},
	{"GivenUpRunTakesCorrectionsOnly", func(b *bench) {
		b.planned("s", 1)
		b.signed("s", "p-1")
		stored := b.append("s", shown("s", "p-1", "k1", domain.OutcomeHeld))
		_, err := b.GiveUpProof(b.ctx, "p-1", "bo", "the oven failed", noon.Add(time.Hour))
		b.ok(err)
		b.unchanged("s", domain.KindRefused, func() error {
			_, _, err := b.Append(b.ctx, "s", []domain.Trial{shown("s", "p-1", "k2", domain.OutcomeHeld)})
			return err
		})
		b.correct(stored[0], "k3", func(t *domain.Trial) { t.Outcome = domain.OutcomeDropped })
		again, repeated, err := b.Append(b.ctx, "s", []domain.Trial{shown("s", "p-1", "k1", domain.OutcomeHeld)})
		b.ok(err)
		b.equal(repeated, []bool{true}, "a request that was sent again")
		b.equal(again[0].ID, stored[0].ID, "its entry")
	}},
	{"KnownKeyInAnotherRunIsConflict", func(b *bench) {
		b.planned("s", 1)
		b.signed("s", "p-1")
		b.append("s", shown("s", "p-1", "k1", domain.OutcomeHeld))
		b.unchanged("s", domain.KindConflict, func() error {
			_, _, err := b.Append(b.ctx, "s", []domain.Trial{trial("s", "k1", domain.OutcomeHeld)})
			return err
		})
	}},
}
