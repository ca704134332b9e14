package store

import (
	"context"
	"errors"
	"fmt"
	"iter"
	"sync"
	"time"

	"holdfast/domain"
	"holdfast/orient"
)

var leaseTests = []conformance{
	{"FirstOpenRunIsHandedOut", func(b *bench) {
		b.planned("s", 3)
		run, until, err := b.Lease(b.ctx, "s", "rig-a", noon, time.Minute)
		b.ok(err)
		b.equal(run, plan("s", 3)[0], "the run")
		b.equal(until, noon.Add(time.Minute), "the end of the lease")
	}},
	{"TwoHoldersNeverGetTheSameRun", func(b *bench) {
		b.planned("s", 3)
		for i, holder := range []string{"rig-a", "rig-b", "rig-c"} {
			run, _, err := b.Lease(b.ctx, "s", holder, noon, time.Minute)
			b.ok(err)
			b.equal(run.Order, i+1, holder)
		}
	}},
	{"SameHolderGetsTheSameRunRenewed", func(b *bench) {
		b.planned("s", 3)
		b.lease("s", "rig-a", noon, 1)
		run, until, err := b.Lease(b.ctx, "s", "rig-a", noon.Add(30*time.Second), time.Minute)
		b.ok(err)
		b.equal(run.Order, 1, "the run")
		b.equal(until, noon.Add(90*time.Second), "the end of the lease")
		b.lease("s", "rig-b", noon.Add(80*time.Second), 2)
	}},
	{"LeaseEnds", func(b *bench) {
		b.planned("s", 3)
		b.lease("s", "rig-a", noon, 1)
		b.lease("s", "rig-b", noon.Add(time.Minute), 1)
		b.lease("s", "rig-a", noon.Add(time.Minute), 2)
	}},
	{"ReleasedRunIsHandedOutAgain", func(b *bench) {
		b.planned("s", 3)
		b.lease("s", "rig-a", noon, 1)
		b.ok(b.Release(b.ctx, "s", "rig-a"))
		b.lease("s", "rig-b", noon, 1)
		b.ok(b.Release(b.ctx, "s", "nobody"))
	}},
	{"CarriedOutRunEndsTheLease", func(b *bench) {
		b.planned("s", 3)
		b.lease("s", "rig-a", noon, 1)
		b.carryOut("s", 1, "k1", domain.OutcomeHeld)
		b.lease("s", "rig-a", noon, 2)
		b.lease("s", "rig-b", noon, 3)
	}},
	{"VoidRunIsHandedOutAgain", func(b *bench) {
		b.planned("s", 3)
		b.lease("s", "rig-a", noon, 1)
		b.carryOut("s", 1, "k1", domain.OutcomeVoid)
		b.lease("s", "rig-b", noon, 1)
		b.lease("s", "rig-a", noon, 2)
	}},
	{"RunMadeVoidLaterIsHandedOutAgain", func(b *bench) {
		b.planned("s", 4)
		first := b.carryOut("s", 1, "k1", domain.OutcomeHeld)
		b.carryOut("s", 2, "k2", domain.OutcomeHeld)
		b.lease("s", "rig-a", noon, 3)
		b.correct(first, "k1c", makeVoid)
		b.lease("s", "rig-b", noon, 1)
		b.lease("s", "rig-a", noon, 3)
	}},
	{"NothingLeftIsNotFound", func(b *bench) {
		b.planned("s", 1)
		b.lease("s", "rig-a", noon, 1)
		_, _, err := b.Lease(b.ctx, "s", "rig-b", noon, time.Minute)
		b.kind(err, domain.KindNotFound)
		b.carryOut("s", 1, "k", domain.OutcomeHeld)
		_, _, err = b.Lease(b.ctx, "s", "rig-a", noon, time.Minute)
		b.kind(err, domain.KindNotFound)
	}},
	{"UnknownStudyIsNotFound", func(b *bench) {
		_, _, err := b.Lease(b.ctx, "nobody", "rig-a", noon, time.Minute)
		b.kind(err, domain.KindNotFound)
		b.kind(b.Release(b.ctx, "nobody", "rig-a"), domain.KindNotFound)
	}},
	{"NewPlanEndsLeases", func(b *bench) {
		b.planned("s", 3)
		b.lease("s", "rig-a", noon, 1)
		s, err := b.Study(b.ctx, "s")
		b.ok(err)
		_, err = b.PutStudy(b.ctx, s, plan("s", 2))
		b.ok(err)
		b.lease("s", "rig-b", noon, 1)
	}},
}

