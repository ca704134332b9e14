package api

import (
	"strconv"

	"holdfast/domain"
	"holdfast/orient"
	"holdfast/workflow"
)

func fromStrategy(s domain.Strategy) Strategy {
	return Strategy{Kind: string(s.Kind), Steps: each(s.Steps, func(s domain.Step) Step { return Step{Do: s.Do, Until: s.Until} })}
}

func (s Strategy) domain() domain.Strategy {
	if len(s.Steps) == 0 {
		return domain.DefaultStrategy(domain.StrategyKind(s.Kind))
	}
	return domain.Strategy{Kind: domain.StrategyKind(s.Kind), Steps: each(s.Steps, func(s Step) domain.Step { return domain.Step{Do: s.Do, Until: s.Until} })}
}

func fromOrientationPlan(p domain.OrientationPlan) OrientationPlan {
	return OrientationPlan{Kind: p.Kind, TiltMaxDeg: angle(p.TiltMax), Count: p.Count, TiltsDeg: each(p.Tilts, angle), Azimuths: p.Azimuths, RollsDeg: each(p.Rolls, angle)}
}

func radians(deg float64) float64 { return deg * degree }

func (p OrientationPlan) domain() domain.OrientationPlan {
	return domain.OrientationPlan{Kind: p.Kind, TiltMax: radians(p.TiltMaxDeg), Count: p.Count, Tilts: each(p.TiltsDeg, radians), Azimuths: p.Azimuths, Rolls: each(p.RollsDeg, radians)}
}

func fromOffset(p domain.OffsetPlan) OffsetPlan {
	return OffsetPlan{Kind: p.Kind, SigmaXMM: tidy(p.Sigma[0] / mm), SigmaYMM: tidy(p.Sigma[1] / mm), RadiusMM: tidy(p.Radius / mm)}
}

func (p OffsetPlan) domain() domain.OffsetPlan {
	return domain.OffsetPlan{Kind: p.Kind, Sigma: [2]float64{tidy(p.SigmaXMM * mm), tidy(p.SigmaYMM * mm)}, Radius: tidy(p.RadiusMM * mm)}
}

func fromLineError(e domain.LineError) LineError {
	return LineError{AngleDeg: angle(e.Angle), PositionMM: tidy(e.Position / mm)}
}

func fromStudy(s domain.Study) Study {
	aim := fromAim(s.Aim)
	return Study{
		ID: string(s.ID), Name: s.Name, Question: s.Question, State: string(s.State),
		Hands: ids(s.Hands), Items: ids(s.Items), Settings: ids(s.Settings), Strategies: each(s.Strategies, fromStrategy),
		Orientations: fromOrientationPlan(s.Orientations), ClosingLevels: s.ClosingLevels, Offset: fromOffset(s.Offset),
		Replicates: s.Replicates, BlockSize: s.BlockSize,
		Reference:  Reference{Orientation: fromRotation(s.Reference.Orientation), Strategy: string(s.Reference.Strategy), Closing: s.Reference.Closing},
		References: s.References, Seed: seedText(s.Seed), TrialS: s.TrialSeconds, ChangeS: s.ChangeSeconds,
		LineError: fromLineError(s.Line), Target: s.Target, Aim: &aim, Note: s.Note, Meta: fromMeta(s.Meta),
	}
}

// domain reads a study. An empty seed becomes 0, which the use case takes as "draw one".
func (s Study) domain() (domain.Study, error) {
	var bad gathered
	reference := domain.Reference{Orientation: orient.Identity, Strategy: domain.StrategyKind(s.Reference.Strategy), Closing: s.Reference.Closing}
	if s.Reference.Orientation != (Orientation{}) {
		reference.Orientation = bad.rotation("reference.orientation", s.Reference.Orientation)
	}
	var seed uint64
	if s.Seed != "" {
		var err error
		if seed, err = strconv.ParseUint(s.Seed, 10, 64); err != nil {
			bad = append(bad, domain.FieldError{Field: "seed", Value: s.Seed, Reason: "must be a whole number from 0 to 18446744073709551615 in decimal digits, or empty to have one drawn"})
		}
	}
	return domain.Study{
		ID: domain.ID(s.ID), Name: s.Name, Question: s.Question, State: domain.StudyState(s.State),
		Hands: toIDs(s.Hands), Items: toIDs(s.Items), Settings: toIDs(s.Settings), Strategies: each(s.Strategies, Strategy.domain),
		Orientations: s.Orientations.domain(), ClosingLevels: s.ClosingLevels, Offset: s.Offset.domain(),
		Replicates: s.Replicates, BlockSize: s.BlockSize, Reference: reference, References: s.References, Seed: seed,
		TrialSeconds: s.TrialS, ChangeSeconds: s.ChangeS,
		Line:   domain.LineError{Angle: s.LineError.AngleDeg * degree, Position: tidy(s.LineError.PositionMM * mm)},
		Target: s.Target, Aim: s.Aim.domain(), Note: s.Note,
	}, bad.err("study")
}

func fromRun(r domain.PlannedRun, done bool) PlannedRun {
	return PlannedRun{
		Order: r.Order, Block: r.Block, WholePlot: r.WholePlot, Hand: string(r.Hand), Item: string(r.Item), Setting: string(r.Setting),
		Strategy: string(r.Strategy), Cell: r.Cell, Orientation: fromRotation(r.Planned), Closing: r.Closing,
		OffsetXMM: tidy(r.Offset[0] / mm), OffsetYMM: tidy(r.Offset[1] / mm), Replicate: r.Replicate, Reference: r.Reference, Done: done, Why: r.Why,
	}
}

func fromPreview(p workflow.OrientationPreview) OrientationPreview {
	return OrientationPreview{Points: each(p.Points, fromRotation), Folded: p.Folded, CoveringDeg: angle(p.Covering), SeparateDeg: angle(p.Separation), Symmetry: p.Symmetry}
}

func fromSummary(s workflow.PlanSummary) PlanSummary {
	return PlanSummary{
		Study: string(s.Study), Seed: seedText(s.Seed), Runs: s.Runs, ReferenceRuns: s.ReferenceRuns, Blocks: s.Blocks, WholePlots: s.WholePlots,
		Changes: s.Changes, Hours: tidy(s.Seconds / hour), Orientations: fromPreview(s.Orientations), Notes: s.Notes,
	}
}

func fromStudyRow(r workflow.StudyRow) StudyRow {
	return StudyRow{ID: string(r.Study.ID), Name: r.Study.Name, State: string(r.Study.State), Planned: r.Planned, Done: r.Done, Trials: r.Trials, Held: r.Held, Meta: fromMeta(r.Study.Meta)}
}
