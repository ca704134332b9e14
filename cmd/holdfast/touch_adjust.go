package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"text/tabwriter"

	"holdfast/mechanics/trialsim"
	"holdfast/orient"
	"holdfast/scenes"
	"holdfast/statistics/compare"
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

// adjustReport is what the command tells.
type adjustReport struct {
	Sentence    string        `json:"sentence"`
	PlacementMM float64       `json:"placement_mm"`
	Learnt      int           `json:"trials_learnt_from"`
	Touched     int           `json:"trials_with_a_touch"`
	BeforeMM    float64       `json:"rms_error_before_mm"`
	AfterMM     float64       `json:"rms_error_after_mm"`
	Advice      []adviceTold  `json:"rule"`
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

type adviceTold struct {
	Touched  string     `json:"touched_first"`
	Examples int        `json:"examples"`
	At       float64    `json:"at_command"`
	MoveMM   [3]float64 `json:"move_mm"`
	ErrorMM  [3]float64 `json:"move_error_mm"`
	PerMM    [3]float64 `json:"per_command_mm"`
}

// Run learns the rule in simulation and tests it on trials that it did not learn from.
func (c *touchAdjustCommand) Run(env *environment) error {
	scene, err := c.read()
	if err != nil {
		return err
	}
	feeling, feel, err := withFeeling(&scene.Strategy)
	if err != nil {
		return inputError{fmt.Errorf("%s: %w", c.Scene, err)}
	}
	rule, touched, err := c.learn(env, scene, feeling, feel)
	if err != nil {
		return err
	}
	feeling.Phases[feel+1].Adjustments = adjustments(rule)
	pairs, err := c.test(env, scene, feeling)
	if err != nil {
		return err
	}
	report, err := c.report(rule, touched, pairs)
	if err != nil {
		return err
	}
	if c.Out != "" {
		note := fmt.Sprintf("Learnt by holdfast touch adjust from %d simulated trials of %s with items off by %g mm, seed %d.", c.Learn, filepath.Base(c.Scene), c.PlacementMM, c.Seed)
		if err := os.WriteFile(c.Out, scenes.WriteStrategy(feeling, note), 0o666); err != nil {
			return err
		}
	}
	if c.JSON {
		out := json.NewEncoder(env.stdout)
		out.SetIndent("", "  ")
		return out.Encode(report)
	}
	return report.print(env)
}

// read checks the command line and reads the scene.
func (c *touchAdjustCommand) read() (*scenes.Scene, error) {
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
	scene.Error.X, scene.Error.Y = c.PlacementMM/1e3, c.PlacementMM/1e3
	return scene, nil
}

// feelSlower is how many times longer the hand takes to close while it feels: a pad needs time to tell.
const feelSlower = 1.5

// withFeeling is the strategy with a phase that closes until a pad is touched and one that adjusts, before the first that
// closes; feel is the number of the former. A strategy that has both already keeps them.
func withFeeling(s *trialsim.Strategy) (out *trialsim.Strategy, feel int, err error) {
	whole := *s
	for i, p := range s.Phases {
		if p.Do == trialsim.Adjust {
			if i == 0 || !s.Phases[i-1].UntilTouch {
				return nil, 0, fmt.Errorf("phase %d adjusts, and the one before does not end on a touch", i+1)
			}
			whole.Phases = slices.Clone(s.Phases)
			return &whole, i - 1, nil
		}
	}
	for i, p := range s.Phases {
		if p.Do != trialsim.Close || !(p.Command > 0) {
			continue
		}
		feeling := p
		feeling.Name, feeling.UntilTouch, feeling.Seconds = "feel", true, round(feelSlower*p.Seconds, 1e-3)
		adjusting := trialsim.Phase{Name: "adjust", Do: trialsim.Adjust, Speed: 0.1, Command: -1, MostForce: p.MostForce}
		whole.Name, whole.Kind = s.Name+", feeling first", s.Kind+"-feeling"
		whole.Phases = slices.Concat(s.Phases[:i], []trialsim.Phase{feeling, adjusting}, s.Phases[i:])
		return &whole, i, nil
	}
	return nil, 0, errors.New("no phase of the strategy closes the hand, so nothing is felt by closing")
}

// batch is trials of the scene with another strategy.
func (c *touchAdjustCommand) batch(scene *scenes.Scene, s *trialsim.Strategy, first, count int) *trialsim.Batch {
	changed := scene.Scene
	changed.Strategy = *s
	return &trialsim.Batch{Scene: &changed, Workers: c.Workers, First: first, Count: count, Attempt: func(n int) trialsim.Attempt {
		return trialsim.Attempt{Closing: c.Closing, Seed: c.Seed, Number: n, Orientation: randomOrientation(c.Seed, n, c.TiltMax*math.Pi/180)}
	}}
}

// learn runs trials up to the first touch. Only here is it used where the item really lay.
func (c *touchAdjustCommand) learn(env *environment, scene *scenes.Scene, feeling *trialsim.Strategy, feel int) (*guide.Rule, int, error) {
	short := *feeling
	short.Phases = append(slices.Clone(feeling.Phases[:feel+1]), trialsim.Phase{Name: "end", Do: trialsim.Lift, Distance: 1e-3, Command: -1})
	var examples []guide.Example
	err := c.batch(scene, &short, 0, c.Learn).Run(env.ctx, func(d *trialsim.Done) error {
		t := d.Result.Touch
		if t == nil || d.Result.Outcome == trialsim.Void {
			return nil
		}
		palm := d.Attempt.Orientation.Mul(orient.RotX(math.Pi)).Inverse().Apply(d.Result.Offset)
		examples = append(examples, guide.Example{Finger: t.Finger, Link: t.Link, Command: t.Command, Move: guide.Move{palm[0], palm[1], palm[2]}})
		return nil
	})
	if err != nil {
		return nil, 0, err
	}
	rule, err := guide.Learn(examples, c.Seed)
	if err != nil {
		return nil, 0, badInput(fmt.Errorf("in %d of %d trials something was touched: %w", len(examples), c.Learn, err))
	}
	return rule, len(examples), nil
}

// adjustments are the rule as a strategy has it.
func adjustments(rule *guide.Rule) (list []trialsim.Adjustment) {
	for _, a := range rule.Advice {
		next := trialsim.Adjustment{Finger: a.Finger, Link: a.Link, At: round(a.At, 1e-4), Low: round(a.Low, 1e-4), High: round(a.High, 1e-4)}
		for k := range next.Move {
			next.Move[k], next.PerCommand[k] = round(a.Move[k], 1e-5), round(a.PerCommand[k], 1e-4)
		}
		list = append(list, next)
	}
	return list
}

// round is x to the nearest multiple of a unit: a file for people, tested as it is written.
func round(x, unit float64) float64 { return math.Round(x/unit) / math.Round(1/unit) }

// test tries the same items in the same places by the scene's own strategy and with the rule.
func (c *touchAdjustCommand) test(env *environment, scene *scenes.Scene, feeling *trialsim.Strategy) (p compare.Pairs, err error) {
	outcomes := func(s *trialsim.Strategy) (held []bool, err error) {
		err = c.batch(scene, s, c.Learn, c.Test).Run(env.ctx, func(d *trialsim.Done) error {
			held = append(held, d.Result.Outcome == trialsim.Held)
			return nil
		})
		return held, err
	}
	with, err := outcomes(feeling)
	if err != nil {
		return p, err
	}
	without, err := outcomes(&scene.Strategy)
	if err != nil {
		return p, err
	}
	for i, a := range with {
		switch b := without[i]; {
		case a && b:
			p.Both++
		case a:
			p.OnlyA++
		case b:
			p.OnlyB++
		default:
			p.Neither++
		}
	}
	return p, nil
}

func (c *touchAdjustCommand) report(rule *guide.Rule, touched int, pairs compare.Pairs) (*adjustReport, error) {
	paired, err := compare.Matched(pairs, 0.95)
	if err != nil {
		return nil, err
	}
	n := float64(pairs.N())
	r := &adjustReport{
		PlacementMM: c.PlacementMM, Learnt: c.Learn, Touched: touched, BeforeMM: 1e3 * rule.Before, AfterMM: 1e3 * rule.After,
		Tested: pairs.N(), Held: float64(pairs.Both+pairs.OnlyA) / n, HeldBefore: float64(pairs.Both+pairs.OnlyB) / n,
		Gain: paired.Difference, GainLow: paired.Interval.Low, GainHigh: paired.Interval.High, McNemar: paired.McNemar.TwoSided, Pairs: pairs,
		Warnings: []string{"Simulated: the gain on the bench can be another one. Prove it there before it goes on a card."},
	}
	for _, a := range rule.Advice {
		told := adviceTold{Touched: a.String(), Examples: a.Examples, At: a.At}
		for k := range 3 {
			told.MoveMM[k], told.ErrorMM[k], told.PerMM[k] = 1e3*a.Move[k], 1e3*a.Error[k], 1e3*a.PerCommand[k]
		}
		r.Advice = append(r.Advice, told)
	}
	verdict := "which may be chance"
	if r.GainLow > 0 {
		verdict = "so feeling first helps here"
	} else if r.GainHigh < 0 {
		verdict = "so feeling first harms here"
	}
	r.Sentence = fmt.Sprintf("With items off by %g mm (standard deviation, each way) the hand holds %.1f %% with the rule and %.1f %% without, a gain of %.1f points (95 %%: %.1f to %.1f), %s.",
		c.PlacementMM, 100*r.Held, 100*r.HeldBefore, 100*r.Gain, 100*r.GainLow, 100*r.GainHigh, verdict)
	return r, nil
}

func (r *adjustReport) print(env *environment) error {
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