func (b *bench) lease(study domain.ID, holder string, now time.Time, order int) {
	b.Helper()
	run, _, err := b.Lease(b.ctx, study, holder, now, time.Minute)
	b.ok(err)
	b.equal(run.Order, order, "run for "+holder)
}

func (b *bench) carryOut(study domain.ID, order int, key string, o domain.Outcome) domain.Trial {
	b.Helper()
	t := trial(study, key, o)
	t.Order = order
	return b.append(study, t)[0]
}

func makeVoid(t *domain.Trial) {
	t.Outcome, t.VoidReason = domain.OutcomeVoid, "the item was broken before"
}

var appendTests = []conformance{
	{"EntryIsKeptWhole", func(b *bench) {
		b.planned("s", 3)
		sent := full("s", "k")
		sent.Order = 2
		got := b.append("s", sent)
		want := sent
		want.ID, want.Root = got[0].ID, got[0].ID
		b.equal(got, []domain.Trial{want}, "the stored entry")
		b.equal(b.counted("s", domain.TrialFilter{}), []domain.CountedTrial{{Trial: want, Counted: domain.OutcomeHeld, Entries: 1}}, "the counted trial")
	}},
	{"UnknownValuesStayUnknown", func(b *bench) {
		b.planned("s", 1)
		b.append("s", trial("s", "warm up", domain.OutcomeHeld)) // the second entry may take another way than the first
		sent := domain.Trial{Study: "s", Key: "k", Hand: "h", Item: "i", Setting: "t", Strategy: domain.StrategyFree, Planned: orient.Identity, Outcome: domain.OutcomeMissed}
		want := b.append("s", sent)[0]
		if want.ID == 0 || want.Root != want.ID {
			b.Fatalf("ID %d, root %d", want.ID, want.Root)
		}
		sent.ID, sent.Root = want.ID, want.ID
		b.equal(want, sent, "the stored entry")
		b.equal(b.counted("s", domain.TrialFilter{})[1].Trial, sent, "the counted trial")
	}},
	{"EveryOutcomeIsKept", func(b *bench) {
		b.planned("s", 1)
		for _, o := range domain.Outcomes {
			b.append("s", trial("s", string(o), o))
		}
		for i, t := range b.counted("s", domain.TrialFilter{}) {
			b.equal(t.Outcome, domain.Outcomes[i], "the outcome")
			b.equal(t.VoidReason != "", t.Outcome == domain.OutcomeVoid, "the reason")
		}
	}},
	{"IDsGrow", func(b *bench) {
		b.planned("s", 1)
		b.planned("other", 1)
		last := domain.TrialID(0)
		for i := range 4 {
			id := []domain.ID{"s", "other"}[i%2]
			for _, t := range b.append(id, trial(id, fmt.Sprint("a", i), domain.OutcomeHeld), trial(id, fmt.Sprint("b", i), domain.OutcomeHeld)) {
				if t.ID <= last {
					b.Fatalf("entry %v came after %v", t.ID, last)
				}
				last = t.ID
			}
		}
	}},
	{"UnknownStudyIsNotFound", func(b *bench) {
		_, _, err := b.Append(b.ctx, "nobody", []domain.Trial{trial("nobody", "k", domain.OutcomeHeld)})
		b.kind(err, domain.KindNotFound)
	}},
	{"EmptyBatchIsNothing", func(b *bench) {
		b.planned("s", 1)
		stored, repeated, err := b.Append(b.ctx, "s", nil)
		b.ok(err)
		b.equal(len(stored)+len(repeated), 0, "entries")
		s, err := b.Study(b.ctx, "s")
		b.ok(err)
		b.equal(s.State, domain.StudyPlanned, "the state")
	}},
	{"RepeatedKeyReturnsTheStoredEntry", func(b *bench) {
		b.planned("s", 3)
		sent := full("s", "k")
		sent.Order = 1
		first := b.append("s", sent)
		mark := b.mark("s")
		sent.RecordedAt = noon.Add(time.Hour) // a request that is sent again arrives later
		again, repeated, err := b.Append(b.ctx, "s", []domain.Trial{sent})
		b.ok(err)
		b.equal(repeated, []bool{true}, "repeated")
		b.equal(again, first, "the entry")
		b.equal(b.mark("s"), mark, "the mark")
		b.equal(len(b.counted("s", domain.TrialFilter{})), 1, "trials")
	}},
	{"RepeatedKeyInsideABatch", func(b *bench) {
		b.planned("s", 1)
		t := trial("s", "k", domain.OutcomeHeld)
		stored, repeated, err := b.Append(b.ctx, "s", []domain.Trial{t, trial("s", "l", domain.OutcomeMissed), t})
		b.ok(err)
		b.equal(repeated, []bool{false, false, true}, "repeated")
		b.equal(stored[2], stored[0], "the repeated entry")
	}},
	{"KnownKeyWithOtherContentIsConflict", func(b *bench) {
		b.planned("s", 3)
		sent := full("s", "k")
		sent.Order = 1
		b.append("s", sent)
		for name, change := range map[string]func(*domain.Trial){
			"outcome":     func(t *domain.Trial) { t.Outcome = domain.OutcomeDropped },
			"orientation": func(t *domain.Trial) { t.Planned = orient.RotX(1) },
			"order":       func(t *domain.Trial) { t.Order = 2 },
			"item":        func(t *domain.Trial) { t.Item = "eclair" },
			"measured":    func(t *domain.Trial) { t.Measured = nil },
			"force":       func(t *domain.Trial) { f := 5.0; t.PeakForce = &f },
		} {
			b.Log(name)
			other := sent
			change(&other)
			b.unchanged("s", domain.KindConflict, func() error {
				_, _, err := b.Append(b.ctx, "s", []domain.Trial{other})
				return err
			})
		}
	}},
	{"KeysAreUniqueInsideAStudyOnly", func(b *bench) {
		b.planned("s", 1)
		b.planned("other", 1)
		b.append("s", trial("s", "k", domain.OutcomeHeld))
		b.append("other", trial("other", "k", domain.OutcomeMissed))
	}},
	{"BatchIsAllOrNothing", func(b *bench) {
		b.planned("s", 3)
		b.append("s", trial("s", "k", domain.OutcomeHeld))
		b.unchanged("s", domain.KindConflict, func() error {
			_, _, err := b.Append(b.ctx, "s", []domain.Trial{trial("s", "l", domain.OutcomeHeld), trial("s", "k", domain.OutcomeMissed)})
			return err
		})
		b.append("s", trial("s", "l", domain.OutcomeHeld))
	}},
	{"AllOfASequenceOrNothing", func(b *bench) {
		b.planned("s", 3)
		b.append("s", trial("s", "k", domain.OutcomeHeld))
		sequence := func(end error, list ...domain.Trial) iter.Seq2[*domain.Trial, error] {
			return func(yield func(*domain.Trial, error) bool) {
				for i := range list {
					if !yield(&list[i], nil) {
						return
					}
				}
				if end != nil {
					yield(nil, end)
				}
			}
		}
		one, two, other := trial("s", "l", domain.OutcomeHeld), trial("s", "m", domain.OutcomeHeld), trial("s", "k", domain.OutcomeMissed)
		b.unchanged("s", domain.KindConflict, func() error {
			_, _, err := b.AppendAll(b.ctx, "s", sequence(nil, one, other, two))
			return err
		})
		b.unchanged("s", domain.KindInvalid, func() error {
			_, _, err := b.AppendAll(b.ctx, "s", sequence(domain.Errorf(domain.KindInvalid, "the file breaks off"), one, two))
			return err
		})
		gone, leave := context.WithCancel(b.ctx)
		_, _, err := b.AppendAll(gone, "s", func(yield func(*domain.Trial, error) bool) {
			leave()
			yield(&one, nil)
		})
		if !errors.Is(err, context.Canceled) {
			b.Fatalf("after the caller left: %v", err)
		}
		stored, repeated, err := b.AppendAll(b.ctx, "s", sequence(nil, one, trial("s", "k", domain.OutcomeHeld), two, one))
		b.ok(err)
		b.equal([]int{stored, repeated}, []int{2, 2}, "stored and repeated")
		b.equal(summary(b.counted("s", domain.TrialFilter{})), []string{"T1 held 1", "T2 held 1", "T3 held 1"}, "the record")
		_, _, err = b.AppendAll(b.ctx, "nobody", sequence(nil, one))
		b.kind(err, domain.KindNotFound)
	}},
	{"RunWithACountingTrialIsConflict", func(b *bench) {
		b.planned("s", 3)
		b.carryOut("s", 2, "k", domain.OutcomeSlipped)
		for _, o := range []domain.Outcome{domain.OutcomeHeld, domain.OutcomeVoid} {
			b.unchanged("s", domain.KindConflict, func() error {
				t := trial("s", "l", o)
				t.Order = 2
				_, _, err := b.Append(b.ctx, "s", []domain.Trial{t})
				return err
			})
		}
	}},
	{"RunTwiceInOneBatchIsConflict", func(b *bench) {
		b.planned("s", 3)
		one, two := trial("s", "k", domain.OutcomeHeld), trial("s", "l", domain.OutcomeHeld)
		one.Order, two.Order = 2, 2
		b.unchanged("s", domain.KindConflict, func() error {
			_, _, err := b.Append(b.ctx, "s", []domain.Trial{one, two})
			return err
		})
	}},
	{"RunOutsideThePlanIsNotFound", func(b *bench) {
		b.planned("s", 3)
		b.append("s", trial("s", "warm up", domain.OutcomeHeld))
		b.unchanged("s", domain.KindNotFound, func() error {
			t := trial("s", "k", domain.OutcomeHeld)
			t.Order = 4
			_, _, err := b.Append(b.ctx, "s", []domain.Trial{t})
			return err
		})
	}},
	{"VoidRunIsDoneAgain", func(b *bench) {
		b.planned("s", 3)
		b.carryOut("s", 2, "k1", domain.OutcomeVoid)
		b.carryOut("s", 2, "k2", domain.OutcomeVoid)
		b.carryOut("s", 2, "k3", domain.OutcomeHeld)
		b.equal(summary(b.counted("s", domain.TrialFilter{})), []string{"T1 void 1", "T2 void 1", "T3 held 1"}, "the record")
	}},
	{"FirstTrialSetsTheStudyRunning", func(b *bench) {
		b.planned("s", 1)
		draft := study("draft")
		draft.State = domain.StudyDraft
		finished := study("finished")
		finished.State = domain.StudyFinished
		for _, s := range []domain.Study{draft, finished} {
			_, err := b.PutStudy(b.ctx, s, nil)
			b.ok(err)
		}
		for id, want := range map[domain.ID]domain.StudyState{"s": domain.StudyRunning, "draft": domain.StudyRunning, "finished": domain.StudyFinished} {
			b.append(id, trial(id, "k", domain.OutcomeHeld))
			s, err := b.Study(b.ctx, id)
			b.ok(err)
			b.equal(s.State, want, "the state of "+string(id))
			// Whoever edits on from before the change must see it first.
			if want == domain.StudyRunning {
				b.equal(s.Revision, 2, "the revision")
			}
			b.append(id, trial(id, "l", domain.OutcomeHeld))
			again, err := b.Study(b.ctx, id)
			b.ok(err)
			b.equal(again, s, "the study after its second trial")
		}
	}},
	{"MarkGrows", func(b *bench) {
		b.planned("s", 1)
		b.planned("other", 1)
		marks := []int64{b.mark("s")}
		grew := func(what string) {
			b.Helper()
			m := b.mark("s")
			if m <= marks[len(marks)-1] {
				b.Fatalf("%s: mark %d after %v", what, m, marks)
			}
			marks = append(marks, m)
		}
		t := b.append("s", trial("s", "k", domain.OutcomeHeld))[0]
		grew("entry")
		b.correct(t, "l", func(t *domain.Trial) { t.Outcome = domain.OutcomeMissed })
		grew("correction")
		b.inspect("s", 1, "i", domain.FindingDamaged)
		grew("inspection")
		b.append("s", trial("s", "m", domain.OutcomeHeld))
		grew("entry")
		b.append("other", trial("other", "m", domain.OutcomeHeld))
		b.equal(b.mark("s"), marks[len(marks)-1], "the mark after another study's trial")
		_, err := b.Mark(b.ctx, "nobody")
		b.kind(err, domain.KindNotFound)
	}},
}

