package firsttouch_test

import (
	"context"
	"errors"
	"math"
	"reflect"
	"strings"
	"testing"

	"holdfast/bench/peerscene"
	"holdfast/mechanics/firsttouch"
	"holdfast/mechanics/trialsim"
	"holdfast/statistics/compare"
	"holdfast/statistics/guide"
)

// task is a three-finger hand over an item that lies elsewhere than believed.
func task(t testing.TB) *firsttouch.Task {
	t.Helper()
	scene, err := peerscene.Peer().Scene(peerscene.Surface())
	if err != nil {
		t.Fatal(err)
	}
	scene.Strategy = trialsim.Strategy{Name: "own", Kind: "own", Clearance: 0.003, Standoff: 0.1, Phases: []trialsim.Phase{
		{Do: trialsim.Move, To: trialsim.Above}, {Do: trialsim.Move, To: trialsim.Grasp, Command: -1}, {Do: trialsim.Close, Seconds: 0.5, Command: 1},
		{Do: trialsim.Lift, Distance: 0.05, Command: -1},
	}}
	return &firsttouch.Task{Scene: scene, Learn: 60, Test: 12, Placement: 0.012, Closing: 1, Seed: 1, Workers: 1, Step: 2e-3}
}

// The finger that is touched first lies on the side where the item lies, so its advice points from the palm's axis to its root.
func TestHandsLearnToMoveTowardsWhatTheyTouched(t *testing.T) {
	task := task(t)
	f, err := firsttouch.NewFeeling(&task.Scene.Strategy)
	if err != nil {
		t.Fatal(err)
	}
	calls := 0
	task.Progress = func(stage string, done, of int) {
		calls++
		if stage != firsttouch.Learning || done != calls || of != 60 {
			t.Fatalf("call %d: %s, %d of %d", calls, stage, done, of)
		}
	}
	learnt, err := task.LearnRule(t.Context(), f)
	if err != nil {
		t.Fatal(err)
	}
	rule, touched := learnt.Rule, learnt.Examples
	if calls != 60 || touched < 50 || touched != rule.Examples || !(rule.After < 0.9*rule.Before) {
		t.Errorf("told %d times; %d touches, %d examples; %g m before, %g after", calls, touched, rule.Examples, rule.Before, rule.After)
	}
	for finger := range task.Scene.Hand.Fingers {
		root := task.Scene.Hand.Fingers[finger].Root
		m, ok := rule.For(finger, -1, 0.2)
		if along := (m[0]*root[0] + m[1]*root[1]) / math.Hypot(root[0], root[1]); !ok || along < 0.003 {
			t.Errorf("finger %d, rooted at %v: move %v, %g m towards it", finger+1, root, m, along)
		}
	}
	task.Workers, task.Progress = 3, nil
	if again, err := task.LearnRule(t.Context(), f); err != nil || !reflect.DeepEqual(again, learnt) {
		t.Errorf("three workers learn something else than one: %v", err)
	}
	// The direction of the touch tells more, as is said, and the rule that goes by it is nearer.
	if h := learnt.How; len(h) != 1 || h[0].Name != "direction" || h[0].P > 0.01 {
		t.Errorf("%+v", h)
	}
	task.Direction = true
	directed, err := task.LearnRule(t.Context(), f)
	if err != nil {
		t.Fatal(err)
	}
	if len(directed.How) != 0 || !(directed.Rule.After < 0.85*rule.After) {
		t.Errorf("%g m by direction, %g m without; %+v", directed.Rule.After, rule.After, directed.How)
	}
	f.Follow(directed.Rule)
	if err := f.Strategy.Check(); err != nil || f.Strategy.Phases[f.Feel+1].Adjustments[0].ByDirection == nil {
		t.Errorf("%v: %+v", err, f.Strategy.Phases[f.Feel+1])
	}
}

// Both ways are tried on the same items: a strategy against itself differs in no pair.
func TestPairsAreTheSameTrials(t *testing.T) {
	task := task(t)
	f := &firsttouch.Feeling{Strategy: task.Scene.Strategy}
	pairs, err := task.TryBoth(t.Context(), f)
	if err != nil {
		t.Fatal(err)
	}
	if pairs.OnlyA != 0 || pairs.OnlyB != 0 || pairs.N() != 12 || pairs.Both == 0 || pairs.Neither == 0 {
		t.Errorf("%+v: twelve pairs that agree, held and not held among them, were meant", pairs)
	}
	if task.Scene.Error.X != 0 {
		t.Errorf("the task's scene was changed: %+v", task.Scene.Error)
	}
}

// What can not be tried is no failure of either way.
func TestDirectionsThatCanNotBeTriedMakeNoPair(t *testing.T) {
	task := task(t)
	task.TiltMax = math.Pi // from below, through the support
	possible := 0
	scene := *task.Scene
	scene.Error.X, scene.Error.Y = task.Placement, task.Placement
	batch := trialsim.Batch{Scene: &scene, Step: task.Step, Workers: 1, First: task.Learn, Count: task.Test, Attempt: func(n int) trialsim.Attempt {
		return trialsim.Attempt{Closing: 1, Seed: 1, Number: n, Orientation: trialsim.RandomOrientation(1, n, math.Pi)}
	}}
	if err := batch.Run(t.Context(), func(d *trialsim.Done) error {
		if d.Result.Outcome != trialsim.Void {
			possible++
		}
		return nil
	}); err != nil {
		t.Fatal(err)
	}
	pairs, err := task.TryBoth(t.Context(), &firsttouch.Feeling{Strategy: task.Scene.Strategy})
	if err != nil {
		t.Fatal(err)
	}
	if possible == 0 || possible == task.Test || pairs.N() != possible {
		t.Errorf("%+v, of %d items of %d that could be tried", pairs, possible, task.Test)
	}
	r := firsttouch.NewReport(&firsttouch.Learnt{Rule: &guide.Rule{}})
	if err := r.AddGain(task, pairs); err != nil || !strings.Contains(strings.Join(r.Warnings, " "), "could not be tried") {
		t.Errorf("%v: %q", err, r.Warnings)
	}
}

