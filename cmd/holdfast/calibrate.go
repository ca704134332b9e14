package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"math"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"text/tabwriter"
	"time"

	"holdfast/domain"
	"holdfast/mechanics/trialsim"
	"holdfast/mechanics/unknowns"
	"holdfast/statistics/simfit"
	"holdfast/tables"
	"holdfast/workflow"
)

type calibrateCommand struct {
	Scene        string            `required:"" placeholder:"FILE.yaml" help:"The scene that the trials were run in: hand, item, setting, strategy; see docs/scenes.md."`
	Trials       string            `required:"" placeholder:"FILE" help:"CSV or Parquet file of bench trials."`
	Fit          map[string]string `mapsep:"," placeholder:"friction=0.3:1.2,…" help:"What to fit, each with its range: friction (of the skin), joint-stiffness (a multiple of the scene's), skin-stiffness-N-per-mm, position-error-mm. By default the first two and position-error-mm, in wide ranges."`
	Budget       int               `placeholder:"N" help:"How many trials to simulate; by default 20,000."`
	Seed         uint64            `default:"1" help:"The same seed gives the same answer, on any number of workers."`
	Workers      int               `placeholder:"W" help:"How many trials are simulated at once; by default one on each core."`
	StepMs       float64           `name:"step-ms" default:"1" placeholder:"MS" help:"Time step."`
	Columns      string            `placeholder:"MAP.yaml" help:"Tells how the file's columns are called; see docs/formats.md."`
	HandSymmetry string            `default:"1" placeholder:"N|N+mirror" help:"The hand looks the same after 1/N of a turn; +mirror: and in its mirror plane."`
	ItemSymmetry string            `default:"none" placeholder:"axial|N|none" help:"Symmetry of item and setting about the vertical."`
	JSON         bool              `name:"json" help:"Print the result as JSON."`
}

// Run fits the scene to the bench trials and tells what came out.
func (c *calibrateCommand) Run(env *environment) error {
	if !(c.StepMs >= 0.01 && c.StepMs <= 4) {
		return usageError{fmt.Errorf("--step-ms is %g; it must lie between 0.01 and 4", c.StepMs)}
	}
	symmetry, err := symmetryOf(c.HandSymmetry, c.ItemSymmetry)
	if err != nil {
		return err
	}
	scene, err := readScene(c.Scene)
	if err != nil {
		return inputError{err}
	}
	what, parameters, err := c.parameters(&scene.Scene)
	if err != nil {
		return err
	}
	bench, tiltMax, placed, err := c.bench(scene.Closing, slices.ContainsFunc(what, func(q unknowns.Quantity) bool { return q.Name == unknowns.PositionErrorName }))
	if err != nil {
		return err
	}
	if placed {
		// The file says where the items lay, so nothing of that is left to chance.
		scene.Error.X, scene.Error.Y = 0, 0
	}
	trials, err := unknowns.NewTrials(&scene.Scene, c.StepMs/1e3, what)
	if err != nil {
		return inputError{err}
	}
	fit, err := workflow.FitSimulation(env.ctx, bench, symmetry, tiltMax, workflow.SimulationQuery{
		Parameters: parameters, Budget: c.Budget, Seed: c.Seed, Progress: calibrationPace(env.stderr),
		Simulate: func(_ context.Context, theta []float64, t workflow.SimulatedTrial, seed uint64) (bool, error) {
			r, err := trials.Run(theta, trialsim.Attempt{Orientation: t.Rotation, Closing: t.Closing, Seed: seed, Offset: [2]float64{t.Offset[0], t.Offset[1]}})
			return r.Outcome == trialsim.Held, err
		},
	}, c.Workers)
	if err != nil {
		return badInput(err)
	}
	if c.JSON {
		return c.tellJSON(env.stdout, &fit)
	}
	return c.tell(env.stdout, &fit)
}