var correctionTests = []conformance{
	{"CorrectionTakesThePlace", func(b *bench) {
		b.planned("s", 3)
		first := b.append("s", full("s", "k1"), trial("s", "k2", domain.OutcomeMissed))[0]
		fixed := b.correct(first, "k3", func(t *domain.Trial) { t.Outcome, t.Measured = domain.OutcomeDropped, nil })
		b.equal([]domain.TrialID{fixed.ID, fixed.Root, fixed.Corrects}, []domain.TrialID{3, 1, 1}, "ID, root and corrected entry")
		list := b.counted("s", domain.TrialFilter{})
		b.equal(summary(list), []string{"T1 dropped 2", "T2 missed 1"}, "the record")
		b.equal(list[0].Trial, fixed, "the newest entry")
	}},
	{"ChainIsKeptInOrder", func(b *bench) {
		b.planned("s", 3)
		t := b.append("s", trial("s", "k0", domain.OutcomeHeld))[0]
		want := []domain.Trial{t}
		for i := range 5 {
			b.append("s", trial("s", fmt.Sprint("between", i), domain.OutcomeHeld))
			t = b.correct(t, fmt.Sprint("k", i+1), func(t *domain.Trial) { t.Note = fmt.Sprint("correction ", i) })
			want = append(want, t)
		}
		for _, from := range want {
			entries, inspections, err := b.History(b.ctx, "s", from.ID)
			b.ok(err)
			b.equal(entries, want, "the history")
			b.equal(len(inspections), 0, "inspections")
		}
	}},
	{"OlderEntryIsConflict", func(b *bench) {
		b.planned("s", 3)
		first := b.append("s", trial("s", "k1", domain.OutcomeHeld))[0]
		b.correct(first, "k2", func(t *domain.Trial) { t.Outcome = domain.OutcomeMissed })
		b.unchanged("s", domain.KindConflict, func() error {
			t := trial("s", "k3", domain.OutcomeDropped)
			t.Corrects = first.ID
			_, _, err := b.Append(b.ctx, "s", []domain.Trial{t})
			return err
		})
	}},
	{"RepeatedCorrectionReturnsTheStoredEntry", func(b *bench) {
		b.planned("s", 3)
		first := b.append("s", trial("s", "k1", domain.OutcomeHeld))[0]
		sent := first
		sent.ID, sent.Root, sent.Key, sent.Corrects, sent.Outcome = 0, 0, "k2", first.ID, domain.OutcomeMissed
		fixed := b.append("s", sent)[0]
		again, repeated, err := b.Append(b.ctx, "s", []domain.Trial{sent})
		b.ok(err)
		b.equal(repeated, []bool{true}, "repeated")
		b.equal(again[0], fixed, "the entry")
	}},
	{"UnknownEntryIsNotFound", func(b *bench) {
		b.planned("s", 1)
		b.planned("other", 1)
		elsewhere := b.append("other", trial("other", "k", domain.OutcomeHeld))[0]
		for _, id := range []domain.TrialID{elsewhere.ID, 99} {
			b.unchanged("s", domain.KindNotFound, func() error {
				t := trial("s", "k", domain.OutcomeHeld)
				t.Corrects = id
				_, _, err := b.Append(b.ctx, "s", []domain.Trial{t})
				return err
			})
			_, _, err := b.History(b.ctx, "s", id)
			b.kind(err, domain.KindNotFound)
		}
		_, _, err := b.History(b.ctx, "nobody", elsewhere.ID)
		b.kind(err, domain.KindNotFound)
	}},
	{"CorrectionInsideABatch", func(b *bench) {
		b.planned("s", 1)
		b.append("s", trial("s", "k1", domain.OutcomeHeld))
		fix := trial("s", "k3", domain.OutcomeMissed)
		fix.Corrects = 2
		b.append("s", trial("s", "k2", domain.OutcomeHeld), fix)
		b.equal(summary(b.counted("s", domain.TrialFilter{})), []string{"T1 held 1", "T2 missed 2"}, "the record")
	}},
	{"VoidThenRedo", func(b *bench) {
		b.planned("s", 3)
		first := b.carryOut("s", 2, "k1", domain.OutcomeHeld)
		b.correct(first, "k2", makeVoid)
		b.carryOut("s", 2, "k3", domain.OutcomeDropped)
		b.equal(summary(b.counted("s", domain.TrialFilter{})), []string{"T1 void 2", "T3 dropped 1"}, "the record")
	}},
	{"VoidUndone", func(b *bench) {
		b.planned("s", 3)
		first := b.carryOut("s", 2, "k1", domain.OutcomeHeld)
		void := b.correct(first, "k2", makeVoid)
		b.correct(void, "k3", func(t *domain.Trial) { t.Outcome, t.VoidReason = domain.OutcomeHeld, "" })
		b.equal(summary(b.counted("s", domain.TrialFilter{})), []string{"T1 held 3"}, "the record")
	}},
	{"VoidUndoneAfterRedoIsConflict", func(b *bench) {
		b.planned("s", 3)
		first := b.carryOut("s", 2, "k1", domain.OutcomeHeld)
		void := b.correct(first, "k2", makeVoid)
		b.carryOut("s", 2, "k3", domain.OutcomeDropped)
		b.unchanged("s", domain.KindConflict, func() error {
			t := void
			t.ID, t.Root, t.Key, t.Corrects, t.Outcome, t.VoidReason = 0, 0, "k4", void.ID, domain.OutcomeHeld, ""
			_, _, err := b.Append(b.ctx, "s", []domain.Trial{t})
			return err
		})
	}},
	{"RunMovedByCorrection", func(b *bench) {
		b.planned("s", 3)
		first := b.carryOut("s", 1, "k1", domain.OutcomeHeld)
		b.correct(first, "k2", func(t *domain.Trial) { t.Order = 2 })
		b.carryOut("s", 1, "k3", domain.OutcomeHeld)
		b.lease("s", "rig-a", noon, 3)
	}},
}

