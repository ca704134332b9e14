package main

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"text/tabwriter"

	"holdfast/mechanics/firsttouch"
	"holdfast/scenes"
	"holdfast/statistics/guide"
)

type touchAdjustCommand struct {
	Scene       string  `required:"" placeholder:"FILE.yaml" help:"The scene whose hand is to learn; see docs/scenes.md."`
	Learn       int     `default:"2000" placeholder:"N" help:"Trials to learn from."`
	Test        int     `default:"500" placeholder:"N" help:"Further trials that are tried both ways, to see what the rule gains."`
	PlacementMM float64 `name:"placement-mm" default:"15" placeholder:"SD" help:"Standard deviation of the item's place along x and along y, in learning and testing."`
	TiltMax     float64 `default:"20" placeholder:"DEG" help:"Largest tilt of the approach directions."`
	Closing     float64 `default:"-1" placeholder:"SHARE" help:"Closing command from 0 to 1; by default the scene's."`
	Seed        uint64  `default:"1" help:"Decides directions, sizes and places of the items."`
	Workers     int     `placeholder:"W" help:"How many trials run at once; by default one on each core. The result does not depend on it."`
	Out         string  `placeholder:"STRATEGY.yaml" help:"File to write the strategy with its rule to; by default none."`
	JSON        bool    `name:"json" help:"Print the result as JSON."`
}

// Run learns the rule in simulation and tests it on trials that it did not learn from.
func (c *touchAdjustCommand) Run(env *environment) error {
	task, err := c.task()
	if err != nil {
		return err
	}
	feeling, err := firsttouch.NewFeeling(&task.Scene.Strategy)
	if err != nil {
		return inputError{fmt.Errorf("%s: %w", c.Scene, err)}
	}
	rule, touched, err := task.LearnRule(env.ctx, feeling)
	if err != nil {
		return badInput(err)
	}
	feeling.Follow(rule)
	pairs, err := task.TryBoth(env.ctx, feeling)
	if err != nil {
		return err
	}
	report, err := firsttouch.NewReport(task, rule, touched, pairs)
	if err != nil {
		return err
	}
	if c.Out != "" {
		note := fmt.Sprintf("Learnt by holdfast touch adjust from %d simulated trials of %s with items off by %g mm, seed %d.", c.Learn, filepath.Base(c.Scene), c.PlacementMM, c.Seed)
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
		Closing: c.Closing, Seed: c.Seed, Workers: c.Workers,
	}, nil
}

func printAdjust(env *environment, r *firsttouch.Report) error {
	fmt.Fprintf(env.stdout, "%s\nWhere the palm stands beside the item, root mean square: %.1f mm before, %.1f mm after the rule (tenfold cross-validation; %d touches in %d trials).\n\n",
		r.Sentence, r.BeforeMM, r.AfterMM, r.Touched, r.Learnt)
	w := tabwriter.NewWriter(env.stdout, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "touched first\ttouches\tat command\tmove x mm\tmove y mm\terror mm\tper unit of command x, y mm")
	for _, a := range r.Advice {
		fmt.Fprintf(w, "%s\t%d\t%.2f\t%+.1f\t%+.1f\t%.1f\t%+.1f, %+.1f\n", a.Touched, a.Examples, a.At, a.MoveMM[0], a.MoveMM[1], math.Max(a.ErrorMM[0], a.ErrorMM[1]), a.PerMM[0], a.PerMM[1])
	}
	if err := w.Flush(); err != nil {
		return err
	}
	for _, warning := range r.Warnings {
		fmt.Fprintln(env.stdout, warning)
	}
	return nil
}