// parameters reads what is to be fitted, in the order in which quantities are listed.
func (c *calibrateCommand) parameters(s *trialsim.Scene) (what []unknowns.Quantity, list []simfit.Parameter, err error) {
	asked := maps.Clone(c.Fit)
	usual := len(unknowns.Usual())
	for i, q := range unknowns.All() {
		text, named := asked[q.Name]
		delete(asked, q.Name)
		if !named && (len(c.Fit) > 0 || i >= usual) {
			continue
		}
		low, high := q.Range(s)
		if text != "" {
			from, to, ok := strings.Cut(text, ":")
			var bad [2]error
			low, bad[0] = strconv.ParseFloat(from, 64)
			high, bad[1] = strconv.ParseFloat(to, 64)
			if !ok || errors.Join(bad[:]...) != nil || !(low < high) || !(low > 0) || math.IsInf(high, 0) {
				return nil, nil, usageError{fmt.Errorf("--fit %s=%s is not understood: write the range as in %s=0.5:2, from above 0 upwards", q.Name, text, q.Name)}
			}
		}
		if !(low > 0) {
			return nil, nil, usageError{fmt.Errorf("--fit %s needs a range, as in %s=0.5:2: the scene's own value is 0", q.Name, q.Name)}
		}
		if err := q.Settable(s, low); err != nil {
			return nil, nil, inputError{err}
		}
		what = append(what, q)
		list = append(list, simfit.Parameter{Name: q.Name, Min: low, Max: high, Log: q.Logarithmic})
	}
	for _, name := range slices.Sorted(maps.Keys(asked)) {
		return nil, nil, usageError{fmt.Errorf("--fit %s is not known: friction, joint-stiffness, skin-stiffness-N-per-mm and position-error-mm can be fitted", name)}
	}
	return what, list, nil
}

// bench reads the trials that count. Where position error is fitted, or the file gives no offsets, the items' places count as
// not known.
func (c *calibrateCommand) bench(closing float64, hidden bool) (list []workflow.BenchTrial, tiltMax float64, placed bool, err error) {
	columns, err := readColumns(c.Columns)
	if err != nil {
		return nil, 0, false, err
	}
	src, closeFile, err := openTable(c.Trials)
	if err != nil {
		return nil, 0, false, inputError{err}
	}
	_, err = tables.Stream(src, columns, func(r *tables.Row) error {
		if !r.Outcome.Counts() || r.Reference {
			return nil
		}
		t := workflow.BenchTrial{Held: r.Outcome == domain.OutcomeHeld}
		t.Rotation, t.Closing = r.Rotation, closing
		if r.Has(tables.FieldClosing) {
			t.Closing = r.Closing
		}
		if !hidden && (r.Has(tables.FieldOffsetX) || r.Has(tables.FieldOffsetY)) {
			t.Offset, placed = r.Offset, true
		}
		tiltMax = math.Max(tiltMax, r.Rotation.Approach().Tilt)
		list = append(list, t)
		return nil
	})
	if err := errors.Join(err, closeFile()); err != nil {
		return nil, 0, false, inputError{err}
	}
	if len(list) == 0 {
		return nil, 0, false, inputError{fmt.Errorf("%s holds no trial that counts", filepath.Base(c.Trials))}
	}
	return list, math.Max(tiltMax, 5*math.Pi/180), placed, nil
}

// calibrationPace tells how far a fit is, once in five seconds at most.
func calibrationPace(w io.Writer) func(simfit.Progress) {
	begun := time.Now()
	last := begun
	return func(p simfit.Progress) {
		now := time.Now()
		if now.Sub(last) < 5*time.Second || p.Simulated == 0 {
			return
		}
		last = now
		left := time.Duration(float64(now.Sub(begun)) * float64(p.Budget-p.Simulated) / float64(p.Simulated)).Round(time.Second)
		fmt.Fprintf(w, "%s: %d of %d trials, about %s left\n", p.Stage, p.Simulated, p.Budget, left)
	}
}