func (b *bench) inspect(study domain.ID, id domain.TrialID, key string, f domain.Finding) domain.Inspection {
	b.Helper()
	stored, repeated, err := b.Inspect(b.ctx, study, []domain.Inspection{{Trial: id, Key: key, Finding: f, Inspector: "bo", Note: "brown spot", SeenAt: noon.Add(time.Hour), Recorded: noon.Add(2 * time.Hour)}})
	b.ok(err)
	b.equal(repeated, []bool{false}, "repeated")
	return stored[0]
}

var inspectionTests = []conformance{
	{"FindingChangesTheCountedOutcome", func(b *bench) {
		b.planned("s", 1)
		b.append("s", trial("s", "k1", domain.OutcomeHeld), trial("s", "k2", domain.OutcomeHeld), trial("s", "k3", domain.OutcomeVoid), trial("s", "k4", domain.OutcomeHeld))
		b.inspect("s", 1, "i1", domain.FindingDamaged)
		b.inspect("s", 2, "i2", domain.FindingSound)
		b.inspect("s", 3, "i3", domain.FindingDamaged)
		list := b.counted("s", domain.TrialFilter{})
		b.equal(summary(list), []string{"T1 damaged 1", "T2 held 1", "T3 void 1", "T4 held 1"}, "the record")
		b.equal(list[0].Outcome, domain.OutcomeHeld, "the entered outcome")
		b.equal([]domain.Finding{list[0].Inspection, list[1].Inspection, list[2].Inspection, list[3].Inspection},
			[]domain.Finding{domain.FindingDamaged, domain.FindingSound, domain.FindingDamaged, ""}, "the findings")
	}},
	{"NewestFindingCounts", func(b *bench) {
		b.planned("s", 1)
		b.append("s", trial("s", "k1", domain.OutcomeHeld))
		for i, f := range []domain.Finding{domain.FindingDamaged, domain.FindingSound, domain.FindingDamaged, domain.FindingSound} {
			b.inspect("s", 1, fmt.Sprint(i), f)
			want := domain.Count(domain.OutcomeHeld, f)
			b.equal(b.counted("s", domain.TrialFilter{})[0].Counted, want, "the counted outcome")
		}
	}},
	{"FindingHoldsForTheWholeChain", func(b *bench) {
		b.planned("s", 1)
		first := b.append("s", trial("s", "k1", domain.OutcomeHeld))[0]
		second := b.correct(first, "k2", func(t *domain.Trial) { t.Note = "second look" })
		seen := b.inspect("s", second.ID, "i1", domain.FindingDamaged)
		b.equal(seen.Trial, first.ID, "the inspected trial")
		b.correct(second, "k3", func(t *domain.Trial) { t.Note = "third look" })
		b.equal(summary(b.counted("s", domain.TrialFilter{})), []string{"T1 damaged 3"}, "the record")
		_, inspections, err := b.History(b.ctx, "s", second.ID)
		b.ok(err)
		b.equal(inspections, []domain.Inspection{seen}, "the inspections")
	}},
	{"RepeatedKeyReturnsTheStoredInspection", func(b *bench) {
		b.planned("s", 1)
		b.append("s", trial("s", "k1", domain.OutcomeHeld))
		seen := b.inspect("s", 1, "i1", domain.FindingDamaged)
		sent := seen
		sent.ID, sent.Recorded = 0, noon.Add(48*time.Hour)
		again, repeated, err := b.Inspect(b.ctx, "s", []domain.Inspection{sent})
		b.ok(err)
		b.equal(repeated, []bool{true}, "repeated")
		b.equal(again[0], seen, "the inspection")
	}},
	{"KnownKeyWithOtherContentIsConflict", func(b *bench) {
		b.planned("s", 1)
		b.append("s", trial("s", "k1", domain.OutcomeHeld), trial("s", "k2", domain.OutcomeHeld))
		b.inspect("s", 1, "i1", domain.FindingDamaged)
		for _, other := range []domain.Inspection{{Trial: 1, Key: "i1", Finding: domain.FindingSound}, {Trial: 2, Key: "i1", Finding: domain.FindingDamaged}} {
			b.unchanged("s", domain.KindConflict, func() error {
				_, _, err := b.Inspect(b.ctx, "s", []domain.Inspection{other})
				return err
			})
		}
	}},
	{"UnknownTrialIsNotFoundAndNothingIsStored", func(b *bench) {
		b.planned("s", 1)
		b.planned("other", 1)
		b.append("s", trial("s", "k1", domain.OutcomeHeld))
		elsewhere := b.append("other", trial("other", "k1", domain.OutcomeHeld))[0]
		for _, id := range []domain.TrialID{99, elsewhere.ID} {
			b.unchanged("s", domain.KindNotFound, func() error {
				_, _, err := b.Inspect(b.ctx, "s", []domain.Inspection{{Trial: 1, Key: "i1", Finding: domain.FindingDamaged}, {Trial: id, Key: "i2", Finding: domain.FindingDamaged}})
				return err
			})
		}
		_, _, err := b.Inspect(b.ctx, "nobody", []domain.Inspection{{Trial: 1, Key: "i1", Finding: domain.FindingDamaged}})
		b.kind(err, domain.KindNotFound)
	}},
}

