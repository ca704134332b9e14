package api

import (
	"holdfast/domain"
	"holdfast/orient"
	"holdfast/workflow"
)

func fromRecording(r domain.Recording) Recording {
	return Recording{SHA256: r.SHA256, Name: r.Name, Type: r.Type, Size: r.Size}
}

func orientationOrNil(r *orient.Rotation) *Orientation {
	if r == nil {
		return nil
	}
	o := fromRotation(*r)
	return &o
}

// fromEntry shows one entry of the record, counted by its own outcome.
func fromEntry(t domain.Trial) Trial {
	return Trial{
		ID: int64(t.ID), Root: int64(t.Root), Key: t.Key, Corrects: int64(t.Corrects), Order: t.Order, Block: t.Block,
		Hand: string(t.Hand), Item: string(t.Item), Setting: string(t.Setting), Strategy: string(t.Strategy),
		Orientation: fromRotation(t.Planned), Measured: orientationOrNil(t.Measured), Closing: t.Closing,
		OffsetXMM: tidy(t.Offset[0] / mm), OffsetYMM: tidy(t.Offset[1] / mm), OffsetZMM: tidy(t.Offset[2] / mm),
		PeakForceN: t.PeakForce, DurationS: t.Duration, Outcome: string(t.Outcome), Counted: string(t.Outcome),
		VoidReason: t.VoidReason, Reference: t.Reference, Proof: string(t.Proof), Operator: t.Operator, Note: t.Note,
		Recordings: each(t.Recordings, fromRecording), StartedAt: timeOrNil(t.StartedAt), RecordedAt: t.RecordedAt, Entries: 1,
	}
}

func fromCounted(t domain.CountedTrial) Trial {
	w := fromEntry(t.Trial)
	w.Counted, w.Entries, w.Inspection = string(t.Counted), t.Entries, string(t.Inspection)
	return w
}

func (n NewTrial) workflow() (workflow.NewTrial, error) {
	var bad gathered
	w := workflow.NewTrial{
		Key: n.Key, Corrects: domain.TrialID(n.Corrects), Order: n.Order, Hand: domain.ID(n.Hand), Item: domain.ID(n.Item),
		Setting: domain.ID(n.Setting), Strategy: domain.StrategyKind(n.Strategy), Closing: n.Closing,
		PeakForce: n.PeakForceN, Duration: n.DurationS, Outcome: domain.Outcome(n.Outcome), VoidReason: n.VoidReason,
		Block: n.Block, Operator: n.Operator, Note: n.Note, Recordings: n.Recordings,
	}
	if n.Orientation != nil {
		r := bad.rotation("orientation", *n.Orientation)
		w.Planned = &r
	}
	if n.Measured != nil {
		r := bad.rotation("measured", *n.Measured)
		w.Measured = &r
	}
	for i, v := range []*float64{n.OffsetXMM, n.OffsetYMM, n.OffsetZMM} {
		if v != nil {
			metres := tidy(*v * mm)
			w.Offset[i] = &metres
		}
	}
	if n.StartedAt != nil {
		w.StartedAt = *n.StartedAt
	}
	return w, bad.err("trial")
}

func fromInspection(in domain.Inspection) Inspection {
	return Inspection{ID: in.ID, Trial: int64(in.Trial), Key: in.Key, Finding: string(in.Finding), Inspector: in.Inspector, Note: in.Note, SeenAt: in.SeenAt, Recorded: in.Recorded}
}

func fromProgress(p workflow.Progress) Progress {
	return Progress{
		Study: string(p.Study), Planned: p.Planned, Done: p.Done, Left: p.Planned - p.Done, HoursLeft: tidy(p.SecondsLeft / hour),
		Trials: p.Tally.Trials, Held: p.Tally.Held, Low: p.Tally.Low, High: p.Tally.High,
		Blocks: each(p.Blocks, func(b workflow.BlockProgress) BlockProgress {
			return BlockProgress{Block: b.Block, Planned: b.Planned, Done: b.Done, Trials: b.Tally.Trials, Held: b.Tally.Held, Low: b.Tally.Low, High: b.Tally.High, ReferenceTrials: b.Reference.Trials, ReferenceHeld: b.Reference.Held}
		}),
		Drift: p.Drift, DriftP: p.DriftP, Uninspected: p.Uninspected,
	}
}
