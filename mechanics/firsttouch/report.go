package firsttouch

import (
	"fmt"

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
}

// Advice is one entry of the rule.
type Advice struct {
	Touched  string     `json:"touched_first"`
	Examples int        `json:"examples"`
	At       float64    `json:"at_command"`
	MoveMM   [3]float64 `json:"move_mm"`
	ErrorMM  [3]float64 `json:"move_error_mm"`
	PerMM    [3]float64 `json:"per_command_mm"`
}

// gainLevel is the level of the interval of the gain.
const gainLevel = 0.95

// NewReport tells of a rule that the task learnt from touches in so many of its trials, and of the pairs that it was tried on. It
// fails without pairs.
func NewReport(t *Task, rule *guide.Rule, touched int, pairs compare.Pairs) (*Report, error) {
	paired, err := compare.Matched(pairs, gainLevel)
	if err != nil {
		return nil, err
	}
	n := float64(pairs.N())
	r := &Report{
		PlacementMM: round(1e3*t.Placement, 1e-6), Learnt: t.Learn, Touched: touched, BeforeMM: 1e3 * rule.Before, AfterMM: 1e3 * rule.After,
		Tested: pairs.N(), Held: float64(pairs.Both+pairs.OnlyA) / n, HeldBefore: float64(pairs.Both+pairs.OnlyB) / n,
		Gain: paired.Difference, GainLow: paired.Interval.Low, GainHigh: paired.Interval.High, McNemar: paired.McNemar.TwoSided, Pairs: pairs,
		Warnings: []string{"Simulated: the gain on the bench can be another one. Prove it there before it goes on a card."},
	}
	for _, a := range rule.Advice {
		r.Advice = append(r.Advice, newAdvice(&a))
	}
	verdict := "which may be chance"
	if r.GainLow > 0 {
		verdict = "so feeling first helps here"
	} else if r.GainHigh < 0 {
		verdict = "so feeling first harms here"
	}
	r.Sentence = fmt.Sprintf("With items off by %g mm (standard deviation, each way) the hand holds %.1f %% with the rule and %.1f %% without, a gain of %.1f points (95 %%: %.1f to %.1f), %s.",
		r.PlacementMM, 100*r.Held, 100*r.HeldBefore, 100*r.Gain, 100*r.GainLow, 100*r.GainHigh, verdict)
	return r, nil
}

func newAdvice(a *guide.Advice) Advice {
	told := Advice{Touched: a.String(), Examples: a.Examples, At: a.At}
	for k := range 3 {
		told.MoveMM[k], told.ErrorMM[k], told.PerMM[k] = 1e3*a.Move[k], 1e3*a.Error[k], 1e3*a.PerCommand[k]
	}
	return told
}