var countedTests = []conformance{
	{"UnknownStudyIsNotFound", func(b *bench) {
		_, err := b.Counted(b.ctx, "nobody", domain.TrialFilter{})
		b.kind(err, domain.KindNotFound)
	}},
	{"StudiesAreKeptApart", func(b *bench) {
		b.planned("s", 1)
		b.planned("other", 1)
		for i := range 3 {
			b.append("s", trial("s", fmt.Sprint(i), domain.OutcomeHeld))
			b.append("other", trial("other", fmt.Sprint(i), domain.OutcomeMissed))
		}
		b.equal(summary(b.counted("s", domain.TrialFilter{})), []string{"T1 held 1", "T3 held 1", "T5 held 1"}, "the record")
		b.equal(summary(b.counted("other", domain.TrialFilter{})), []string{"T2 missed 1", "T4 missed 1", "T6 missed 1"}, "the other record")
	}},
	{"FiltersLookAtTheNewestEntry", func(b *bench) {
		b.planned("s", 1)
		base := trial("s", "k1", domain.OutcomeHeld)
		block, strategy, reference, item := base, base, base, base
		block.Key, block.Block = "k2", 2
		strategy.Key, strategy.Strategy = "k3", domain.StrategyFree
		reference.Key, reference.Reference = "k4", true
		item.Key, item.Item = "k5", "eclair"
		stored := b.append("s", base, block, strategy, reference, item)
		b.correct(stored[0], "k6", func(t *domain.Trial) { t.Block = 3 })
		yes, no := true, false
		for _, c := range []struct {
			name string
			f    domain.TrialFilter
			want []domain.TrialID
		}{
			{"all", domain.TrialFilter{}, []domain.TrialID{1, 2, 3, 4, 5}},
			{"old block", domain.TrialFilter{Block: 1}, []domain.TrialID{3, 4, 5}},
			{"new block", domain.TrialFilter{Block: 3}, []domain.TrialID{1}},
			{"strategy", domain.TrialFilter{Condition: domain.Condition{Strategy: domain.StrategyFree}}, []domain.TrialID{3}},
			{"item", domain.TrialFilter{Condition: domain.Condition{Item: "eclair", Hand: "soft-two", Setting: "tray"}}, []domain.TrialID{5}},
			{"nothing", domain.TrialFilter{Condition: domain.Condition{Hand: "nobody"}}, nil},
			{"reference", domain.TrialFilter{Reference: &yes}, []domain.TrialID{4}},
			{"no reference", domain.TrialFilter{Reference: &no}, []domain.TrialID{1, 2, 3, 5}},
			{"after", domain.TrialFilter{After: 3}, []domain.TrialID{4, 5}},
			{"limit", domain.TrialFilter{Limit: 2}, []domain.TrialID{1, 2}},
			{"after, limit and block", domain.TrialFilter{After: 3, Limit: 1, Block: 1}, []domain.TrialID{4}},
		} {
			var got []domain.TrialID
			for _, t := range b.counted("s", c.f) {
				got = append(got, t.Root)
			}
			b.equal(got, c.want, c.name)
		}
	}},
}

