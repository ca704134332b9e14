package api

import (
	"math"
	"strconv"

	"holdfast/mechanics/firsttouch"
	"holdfast/mechanics/trialsim"
	"holdfast/workflow"
)

func fromFeelAnswer(a *workflow.FeelAnswer) *FeelAnswer {
	if a == nil {
		return nil
	}
	r := a.Report
	out := &FeelAnswer{
		From: "simulated", GuidedName: a.GuidedName, Tried: a.Strategy != nil, Item: string(a.Condition.Item), Setting: string(a.Condition.Setting),
		Strategy: string(a.Condition.Strategy), PlacementMM: tidy(a.Task.Placement / mm), TiltMaxDeg: angle(a.Task.TiltMax), Closing: a.Task.Closing,
		Seed: strconv.FormatUint(a.Task.Seed, 10), Sentence: r.Sentence, Trials: r.Learnt, Touched: r.Touched, BeforeMM: r.BeforeMM, AfterMM: r.AfterMM,
		Rule: each(r.Advice, fromFeelAdvice), ByDirection: r.Directed, How: each(r.How, func(h firsttouch.HowReport) string { return h.Sentence }), Warnings: append([]string{}, r.Warnings...), Answered: a.Answered,
	}
	if g := r.Guided; g != nil {
		out.From = "guided"
		out.Guided = &FeelGuided{
			Trials: g.Trials, NotHeld: g.NotHeld,
			TooFew: each(g.TooFew, func(f firsttouch.FewReport) FeelFew { return FeelFew{f.Touched, f.Examples} }),
		}
	}
	if r.Tested > 0 {
		out.Gain = &FeelGain{
			Trials: r.Tested, With: r.Held, Without: r.HeldBefore, Gain: r.Gain, Low: r.GainLow, High: r.GainHigh, Both: r.Pairs.Both,
			OnlyWith: r.Pairs.OnlyA, OnlyOwn: r.Pairs.OnlyB, Neither: r.Pairs.Neither, P: r.McNemar, Verdict: string(r.Verdict()),
		}
	}
	if a.Free != nil {
		out.Hand = fromFeelHand(&a.Task.Scene.Hand, a.Free, r.Advice)
	}
	return out
}

func fromFeelAdvice(a firsttouch.Advice) FeelAdvice {
	two := func(v [3]float64) [2]float64 { return [2]float64{v[0], v[1]} }
	return FeelAdvice{
		Finger: a.Finger, Link: a.Link, Touched: a.Touched, Trials: a.Examples, TooFew: a.TooFew, AtCommand: a.At, MoveMM: two(a.MoveMM),
		MoveHalfMM: two(a.HalfMM), LessMM: a.LessMM, MoreMM: a.MoreMM, DirectionDeg: angle(math.Atan2(a.AtDirection[1], a.AtDirection[0])), PerCommandMM: two(a.PerMM), TurnDeg: a.TurnDeg, TurnHalfDeg: a.TurnHalf,
	}
}

// fromFeelHand is the hand at the mean command of its touches.
func fromFeelHand(h *trialsim.Hand, free *trialsim.Closing, rule []firsttouch.Advice) *FeelHand {
	sum, n := 0.0, 0.0
	for _, a := range rule {
		if a.Link == 0 {
			sum += a.At * float64(a.Examples)
			n += float64(a.Examples)
		}
	}
	at := sum / math.Max(n, 1)
	step := &free.Steps[0]
	for i := range free.Steps {
		if math.Abs(free.Steps[i].Command-at) < math.Abs(step.Command-at) {
			step = &free.Steps[i]
		}
	}
	out := &FeelHand{PalmRadiusMM: tidy(h.PalmRadius / mm), Command: step.Command, Fingers: []string{}, Links: []FeelLink{}}
	for i := range h.Fingers {
		out.Fingers = append(out.Fingers, h.Fingers[i].Name)
	}
	for i, l := range free.Links {
		told := FeelLink{Finger: l.Finger + 1, Link: l.Joint + 1, RadiusMM: tidy(l.Radius / mm)}
		for k := range 3 {
			told.FromMM[k], told.ToMM[k] = rounded(step.Links[i][0][k]/mm, 1000), rounded(step.Links[i][1][k]/mm, 1000)
		}
		out.Links = append(out.Links, told)
	}
	return out
}
