package workflow_test

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"time"

	"holdfast/bus/embedded"
	"holdfast/domain"
	"holdfast/orient"
	"holdfast/store/sqlite"
	"holdfast/workflow"
)

type fixedClock struct{}

func (fixedClock) Now() time.Time { return time.Date(2026, 1, 2, 3, 4, 5, 0, time.UTC) }

// openStudy gives a lab with one study that rows can be imported into.
func openStudy(t *testing.T) *workflow.Lab {
	t.Helper()
	store, err := sqlite.Open(t.TempDir(), sqlite.Options{Clock: fixedClock{}})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { store.Close() })
	lab := workflow.New(workflow.Options{Store: store, Bus: embedded.New(), Clock: fixedClock{}, Seed: func() uint64 { return 1 << 20 }})
	ctx := context.Background()
	hand := domain.Hand{ID: "h", Name: "h", Actuation: domain.ActuationAir, Fingers: 3, RollFold: 1, FingerLength: 0.08, PalmDiameter: 0.06,
		OpeningMax: 0.1, CommandUnit: "kPa", CommandFull: 80, ForceMax: 10}
	item := domain.Item{ID: "i", Name: "i", Shape: domain.ShapeBox, Size: [3]float64{0.05, 0.05, 0.05}, Mass: 0.05, Turning: domain.Turning{Fold: 1}}
	setting := domain.Setting{ID: "t", Name: "t", Support: domain.SupportTable, Turning: domain.Turning{Fold: 1}}
	_, errHand := lab.SaveHand(ctx, hand)
	_, errItem := lab.SaveItem(ctx, item)
	_, errSetting := lab.SaveSetting(ctx, setting)
	_, errStudy := lab.SaveStudy(ctx, domain.Study{ID: "s", Name: "s", Hands: []domain.ID{"h"}, Items: []domain.ID{"i"}, Settings: []domain.ID{"t"},
		Strategies:   []domain.Strategy{domain.DefaultStrategy(domain.StrategyFree)},
		Orientations: domain.OrientationPlan{Kind: "even", TiltMax: 1, Count: 4}, ClosingLevels: []float64{0.5}, Offset: domain.OffsetPlan{Kind: "none"},
		Replicates: 1, BlockSize: 10})
	for _, err := range []error{errHand, errItem, errSetting, errStudy} {
		if err != nil {
			t.Fatal(err)
		}
	}
	return lab
}

func rowOf(n int) workflow.ImportRow {
	return workflow.ImportRow{Number: n, Line: n + 1, Trial: domain.Trial{Key: fmt.Sprintf("k%06d", n), Planned: orient.Identity, Outcome: domain.OutcomeHeld}}
}

// importRows adds rows 1 to n, with spoil applied to each, and finishes when there is no fault.
func importRows(t *testing.T, lab *workflow.Lab, n int, spoil func(*workflow.ImportRow)) (workflow.ImportResult, []workflow.RowFault, error) {
	t.Helper()
	ctx := context.Background()
	im, err := lab.NewImporter(ctx, "s", false)
	if err != nil {
		t.Fatal(err)
	}
	defer im.Abandon()
	for i := 1; i <= n; i++ {
		r := rowOf(i)
		spoil(&r)
		im.Add(ctx, r)
	}
	if faults, _ := im.Faults(); len(faults) > 0 {
		return workflow.ImportResult{}, faults, nil
	}
	result, err := im.Finish(ctx)
	return result, nil, err
}

func countTrials(t *testing.T, lab *workflow.Lab) int {
	t.Helper()
	_, total, err := lab.Trials(context.Background(), "s", workflow.TrialQuery{})
	if err != nil {
		t.Fatal(err)
	}
	return total
}

// 10,000 rows travel in several chunks, so the transaction is under way long before the last row.
const manyRows = 10_000

func TestImportStoresAllChunksOnce(t *testing.T) {
	lab := openStudy(t)
	plain := func(*workflow.ImportRow) {}
	first, _, err := importRows(t, lab, manyRows, plain)
	if err != nil || first.Stored != manyRows || first.Repeated != 0 {
		t.Fatalf("first import: %+v, %v", first, err)
	}
	again, _, err := importRows(t, lab, manyRows, plain)
	if err != nil || again.Stored != 0 || again.Repeated != manyRows {
		t.Fatalf("second import: %+v, %v", again, err)
	}
	if n := countTrials(t, lab); n != manyRows {
		t.Fatalf("%d trials in the record", n)
	}
}

func TestImportWithALateFaultStoresNothing(t *testing.T) {
	lab := openStudy(t)
	_, faults, _ := importRows(t, lab, manyRows, func(r *workflow.ImportRow) {
		if r.Number == manyRows-1 {
			r.Trial.Hand = "stranger"
		}
	})
	if len(faults) != 1 || faults[0].Row != manyRows-1 || faults[0].Column != "hand" || faults[0].Value != "stranger" {
		t.Fatalf("faults: %+v", faults)
	}
	if n := countTrials(t, lab); n != 0 {
		t.Fatalf("%d trials in the record of an import that failed", n)
	}
}

func TestImportThatTheStoreRefusesStoresNothing(t *testing.T) {
	lab := openStudy(t)
	_, _, err := importRows(t, lab, manyRows, func(r *workflow.ImportRow) {
		if r.Number == 9 { // the same key with another outcome, early: the writer ends while rows still come
			r.Trial.Key, r.Trial.Outcome = "k000008", domain.OutcomeMissed
		}
	})
	if domain.KindOf(err) != domain.KindConflict || !strings.Contains(err.Error(), "row 9 (line 10), column key") {
		t.Fatalf("got %v", err)
	}
	if n := countTrials(t, lab); n != 0 {
		t.Fatalf("%d trials in the record of an import that failed", n)
	}
	// The lab is not blocked by what was given up.
	if _, _, err := importRows(t, lab, 10, func(*workflow.ImportRow) {}); err != nil {
		t.Fatal(err)
	}
}

func TestAbandonedImportStoresNothing(t *testing.T) {
	lab := openStudy(t)
	ctx := context.Background()
	im, err := lab.NewImporter(ctx, "s", false)
	if err != nil {
		t.Fatal(err)
	}
	for i := 1; i <= manyRows; i++ {
		im.Add(ctx, rowOf(i))
	}
	im.Abandon()
	if n := countTrials(t, lab); n != 0 {
		t.Fatalf("%d trials in the record of an import that was given up", n)
	}
}
