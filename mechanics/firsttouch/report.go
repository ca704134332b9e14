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
	Directed    bool          `json:"by_direction"`
	How         []HowReport   `json:"how"`
	Guided      *GuidedReport `json:"guided,omitempty"`
}

// GuidedReport is what trials that a person guided say beside the rule.
type GuidedReport struct {
	Trials  int         `json:"trials"`
	NotHeld int         `json:"not_held"`
	TooFew  []FewReport `json:"too_few"`
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
	// PerXMM and PerYMM are how much more for each unit by which the direction's x and y lie beyond AtDirection.
	PerXMM      [3]float64 `json:"per_direction_x_mm"`
	PerYMM      [3]float64 `json:"per_direction_y_mm"`
	AtDirection [2]float64 `json:"at_direction"`
	// LessMM and MoreMM are the moves when the direction is turned from the mean by 30° against the way from the palm's x to its y, and
	// that way.
	LessMM [2]float64 `json:"move_30_deg_less_mm"`
	MoreMM [2]float64 `json:"move_30_deg_more_mm"`
	TooFew bool       `json:"too_few"`
}

// level is that of all intervals.
const level = 0.95

// NewReport tells of a rule. It says nothing of a gain yet; see [Report.AddGain].
func NewReport(l *Learnt) *Report {
	r := &Report{
		Sentence: "The rule was not tried: whether it gains anything is not known.", Learnt: l.Trials, Touched: l.Examples, Directed: l.Directed,
		BeforeMM: 1e3 * l.Rule.Before, AfterMM: 1e3 * l.Rule.After, How: []HowReport{}, Warnings: []string{},
	}
	for _, a := range l.Rule.Advice {
		r.Advice = append(r.Advice, newAdvice(l.Rule, &a))
	}
	for _, h := range l.How {
		r.How = append(r.How, newHow(h))
	}
	if !l.Guided {
		return r
	}
	r.Guided = &GuidedReport{Trials: l.Trials, NotHeld: l.NotHeld, TooFew: []FewReport{}}
	for _, f := range l.Few {
		a := guide.Advice{Finger: f.Finger, Link: -1}
		r.Guided.TooFew = append(r.Guided.TooFew, FewReport{a.String(), f.Examples})
		r.Warnings = append(r.Warnings, fmt.Sprintf("Too few trials in which %s was touched first held (%d; %d are needed): the hand does not move when that is touched.", a.String(), f.Examples, guide.FewestOfEntry))
	}
	r.Warnings = append(r.Warnings, "Guiding by hand puts a person within the robot's reach: only in a mode and at a speed that the risk assessment allows. Nothing here is a safety function.",
		"Learnt from what a person did: it is as good as that person's eye, and for items and places like those.")
	return r
}

func newHow(h HowTold) HowReport {
	told := HowReport{Name: h.Name, Examples: h.Examples, Share: h.Share, P: h.P}
	advice := "Learn by it if the pads tell it."
	if h.Name == "place" {
		advice = "Tell the pads of a link apart and give them numbers of their own."
	}
	switch {
	case h.Examples == 0:
		told.Sentence = fmt.Sprintf("Too few trials touch one link often enough to say whether the %s of the touch matters.", h.Name)
	case h.P < 1-level:
		told.Sentence = fmt.Sprintf("The %s of the touch would tell more: it goes with %.0f %% of what the rule leaves (p = %.2g), and the rule does not use it. %s", h.Name, 100*h.Share, h.P, advice)
	default:
		told.Sentence = fmt.Sprintf("That the %s of the touch tells more does not show (%.0f %% of what the rule leaves, p = %.2g).", h.Name, 100*h.Share, h.P)
	}
	return told
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
	if left := t.Test - pairs.N(); left > 0 {
		r.Warnings = append(r.Warnings, fmt.Sprintf("%d of %d items could not be tried from the direction that fell to them; they do not count.", left, t.Test))
	}
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

// turned is by how much directions are turned to show what they do.
const turned = math.Pi / 6

func newAdvice(rule *guide.Rule, a *guide.Advice) Advice {
	told := Advice{
		Finger: a.Finger + 1, Link: a.Link + 1, Touched: a.String(), Examples: a.Examples, At: a.At,
		TurnDeg: a.Move[guide.Turn] * 180 / math.Pi, TurnHalf: a.Half(guide.Turn, level) * 180 / math.Pi, TooFew: a.Examples < guide.FewestOfEntry,
	}
	for k := range 3 {
		told.MoveMM[k], told.ErrorMM[k], told.PerMM[k], told.HalfMM[k] = 1e3*a.Move[k], 1e3*a.Error[k], 1e3*a.PerCommand[k], 1e3*a.Half(k, level)
	}
	if d := a.ByDirection; d != nil {
		told.AtDirection = d.At
		mean := math.Atan2(d.At[1], d.At[0])
		for by, to := range map[float64]*[2]float64{-turned: &told.LessMM, turned: &told.MoreMM} {
			sin, cos := math.Sincos(mean + by)
			m, _ := rule.Foresee(&guide.Example{Finger: a.Finger, Link: a.Link, Command: a.At, Direction: [2]float64{cos, sin}})
			*to = [2]float64{1e3 * m[guide.MoveX], 1e3 * m[guide.MoveY]}
		}
		for k := range 3 {
			told.PerXMM[k], told.PerYMM[k] = 1e3*d.Per[0][k], 1e3*d.Per[1][k]
		}
	}
	return told
}
