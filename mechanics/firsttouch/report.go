package firsttouch

import (
	"fmt"
	"math"

	"holdfast/statistics/compare"
	"holdfast/statistics/guide"
)

// Report is what a rule says and what it gains, for people: mm and shares.
type Report struct {
	Sentence    string        `json:"sentence"`
	PlacementMM float64       `json:"placement_mm"`
	Learnt      int           `json:"trials_learnt_from"`
	Touched     int           `json:"trials_with_a_touch"`
	BeforeMM    float64       `json:"rms_error_before_mm"`
	AfterMM     float64       `json:"rms_error_after_mm"`
	Advice      []Advice      `json:"rule"`
	Tested      int           `json:"trials_tested"`
	Held        float64       `json:"held_with_rule"`
	HeldBefore  float64       `json:"held_without"`
	Gain        float64       `json:"gain"`
	GainLow     float64       `json:"gain_low"`
	GainHigh    float64       `json:"gain_high"`
	McNemar     float64       `json:"mcnemar_p"`
	Pairs       compare.Pairs `json:"pairs"`
	Warnings    []string      `json:"warnings"`
	Guided      *GuidedReport `json:"guided,omitempty"`
}

// GuidedReport is what trials that a person guided say beside the rule.
type GuidedReport struct {
	Trials  int         `json:"trials"`
	NotHeld int         `json:"not_held"`
	TooFew  []FewReport `json:"too_few"`
	How     []HowReport `json:"how"`
}

// FewReport is a finger that was touched first too seldom.
type FewReport struct {
	Touched  string `json:"touched_first"`
	Examples int    `json:"examples"`
}

// HowReport says whether a way in which touches differed would tell more than the rule knows.
type HowReport struct {
	Name     string  `json:"name"`
	Examples int     `json:"examples"`
	Share    float64 `json:"share"`
	P        float64 `json:"p"`
	Sentence string  `json:"sentence"`
}

// Advice is one entry of the rule. Fingers and links count from 1; finger 0 is the palm, link 0 any link of the finger that has no
// entry of its own. The interval, move ± half, holds 95 %.
type Advice struct {
	Finger   int        `json:"finger"`
	Link     int        `json:"link"`
	Touched  string     `json:"touched_first"`
	Examples int        `json:"examples"`
	At       float64    `json:"at_command"`
	MoveMM   [3]float64 `json:"move_mm"`
	ErrorMM  [3]float64 `json:"move_error_mm"`
	HalfMM   [3]float64 `json:"move_half_mm"`
	TurnDeg  float64    `json:"turn_deg"`
	TurnHalf float64    `json:"turn_half_deg"`
	PerMM    [3]float64 `json:"per_command_mm"`
	TooFew   bool       `json:"too_few"`
}

// level is that of all intervals.
const level = 0.95

// NewReport tells of a rule that was learnt from so many trials, in touched of which there was something to learn. It says nothing of
// a gain yet; see [Report.AddGain].
func NewReport(rule *guide.Rule, trials, touched int) *Report {
	r := &Report{Learnt: trials, Touched: touched, BeforeMM: 1e3 * rule.Before, AfterMM: 1e3 * rule.After, Warnings: []string{}}
	for _, a := range rule.Advice {
		r.Advice = append(r.Advice, newAdvice(&a))
	}
	r.Sentence = "The rule was not tried: whether it gains anything is not known."
	return r
}

