// Package guide learns where a hand should move from what it touched first. Its examples are trials in which the right move
// is known: a person guided the hand, or a simulation knows how far the item lay from where it was believed. Its rule is a
// table with an entry for each link of each finger.
package guide

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"holdfast/domain"
	"holdfast/numeric"
)

// Numbers of what a rule foresees: the move along the palm's x, y, z (m) and the turn about its z (rad).
const (
	MoveX = iota
	MoveY
	MoveZ
	Turn
	outputs
)

// Move is a move along the palm's x, y and z (m) and a turn about its z (rad).
type Move [outputs]float64

// Example is one trial.
type Example struct {
	Finger, Link int     // touched first, from 0; the palm is −1, −1
	Command      float64 // closing command at the touch, 0…1
	// Direction is in which the item lies from the pad: x and y of a unit vector in the palm's frame; both 0: not known.
	Direction [2]float64
	Move      Move // that would have been right
}

// Advice is one entry of a rule.
type Advice struct {
	Finger, Link int // Link −1: any of the finger's that has no entry of its own
	Examples     int
	At           float64 // mean closing command of the touches
	Low, High    float64 // the least and the most of them: nothing is foreseen from beyond
	Move         Move    // at that command
	PerCommand   Move    // more for each unit of command
	Error        Move    // standard error of the move
	Plain        Move    // standard error of the mean of its examples, before it is drawn in
	Freedom      float64 // degrees of freedom behind both
	ByDirection  *Slopes // more by the direction of the touch; nil: the rule does not go by it
}

// Slopes are by how much more an entry moves for each unit by which the x and the y of a direction lie beyond those of At, the mean;
// Low and High bound those learnt from.
type Slopes struct {
	Per           [2]Move
	At, Low, High [2]float64
}

// Rule is what the examples teach.
type Rule struct {
	Advice   []Advice // by finger and link; each finger's own entry (Link −1) before its links
	Examples int
	// Before is the root of the mean squared distance (m) by which the hand stood wrong in the examples, After what is left
	// of it in examples that the rule did not learn from, and Explained the share of the mean square that it takes away.
	Before, After, Explained float64
}

const (
	// folds of the examples that After is taken from.
	folds = 10
	// fewest examples of a link that get an entry of their own.
	fewest = 5
	// Fewest is the smallest number of examples that a rule is learnt from, FewestOfEntry that below which an entry says little.
	Fewest        = 20
	FewestOfEntry = fewest
)

// Learn makes the rule: each entry's mean move and its slope against the closing command, drawn towards no move and no slope as
// far as their own errors ask. Means are drawn by n·τ²/(n·τ² + σ²), with σ² the variance within entries and τ² that between
// them by moments (the predictor of random effects in a one-way layout: S. R. Searle, G. Casella and C. E. McCulloch, Variance
// Components, 1992; from memory), slopes by 1 − 1/t² where that is positive (common practice, no source). seed decides the folds.
func Learn(examples []Example, seed uint64) (*Rule, error) {
	return learnRule(examples, seed, false)
}

// LearnByDirection is Learn for pads that tell the direction of a touch: the move has slopes against its x and y as well. All slopes
// of an entry are fitted together and drawn towards none by 1 − 1/F where that is positive (common practice, no source).
func LearnByDirection(examples []Example, seed uint64) (*Rule, error) {
	return learnRule(examples, seed, true)
}

func learnRule(examples []Example, seed uint64, directed bool) (*Rule, error) {
	if len(examples) < Fewest {
		return nil, domain.Errorf(domain.KindInvalid, "%d examples; at least %d in which something was touched are needed", len(examples), Fewest)
	}
	for i, e := range examples {
		sum := e.Command + e.Direction[0] + e.Direction[1]
		for _, x := range e.Move {
			sum += math.Abs(x)
		}
		if math.IsNaN(sum) || math.IsInf(sum, 0) || e.Finger < -1 || e.Link < -1 || math.Hypot(e.Direction[0], e.Direction[1]) > 1+1e-9 {
			return nil, domain.Errorf(domain.KindInvalid, "example %d is not whole: %+v", i+1, e)
		}
	}
	r := &Rule{Advice: learn(examples, directed), Examples: len(examples)}
	r.validate(examples, seed, directed)
	return r, nil
}

// For is the rule's move for a touch whose direction is not known; none if it has no entry for that finger.
func (r *Rule) For(finger, link int, command float64) (m Move, ok bool) {
	return r.Foresee(&Example{Finger: finger, Link: link, Command: command})
}

// Foresee is the rule's move for a touch; none if it has no entry for that finger. The example's own move is not looked at.
func (r *Rule) Foresee(e *Example) (m Move, ok bool) { return moveOf(r.Advice, e) }

func moveOf(list []Advice, e *Example) (m Move, ok bool) {
	for i := range list {
		a := &list[i]
		if a.Finger == e.Finger && (a.Link == e.Link || a.Link == -1) {
			ok = true
			at := math.Min(math.Max(e.Command, a.Low), a.High) - a.At
			for k := range m {
				m[k] = a.Move[k] + a.PerCommand[k]*at
			}
			if s := a.ByDirection; s != nil && e.Direction != [2]float64{} {
				for axis := range 2 {
					at := math.Min(math.Max(e.Direction[axis], s.Low[axis]), s.High[axis]) - s.At[axis]
					for k := range m {
						m[k] += s.Per[axis][k] * at
					}
				}
			}
			if a.Link == e.Link {
				break
			}
		}
	}
	return m, ok
}

type key struct{ finger, link int }

