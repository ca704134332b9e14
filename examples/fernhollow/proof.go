package fernhollow

import (
	"context"
	"fmt"
	"time"

	"holdfast/domain"
	"holdfast/numeric"
	"holdfast/workflow"
)

// The proof runs that [Fill] makes in the finished study: one that was carried to its end before the card was released,
// and one that is under way.
const (
	FinishedProof domain.ID = "rolls-before-release"
	RunningProof  domain.ID = "eclairs-trial-by-trial"
)

// prove signs a run of a condition and carries it out for at most so many trials.
func prove(ctx context.Context, lab *workflow.Lab, clock *bench, q workflow.SignProof, most int) error {
	clock.now = clock.now.Add(20 * time.Minute)
	q.SignedBy = "Fernhollow bench (invented)"
	state, err := lab.SignProof(ctx, q)
	if err != nil {
		return fmt.Errorf("proof run %s: %w", q.ID, err)
	}
	byID := catalogue()
	c := state.Condition
	for n := 0; n < most && state.Next != nil; n++ {
		task := state.Next
		a := attempt{
			hand: byID.hands[c.Hand], item: byID.items[c.Item], setting: byID.settings[c.Setting], strategy: c.Strategy,
			rotation: task.Orientation, closing: task.Closing, offset: task.Offset, wear: 0.5,
		}
		r := a.try(numeric.Stream(Seed, "fernhollow "+string(q.ID), task.Number))
		trial := workflow.NewProofTrial{
			Key: fmt.Sprintf("fernhollow-%s-%d", q.ID, task.Number), Number: task.Number, Outcome: r.outcome,
			PeakForce: &r.peakForce, Duration: &r.duration, Operator: "bench A",
		}
		if n == 4 {
			trial.Outcome, trial.VoidReason = domain.OutcomeVoid, "The item rolled before the hand came."
			trial.PeakForce, trial.Duration = nil, nil
		}
		clock.now = clock.now.Add(5 * time.Second)
		trial.StartedAt = clock.now
		clock.now = clock.now.Add(25 * time.Second)
		if state, _, err = lab.LogProof(ctx, q.Study, q.ID, trial); err != nil {
			return fmt.Errorf("proof run %s, trial %d: %w", q.ID, task.Number, err)
		}
	}
	return nil
}

// proveRolls carries the card's region to the end of a fixed run.
func proveRolls(ctx context.Context, lab *workflow.Lab, clock *bench) error {
	return prove(ctx, lab, clock, workflow.SignProof{
		ID: FinishedProof, Study: FinishedStudy, Note: "Invented demonstration data.",
		Condition: domain.Condition{Hand: "trefoil", Item: "roll", Setting: "open-table", Strategy: domain.StrategySurface},
		Design:    domain.ProofDesign{Kind: domain.ProofTwoPoint, Good: 0.10, Bad: 0.25, ProducerRisk: 0.05, ConsumerRisk: 0.10},
	}, 1000)
}

// proveEclairs begins a run that decides trial by trial, and leaves it to whoever tries the demonstration.
func proveEclairs(ctx context.Context, lab *workflow.Lab, clock *bench) error {
	return prove(ctx, lab, clock, workflow.SignProof{
		ID: RunningProof, Study: FinishedStudy, Note: "Invented demonstration data. The rest is left for you.",
		Condition: domain.Condition{Hand: "trefoil", Item: "eclair", Setting: "open-table", Strategy: domain.StrategySurface},
		Design:    domain.ProofDesign{Kind: domain.ProofSequential, Good: 0.05, Bad: 0.20, ProducerRisk: 0.05, ConsumerRisk: 0.10},
	}, 12)
}
