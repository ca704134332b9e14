package store

import (
	"fmt"
	"slices"
	"sync"
	"time"

	"holdfast/domain"
)

// added gives runs after the first n, each with its reason.
func added(study domain.ID, n, count int) []domain.PlannedRun {
	runs := plan(study, n+count)[n:]
	for i := range runs {
		runs[i].Why = fmt.Sprintf("Tells most about é %d.", i)
	}
	return runs
}

var extensionTests = []conformance{
	{"RunsAreAppendedWhole", func(b *bench) {
		b.planned("s", 9)
		before, err := b.Study(b.ctx, "s")
		b.ok(err)
		b.ok(b.Extend(b.ctx, "s", 9, added("s", 9, 4)))
		runs, err := b.Plan(b.ctx, "s")
		b.ok(err)
		b.equal(runs, slices.Concat(plan("s", 9), added("s", 9, 4)), "the plan")
		after, err := b.Study(b.ctx, "s")
		b.ok(err)
		b.equal(after.Revision, before.Revision+1, "the study's revision")
	}},
	{"ARunningStudyGoesOn", func(b *bench) {
		b.planned("s", 2)
		for order := range 2 {
			t := trial("s", fmt.Sprint("k", order), domain.OutcomeHeld)
			t.Order = order + 1
			b.append("s", t)
		}
		_, _, err := b.Lease(b.ctx, "s", "rig", noon, time.Minute)
		b.kind(err, domain.KindNotFound)
		b.ok(b.Extend(b.ctx, "s", 2, added("s", 2, 1)))
		run, _, err := b.Lease(b.ctx, "s", "rig", noon, time.Minute)
		b.ok(err)
		b.equal(run, added("s", 2, 1)[0], "the run handed out")
		s, err := b.Study(b.ctx, "s")
		b.ok(err)
		b.equal(s.State, domain.StudyRunning, "the state")
		t := trial("s", "k3", domain.OutcomeHeld)
		t.Order = 3
		b.append("s", t)
	}},
	{"ADraftBecomesPlanned", func(b *bench) {
		s := study("s")
		s.State = domain.StudyDraft
		_, err := b.PutStudy(b.ctx, s, nil)
		b.ok(err)
		b.ok(b.Extend(b.ctx, "s", 0, added("s", 0, 3)))
		s, err = b.Study(b.ctx, "s")
		b.ok(err)
		b.equal(s.State, domain.StudyPlanned, "the state")
	}},
	{"APlanThatGrewMeanwhileIsConflict", func(b *bench) {
		b.planned("s", 3)
		b.ok(b.Extend(b.ctx, "s", 3, added("s", 3, 2)))
		b.kind(b.Extend(b.ctx, "s", 3, added("s", 3, 2)), domain.KindConflict)
		runs, err := b.Plan(b.ctx, "s")
		b.ok(err)
		b.equal(len(runs), 5, "runs")
	}},
	{"AllOrNone", func(b *bench) {
		b.planned("s", 3)
		gap := added("s", 3, 3)
		gap[2].Order = 9
		b.kind(b.Extend(b.ctx, "s", 3, gap), domain.KindInvalid)
		b.kind(b.Extend(b.ctx, "s", 3, nil), domain.KindInvalid)
		runs, err := b.Plan(b.ctx, "s")
		b.ok(err)
		b.equal(runs, plan("s", 3), "the plan after a refusal")
	}},
	{"AFinishedStudyIsRefused", func(b *bench) {
		b.planned("s", 3)
		s, err := b.Study(b.ctx, "s")
		b.ok(err)
		s.State = domain.StudyFinished
		_, err = b.PutStudy(b.ctx, s, nil)
		b.ok(err)
		b.kind(b.Extend(b.ctx, "s", 3, added("s", 3, 1)), domain.KindRefused)
		b.kind(b.Extend(b.ctx, "nobody", 0, added("nobody", 0, 1)), domain.KindNotFound)
	}},
	{"OneOfTwoAtOnceWins", func(b *bench) {
		b.planned("s", 3)
		var wg sync.WaitGroup
		errs := make([]error, 4)
		for i := range errs {
			wg.Add(1)
			go func() { defer wg.Done(); errs[i] = b.Extend(b.ctx, "s", 3, added("s", 3, 5)) }()
		}
		wg.Wait()
		won := 0
		for _, err := range errs {
			if err == nil {
				won++
				continue
			}
			b.kind(err, domain.KindConflict)
		}
		b.equal(won, 1, "extensions that went through")
		runs, err := b.Plan(b.ctx, "s")
		b.ok(err)
		b.equal(len(runs), 8, "runs")
	}},
}
