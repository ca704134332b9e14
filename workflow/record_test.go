package workflow

import (
	"reflect"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"holdfast/domain"
)

// TestRecordWithChangesIsTheRecordReadAnew holds the record that grows trial by trial against one counted in one go.
func TestRecordWithChangesIsTheRecordReadAnew(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		kept, all := &record{}, []domain.CountedTrial(nil)
		type seen struct {
			r    *record
			then []domain.CountedTrial
		}
		var history []seen
		for range rapid.IntRange(1, 12).Draw(t, "steps") {
			var changed []domain.CountedTrial
			for range rapid.IntRange(0, 4).Draw(t, "changes") {
				c := domain.CountedTrial{
					Trial: domain.Trial{
						Order: rapid.IntRange(0, 9).Draw(t, "order"), Hand: domain.ID(rapid.SampledFrom([]string{"a", "b"}).Draw(t, "hand")),
						Reference: rapid.Bool().Draw(t, "reference"), Proof: domain.ID(rapid.SampledFrom([]string{"", "", "p"}).Draw(t, "proof")),
					},
					Counted: rapid.SampledFrom([]domain.Outcome{domain.OutcomeHeld, domain.OutcomeMissed, domain.OutcomeVoid}).Draw(t, "outcome"),
				}
				c.Outcome = c.Counted
				c.Root = domain.TrialID(rapid.IntRange(1, len(all)+1).Draw(t, "root"))
				if slices.ContainsFunc(changed, func(o domain.CountedTrial) bool { return o.Root == c.Root }) {
					continue
				}
				if int(c.Root) > len(all) {
					all = append(all, c)
				} else if all[c.Root-1].Order == c.Order || c.Order == 0 || all[c.Root-1].Order == 0 {
					c.Order = all[c.Root-1].Order // a chain keeps its planned run
					all = slices.Clone(all)
					all[c.Root-1] = c
				} else {
					continue
				}
				changed = append(changed, c)
			}
			slices.SortFunc(changed, func(a, b domain.CountedTrial) int { return int(a.Root - b.Root) })
			// The store never lets two trials of one planned run count.
			if twice(all) {
				t.Skip("two trials of one run count")
			}
			kept = kept.with(changed)
			history = append(history, seen{kept, slices.Clone(all)})
		}
		for _, h := range history {
			anew := (&record{}).with(h.then)
			if !slices.EqualFunc(h.r.trials, h.then, func(a, b domain.CountedTrial) bool { return reflect.DeepEqual(a, b) }) {
				t.Fatalf("kept trials %v, want %v", h.r.trials, h.then)
			}
			for order := range 12 {
				if h.r.done.has(order) != anew.done.has(order) {
					t.Fatalf("run %d done: %v, want %v", order, h.r.done.has(order), anew.done.has(order))
				}
			}
			if h.r.counts.trials != anew.counts.trials || h.r.held != anew.held || !reflect.DeepEqual(h.r.conditions, anew.conditions) {
				t.Fatalf("counts %+v, want %+v", h.r.counts, anew.counts)
			}
		}
	})
}

func twice(all []domain.CountedTrial) bool {
	seen := map[int]bool{}
	for i := range all {
		if o := all[i].Order; o > 0 && all[i].Counted.Counts() {
			if seen[o] {
				return true
			}
			seen[o] = true
		}
	}
	return false
}

func TestRecordKeepsARunThatMovesToAnotherTrial(t *testing.T) {
	trial := func(root domain.TrialID, o domain.Outcome) domain.CountedTrial {
		return domain.CountedTrial{Trial: domain.Trial{Order: 1, Root: root, Outcome: o}, Counted: o}
	}
	r := (&record{}).with([]domain.CountedTrial{trial(1, domain.OutcomeVoid), trial(2, domain.OutcomeHeld)})
	r = r.with([]domain.CountedTrial{trial(1, domain.OutcomeHeld), trial(2, domain.OutcomeVoid)})
	if !r.done.has(1) {
		t.Error("the run has a trial that counts, but is not done")
	}
}
