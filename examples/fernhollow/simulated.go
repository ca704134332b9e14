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
	HalfRunStudy       domain.ID = "croissant-at-the-wall"
	SimulatedStudy     domain.ID = "rolls-jaws-or-fingers"
	SimulatedWallStudy domain.ID = "eclairs-at-the-wall"
)

// LiveStudy says how far the simulated bench carries a study.
type LiveStudy struct {
	Study domain.ID
	Keep  int // runs that are left to whoever tries the demonstration
}

// Live lists the studies of the simulated bench in the order in which it carries them out: the short ones first.
func Live() []LiveStudy {
	return []LiveStudy{{Study: HalfRunStudy, Keep: 72}, {Study: SimulatedStudy}, {Study: SimulatedWallStudy}}
}

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
		Question: "Does pushing an éclair to the wall help four air fingers to come under it?",
		Hands:    []domain.ID{AirHand}, Items: []domain.ID{"eclair"}, Settings: []domain.ID{"tray-wall"},
		Strategies:    []domain.Strategy{domain.DefaultStrategy(domain.StrategySurface), domain.DefaultStrategy(domain.StrategyWall)},
		Orientations:  domain.OrientationPlan{Kind: "even", TiltMax: 15 * deg, Count: 30},
		ClosingLevels: []float64{1},
		Offset:        domain.OffsetPlan{Kind: "gaussian", Sigma: [2]float64{0.004, 0.004}},
		Replicates:    1, BlockSize: 30,
		Reference: domain.Reference{Orientation: orient.FromApproach(orient.Approach{Roll: 45 * deg}), Strategy: domain.StrategySurface, Closing: 1},
		Seed:      Seed + 5, TrialSeconds: 6, ChangeSeconds: 0, Line: domain.LineError{Angle: 6 * deg, Position: 0.003}, Target: 0.80,
		Note: "Its trials are computed while you look on, by the simulated bench. A computation, not a bench.",
		Meta: domain.Meta{Invented: true},
	}
	for _, s := range []domain.Study{croissants(), rolls, wall} {
		if _, err := drawUp(ctx, lab, s); err != nil {
			return fmt.Errorf("study %s: %w", s.ID, err)
		}
	}
	return nil
}

// croissants is the study that the bench leaves half done.
func croissants() domain.Study {
	return domain.Study{
		ID: HalfRunStudy, Name: "Croissants against the tray wall",
		Question: "Does pushing a croissant to the tray wall make it easier to pick than sliding over the tray alone?",
		Hands:    []domain.ID{"tendon-five"}, Items: []domain.ID{"croissant"}, Settings: []domain.ID{"tray-wall"},
		Strategies:    []domain.Strategy{domain.DefaultStrategy(domain.StrategySurface), domain.DefaultStrategy(domain.StrategyWall)},
		Orientations:  domain.OrientationPlan{Kind: "rings", Tilts: []float64{0, 20 * deg, 40 * deg}, Azimuths: []int{8}, Rolls: []float64{0, 90 * deg}},
		ClosingLevels: []float64{0.75},
		Offset:        domain.OffsetPlan{Kind: "disc", Radius: 0.006},
		Replicates:    2, BlockSize: 34,
		Reference:  domain.Reference{Orientation: orient.FromApproach(orient.Approach{Tilt: 20 * deg, Azimuth: 90 * deg}), Strategy: domain.StrategySurface, Closing: 0.75},
		References: 1, Seed: Seed + 1, TrialSeconds: 30, ChangeSeconds: 300,
		Line: domain.LineError{Angle: 6 * deg, Position: 0.003}, Target: 0.85,
		Note: "Half of its trials are computed while you look on, by the simulated bench; the other half is left for you. A computation, not a bench.",
		Meta: domain.Meta{Invented: true},
	}
}
