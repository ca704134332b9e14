package firsttouch

import (
	"math"

	"holdfast/domain"
	"holdfast/statistics/guide"
)

// Learnt is a rule and what it was learnt from.
type Learnt struct {
	Rule     *guide.Rule
	Trials   int  // in all
	Examples int  // trials that taught something
	Directed bool // the rule goes by the direction of the touch as well
	Guided   bool // by a person; else simulated
	NotHeld  int  // guided trials that did not end held, or are void: what the person did was no example
	// Few are the fingers that a guided hand touched first in too few trials that held; they get no entry, and the hand does not move
	// when it is touched there.
	Few []FewTouches
	How []HowTold
}

// FewTouches is a finger with too few examples; the palm is −1.
type FewTouches struct{ Finger, Examples int }

// HowTold is whether a way in which touches differed, and which the rule does not go by, would tell more than it knows.
type HowTold struct {
	Name string // place or direction
	guide.Leftover
}

// LearnGuided makes a rule of guided trials, by the direction of their touches as well when that is asked for. KindInvalid when too few
// trials are left to learn from, or when the table has no directions to go by.
func LearnGuided(g *Guided, seed uint64, directed bool) (*Learnt, error) {
	if directed && !g.HasDirection {
		return nil, domain.Errorf(domain.KindInvalid, "the table has no column direction_deg for the rule to go by")
	}
	out := &Learnt{Guided: true, Trials: len(g.Trials)}
	counts := map[int]int{}
	for _, t := range g.Trials {
		if t.Outcome == domain.OutcomeHeld {
			counts[t.Finger]++
		} else {
			out.NotHeld++
		}
	}
	for finger := -1; finger <= mostCounted; finger++ {
		if n := counts[finger]; n > 0 && n < guide.FewestOfEntry {
			out.Few = append(out.Few, FewTouches{finger, n})
		}
	}
	var examples []guide.Example
	var place []float64
	for _, t := range g.Trials {
		if t.Outcome != domain.OutcomeHeld || counts[t.Finger] < guide.FewestOfEntry {
			continue
		}
		e := guide.Example{Finger: t.Finger, Link: t.Link, Command: t.Command, Move: t.Move}
		if g.HasDirection {
			e.Direction = [2]float64{math.Cos(t.Direction), math.Sin(t.Direction)}
		}
		examples, place = append(examples, e), append(place, t.Place)
	}
	if err := out.learn(examples, seed, directed); err != nil {
		return nil, domain.Errorf(domain.KindOf(err), "of %d guided trials %d ended held with a finger that was touched first %d times or more: %v", len(g.Trials), len(examples), guide.FewestOfEntry, err)
	}
	if g.HasPlace {
		out.How = append(out.How, HowTold{"place", out.Rule.Leftover(examples, [][]float64{place}, seed)})
	}
	if g.HasDirection && !directed {
		out.askDirection(examples, seed)
	}
	return out, nil
}

// learn makes the rule of examples.
func (l *Learnt) learn(examples []guide.Example, seed uint64, directed bool) (err error) {
	l.Examples, l.Directed = len(examples), directed
	if directed {
		l.Rule, err = guide.LearnByDirection(examples, seed)
	} else {
		l.Rule, err = guide.Learn(examples, seed)
	}
	return err
}

// askDirection asks whether the direction of a touch would tell more.
func (l *Learnt) askDirection(examples []guide.Example, seed uint64) {
	x, y := make([]float64, len(examples)), make([]float64, len(examples))
	for i, e := range examples {
		x[i], y[i] = e.Direction[0], e.Direction[1]
	}
	l.How = append(l.How, HowTold{"direction", l.Rule.Leftover(examples, [][]float64{x, y}, seed)})
}
