// Package picks tries the shipped hands on the shipped items, and compares who held what pair by pair. It serves the programs that ask
// what giving, surroundings and strategies are worth. They run in the project's own folder.
package picks

import (
	"context"
	"fmt"
	"math"
	"os"

	"holdfast/domain"
	"holdfast/mechanics/trialsim"
	"holdfast/scenes"
	"holdfast/statistics/compare"
)

// Level is that of all intervals.
const Level = 0.9

// Degree is one in radians.
const Degree = math.Pi / 180

// Scene puts a shipped scene together. Items lie off by a standard deviation of mm along x and along y; the hold is shortened to 0.3 s
// and nothing is shaken.
func Scene(c domain.Condition, mm float64) (*trialsim.Scene, error) {
	s, err := scenes.ReadCondition(os.DirFS("examples/scenes"), nil, c)
	if err != nil {
		return nil, err
	}
	var phases []trialsim.Phase
	for _, p := range s.Strategy.Phases {
		switch p.Do {
		case trialsim.Hold:
			p.Seconds = 0.3
		case trialsim.Shake:
			continue
		}
		phases = append(phases, p)
	}
	s.Strategy.Phases = phases
	s.Gravity, s.Closing, s.Error = 9.81, 1, trialsim.PlacementError{X: mm / 1e3, Y: mm / 1e3}
	return s, nil
}

// Tried is what came of trials, in their order.
type Tried struct {
	Held []bool
	Void int // of those not held: the planner saw no way
}

// Count is the number of trials that were held.
func (t *Tried) Count() (k int) {
	for _, h := range t.Held {
		if h {
			k++
		}
	}
	return k
}

// Try makes n trials at steps of 2 ms. What they give does not depend on the number of workers.
func Try(ctx context.Context, s *trialsim.Scene, n, workers int, attempt func(k int) trialsim.Attempt) (*Tried, error) {
	t := &Tried{}
	b := trialsim.Batch{Scene: s, Step: 2e-3, Workers: workers, Count: n, Attempt: attempt}
	err := b.Run(ctx, func(d *trialsim.Done) error {
		t.Held = append(t.Held, d.Result.Outcome == trialsim.Held)
		if d.Result.Outcome == trialsim.Void {
			t.Void++
		}
		return nil
	})
	return t, err
}

// AddPairs adds trials of two that had the same draws.
func AddPairs(p *compare.Pairs, a, b *Tried) {
	for i, x := range a.Held {
		switch y := b.Held[i]; {
		case x && y:
			p.Both++
		case x:
			p.OnlyA++
		case y:
			p.OnlyB++
		default:
			p.Neither++
		}
	}
}

// Verdict says in words how much more often the first of the pairs held, with its interval at [Level].
func Verdict(p compare.Pairs) (string, error) {
	m, err := compare.Matched(p, Level)
	if err != nil {
		return "", err
	}
	verdict := "no difference shown"
	switch {
	case m.Interval.Low > 0:
		verdict = "better"
	case m.Interval.High < 0:
		verdict = "worse"
	}
	return fmt.Sprintf("%+.2f (%+.2f to %+.2f, %d pairs): %s", m.Difference, m.Interval.Low, m.Interval.High, p.N(), verdict), nil
}

// Closing says how far all of it may be believed.
const Closing = "A computation on invented items and hands, not a bench: what a line runs is proved with the real hand."
