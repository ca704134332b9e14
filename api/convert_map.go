package api

import (
	"holdfast/domain"
	"holdfast/orient"
	"holdfast/workflow"
)

func fromCondition(c workflow.ConditionRow) Condition {
	return Condition{Hand: string(c.Hand), Item: string(c.Item), Setting: string(c.Setting), Strategy: string(c.Strategy), Trials: c.Trials, Held: c.Held}
}

func fromMap(m workflow.MapInfo) MapInfo {
	return MapInfo{
		Condition: fromCondition(m.Condition), Trials: m.Condition.Trials, Held: m.Condition.Held, Degree: m.Degree, BasisSize: m.BasisSize,
		LengthScaleDeg: angle(m.LengthScale), Anisotropy: m.Anisotropy, Amplitude: m.Amplitude, Symmetry: m.Symmetry, HeadingFold: m.HeadingFold,
		TiltMaxDeg: angle(m.TiltMax), BlurDeg: angle(m.Blur), Raster: RasterInfo{Size: m.Raster.Size, Headings: m.Raster.Headings, Layers: m.Raster.Layers},
		Scores: Scores{
			Folds: m.Scores.Folds, LogLoss: m.Scores.LogLoss, BaseLogLoss: m.Scores.BaseLogLoss, Brier: m.Scores.Brier, BaseBrier: m.Scores.BaseBrier,
			Calibration: each(m.Scores.Calibration, func(b workflow.CalibrationBin) Calibration {
				return Calibration{From: b.From, To: b.To, Trials: b.Trials, Forecast: b.Forecast, Held: b.Held}
			}),
		},
		Dispersion: Dispersion(m.Dispersion),
		Warnings:   m.Warnings,
		Cells: each(m.Cells, func(c workflow.Cell) Cell {
			return Cell{
				Orientation: fromRotation(c.Rotation), Trials: c.Trials, Held: c.Held,
				ExactLow: c.Exact[0], ExactHigh: c.Exact[1], WilsonLow: c.Wilson[0], WilsonHigh: c.Wilson[1], JeffreysLow: c.Jeffreys[0], JeffreysHigh: c.Jeffreys[1],
				P: c.P, PLow: c.Low, PHigh: c.High, PBlurred: c.Blurred,
			}
		}),
		Seconds: m.Seconds, Mark: m.Mark, Invented: m.Invented,
	}
}

func fromPoint(p workflow.MapPoint) MapPoint {
	return MapPoint{
		Orientation: fromRotation(p.Rotation), P: p.P, PLow: p.Low, PHigh: p.High, PBlurred: p.Blurred,
		Near: each(p.Near, func(n workflow.NearTrial) NearTrial {
			return NearTrial{Trial: int64(n.Trial), AngleDeg: angle(n.Angle), Counted: string(n.Counted), Replay: n.Replay}
		}),
	}
}

func fromMarks(trials []domain.CountedTrial) MapMarks {
	m := MapMarks{
		Trial: make([]int64, len(trials)), TiltDeg: make([]float64, len(trials)), AzimuthDeg: make([]float64, len(trials)),
		HeadingDeg: make([]float64, len(trials)), Counted: make([]int, len(trials)), Outcomes: make([]string, len(domain.Outcomes)),
	}
	index := map[domain.Outcome]int{}
	for i, o := range domain.Outcomes {
		m.Outcomes[i] = string(o)
		index[o] = i
	}
	for i := range trials {
		t := &trials[i]
		r := t.Rotation()
		a := r.Approach()
		heading := angle(r.Heading())
		if heading < 0 {
			heading += 360
		}
		m.Trial[i], m.TiltDeg[i], m.AzimuthDeg[i], m.HeadingDeg[i], m.Counted[i] = int64(t.ID), angle(a.Tilt), angle(a.Azimuth), heading, index[t.Counted]
	}
	return m
}

func fromChoice(c workflow.Choice) Choice {
	return Choice{
		BlurDeg: angle(c.Blur), Target: c.Target, Warnings: c.Warnings,
		Options: each(c.Options, func(o workflow.Option) ChoiceRow {
			return ChoiceRow{
				Condition: fromCondition(o.Condition), Closing: o.Closing, Nominal: fromRotation(o.Nominal), Region: each(o.Region.Points, fromRotation),
				SpacingDeg: angle(o.Region.Spacing), RadiusDeg: angle(o.Region.Radius), Share: o.Region.Share,
				Success: o.Success, Low: o.Low, High: o.High, MeetsTarget: o.MeetsTarget, Reason: o.Reason,
			}
		}),
	}
}

func fromCard(c workflow.Card) Card {
	return Card{
		ID: string(c.ID), Study: string(c.Study), Hand: string(c.Condition.Hand), Item: string(c.Condition.Item), Setting: string(c.Condition.Setting),
		Strategy: fromStrategy(domain.Strategy{Kind: c.Condition.Strategy, Steps: c.Steps}), Nominal: fromRotation(c.Nominal),
		Region:     each(c.Region.Points, func(r orient.Rotation) Orientation { return fromRotation(r) }),
		SpacingDeg: angle(c.Region.Spacing), RadiusDeg: angle(c.Region.Radius), Share: c.Region.Share, Closing: c.Closing,
		LineError: fromLineError(c.Line), Success: c.Success, Low: c.SuccessLow, High: c.SuccessHigh, Target: c.Target,
		Trials: c.Trials, Held: c.Held, LastTrial: int64(c.LastTrial), Digest: c.Digest, Proof: fromCardProof(c.Proof), Matches: c.Matches, Cautions: c.Cautions,
		ReleasedBy: c.ReleasedBy, ReleasedAt: c.ReleasedAt, Withdrawn: timeOrNil(c.Withdrawn), WithdrawnBy: c.WithdrawnBy,
		Reason: c.Reason, Invented: c.Invented,
	}
}

func fromLab(s workflow.Summary) Lab {
	return Lab{
		Name: s.Name, Version: s.Version, Invented: s.Invented, Hands: s.Hands, Items: s.Items, Settings: s.Settings, Studies: s.Studies, Trials: s.Trials, Cards: s.Cards,
		Next: each(s.Next, func(t workflow.Todo) Todo {
			return Todo{Kind: t.Kind, Text: t.Text, Detail: t.Detail, Study: string(t.Study), Card: string(t.Card)}
		}),
	}
}