func TestStoppingStops(t *testing.T) {
	task := task(t)
	f, err := firsttouch.NewFeeling(&task.Scene.Strategy)
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(t.Context())
	task.Progress = func(_ string, done, _ int) {
		if done == 2 {
			stop()
		}
	}
	if _, err := task.LearnRule(ctx, f); !errors.Is(err, context.Canceled) {
		t.Errorf("%v", err)
	}
}

func TestFeelingFirst(t *testing.T) {
	reach, shut := trialsim.Phase{Do: trialsim.Move, To: trialsim.Grasp}, trialsim.Phase{Do: trialsim.Close, Seconds: 0.8, Command: 1, MostForce: 60}
	feel, adjust := trialsim.Phase{Do: trialsim.Close, Seconds: 2, Command: 1, UntilTouch: true}, trialsim.Phase{Do: trialsim.Adjust}
	own := trialsim.Strategy{Name: "Free", Kind: "free", Phases: []trialsim.Phase{reach, {Do: trialsim.Close, Seconds: 1}, shut}}
	f, err := firsttouch.NewFeeling(&own)
	if err != nil {
		t.Fatal(err)
	}
	if p := f.Strategy.Phases; f.Feel != 2 || len(p) != 5 || !p[2].UntilTouch || p[2].Seconds != 1.2 || p[3].Do != trialsim.Adjust || p[3].MostForce != 60 || p[4].UntilTouch {
		t.Errorf("%+v", f)
	}
	if f.Strategy.Kind != "free-feeling" || len(own.Phases) != 3 {
		t.Errorf("kind %q; the strategy itself has %d phases now", f.Strategy.Kind, len(own.Phases))
	}
	f.Follow(&guide.Rule{Advice: []guide.Advice{{Finger: 1, Link: -1, At: 0.123456, Move: guide.Move{0.0123456, 0, 0, 0.2618}}}})
	if a := f.Strategy.Phases[3].Adjustments; len(a) != 1 || a[0].At != 0.1235 || a[0].Move[0] != 0.01235 || math.Abs(a[0].Turn-15*math.Pi/180) > 1e-15 {
		t.Errorf("%+v", a)
	}
	has := trialsim.Strategy{Kind: "own", Phases: []trialsim.Phase{reach, feel, adjust, shut}}
	if f, err = firsttouch.NewFeeling(&has); err != nil || f.Feel != 1 || f.Strategy.Kind != "own" || len(f.Strategy.Phases) != 4 {
		t.Errorf("%+v %v", f, err)
	}
	f.Follow(&guide.Rule{Advice: []guide.Advice{{}}})
	if has.Phases[2].Adjustments != nil {
		t.Error("the strategy that was given was changed")
	}
	for want, phases := range map[string][]trialsim.Phase{
		"phase 2 adjusts":      {shut, adjust},
		"phase 1 adjusts":      {adjust, shut},
		"nothing is felt by c": {reach, {Do: trialsim.Close, Seconds: 1, Command: 0}},
	} {
		if _, err := firsttouch.NewFeeling(&trialsim.Strategy{Phases: phases}); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v does not say %q", err, want)
		}
	}
}

func TestReportSaysWhatTheGainIs(t *testing.T) {
	rule := &guide.Rule{Advice: []guide.Advice{{Finger: 0, Link: 1, Examples: 7, Move: guide.Move{0.004}}}, Before: 0.02, After: 0.01}
	for want, pairs := range map[string]compare.Pairs{
		"helps here":          {Both: 50, OnlyA: 40, OnlyB: 5, Neither: 5},
		"harms here":          {Both: 50, OnlyA: 5, OnlyB: 40, Neither: 5},
		"which may be chance": {Both: 50, OnlyA: 6, OnlyB: 5, Neither: 39},
	} {
		r := firsttouch.NewReport(&firsttouch.Learnt{Rule: rule, Trials: 60, Examples: 55})
		if r.Tested != 0 || !strings.Contains(r.Sentence, "not tried") {
			t.Errorf("untried: %+v", r)
		}
		if err := r.AddGain(task(t), pairs); err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(r.Sentence, want) || !strings.Contains(r.Sentence, "off by 12 mm") || r.Advice[0].Touched != "finger 1, link 2" || r.Advice[0].MoveMM[0] != 4 || r.BeforeMM != 20 {
			t.Errorf("%+v does not say %q", r, want)
		}
	}
	if err := firsttouch.NewReport(&firsttouch.Learnt{Rule: rule}).AddGain(task(t), compare.Pairs{}); err == nil {
		t.Error("no pairs gave a gain")
	}
}
