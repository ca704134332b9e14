package api

import (
	"holdfast/domain"
	"holdfast/orient"
	"holdfast/workflow"
)

func (d ProofDesign) domain() domain.ProofDesign {
	return domain.ProofDesign{
		Kind: domain.ProofKind(d.Kind), Success: d.Success, Confidence: d.Confidence, Failures: d.Failures, Good: d.Good, Bad: d.Bad,
		ProducerRisk: d.ProducerRisk, ConsumerRisk: d.ConsumerRisk, Longest: d.Longest, Lot: d.LotSize, Level: d.Level, Quality: d.AQLPct,
		Severity: d.Severity, First: d.First, FirstAllowed: d.FirstAllowed, FirstRejects: d.FirstRejects, Second: d.Second,
		BothAllowed: d.BothAllowed, FullLength: d.FullLength,
	}
}

func fromProofDesign(d domain.ProofDesign) ProofDesign {
	return ProofDesign{
		Kind: string(d.Kind), Success: d.Success, Confidence: d.Confidence, Failures: d.Failures, Good: d.Good, Bad: d.Bad,
		ProducerRisk: d.ProducerRisk, ConsumerRisk: d.ConsumerRisk, Longest: d.Longest, LotSize: d.Lot, Level: d.Level, AQLPct: d.Quality,
		Severity: d.Severity, First: d.First, FirstAllowed: d.FirstAllowed, FirstRejects: d.FirstRejects, Second: d.Second,
		BothAllowed: d.BothAllowed, FullLength: d.FullLength,
	}
}

// prior reads a prior of which both parts or none are given.
func (g *gathered) prior(successes, failures *float64) *workflow.Prior {
	if successes == nil && failures == nil {
		return nil
	}
	if successes == nil || failures == nil {
		*g = append(*g, domain.FieldError{Field: "prior_successes", Reason: "give both prior_successes and prior_failures, or neither"})
		return nil
	}
	return &workflow.Prior{Successes: *successes, Failures: *failures}
}

func fromCharacteristics(c workflow.ProofPoint) ProofPoint {
	return ProofPoint{Success: tidy(1 - c.P), Pass: c.Accept, Trials: c.Length}
}

func fromProofPlan(p workflow.ProofPlan) ProofPlan {
	w := ProofPlan{
		Rule: p.Rule, Longest: p.Longest, Allowed: p.Allowed, Accept: p.Accept, Reject: p.Reject, Curve: each(p.Curve, fromCharacteristics),
		Points: each(p.Points, fromCharacteristics), Sentences: p.Sentences, Target: p.Target, PriorSuccesses: p.Prior.Successes,
		PriorFailures: p.Prior.Failures, Pass: p.Assurance.Pass, ExpectedTrials: p.Assurance.Length,
	}
	if p.Assurance.Pass > 0 && p.Target > 0 {
		w.TargetIfPassed = &p.Assurance.GoodGiven
	}
	if p.Lines != nil {
		w.Lines = &ProofLines{
			InterceptAccept: -p.Lines.H1, InterceptReject: p.Lines.H2, Slope: p.Lines.S,
			Approximate: each(p.Approximate, fromCharacteristics), Exact: each(p.Exact, fromCharacteristics),
		}
	}
	return w
}

func fromProofSubject(s workflow.ProofSubject) ProofSubject {
	c := s.Condition
	w := ProofSubject{
		Hand: string(c.Hand), Item: string(c.Item), Setting: string(c.Setting), Strategy: string(c.Strategy), Missing: s.Missing, Cautions: s.Cautions,
		Region: each(s.Region.Points, fromRotation), SpacingDeg: angle(s.Region.Spacing), RadiusDeg: angle(s.Region.Radius),
		Closing: s.Closing, LineError: fromLineError(s.Line), Success: s.Success, Low: s.Low, High: s.High,
	}
	if s.Missing == "" {
		w.Nominal = orientationOrNil(&s.Nominal)
	}
	if s.Prior != nil {
		w.PriorSuccesses, w.PriorFailures = &s.Prior.Successes, &s.Prior.Failures
	}
	return w
}