var concurrencyTests = []conformance{
	{"EveryEntryOfManyWritersIsKeptOnce", func(b *bench) {
		b.planned("s", 1)
		const writers, each = 8, 25
		var wg sync.WaitGroup
		errs := make(chan error, writers)
		for w := range writers {
			wg.Go(func() {
				for i := range each {
					if _, _, err := b.Append(b.ctx, "s", []domain.Trial{trial("s", fmt.Sprintf("w%d-%d", w, i), domain.OutcomeHeld)}); err != nil {
						errs <- err
						return
					}
					if _, err := b.Counted(b.ctx, "s", domain.TrialFilter{Limit: 5}); err != nil {
						errs <- err
						return
					}
				}
			})
		}
		wg.Wait()
		close(errs)
		for err := range errs {
			b.Fatal(err)
		}
		keys, last := map[string]bool{}, domain.TrialID(0)
		for _, t := range b.counted("s", domain.TrialFilter{}) {
			if keys[t.Key] || t.ID <= last {
				b.Fatalf("%v (key %s) twice or out of order", t.ID, t.Key)
			}
			keys[t.Key], last = true, t.ID
		}
		b.equal(len(keys), writers*each, "trials")
	}},
	{"SameKeyFromManyWritersIsStoredOnce", func(b *bench) {
		b.planned("s", 40)
		var wg sync.WaitGroup
		var lock sync.Mutex
		fresh, ids := 0, map[domain.TrialID]bool{}
		for range 8 {
			wg.Go(func() {
				for i := range 40 {
					t := trial("s", fmt.Sprint("k", i), domain.OutcomeHeld)
					t.Order = i + 1
					stored, repeated, err := b.Append(b.ctx, "s", []domain.Trial{t})
					if err != nil {
						b.Error(err)
						return
					}
					lock.Lock()
					ids[stored[0].ID] = true
					if !repeated[0] {
						fresh++
					}
					lock.Unlock()
				}
			})
		}
		wg.Wait()
		b.equal([]int{fresh, len(ids), len(b.counted("s", domain.TrialFilter{}))}, []int{40, 40, 40}, "fresh answers, IDs and trials")
	}},
	{"OneOfManyCorrectionsWins", func(b *bench) {
		b.planned("s", 1)
		b.append("s", trial("s", "k", domain.OutcomeHeld))
		b.oneWins(8, func(i int) error {
			t := trial("s", fmt.Sprint("c", i), domain.OutcomeMissed)
			t.Corrects = 1
			_, _, err := b.Append(b.ctx, "s", []domain.Trial{t})
			return err
		}, domain.KindConflict)
		b.equal(summary(b.counted("s", domain.TrialFilter{})), []string{"T1 missed 2"}, "the record")
	}},
	{"OneOfManyTrialsOfARunWins", func(b *bench) {
		b.planned("s", 1)
		b.append("s", trial("s", "warm up", domain.OutcomeHeld))
		b.oneWins(8, func(i int) error {
			t := trial("s", fmt.Sprint("k", i), domain.OutcomeMissed)
			t.Order = 1
			_, _, err := b.Append(b.ctx, "s", []domain.Trial{t})
			return err
		}, domain.KindConflict)
	}},
	{"OneOfManyEditsWins", func(b *bench) {
		_, err := b.PutHand(b.ctx, hand("h"))
		b.ok(err)
		b.oneWins(8, func(i int) error {
			h := hand("h")
			h.Revision, h.Note = 1, fmt.Sprint(i)
			_, err := b.PutHand(b.ctx, h)
			return err
		}, domain.KindStale)
	}},
	{"ManyRigsShareAPlan", func(b *bench) {
		b.planned("s", 60)
		var wg sync.WaitGroup
		for rig := range 6 {
			wg.Go(func() {
				for {
					run, _, err := b.Lease(b.ctx, "s", fmt.Sprint("rig-", rig), noon, time.Hour)
					if domain.KindOf(err) == domain.KindNotFound && err != nil {
						return
					}
					t := trial("s", fmt.Sprintf("rig-%d-run-%d", rig, run.Order), domain.OutcomeHeld)
					t.Order = run.Order
					if err == nil {
						_, _, err = b.Append(b.ctx, "s", []domain.Trial{t})
					}
					if err != nil {
						b.Error(err)
						return
					}
				}
			})
		}
		wg.Wait()
		b.equal(len(b.counted("s", domain.TrialFilter{})), 60, "trials")
	}},
}

// oneWins runs n tries at once and demands that one succeeds and the others fail with the kind.
func (b *bench) oneWins(n int, try func(i int) error, others domain.Kind) {
	b.Helper()
	errs := make([]error, n)
	var wg sync.WaitGroup
	for i := range n {
		wg.Go(func() { errs[i] = try(i) })
	}
	wg.Wait()
	won := 0
	for _, err := range errs {
		if err == nil {
			won++
		} else {
			b.kind(err, others)
		}
	}
	b.equal(won, 1, "winners")
}
