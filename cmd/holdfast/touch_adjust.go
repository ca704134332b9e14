package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"text/tabwriter"
	"time"

	"holdfast/mechanics/firsttouch"
	"holdfast/scenes"
	"holdfast/statistics/guide"
)

type touchAdjustCommand struct {
	Scene       string  `placeholder:"FILE.yaml" help:"The scene whose hand is to learn, or in which what --guided teaches is tried; see docs/scenes.md."`
	Guided      string  `placeholder:"TRIALS.csv" help:"Learn from trials in which a person guided the hand, in place of simulated ones: finger, link, command, move_x_mm, move_y_mm, turn_deg, outcome …; see docs/formats.md."`
	Learn       int     `default:"2000" placeholder:"N" help:"Simulated trials to learn from."`
	Test        int     `default:"500" placeholder:"N" help:"Further trials that are tried both ways, to see what the rule gains."`
	PlacementMM float64 `name:"placement-mm" default:"15" placeholder:"SD" help:"Standard deviation of the item's place along x and along y, in learning and testing."`
	TiltMax     float64 `default:"20" placeholder:"DEG" help:"Largest tilt of the approach directions."`
	Closing     float64 `default:"-1" placeholder:"SHARE" help:"Closing command from 0 to 1; by default the scene's."`
	Direction   bool    `help:"Also go by the direction in which the item lies from the pad, for pads that tell it."`
	Seed        uint64  `default:"1" help:"Decides directions, sizes and places of the items."`
	Workers     int     `placeholder:"W" help:"How many trials run at once; by default one on each core. The result does not depend on it."`
	Out         string  `placeholder:"STRATEGY.yaml" help:"File to write the strategy with its rule to; by default none."`
	JSON        bool    `name:"json" help:"Print the result as JSON."`
}

// Run learns the rule, in simulation or from guided trials, and tests it on trials that it did not learn from.
func (c *touchAdjustCommand) Run(env *environment) error {
	switch {
	case c.Scene == "" && c.Guided == "":
		return usageError{errors.New("name a scene to learn in with --scene, a table of guided trials with --guided, or both")}
	case c.Scene == "" && c.Out != "":
		return usageError{errors.New("--out writes a strategy, whose other phases come from a scene; name one with --scene")}
	}
	var task *firsttouch.Task
	var feeling *firsttouch.Feeling
	var err error
	if c.Scene != "" {
		if task, err = c.task(); err != nil {
			return err
		}
		if feeling, err = firsttouch.NewFeeling(&task.Scene.Strategy); err != nil {
			return inputError{fmt.Errorf("%s: %w", c.Scene, err)}
		}
	}
	if task != nil {
		tell := spaced(env.stderr, time.Now)
		task.Progress = func(stage string, done, of int) { tell("%s: %d of %d trials", stage, done, of) }
	}
	learnt, note, err := c.learn(env, task, feeling)
	if err != nil {
		return badInput(err)
	}
	report := firsttouch.NewReport(learnt)
	if task != nil {
		feeling.Follow(learnt.Rule)
		pairs, err := task.TryBoth(env.ctx, feeling)
		if err != nil {
			return err
		}
		if err := report.AddGain(task, pairs); err != nil {
			return err
		}
	}
	if c.Out != "" {
		if err := os.WriteFile(c.Out, scenes.WriteStrategy(&feeling.Strategy, note), 0o666); err != nil {
			return err
		}
	}
	if c.JSON {
		out := json.NewEncoder(env.stdout)
		out.SetIndent("", "  ")
		return out.Encode(report)
	}
	return printAdjust(env, report)
}

// learn makes the rule; note says in the strategy's file where it comes from. task and feeling are nil without a scene.
func (c *touchAdjustCommand) learn(env *environment, task *firsttouch.Task, feeling *firsttouch.Feeling) (learnt *firsttouch.Learnt, note string, err error) {
	if c.Guided == "" {
		note := fmt.Sprintf("Learnt by holdfast touch adjust from %d simulated trials of %s with items off by %g mm, seed %d.", c.Learn, filepath.Base(c.Scene), c.PlacementMM, c.Seed)
		learnt, err := task.LearnRule(env.ctx, feeling)
		return learnt, note, err
	}
	table, err := readSensors(c.Guided, firsttouch.ReadGuided)
	if err != nil {
		return nil, "", err
	}
	if task != nil {
		task.Learn = 0 // no simulated trial teaches anything, so all can test
		if err := table.Check(&task.Scene.Hand); err != nil {
			return nil, "", fmt.Errorf("%s: %w", filepath.Base(c.Guided), err)
		}
	}
	if learnt, err = firsttouch.LearnGuided(table, c.Seed, c.Direction); err != nil {
		return nil, "", fmt.Errorf("%s: %w", filepath.Base(c.Guided), err)
	}
	return learnt, fmt.Sprintf("Learnt by holdfast touch adjust from %d guided trials of %s that held.", learnt.Examples, filepath.Base(c.Guided)), nil
}