func fromProofTask(t workflow.ProofTask) ProofTask {
	return ProofTask{Number: t.Number, Orientation: fromRotation(t.Orientation), OffsetXMM: tidy(t.Offset[0] / mm), OffsetYMM: tidy(t.Offset[1] / mm), Closing: t.Closing}
}

func fromProofStep(s workflow.ProofStep) ProofStep {
	return ProofStep{
		ProofTask: fromProofTask(s.ProofTask), Trial: int64(s.Trial), Newest: int64(s.Newest), Counted: string(s.Counted), Entered: string(s.Entered),
		Changed: s.Changed, Trials: s.Trials, Failures: s.Failures, Beyond: s.Beyond, Operator: s.Operator, StartedAt: timeOrNil(s.StartedAt), RecordedAt: s.Recorded,
	}
}

func fromProof(s workflow.ProofState) Proof {
	c := s.Condition
	w := Proof{
		ID: string(s.ID), Study: string(s.Study), Hand: string(c.Hand), Item: string(c.Item), Setting: string(c.Setting), Strategy: string(c.Strategy),
		Design: fromProofDesign(s.Design), Rule: s.Rule, Target: s.Target, Nominal: fromRotation(s.Nominal),
		Region:     each(s.Region.Points, func(r orient.Rotation) Orientation { return fromRotation(r) }),
		SpacingDeg: angle(s.Region.Spacing), RadiusDeg: angle(s.Region.Radius), Closing: s.Closing, LineError: fromLineError(s.Line),
		PriorSuccesses: s.Prior[0], PriorFailures: s.Prior[1], Seed: seedText(s.Seed), Note: s.Note, SignedBy: s.SignedBy, SignedAt: s.SignedAt,
		Digest: s.Digest, Intact: s.Intact, GivenUp: timeOrNil(s.GivenUp), GivenUpBy: s.GivenUpBy, Reason: s.Reason, Invented: s.Invented,
		Verdict: s.Verdict, Sentence: s.Sentence, AsEntered: s.AsEntered, Accept: s.Accept, Reject: s.Reject, Longest: s.Longest,
		Trials: s.Trials, Failures: s.Failures, Void: s.Void, Beyond: s.Beyond, Changed: s.Changed, Low: s.Low, High: s.High,
		Mean: s.Posterior.Mean(), Reaches: s.Reaches, Steps: each(s.Steps, fromProofStep), Cautions: s.Cautions,
	}
	if s.Next != nil {
		t := fromProofTask(*s.Next)
		w.Next = &t
	}
	return w
}

func (n NewProofTrial) workflow() (workflow.NewProofTrial, error) {
	var bad gathered
	w := workflow.NewProofTrial{
		Key: n.Key, Number: n.Number, Outcome: domain.Outcome(n.Outcome), VoidReason: n.VoidReason, PeakForce: n.PeakForceN, Duration: n.DurationS,
		Operator: n.Operator, Note: n.Note, Recordings: n.Recordings,
	}
	if n.Measured != nil {
		r := bad.rotation("measured", *n.Measured)
		w.Measured = &r
	}
	if n.StartedAt != nil {
		w.StartedAt = *n.StartedAt
	}
	return w, bad.err("trial")
}

func fromCardProof(p *domain.CardProof) *CardProof {
	if p == nil {
		return nil
	}
	return &CardProof{
		ID: string(p.ID), Rule: p.Rule, Verdict: p.Verdict, Trials: p.Trials, Failures: p.Failures, Void: p.Void, Changed: p.Corrected,
		Low: p.Low, High: p.High, Level: p.Level, SameRegion: p.SameRegion, SignedBy: p.SignedBy, SignedAt: p.SignedAt, Digest: p.Digest,
	}
}
