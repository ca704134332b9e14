package fernhollow

import (
	"context"
	"slices"
	"testing"

	"holdfast/domain"
	"holdfast/store/sqlite"
)

// fillLab gives a lab with the demonstration in it.
func fillLab(t *testing.T) *sqlite.Lab {
	t.Helper()
	store, err := sqlite.Open(t.TempDir(), sqlite.Options{Clock: &bench{}})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { store.Close() })
	if err := Fill(context.Background(), store); err != nil {
		t.Fatal(err)
	}
	return store
}

func TestFillMakesTheSameLabEveryTime(t *testing.T) {
	ctx := context.Background()
	a, b := fillLab(t), fillLab(t)
	for _, study := range []domain.ID{FinishedStudy, AdaptiveStudy, NewcomerStudy} {
		x, errX := a.Counted(ctx, study, domain.TrialFilter{})
		y, errY := b.Counted(ctx, study, domain.TrialFilter{})
		if errX != nil || errY != nil || len(x) != len(y) {
			t.Fatalf("%s: %d and %d trials, %v, %v", study, len(x), len(y), errX, errY)
		}
		for i := range x {
			if x[i].Planned != y[i].Planned || x[i].Counted != y[i].Counted || !x[i].RecordedAt.Equal(y[i].RecordedAt) {
				t.Fatalf("%s: trial %d differs", study, i)
			}
		}
	}
	said, errA := a.Judgements(ctx, FinishedStudy)
	saidAgain, errB := b.Judgements(ctx, FinishedStudy)
	if errA != nil || errB != nil || len(said) < judgedTrials || !slices.Equal(said, saidAgain) {
		t.Fatalf("%d and %d judgements, %v, %v", len(said), len(saidAgain), errA, errB)
	}
	cards, err := a.Cards(ctx)
	again, err2 := b.Cards(ctx)
	if err != nil || err2 != nil || len(cards) != 1 || len(again) != 1 || cards[0].Digest != again[0].Digest {
		t.Fatalf("cards differ: %v, %v", err, err2)
	}
	if p := cards[0].Proof; p == nil || p.Verdict != "accepted" || !p.SameRegion || p.Digest != again[0].Proof.Digest {
		t.Errorf("the demonstration's card shows the proof run %+v", p)
	}
	if running, err := a.Proof(ctx, RunningProof); err != nil || running.Sum() != running.Digest {
		t.Errorf("%+v, %v", running, err)
	}
	if c := cards[0]; c.SuccessLow < c.Target {
		t.Errorf("the demonstration's card promises at least %.2f, below its target %.2f", c.SuccessLow, c.Target)
	}
}

func TestEverythingIsLabelledInvented(t *testing.T) {
	ctx := context.Background()
	lab := fillLab(t)
	hands, _ := lab.Hands(ctx)
	items, _ := lab.Items(ctx)
	settings, _ := lab.Settings(ctx)
	studies, _ := lab.Studies(ctx)
	cards, _ := lab.Cards(ctx)
	if len(hands) != 6 || len(items) != 5 || len(settings) != 3 || len(studies) != 6 || len(cards) != 1 {
		t.Fatalf("%d hands, %d items, %d settings, %d studies, %d cards", len(hands), len(items), len(settings), len(studies), len(cards))
	}
	for _, h := range hands {
		if !h.Invented {
			t.Errorf("hand %s", h.ID)
		}
	}
	for _, it := range items {
		if !it.Invented {
			t.Errorf("item %s", it.ID)
		}
	}
	for _, s := range settings {
		if !s.Invented {
			t.Errorf("setting %s", s.ID)
		}
	}
	for _, s := range studies {
		if !s.Invented {
			t.Errorf("study %s", s.ID)
		}
	}
	if !cards[0].Invented {
		t.Error("card")
	}
	for study, state := range map[domain.ID]domain.StudyState{FinishedStudy: domain.StudyFinished, HalfRunStudy: domain.StudyPlanned, AdaptiveStudy: domain.StudyRunning, NewcomerStudy: domain.StudyRunning} {
		if s, err := lab.Study(ctx, study); err != nil || s.State != state {
			t.Errorf("%s is %s, %v", study, s.State, err)
		}
	}
}

// Every bench record of the demonstration answers its test, one was made void, and the same come out every time.
func TestNumbersOfHands(t *testing.T) {
	ctx := context.Background()
	a, b := fillLab(t), fillLab(t)
	void := 0
	for hand, least := range map[domain.ID]int{AirHand: 9, "tendon-five": 11, "tweezer": 5} {
		list, err := a.BenchRecords(ctx, hand)
		again, err2 := b.BenchRecords(ctx, hand)
		if err != nil || err2 != nil || len(list) < least || !slices.EqualFunc(list, again, func(x, y domain.BenchRecord) bool { return x.Table == y.Table && x.Test == y.Test }) {
			t.Fatalf("%s: %d and %d records, %v, %v", hand, len(list), len(again), err, err2)
		}
		for _, r := range list {
			if !r.Invented {
				t.Errorf("%s of %s is not marked as invented", r.Test, r.Hand)
			}
			if !r.Stands() {
				void++
			}
		}
	}
	if void != 1 {
		t.Errorf("%d void records", void)
	}
}
