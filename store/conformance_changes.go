package store

import (
	"fmt"
	"math/rand/v2"
	"slices"

	"holdfast/domain"
)

// changeTests hold Changes to its promise: what was known before, with the changes put in, is what counts now.
var changeTests = []conformance{
	{"ChangesLeadFromOnePositionToTheNext", func(b *bench) {
		b.planned("s", 0)
		b.planned("other", 0)
		r := rand.New(rand.NewPCG(3, 5))
		known, at := []domain.CountedTrial(nil), domain.Position{}
		for step := range 60 {
			for range r.IntN(4) {
				b.touch(r)
			}
			changed, now, err := b.Changes(b.ctx, "s", at)
			b.ok(err)
			if now.Entry < at.Entry || now.Inspection < at.Inspection {
				b.Fatalf("step %d: the position went back from %v to %v", step, at, now)
			}
			if known, at = merged(known, changed), now; true {
				b.equal(known, b.counted("s", domain.TrialFilter{}), fmt.Sprint("the record at step ", step))
			}
		}
		changed, now, err := b.Changes(b.ctx, "s", at)
		b.ok(err)
		b.equal(len(changed), 0, "changes after the last")
		b.equal(now, at, "the position after the last")
		all, now, err := b.Changes(b.ctx, "s", domain.Position{})
		b.ok(err)
		b.equal(now, at, "the position of all")
		b.equal(all, known, "all changes at once")
	}},
	{"ManyChangesAtOnce", func(b *bench) {
		b.planned("s", 0)
		list := make([]domain.Trial, 2500)
		for i := range list {
			list[i] = trial("s", fmt.Sprint("k", i), domain.OutcomeHeld)
		}
		b.append("s", list...)
		changed, _, err := b.Changes(b.ctx, "s", domain.Position{})
		b.ok(err)
		b.equal(changed, b.counted("s", domain.TrialFilter{}), "the changes")
		_, _, err = b.Changes(b.ctx, "nobody", domain.Position{})
		b.kind(err, domain.KindNotFound)
	}},
}

// touch adds an entry, a correction or an inspection to study s, and now and then an entry to another.
func (b *bench) touch(r *rand.Rand) {
	b.Helper()
	key := fmt.Sprint("touch", r.Uint64())
	list := b.counted("s", domain.TrialFilter{})
	switch kind := r.IntN(5); {
	case kind == 0:
		b.append("other", trial("other", key, domain.OutcomeHeld))
	case kind == 1 && len(list) > 0:
		b.correct(list[r.IntN(len(list))].Trial, key, func(t *domain.Trial) { t.Outcome, t.Note = domain.OutcomeMissed, key })
	case kind == 2 && len(list) > 0:
		b.inspect("s", list[r.IntN(len(list))].Root, key, []domain.Finding{domain.FindingDamaged, domain.FindingSound}[r.IntN(2)])
	default:
		t := trial("s", key, domain.OutcomeHeld)
		if r.IntN(3) == 0 {
			t = full("s", key)
			t.Order = 0
		}
		b.append("s", t)
	}
}

// merged puts changed trials in the place of those that were known.
func merged(known, changed []domain.CountedTrial) []domain.CountedTrial {
	all := slices.Clone(known)
	for _, c := range changed {
		i, is := slices.BinarySearchFunc(all, c.Root, func(t domain.CountedTrial, root domain.TrialID) int { return int(t.Root - root) })
		if is {
			all[i] = c
		} else {
			all = slices.Insert(all, i, c)
		}
	}
	return all
}