// AddGuided tells what else guided trials say.
func (r *Report) AddGuided(g *Guided, learnt *GuidedRule) {
	r.Guided = &GuidedReport{Trials: len(g.Trials), NotHeld: learnt.NotHeld, TooFew: []FewReport{}, How: []HowReport{}}
	for _, f := range learnt.Few {
		a := guide.Advice{Finger: f.Finger, Link: -1}
		r.Guided.TooFew = append(r.Guided.TooFew, FewReport{a.String(), f.Examples})
		r.Warnings = append(r.Warnings, fmt.Sprintf("Too few trials in which %s was touched first held (%d; %d are needed): the hand does not move when that is touched.", a.String(), f.Examples, guide.FewestOfEntry))
	}
	for _, h := range learnt.How {
		told := HowReport{Name: h.Name, Examples: h.Examples, Share: h.Share, P: h.P}
		switch {
		case h.Examples == 0:
			told.Sentence = fmt.Sprintf("Too few trials touch one link often enough to say whether the %s of the touch matters.", h.Name)
		case h.P < 1-level:
			told.Sentence = fmt.Sprintf("The %s of the touch would tell more: it goes with %.0f %% of what the rule leaves (p = %.2g). The rule does not use it; tell the pads of a link apart and give them numbers of their own.", h.Name, 100*h.Share, h.P)
		default:
			told.Sentence = fmt.Sprintf("That the %s of the touch tells more does not show (%.0f %% of what the rule leaves, p = %.2g).", h.Name, 100*h.Share, h.P)
		}
		r.Guided.How = append(r.Guided.How, told)
	}
	r.Warnings = append(r.Warnings, "Guiding by hand puts a person within the robot's reach: only in a mode and at a speed that the risk assessment allows. Nothing here is a safety function.",
		"Learnt from what a person did: it is as good as that person's eye, and for items and places like those.")
}

// AddGain tells what came of the pairs that the task tried. It fails without pairs.
func (r *Report) AddGain(t *Task, pairs compare.Pairs) error {
	paired, err := compare.Matched(pairs, level)
	if err != nil {
		return err
	}
	n := float64(pairs.N())
	r.PlacementMM, r.Tested, r.Pairs = round(1e3*t.Placement, 1e-6), pairs.N(), pairs
	r.Held, r.HeldBefore = float64(pairs.Both+pairs.OnlyA)/n, float64(pairs.Both+pairs.OnlyB)/n
	r.Gain, r.GainLow, r.GainHigh, r.McNemar = paired.Difference, paired.Interval.Low, paired.Interval.High, paired.McNemar.TwoSided
	r.Warnings = append(r.Warnings, "Simulated: the gain on the bench can be another one. Prove it there before it goes on a card.")
	verdict := map[Verdict]string{Helps: "so feeling first helps here", Harms: "so feeling first harms here", Chance: "which may be chance"}[r.Verdict()]
	r.Sentence = fmt.Sprintf("With items off by %g mm (standard deviation, each way) the hand holds %.1f %% with the rule and %.1f %% without, a gain of %.1f points (95 %%: %.1f to %.1f), %s.",
		r.PlacementMM, 100*r.Held, 100*r.HeldBefore, 100*r.Gain, 100*r.GainLow, 100*r.GainHigh, verdict)
	return nil
}

// Verdict is what the interval of a gain says.
type Verdict string

// The verdicts.
const (
	Helps  Verdict = "helps"
	Harms  Verdict = "harms"
	Chance Verdict = "chance" // it sits within chance, as it does before anything was tried
)

// Verdict says on which side of nothing the gain's interval lies.
func (r *Report) Verdict() Verdict {
	switch {
	case r.GainLow > 0:
		return Helps
	case r.GainHigh < 0:
		return Harms
	}
	return Chance
}

func newAdvice(a *guide.Advice) Advice {
	told := Advice{
		Finger: a.Finger + 1, Link: a.Link + 1, Touched: a.String(), Examples: a.Examples, At: a.At,
		TurnDeg: a.Move[guide.Turn] * 180 / math.Pi, TurnHalf: a.Half(guide.Turn, level) * 180 / math.Pi, TooFew: a.Examples < guide.FewestOfEntry,
	}
	for k := range 3 {
		told.MoveMM[k], told.ErrorMM[k], told.PerMM[k], told.HalfMM[k] = 1e3*a.Move[k], 1e3*a.Error[k], 1e3*a.PerCommand[k], 1e3*a.Half(k, level)
	}
	return told
}
