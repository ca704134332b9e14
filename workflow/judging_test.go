package workflow

import (
	"math"
	"testing"

	"holdfast/domain"
)

func judgedTrial(root domain.TrialID, o domain.Outcome) domain.CountedTrial {
	return domain.CountedTrial{Trial: domain.Trial{ID: root, Root: root, Outcome: o}, Counted: o}
}

func TestNewestJudgementOfAJudgeCounts(t *testing.T) {
	record := []domain.CountedTrial{judgedTrial(1, domain.OutcomeHeld), judgedTrial(2, domain.OutcomeMissed), judgedTrial(3, domain.OutcomeVoid), judgedTrial(4, domain.OutcomeHeld)}
	s := sayings(record, []domain.Judgement{
		{Trial: 1, Judge: "bo", Outcome: domain.OutcomeSlipped}, {Trial: 2, Judge: "cy", Outcome: domain.OutcomeMissed},
		{Trial: 3, Judge: "bo", Outcome: domain.OutcomeHeld}, {Trial: 1, Judge: "bo", Outcome: domain.OutcomeDamaged, Note: "a dent"},
	})
	if len(s.trials) != 2 || s.trials[0].Root != 1 || s.trials[1].Root != 2 {
		t.Fatalf("trials %v: only those that were judged again and count", s.trials)
	}
	if s.judges[0] != AsRecorded || s.judges[1] != "bo" || s.judges[2] != "cy" {
		t.Fatalf("judges %v", s.judges)
	}
	if s.said[1][0] != "damaged" || s.notes[1][0] != "a dent" || s.said[1][1] != "" || s.said[2][1] != "missed" {
		t.Fatalf("said %v", s.said)
	}
	if o := s.outcomes(); len(o) != 3 || o[0] != "held" || o[1] != "missed" || o[2] != "damaged" {
		t.Fatalf("outcomes %v", o)
	}
	if c := s.coarse(); c[0][0] != heldWord || c[1][0] != notHeldWord || c[1][1] != "" {
		t.Fatalf("coarse %v", c)
	}
}

// Judges who all say the same of every trial agree, though there is no chance to correct for.
func TestOneOutcomeOnlyHasNoKappa(t *testing.T) {
	record := []domain.CountedTrial{judgedTrial(1, domain.OutcomeHeld), judgedTrial(2, domain.OutcomeHeld)}
	s := sayings(record, []domain.Judgement{{Trial: 1, Judge: "bo", Outcome: domain.OutcomeHeld}, {Trial: 2, Judge: "bo", Outcome: domain.OutcomeHeld}})
	p, err := s.pair(0, 1, s.coarse(), s.outcomes())
	if err != nil {
		t.Fatal(err)
	}
	if p.Trials != 2 || p.All.Agreed != 1 || !math.IsNaN(p.All.Kappa) || p.Table[0][0] != 2 {
		t.Errorf("%+v", p)
	}
	a, err := together(s.said, s.outcomes())
	if err != nil || !math.IsNaN(a.Alpha) || a.Fleiss != nil {
		t.Errorf("%+v, %v", a, err)
	}
}
