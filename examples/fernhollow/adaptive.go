package fernhollow

import (
	"context"

	"holdfast/domain"
	"holdfast/orient"
	"holdfast/workflow"
)

// AdaptiveStudy is a study whose trials were placed where they decide something.
const AdaptiveStudy domain.ID = "eggs-from-the-belt"

// The adaptive study's plan is a small cover; then batches are added and carried out, one after the other.
const (
	adaptiveBatches = 4
	adaptiveBatch   = 12
)

func fillAdaptive(ctx context.Context, lab *workflow.Lab, clock *bench) error {
	study := domain.Study{
		ID: AdaptiveStudy, Name: "Eggs from the belt's end",
		Question: "From where does the Gauntlet lift lying eggs best, and does it help to let the fingers down on the belt?",
		Hands:    []domain.ID{"tendon-five"}, Items: []domain.ID{"egg"}, Settings: []domain.ID{"belt-edge"},
		Strategies:    []domain.Strategy{domain.DefaultStrategy(domain.StrategyFree), domain.DefaultStrategy(domain.StrategySurface)},
		Orientations:  domain.OrientationPlan{Kind: "even", TiltMax: 25 * deg, Count: 18},
		ClosingLevels: []float64{0.8},
		Offset:        domain.OffsetPlan{Kind: "disc", Radius: 0.012},
		Replicates:    1, BlockSize: 24,
		Reference:  domain.Reference{Orientation: orient.FromApproach(orient.Approach{Roll: 90 * deg}), Strategy: domain.StrategyFree, Closing: 0.8},
		References: 1, Seed: Seed + 2, TrialSeconds: 25, ChangeSeconds: 240,
		Line: domain.LineError{Angle: 6 * deg, Position: 0.003}, Target: 0.80,
		Aim:  domain.Aim{Question: "best", Batch: adaptiveBatch, FirstCover: 18},
		Note: "Its trials were simulated. Drawing an egg over the belt's edge is left out: in simulation it always rolled away. Its first runs cover all orientations; the others were added where they tell most.",
		Meta: domain.Meta{Invented: true},
	}
	runs, err := drawUp(ctx, lab, study)
	if err != nil {
		return err
	}
	if _, err := carryOut(ctx, lab, clock, study, runs); err != nil {
		return err
	}
	for range adaptiveBatches {
		next, err := lab.Extend(ctx, study.ID, 0, runs[len(runs)-1].Order)
		if err != nil {
			return err
		}
		runs = append(runs, next.Runs...)
		if _, err := carryOut(ctx, lab, clock, study, next.Runs); err != nil {
			return err
		}
	}
	return nil
}
