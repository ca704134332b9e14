package fernhollow

import (
	"context"
	"fmt"

	"holdfast/domain"
	"holdfast/orient"
	"holdfast/workflow"
)

// The studies whose runs the simulated bench carries out while the demonstration is open.
const (
	SimulatedStudy     domain.ID = "rolls-jaws-or-fingers"
	SimulatedWallStudy domain.ID = "eclairs-at-the-wall"
)

// SceneNames are the names under which the files of the shipped scenes have what this lab calls otherwise.
var SceneNames = map[string]string{"open-table": "table", "tray-wall": "wall", "belt-edge": "edge"}

// SimulatedHands returns the invented hands that exist as files for simulation only.
func SimulatedHands() []domain.Hand {
	return []domain.Hand{
		{
			ID: "tendon-five", Name: "Gauntlet, five tendon fingers", Actuation: domain.ActuationMotor, Fingers: 5, RollFold: 1, Mirror: true,
			FingerLength: 0.095, PalmDiameter: 0.084, OpeningMax: 0.130, CommandUnit: "mm", CommandFull: 28, ForceMax: 40,
			FoodContact: true, Note: "Invented; lives in simulation only. One motor, one cord over all fingers.",
		},
		{
			ID: "jaws-two", Name: "Jaws, two rigid plates", Actuation: domain.ActuationMotor, Fingers: 2, RollFold: 2, Mirror: true,
			FingerLength: 0.063, PalmDiameter: 0.070, OpeningMax: 0.094, CommandUnit: "mm", CommandFull: 51, ForceMax: 10,
			FoodContact: true, Note: "Invented; lives in simulation only. The rigid hand that compliant ones are measured against.",
		},
	}
}

func fillSimulated(ctx context.Context, lab *workflow.Lab) error {
	for _, h := range SimulatedHands() {
		h.Invented = true
		if _, err := lab.SaveHand(ctx, h); err != nil {
			return fmt.Errorf("hand %s: %w", h.ID, err)
		}
	}
	rolls := domain.Study{
		ID: SimulatedStudy, Name: "Rolls in simulation: jaws or fingers that give",
		Question: "How much error of placement do five tendon fingers forgive that two jaws do not, and does the table help?",
		Hands:    []domain.ID{"tendon-five", "jaws-two"}, Items: []domain.ID{"roll"}, Settings: []domain.ID{"open-table"},
		Strategies:    []domain.Strategy{domain.DefaultStrategy(domain.StrategyFree), domain.DefaultStrategy(domain.StrategySurface)},
		Orientations:  domain.OrientationPlan{Kind: "even", TiltMax: 30 * deg, Count: 24},
		ClosingLevels: []float64{0.8},
		Offset:        domain.OffsetPlan{Kind: "gaussian", Sigma: [2]float64{0.008, 0.008}},
		Replicates:    2, BlockSize: 48,
		Seed: Seed + 4, TrialSeconds: 6, ChangeSeconds: 0, Line: domain.LineError{Angle: 6 * deg, Position: 0.008}, Target: 0.80,
		Note: "Its trials are computed while you look on, by the simulated bench. A computation, not a bench.",
		Meta: domain.Meta{Invented: true},
	}
	wall := domain.Study{
		ID: SimulatedWallStudy, Name: "Éclairs in simulation: what a wall changes",
		Question: "Does pushing an éclair to the wall help the five tendon fingers to come under it?",
		Hands:    []domain.ID{"tendon-five"}, Items: []domain.ID{"eclair"}, Settings: []domain.ID{"tray-wall"},
		Strategies:    []domain.Strategy{domain.DefaultStrategy(domain.StrategySurface), domain.DefaultStrategy(domain.StrategyWall)},
		Orientations:  domain.OrientationPlan{Kind: "rings", Tilts: []float64{20 * deg, 40 * deg}, Azimuths: []int{8}, Rolls: []float64{0, 90 * deg, 180 * deg}},
		ClosingLevels: []float64{0.6},
		Offset:        domain.OffsetPlan{Kind: "gaussian", Sigma: [2]float64{0.004, 0.004}},
		Replicates:    1, BlockSize: 48,
		Reference: domain.Reference{Orientation: orient.FromApproach(orient.Approach{Tilt: 20 * deg, Roll: 90 * deg}), Strategy: domain.StrategySurface, Closing: 0.6},
		Seed:      Seed + 5, TrialSeconds: 6, ChangeSeconds: 0, Line: domain.LineError{Angle: 6 * deg, Position: 0.003}, Target: 0.80,
		Note: "Its trials are computed while you look on, by the simulated bench. A computation, not a bench.",
		Meta: domain.Meta{Invented: true},
	}
	for _, s := range []domain.Study{rolls, wall} {
		if _, err := drawUp(ctx, lab, s); err != nil {
			return fmt.Errorf("study %s: %w", s.ID, err)
		}
	}
	return nil
}
