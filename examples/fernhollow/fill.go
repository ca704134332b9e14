package fernhollow

import (
	"context"
	"fmt"
	"math"
	"time"

	"holdfast/domain"
	"holdfast/numeric"
	"holdfast/orient"
	"holdfast/workflow"
)

// Seed is the seed of the demonstration's plans, of its simulated trials and of what is drawn on top of them.
const Seed uint64 = 20260302

// FinishedStudy is the study that [Fill] carries to its end.
const FinishedStudy domain.ID = "rolls-and-eclairs"

const deg = math.Pi / 180

// bench is the invented bench of the demonstration. Its clock stands still unless moved, so that every record has a time that
// depends on the seed alone; its trials are simulated ones.
type bench struct {
	now    time.Time
	trials *record
	limits map[domain.ID]float64 // Pa, the pressure that breaks each item at once
}

func (b *bench) Now() time.Time { return b.now }

// silent is a bus that nobody listens to: the demonstration is filled before any page is open.
type silent struct{}

func (silent) Publish(domain.Event) {}
func (silent) Listen(ctx context.Context) <-chan domain.Event {
	ch := make(chan domain.Event)
	context.AfterFunc(ctx, func() { close(ch) })
	return ch
}

// Fill puts the demonstration into an empty lab: the catalogue, a finished study of 600 runs with second opinions, a proof
// run, the card released after it and another proof run under way, one whose trials were placed batch by batch, the first two
// dozen trials of an item that is new on the line, and three studies without trials for the simulated bench to carry out; see [Live].
// Its trials are simulated, and read from a record of them. The same store content comes out every time. It fails on a lab that already holds any of it.
func Fill(ctx context.Context, store domain.Store) error {
	trials, err := readRecord(recordFile)
	if err != nil {
		return err
	}
	return fill(ctx, store, trials)
}

func fill(ctx context.Context, store domain.Store, trials *record) error {
	most, err := limits()
	if err != nil {
		return err
	}
	clock := &bench{now: time.Date(2026, 3, 2, 7, 30, 0, 0, time.UTC), trials: trials, limits: most}
	lab := workflow.New(workflow.Options{
		Store: store, Bus: silent{}, Clock: clock, Seed: func() uint64 { return Seed }, Name: "Fernhollow Bakery",
	})
	if err := fillCatalogue(ctx, lab); err != nil {
		return err
	}
	if err := fillNumbers(ctx, lab); err != nil {
		return fmt.Errorf("the hands' own numbers: %w", err)
	}
	if err := fillEconomics(ctx, lab); err != nil {
		return fmt.Errorf("economics: %w", err)
	}
	if err := fillFinished(ctx, lab, clock); err != nil {
		return fmt.Errorf("study %s: %w", FinishedStudy, err)
	}
	if err := fillAdaptive(ctx, lab, clock); err != nil {
		return fmt.Errorf("study %s: %w", AdaptiveStudy, err)
	}
	if err := fillNewcomer(ctx, lab, clock); err != nil {
		return fmt.Errorf("study %s: %w", NewcomerStudy, err)
	}
	if err := fillTouch(ctx, lab); err != nil {
		return fmt.Errorf("sounds of touch: %w", err)
	}
	return fillSimulated(ctx, lab)
}

func fillCatalogue(ctx context.Context, lab *workflow.Lab) error {
	for _, h := range append(Hands(), SimulatedHands()...) {
		h.Invented = true
		if _, err := lab.SaveHand(ctx, h); err != nil {
			return fmt.Errorf("hand %s: %w", h.ID, err)
		}
	}
	for _, it := range Items() {
		it.Invented = true
		if _, err := lab.SaveItem(ctx, it); err != nil {
			return fmt.Errorf("item %s: %w", it.ID, err)
		}
	}
	for _, s := range Settings() {
		s.Invented = true
		if _, err := lab.SaveSetting(ctx, s); err != nil {
			return fmt.Errorf("setting %s: %w", s.ID, err)
		}
	}
	return nil
}