// task checks the command line and reads the scene.
func (c *touchAdjustCommand) task() (*firsttouch.Task, error) {
	if c.Workers == 0 {
		c.Workers = runtime.NumCPU()
	}
	switch {
	case c.Workers < 1 || c.Workers > 1024:
		return nil, usageError{fmt.Errorf("--workers is %d; it must be at least 1", c.Workers)}
	case c.Learn < guide.Fewest || c.Learn > 1_000_000 || c.Test < 1 || c.Test > 1_000_000:
		return nil, usageError{fmt.Errorf("--learn is %d and --test %d; at least %d and 1, at most a million", c.Learn, c.Test, guide.Fewest)}
	case !(c.PlacementMM > 0 && c.PlacementMM <= 100):
		return nil, usageError{fmt.Errorf("--placement-mm is %g; it must lie above 0, up to 100: without an error there is nothing to adjust", c.PlacementMM)}
	case !(c.TiltMax >= 0 && c.TiltMax <= 90):
		return nil, usageError{fmt.Errorf("--tilt-max is %g°; it must lie between 0 and 90", c.TiltMax)}
	case c.Closing != -1 && !(c.Closing >= 0 && c.Closing <= 1):
		return nil, usageError{fmt.Errorf("--closing is %g; it must lie between 0 and 1", c.Closing)}
	}
	scene, err := readScene(c.Scene)
	if err != nil {
		return nil, inputError{err}
	}
	if c.Closing < 0 {
		c.Closing = scene.Closing
	}
	return &firsttouch.Task{
		Scene: &scene.Scene, Learn: c.Learn, Test: c.Test, Placement: c.PlacementMM / 1e3, TiltMax: c.TiltMax * math.Pi / 180,
		Closing: c.Closing, Seed: c.Seed, Workers: c.Workers, Direction: c.Direction,
	}, nil
}

func printAdjust(env *environment, r *firsttouch.Report) error {
	fmt.Fprintf(env.stdout, "%s\nWhere the palm stands beside the item, root mean square: %.1f mm before, %.1f mm after the rule (tenfold cross-validation; %d touches in %d trials).\n\n",
		r.Sentence, r.BeforeMM, r.AfterMM, r.Touched, r.Learnt)
	w := tabwriter.NewWriter(env.stdout, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "touched first\ttouches\tat command\tmove x mm\tmove y mm\t95 % mm\tturn °\t95 % °\tper unit of command x, y mm")
	for _, a := range r.Advice {
		few := ""
		if a.TooFew {
			few = "  (too few to tell)"
		}
		fmt.Fprintf(w, "%s\t%d\t%.2f\t%+.1f\t%+.1f\t±%.1f\t%+.1f\t±%.1f\t%+.1f, %+.1f%s\n", a.Touched, a.Examples, a.At, a.MoveMM[0], a.MoveMM[1],
			math.Max(a.HalfMM[0], a.HalfMM[1]), a.TurnDeg, a.TurnHalf, a.PerMM[0], a.PerMM[1], few)
	}
	if err := w.Flush(); err != nil {
		return err
	}
	if r.Directed {
		fmt.Fprintln(env.stdout, "Moves are those for the mean direction of each touch; the strategy's file and --json have how they change with it.")
	}
	if r.Guided != nil {
		fmt.Fprintf(env.stdout, "\n%d of %d guided trials did not end held and teach nothing.\n", r.Guided.NotHeld, r.Guided.Trials)
	}
	for _, h := range r.How {
		fmt.Fprintln(env.stdout, h.Sentence)
	}
	for _, warning := range r.Warnings {
		fmt.Fprintln(env.stdout, warning)
	}
	return nil
}
