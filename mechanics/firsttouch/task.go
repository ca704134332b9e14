package firsttouch

import (
	"context"
	"math"

	"holdfast/domain"
	"holdfast/mechanics/trialsim"
	"holdfast/orient"
	"holdfast/statistics/compare"
	"holdfast/statistics/guide"
)

// Task says on what a hand learns in simulation and is tested. The same task gives the same answer, whatever the workers.
type Task struct {
	Scene     *trialsim.Scene // with the strategy that does without feeling; it is not changed
	Learn     int             // trials to learn from
	Test      int             // further trials that are tried both ways
	Placement float64         // m, standard deviation of the item's place along x and along y, in learning and testing
	TiltMax   float64         // rad, largest tilt of the approach directions
	Closing   float64         // closing command, 0…1
	Seed      uint64          // decides directions, sizes and places of the items
	Workers   int             // how many trials run at once, at least 1
	Direction bool            // pads tell in which direction the item lies from them, and the rule goes by it
	Step      float64         // s; 0 stands for [trialsim.DefaultStep]
	// Progress is told after each trial how many of the stage are through; nil: nobody asks.
	Progress func(stage string, done, of int)
}

// The stages that Progress is told.
const (
	Learning    = "learning"
	TestingRule = "testing with the rule"
	TestingOwn  = "testing without"
)

// LearnRule tries the feeling strategy up to its first touch, and learns from which link was touched at which command, with
// Direction also in which direction, where the palm should have been. Only here is it used where the item really lay. KindInvalid
// when something was touched in too few trials.
func (t *Task) LearnRule(ctx context.Context, f *Feeling) (*Learnt, error) {
	var examples []guide.Example
	err := t.try(ctx, Learning, f.untilTouch(), 0, t.Learn, func(d *trialsim.Done) {
		felt := d.Result.Touch
		if felt == nil || d.Result.Outcome == trialsim.Void {
			return
		}
		examples = append(examples, guide.Example{
			Finger: felt.Finger, Link: felt.Link, Command: felt.Command, Direction: felt.Direction, Move: rightMove(d.Attempt.Orientation, d.Result.Offset),
		})
	})
	if err != nil {
		return nil, err
	}
	out := &Learnt{Trials: t.Learn}
	if err := out.learn(examples, t.Seed, t.Direction); err != nil {
		return nil, domain.Errorf(domain.KindOf(err), "in %d of %d trials something was touched: %v", len(examples), t.Learn, err)
	}
	if !t.Direction {
		out.askDirection(examples, t.Seed)
	}
	return out, nil
}

// rightMove is how the palm that was asked for should have moved, along its own axes, to stand over an item that lay off by so much (m).
func rightMove(asked orient.Rotation, offset orient.Vec3) guide.Move {
	v := asked.Mul(orient.RotX(math.Pi)).Inverse().Apply(offset)
	return guide.Move{v[0], v[1], v[2]}
}

// TryBoth tries the same items in the same places with the feeling strategy (A) and by the scene's own (B), none of which the rule
// was learnt from. Directions from which nothing can be tried make no pair.
func (t *Task) TryBoth(ctx context.Context, f *Feeling) (p compare.Pairs, err error) {
	with, err := t.outcomes(ctx, TestingRule, &f.Strategy)
	if err != nil {
		return p, err
	}
	without, err := t.outcomes(ctx, TestingOwn, &t.Scene.Strategy)
	if err != nil {
		return p, err
	}
	for i, a := range with {
		switch b := without[i]; {
		case a == trialsim.Void || b == trialsim.Void:
		case a == trialsim.Held && b == trialsim.Held:
			p.Both++
		case a == trialsim.Held:
			p.OnlyA++
		case b == trialsim.Held:
			p.OnlyB++
		default:
			p.Neither++
		}
	}
	return p, nil
}

func (t *Task) outcomes(ctx context.Context, stage string, s *trialsim.Strategy) (list []trialsim.Outcome, err error) {
	err = t.try(ctx, stage, s, t.Learn, t.Test, func(d *trialsim.Done) { list = append(list, d.Result.Outcome) })
	return list, err
}

// try runs trials of the scene with another strategy.
func (t *Task) try(ctx context.Context, stage string, s *trialsim.Strategy, first, count int, each func(*trialsim.Done)) error {
	scene := *t.Scene
	scene.Strategy = *s
	scene.Error.X, scene.Error.Y = t.Placement, t.Placement
	batch := trialsim.Batch{Scene: &scene, Step: t.Step, Workers: t.Workers, First: first, Count: count, Attempt: func(n int) trialsim.Attempt {
		return trialsim.Attempt{Closing: t.Closing, Seed: t.Seed, Number: n, Orientation: trialsim.RandomOrientation(t.Seed, n, t.TiltMax)}
	}}
	return batch.Run(ctx, func(d *trialsim.Done) error {
		each(d)
		if t.Progress != nil {
			t.Progress(stage, d.Number-first+1, count)
		}
		return nil
	})
}