func fillFinished(ctx context.Context, lab *workflow.Lab, clock *bench) error {
	study := domain.Study{
		ID: FinishedStudy, Name: "Soft rolls and éclairs from the open table",
		Question: "From which side does the Trefoil pick soft rolls and éclairs, and does it help to let the fingers slide on the table?",
		Hands:    []domain.ID{"trefoil"}, Items: []domain.ID{"roll", "eclair"}, Settings: []domain.ID{"open-table"},
		Strategies:    []domain.Strategy{domain.DefaultStrategy(domain.StrategyFree), domain.DefaultStrategy(domain.StrategySurface)},
		Orientations:  domain.OrientationPlan{Kind: "even", TiltMax: 22 * deg, Count: 48},
		ClosingLevels: []float64{0.8},
		Offset:        domain.OffsetPlan{Kind: "gaussian", Sigma: [2]float64{0.004, 0.004}},
		Replicates:    3, BlockSize: 48,
		Reference:  domain.Reference{Orientation: orient.FromApproach(orient.Approach{Roll: 90 * deg}), Strategy: domain.StrategySurface, Closing: 0.8},
		References: 1, Seed: Seed, TrialSeconds: 25, ChangeSeconds: 240,
		Line: domain.LineError{Angle: 6 * deg, Position: 0.003}, Target: 0.80,
		Note: "Its trials were simulated, not run on a bench. Three things no simulation knows are made up on top: cracks seen later, from the trial's peak pressure; " +
			"a slip of the operator; two people's second opinions.",
		Meta: domain.Meta{Invented: true},
	}
	runs, err := drawUp(ctx, lab, study)
	if err != nil {
		return err
	}
	held, err := carryOut(ctx, lab, clock, study, runs)
	if err != nil {
		return err
	}
	if err := inspectLater(ctx, lab, clock, study.ID, held); err != nil {
		return err
	}
	if err := judgeAgain(ctx, lab, clock, study.ID); err != nil {
		return err
	}
	if _, err := lab.Finish(ctx, study.ID); err != nil {
		return err
	}
	if err := proveRolls(ctx, lab, clock); err != nil {
		return err
	}
	if err := proveEclairs(ctx, lab, clock); err != nil {
		return err
	}
	_, err = lab.Release(ctx, workflow.ReleaseCard{
		ID: "roll-by-trefoil", Study: study.ID, ReleasedBy: "Fernhollow bench (invented)",
		Condition: domain.Condition{Hand: "trefoil", Item: "roll", Setting: "open-table", Strategy: domain.StrategySurface},
	})
	return err
}

func drawUp(ctx context.Context, lab *workflow.Lab, study domain.Study) ([]domain.PlannedRun, error) {
	if _, err := lab.SaveStudy(ctx, study); err != nil {
		return nil, err
	}
	if _, err := lab.DrawPlan(ctx, study.ID); err != nil {
		return nil, err
	}
	plan, err := lab.Plan(ctx, study.ID)
	return plan.Runs, err
}

// heldTrial is a trial that was held, and what a later look will find.
type heldTrial struct {
	id      domain.TrialID
	late    bool // the item's damage shows late
	bruised bool
}