func (c *calibrateCommand) tell(w io.Writer, fit *workflow.SimulationFit) error {
	fmt.Fprintf(w, "%s\n\n", fit.Sentence)
	table := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(table, "fitted\tmean\t90 % interval\tput in (90 %)")
	for _, e := range fit.Fit.Parameters {
		fmt.Fprintf(table, "%s\t%.3g\t%.3g to %.3g\t%.3g to %.3g\n", e.Name, e.Mean, e.Low, e.High, e.PriorLow, e.PriorHigh)
	}
	if err := table.Flush(); err != nil {
		return err
	}
	for a := range fit.Fit.Correlation {
		for b := range a {
			if r := fit.Fit.Correlation[a][b]; math.Abs(r) >= 0.3 {
				fmt.Fprintf(w, "%s and %s go together (correlation %.2f): the trials tell them apart badly.\n", fit.Fit.Parameters[b].Name, fit.Fit.Parameters[a].Name, r)
			}
		}
	}
	fmt.Fprintf(w, "\n%d of %d bench trials held. Chance that the bench follows another pattern over orientations than the simulation: %.2f.\n",
		fit.Condition.Held, fit.Condition.Trials, fit.Fit.Discrepancy.Probability)
	for _, d := range fit.Fit.Disagreements {
		fmt.Fprintln(w, d.Sentence)
	}
	for _, warning := range fit.Warnings {
		fmt.Fprintln(w, warning)
	}
	_, err := fmt.Fprintln(w, "\nA computation, not a bench: what the line runs is proved with the real hand.")
	return err
}

// calibrationReport is what the command tells as JSON.
type calibrationReport struct {
	Sentence   string                  `json:"sentence"`
	Trials     int                     `json:"trials"`
	Held       int                     `json:"held"`
	Simulated  int                     `json:"simulated"`
	Fitted     []calibrationEstimate   `json:"fitted"`
	Correlated [][]float64             `json:"correlation"`
	Other      float64                 `json:"probability_of_discrepancy"`
	Regions    []calibrationDisagrees  `json:"disagreements"`
	Trust      float64                 `json:"trust"`
	Saved      float64                 `json:"trials_saved"`
	Predicted  []calibrationPrediction `json:"predicted"`
	Warnings   []string                `json:"warnings"`
}

type calibrationEstimate struct {
	Name string  `json:"name"`
	Mean float64 `json:"mean"`
	Low  float64 `json:"low"`
	High float64 `json:"high"`
}

type calibrationDisagrees struct {
	Sentence string  `json:"sentence"`
	Trials   float64 `json:"trials"`
	Held     float64 `json:"held"`
	Expected float64 `json:"expected"`
	Chance   float64 `json:"chance"`
}

type calibrationPrediction struct {
	P    float64 `json:"p"`
	Low  float64 `json:"p_low"`
	High float64 `json:"p_high"`
}

func (c *calibrateCommand) tellJSON(w io.Writer, fit *workflow.SimulationFit) error {
	out := calibrationReport{
		Sentence: fit.Sentence, Trials: fit.Condition.Trials, Held: fit.Condition.Held, Simulated: fit.Fit.Simulated,
		Correlated: fit.Fit.Correlation, Other: fit.Fit.Discrepancy.Probability, Trust: fit.Trust, Saved: fit.Saved,
		Regions: []calibrationDisagrees{}, Warnings: fit.Warnings,
	}
	for _, e := range fit.Fit.Parameters {
		out.Fitted = append(out.Fitted, calibrationEstimate{e.Name, e.Mean, e.Low, e.High})
	}
	for _, d := range fit.Fit.Disagreements {
		out.Regions = append(out.Regions, calibrationDisagrees{d.Sentence, d.Trials, d.Held, d.Expected, d.P})
	}
	for _, p := range fit.Fit.Predictions {
		out.Predicted = append(out.Predicted, calibrationPrediction{p.P, p.Low, p.High})
	}
	encoder := json.NewEncoder(w)
	encoder.SetIndent("", "  ")
	return encoder.Encode(out)
}
