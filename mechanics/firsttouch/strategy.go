package firsttouch

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"holdfast/mechanics/trialsim"
	"holdfast/statistics/guide"
)

// feelSlower is how many times longer the hand takes to close while it feels: a pad needs time to tell.
const feelSlower = 1.5

// Feeling is a strategy that feels first and adjusts; its adjustments may still be missing.
type Feeling struct {
	Strategy trialsim.Strategy
	Feel     int // the phase, from 0, that ends on the first touch; the next one adjusts
}

// NewFeeling is the strategy with a phase that closes until a pad is touched and one that adjusts, before the first that closes. A
// strategy that has both already keeps them. It fails when nothing closes the hand, or when a phase adjusts and the one before
// does not end on a touch.
func NewFeeling(s *trialsim.Strategy) (*Feeling, error) {
	f := &Feeling{Strategy: *s}
	for i, p := range s.Phases {
		if p.Do == trialsim.Adjust {
			if i == 0 || !s.Phases[i-1].UntilTouch {
				return nil, fmt.Errorf("phase %d adjusts, and the one before does not end on a touch", i+1)
			}
			f.Strategy.Phases, f.Feel = slices.Clone(s.Phases), i-1
			return f, nil
		}
	}
	for i, p := range s.Phases {
		if p.Do != trialsim.Close || !(p.Command > 0) {
			continue
		}
		feeling := p
		feeling.Name, feeling.UntilTouch, feeling.Seconds = "feel", true, round(feelSlower*p.Seconds, 1e-3)
		adjusting := trialsim.Phase{Name: "adjust", Do: trialsim.Adjust, Speed: 0.1, Command: -1, MostForce: p.MostForce}
		f.Strategy.Name, f.Strategy.Kind = s.Name+", feeling first", s.Kind+"-feeling"
		f.Strategy.Phases, f.Feel = slices.Concat(s.Phases[:i], []trialsim.Phase{feeling, adjusting}, s.Phases[i:]), i
		return f, nil
	}
	return nil, errors.New("no phase of the strategy closes the hand, so nothing is felt by closing")
}

// Follow makes the strategy adjust by the rule, rounded as a file for people has it.
func (f *Feeling) Follow(rule *guide.Rule) {
	f.Strategy.Phases[f.Feel+1].Adjustments = adjustments(rule)
}

// untilTouch is the strategy up to its first touch, and no farther.
func (f *Feeling) untilTouch() *trialsim.Strategy {
	short := f.Strategy
	short.Phases = append(slices.Clone(short.Phases[:f.Feel+1]), trialsim.Phase{Name: "end", Do: trialsim.Lift, Distance: 1e-3, Command: -1})
	return &short
}

// steepest (m for each unit) is the most that a strategy takes; touches that all came at nearly one command, or from nearly one
// direction, can ask for more.
const steepest = 1

func steep(x float64) float64 {
	return round(1e3*math.Min(math.Max(x, -steepest), steepest), 0.1) / 1e3
}

func adjustments(rule *guide.Rule) (list []trialsim.Adjustment) {
	for _, a := range rule.Advice {
		next := trialsim.Adjustment{Finger: a.Finger, Link: a.Link, At: round(a.At, 1e-4), Low: round(a.Low, 1e-4), High: round(a.High, 1e-4)}
		for k := range next.Move {
			next.Move[k] = round(1e3*a.Move[k], 0.01) / 1e3 // in mm, as the file has it, so that it is written short
			next.PerCommand[k] = steep(a.PerCommand[k])
		}
		if d := a.ByDirection; d != nil {
			next.ByDirection = &trialsim.ByDirection{}
			for k := range next.Move {
				next.ByDirection.PerX[k], next.ByDirection.PerY[k] = steep(d.Per[0][k]), steep(d.Per[1][k])
			}
			for k := range d.At {
				next.ByDirection.At[k], next.ByDirection.Low[k], next.ByDirection.High[k] = round(d.At[k], 1e-3), round(d.Low[k], 1e-3), round(d.High[k], 1e-3)
			}
		}
		next.Turn = round(a.Move[guide.Turn]*180/math.Pi, 0.1) * (math.Pi / 180)
		list = append(list, next)
	}
	return list
}

// round is x to the nearest multiple of a unit: a file for people, tested as it is written.
func round(x, unit float64) float64 { return math.Round(x/unit) / math.Round(1/unit) }
