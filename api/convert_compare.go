package api

import (
	"math"

	"holdfast/domain"
	"holdfast/statistics/agreement"
	"holdfast/workflow"
)

func fromComparison(c workflow.Comparison) Comparison {
	better := c.Plain.Better
	return Comparison{
		By: c.By, A: c.A, B: c.B, Level: c.Level, Sentence: c.Sentence, HeldA: c.Arms.HeldA, TrialsA: c.Arms.TrialsA, HeldB: c.Arms.HeldB, TrialsB: c.Arms.TrialsB,
		Unit: string(c.Unit), Units: c.Units, Why: c.Why, Measured: fromMeasured(c.Measured),
		Plain: fromMeasured(workflow.Measured{
			Difference: c.Plain.Difference, Low: c.Plain.Interval.Low, High: c.Plain.Interval.High, Better: &better, Test: "Boschloo’s exact test", P: c.Plain.Boschloo,
		}),
		FisherP: c.Plain.Fisher.TwoSided,
		NoWorse: NoWorse(c.NoWorse),
		Levels: each(c.Levels, func(r workflow.LevelRow) LevelRow {
			return LevelRow{Name: r.Name, Trials: r.Trials, Held: r.Held, Low: r.Low, High: r.High}
		}),
		LevelPairs: each(c.Pairs, func(p workflow.LevelPair) LevelPair {
			return LevelPair{A: p.A, B: p.B, Unit: string(p.Unit), Measured: fromMeasured(p.Measured), HolmP: p.Holm}
		}),
		Warnings: c.Warnings, Invented: c.Invented,
	}
}

func fromMeasured(m workflow.Measured) Difference {
	return Difference{Difference: m.Difference, Low: m.Low, High: m.High, Better: m.Better, Test: m.Test, P: m.P.TwoSided, PGreater: m.P.Greater, PLess: m.P.Less}
}

// outsideDisc marks a pixel that is no orientation.
const outsideDisc = 9999

func fromMapsComparison(m workflow.MapsComparison) MapsComparison {
	w := MapsComparison{
		A: fromCondition(m.A), B: fromCondition(m.B), Level: m.Level, BlurDeg: angle(m.Blur), TiltMaxDeg: angle(m.TiltMax), Size: m.Size, Headings: m.Headings,
		HeadingFold: m.HeadingFold, ClearA: m.ClearA, ClearB: m.ClearB, SureA: m.SureA, SureB: m.SureB, Sentence: m.Sentence, Warnings: joinedOrEmpty(m.Warnings), Mark: m.Mark,
		Points: make([][]int, len(m.Spots)), Clear: make([][]int, len(m.Spots)),
	}
	for h, spots := range m.Spots {
		w.Points[h], w.Clear[h] = make([]int, len(spots)), make([]int, len(spots))
		for i, s := range spots {
			if !m.Inside[i] {
				w.Points[h][i] = outsideDisc
				continue
			}
			w.Points[h][i] = int(math.Round(1000 * s.Difference))
			sign := 1
			if s.Difference < 0 {
				sign = -1
			}
			switch {
			case s.Clear && s.Sure:
				w.Clear[h][i] = 2 * sign
			case s.Clear:
				w.Clear[h][i] = sign
			}
		}
	}
	return w
}

func joinedOrEmpty(list []string) []string {
	if list == nil {
		return []string{}
	}
	return list
}

func (j Judgement) domain() domain.Judgement {
	d := domain.Judgement{Trial: domain.TrialID(j.Trial), Key: j.Key, Judge: j.Judge, Outcome: domain.Outcome(j.Outcome), Note: j.Note}
	if j.JudgedAt != nil {
		d.JudgedAt = *j.JudgedAt
	}
	return d
}

func fromJudgement(j domain.Judgement) Judgement {
	return Judgement{ID: j.ID, Trial: int64(j.Trial), Key: j.Key, Judge: j.Judge, Outcome: string(j.Outcome), Note: j.Note, JudgedAt: timeOrNil(j.JudgedAt), Recorded: timeOrNil(j.Recorded)}
}

// fromBlind leaves out what would tell how the trial was recorded.
func fromBlind(t domain.CountedTrial) BlindTrial {
	return BlindTrial{
		Trial: int64(t.Root), Hand: string(t.Hand), Item: string(t.Item), Setting: string(t.Setting), Strategy: string(t.Strategy),
		Orientation: fromRotation(t.Rotation()), Closing: t.Closing, PeakForceN: t.PeakForce, DurationS: t.Duration, StartedAt: timeOrNil(t.StartedAt),
		Note: t.Note, Recordings: each(t.Recordings, fromRecording),
	}
}

func fromAgreement(a workflow.Agreement) Agreement {
	return Agreement{
		Level: a.Level, Trials: a.Trials, Judges: each(a.Judges, func(j workflow.JudgeRow) JudgeRow { return JudgeRow(j) }), Outcomes: a.Outcomes,
		All: fromAllJudges(a.All), HeldOnly: fromAllJudges(a.HeldOnly),
		Pairs: each(a.Pairs, func(p workflow.JudgePair) JudgePair {
			return JudgePair{A: p.A, B: p.B, Trials: p.Trials, All: fromTwo(p.All), HeldOnly: fromTwo(p.HeldOnly), Table: p.Table}
		}),
		Again: each(a.Again, func(r workflow.AgainRow) Again {
			return Again{
				Trial: int64(r.Trial.Root), Hand: string(r.Trial.Hand), Item: string(r.Trial.Item), Strategy: string(r.Trial.Strategy), Disagree: r.Disagree, Decisive: r.Decisive,
				Said: each(r.Said, func(s workflow.Said) Said { return Said{Judge: s.Judge, Outcome: string(s.Outcome), Note: s.Note} }),
			}
		}),
		Sentence: a.Sentence, Warnings: a.Warnings,
	}
}

func fromAllJudges(a workflow.AllJudges) AllJudges {
	return AllJudges{Alpha: finite(a.Alpha), Low: finite(a.Low), High: finite(a.High), Trials: a.Trials, Fleiss: a.Fleiss, FleissTrials: a.FleissTrials}
}

func fromTwo(t agreement.Two) TwoAgree {
	w := TwoAgree{Agreed: t.Agreed, Kappa: finite(t.Kappa), PABAK: t.PABAK, AC1: t.AC1, Trap: t.Trap}
	if w.Kappa != nil {
		w.Low, w.High = finite(t.Low), finite(t.High)
	}
	return w
}

// finite leaves out what has no value.
func finite(v float64) *float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	return &v
}