// carryOut records one block after the other, each in one transaction, at invented times.
func carryOut(ctx context.Context, lab *workflow.Lab, clock *bench, study domain.Study, runs []domain.PlannedRun) ([]heldTrial, error) {
	byID := catalogue()
	var held []heldTrial
	for from := 0; from < len(runs); {
		to := from
		for to < len(runs) && runs[to].Block == runs[from].Block {
			to++
		}
		var entries []domain.Trial
		var pressures []float64
		for _, run := range runs[from:to] {
			r, err := clock.trials.try(&attempt{
				source: study.ID, number: run.Order, rotation: run.Planned, closing: run.Closing, offset: run.Offset,
				condition: domain.Condition{Hand: run.Hand, Item: run.Item, Setting: run.Setting, Strategy: run.Strategy},
			})
			if err != nil {
				return nil, err
			}
			started := clock.now
			clock.now = clock.now.Add(time.Duration(study.TrialSeconds) * time.Second)
			entry := domain.Trial{
				Study: study.ID, Key: fmt.Sprintf("fernhollow-%d", run.Order), Order: run.Order, Block: run.Block, Hand: run.Hand, Item: run.Item,
				Setting: run.Setting, Strategy: run.Strategy, Planned: run.Planned, Closing: run.Closing, Offset: run.Offset,
				PeakForce: &r.peakForce, Duration: &r.duration, Outcome: r.outcome, Reference: run.Reference, Operator: "bench A",
				StartedAt: started, RecordedAt: clock.now, Note: "simulated: " + r.reason,
			}
			if r.outcome == domain.OutcomeVoid {
				entry.PeakForce, entry.Duration, entry.VoidReason, entry.Note = nil, nil, r.reason, "simulated"
			}
			entries = append(entries, entry)
			pressures = append(pressures, r.peakPressure)
		}
		stored, _, err := lab.Store.Append(ctx, study.ID, entries)
		if err != nil {
			return nil, err
		}
		for i, t := range stored {
			if t.Outcome == domain.OutcomeHeld {
				u := numeric.Stream(study.Seed, "fernhollow late look", t.Order).Float64()
				held = append(held, heldTrial{id: t.ID, late: byID.items[t.Item].LateDamage > 0, bruised: lateCrack(pressures[i], clock.limits[t.Item], u)})
			}
		}
		if runs[from].Block == 2 {
			if err := mistake(ctx, lab, clock, stored[len(stored)/2]); err != nil {
				return nil, err
			}
		}
		from = to
		clock.now = clock.now.Add(10 * time.Minute)
	}
	return held, nil
}

// mistake enters a trial's outcome wrongly and puts it right a minute later, so that the record has a history to show.
func mistake(ctx context.Context, lab *workflow.Lab, clock *bench, t domain.Trial) error {
	wrong := domain.OutcomeMissed
	if t.Outcome == wrong {
		wrong = domain.OutcomeSlipped
	}
	head := t.ID
	for i, step := range []struct {
		outcome domain.Outcome
		note    string
	}{{wrong, "Pressed the wrong key."}, {t.Outcome, "Put right after looking at the item again."}} {
		clock.now = clock.now.Add(time.Minute)
		next := t
		next.Key = fmt.Sprintf("%s-again-%d", t.Key, i+1)
		next.Corrects, next.Outcome, next.Note, next.RecordedAt = head, step.outcome, step.note, clock.now
		stored, _, err := lab.Store.Append(ctx, t.Study, []domain.Trial{next})
		if err != nil {
			return err
		}
		head = stored[0].ID
	}
	return nil
}

// inspectLater looks at the held items whose damage shows late, on the afternoon of the last day; every tenth of them
// is left for the person who tries the demonstration.
func inspectLater(ctx context.Context, lab *workflow.Lab, clock *bench, study domain.ID, held []heldTrial) error {
	clock.now = clock.now.Add(3 * time.Hour)
	var list []domain.Inspection
	for i, h := range held {
		if !h.late || i%10 == 9 {
			continue
		}
		in := domain.Inspection{
			Trial: h.id, Key: fmt.Sprintf("fernhollow-look-%d", h.id), Finding: domain.FindingSound, Inspector: "bench A",
			SeenAt: clock.now, Recorded: clock.now,
		}
		if h.bruised {
			in.Finding, in.Note = domain.FindingDamaged, "Glaze cracked along a finger's line."
		}
		list = append(list, in)
	}
	_, _, err := lab.Store.Inspect(ctx, study, list)
	return err
}

type catalogueByID struct {
	hands    map[domain.ID]*domain.Hand
	items    map[domain.ID]*domain.Item
	settings map[domain.ID]*domain.Setting
}

func catalogue() catalogueByID {
	c := catalogueByID{map[domain.ID]*domain.Hand{}, map[domain.ID]*domain.Item{}, map[domain.ID]*domain.Setting{}}
	for _, h := range Hands() {
		c.hands[h.ID] = &h
	}
	for _, it := range Items() {
		c.items[it.ID] = &it
	}
	for _, s := range Settings() {
		c.settings[s.ID] = &s
	}
	return c
}
