package fernhollow

import (
	"context"

	"holdfast/domain"
	"holdfast/orient"
	"holdfast/workflow"
)

// NewcomerStudy is the first morning with an item that is new on the line: too few trials to map it alone, enough to ask
// what the rolls and éclairs of [FinishedStudy] tell about it.
const NewcomerStudy domain.ID = "first-cream-puffs"

func fillNewcomer(ctx context.Context, lab *workflow.Lab, clock *bench) error {
	study := domain.Study{
		ID: NewcomerStudy, Name: "First cream puffs from the open table",
		Question: "Does the Trefoil pick cream puffs as it picks rolls, and how many more trials would settle it?",
		Hands:    []domain.ID{"trefoil"}, Items: []domain.ID{"cream-puff"}, Settings: []domain.ID{"open-table"},
		Strategies:    []domain.Strategy{domain.DefaultStrategy(domain.StrategySurface)},
		Orientations:  domain.OrientationPlan{Kind: "even", TiltMax: 22 * deg, Count: 22},
		ClosingLevels: []float64{0.8},
		Offset:        domain.OffsetPlan{Kind: "gaussian", Sigma: [2]float64{0.004, 0.004}},
		Replicates:    1, BlockSize: 24,
		Reference:  domain.Reference{Orientation: orient.FromApproach(orient.Approach{Roll: 90 * deg}), Strategy: domain.StrategySurface, Closing: 0.8},
		References: 2, Seed: Seed + 3, TrialSeconds: 25, ChangeSeconds: 240,
		Line: domain.LineError{Angle: 6 * deg, Position: 0.003}, Target: 0.80,
		Note: "Its trials were simulated; cracks seen later are made up on top, from the trial's peak pressure. The look Families shows what these few trials gain from the items before.",
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
	return inspectLater(ctx, lab, clock, study.ID, held)
}