// learn makes the entries.
func learn(examples []Example, directed bool) []Advice {
	whole, own := map[key][]Example{}, map[key][]Example{}
	for _, e := range examples {
		whole[key{e.Finger, -1}] = append(whole[key{e.Finger, -1}], e)
		own[key{e.Finger, e.Link}] = append(own[key{e.Finger, e.Link}], e)
	}
	list := entries(whole, 1, directed)
	for _, a := range entries(own, fewest, directed) {
		if a.Link >= 0 {
			list = append(list, a)
		}
	}
	slices.SortFunc(list, func(a, b Advice) int { return cmp.Or(cmp.Compare(a.Finger, b.Finger), cmp.Compare(a.Link, b.Link)) })
	return list
}

// entries fits one entry to each group that has enough examples.
func entries(groups map[key][]Example, enough int, directed bool) []Advice {
	var list []Advice
	var sums []sum
	for k, group := range groups {
		if len(group) >= enough {
			list = append(list, Advice{Finger: k.finger, Link: k.link, Examples: len(group)})
		}
	}
	slices.SortFunc(list, func(a, b Advice) int { return cmp.Or(cmp.Compare(a.Finger, b.Finger), cmp.Compare(a.Link, b.Link)) })
	for i := range list {
		sums = append(sums, sumOf(groups[key{list[i].Finger, list[i].Link}]))
		list[i].At, list[i].Low, list[i].High = sums[i].command, sums[i].low, sums[i].high
		if directed {
			sums[i].direct(groups[key{list[i].Finger, list[i].Link}], &list[i])
		}
	}
	for out := range outputs {
		var within, freedom, between, n float64
		for i := range sums {
			s := &sums[i]
			within += s.square[out] - s.explained(out)
			freedom += math.Max(0, float64(s.n)-1-s.lines())
			between += float64(s.n) * s.mean[out] * s.mean[out]
			n += float64(s.n)
		}
		variance := math.Max(0, within) / math.Max(freedom, 1)
		spread := math.Max(0, (between-float64(len(sums))*variance)/n)
		for i := range sums {
			s, a := &sums[i], &list[i]
			count := float64(s.n)
			draw := 0.0
			if spread > 0 {
				draw = count * spread / (count*spread + variance)
			}
			a.Move[out] = draw * s.mean[out]
			a.Error[out], a.Plain[out], a.Freedom = math.Sqrt(draw*variance/count), math.Sqrt(variance/count), math.Max(freedom, 1)
			if directed {
				s.slopes(out, variance, a)
				continue
			}
			slope := s.slope(out)
			if t2 := slope * slope * s.width / variance; t2 > 1 || variance == 0 {
				a.PerCommand[out] = slope
				if variance > 0 {
					a.PerCommand[out] *= 1 - 1/t2
				}
			}
		}
	}
	return list
}

// sum is what a group's fit needs.
type sum struct {
	n       int
	command float64 // mean
	low     float64
	high    float64
	width   float64 // sum of squares of the commands about their mean
	mean    Move
	square  Move   // sums of squares about the means
	cross   Move   // sums of products with the commands about the means
	bent    *plane // slopes against command and direction together; nil: against the command alone
}

func sumOf(group []Example) (s sum) {
	s.n, s.low, s.high = len(group), math.Inf(1), math.Inf(-1)
	for _, e := range group {
		s.command += e.Command / float64(s.n)
		s.low, s.high = math.Min(s.low, e.Command), math.Max(s.high, e.Command)
		for k, x := range e.Move {
			s.mean[k] += x / float64(s.n)
		}
	}
	for _, e := range group {
		d := e.Command - s.command
		s.width += d * d
		for k, x := range e.Move {
			s.square[k] += (x - s.mean[k]) * (x - s.mean[k])
			s.cross[k] += d * (x - s.mean[k])
		}
	}
	return s
}

// narrow is the variance of commands below which a slope means nothing.
const narrow = 1e-8

// sloped is 1 if the group has a slope.
func (s *sum) sloped() float64 {
	if s.n < 3 || s.width <= narrow*float64(s.n) {
		return 0
	}
	return 1
}

func (s *sum) slope(out int) float64 {
	if s.sloped() == 0 {
		return 0
	}
	return s.cross[out] / s.width
}

// validate fills in how far the hand stood wrong before and after, by cross-validation.
func (r *Rule) validate(examples []Example, seed uint64, directed bool) {
	order := numeric.Stream(seed, "guide folds").Perm(len(examples))
	before, after := 0.0, 0.0
	for fold := range folds {
		var learnt []Example
		for at, i := range order {
			if at%folds != fold {
				learnt = append(learnt, examples[i])
			}
		}
		rule := learn(learnt, directed)
		for at, i := range order {
			if at%folds != fold {
				continue
			}
			e := &examples[i]
			m, _ := moveOf(rule, e)
			for k := range Turn { // the moves alone: turns are another unit
				before += e.Move[k] * e.Move[k]
				after += (e.Move[k] - m[k]) * (e.Move[k] - m[k])
			}
		}
	}
	n := float64(len(examples))
	r.Before, r.After = math.Sqrt(before/n), math.Sqrt(after/n)
	if before > 0 {
		r.Explained = 1 - after/before
	}
}

// String says what an entry is for.
func (a *Advice) String() string {
	if a.Finger < 0 {
		return "the palm"
	}
	if a.Link < 0 {
		return fmt.Sprintf("finger %d", a.Finger+1)
	}
	return fmt.Sprintf("finger %d, link %d", a.Finger+1, a.Link+1)
}
