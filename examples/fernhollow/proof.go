package fernhollow

import (
	"context"
	"fmt"
	"time"

	"holdfast/domain"
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
	for n := 0; n < most && state.Next != nil; n++ {
		task := state.Next
		r, err := clock.trials.try(&attempt{
			source: q.ID, number: task.Number, condition: state.Condition, rotation: task.Orientation, closing: task.Closing, offset: task.Offset,
		})
		if err != nil {
			return err
		}
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
		ID: FinishedProof, Study: FinishedStudy, Note: "Its trials were simulated; the fifth, which is void, is made up.",
		Condition: domain.Condition{Hand: "trefoil", Item: "roll", Setting: "open-table", Strategy: domain.StrategySurface},
		Design:    domain.ProofDesign{Kind: domain.ProofTwoPoint, Good: 0.10, Bad: 0.25, ProducerRisk: 0.05, ConsumerRisk: 0.10},
	}, 1000)
}

// proveEclairs begins a run that decides trial by trial, and leaves it to whoever tries the demonstration.
func proveEclairs(ctx context.Context, lab *workflow.Lab, clock *bench) error {
	return prove(ctx, lab, clock, workflow.SignProof{
		ID: RunningProof, Study: FinishedStudy, Note: "Its trials were simulated; the fifth, which is void, is made up. The rest is left for you.",
		Condition: domain.Condition{Hand: "trefoil", Item: "eclair", Setting: "open-table", Strategy: domain.StrategySurface},
		Design:    domain.ProofDesign{Kind: domain.ProofSequential, Good: 0.05, Bad: 0.20, ProducerRisk: 0.05, ConsumerRisk: 0.10},
	}, 12)
}
