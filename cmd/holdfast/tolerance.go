package main

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"text/tabwriter"

	"holdfast/orient"
	"holdfast/statistics/tolerance"
	"holdfast/tables"
)

type toleranceCommand struct {
	Trials       string            `required:"" placeholder:"FILE" help:"CSV or Parquet file of trials with placement offsets."`
	Target       float64           `required:"" help:"Success asked for, such as 0.9."`
	PositionMM   string            `name:"position-mm" placeholder:"SD|SDX,SDY,CORRELATION" help:"The line's placement error: standard deviation along each axis, or one along x, one along y and their correlation."`
	AngleDeg     float64           `placeholder:"DEG" help:"The line's orientation error: root-mean-square angle."`
	At           string            `default:"best" placeholder:"best|TILT,AZIMUTH,ROLL" help:"Orientation that the hand is sent to, in degrees, or the surest of those tried."`
	Where        map[string]string `mapsep:"," placeholder:"strategy=NAME,item=NAME" help:"Condition asked for: strategy, item, hand, setting, block, operator."`
	Closing      float64           `default:"-1" placeholder:"SHARE" help:"Closing command from 0 to 1; by default the one tried most."`
	Columns      string            `placeholder:"MAP.yaml" help:"Tells how the file's columns are called; see docs/formats.md."`
	HandSymmetry string            `default:"1" placeholder:"N|N+mirror" help:"The hand looks the same after 1/N of a turn; +mirror: and in its mirror plane."`
	ItemSymmetry string            `default:"none" placeholder:"axial|N|none" help:"Symmetry of item and setting about the vertical."`
	Out          string            `placeholder:"FILE.csv" help:"File to write success over both errors to; by default none."`
	Seed         uint64            `default:"1" help:"Seed of the posterior draws."`
	JSON         bool              `name:"json" help:"Print the result as JSON."`
}

// toleranceReport is what the command tells. Limits end by "target" (success falls below it), "trials" (nothing was
// tried beyond), "range" (nothing larger was looked at) or "none" (not tolerated at all).
type toleranceReport struct {
	Sentence   string            `json:"sentence"`
	Trials     int               `json:"trials"`
	TiltDeg    float64           `json:"tilt_deg"`
	AzimuthDeg float64           `json:"azimuth_deg"`
	RollDeg    float64           `json:"roll_deg"`
	Closing    float64           `json:"closing"`
	Where      map[string]string `json:"where"`
	Target     float64           `json:"target"`
	PositionMM float64           `json:"stated_position_mm"` // root mean square over both axes
	AngleDeg   float64           `json:"stated_angle_deg"`
	Success    float64           `json:"success"`
	Low        float64           `json:"success_low"`
	High       float64           `json:"success_high"`
	Reaches    float64           `json:"probability_of_target"`
	Untried    float64           `json:"untried_share"`
	Scale      toleranceLimit    `json:"largest_multiple"`
	PositionTo toleranceLimit    `json:"largest_position_mm"`
	AngleTo    toleranceLimit    `json:"largest_angle_deg"`
	Frontier   []toleranceCorner `json:"frontier"`
	Warnings   []string          `json:"warnings"`
}

type toleranceLimit struct {
	Largest float64 `json:"largest"`
	Ends    string  `json:"ends_by"`
}

type toleranceCorner struct {
	PositionMM float64 `json:"position_mm"`
	AngleDeg   float64 `json:"angle_deg"`
	Ends       string  `json:"ends_by"`
}

// Run measures the tolerance of one orientation under one condition.
func (c *toleranceCommand) Run(env *environment) error {
	question, symmetry, err := c.question()
	if err != nil {
		return err
	}
	columns, err := readColumns(c.Columns)
	if err != nil {
		return err
	}
	trials, err := c.read(columns)
	if err != nil {
		return err
	}
	condition, err := c.condition(trials)
	if err != nil {
		return err
	}
	fitted, err := tolerance.Fit(env.ctx, trials, symmetry, 0)
	if err != nil {
		return err
	}
	var tried []tolerance.Pose
	var rotations []orient.Rotation
	for i := range trials {
		if condition.Matches(&trials[i]) {
			tried = append(tried, trials[i].Pose)
			rotations = append(rotations, trials[i].R)
		}
	}
	question.Tried = tolerance.NewTried(tried, symmetry)
	model := fitted.At(condition)
	if len(question.Nominal) == 0 {
		distinct, _ := symmetry.Distinct(rotations)
		best, err := tolerance.Best(env.ctx, model, distinct, question.Stated, question.Seed)
		if err != nil {
			return err
		}
		question.Nominal = []orient.Rotation{best}
	}
	s, err := tolerance.Measure(env.ctx, model, question)
	if err != nil {
		return badInput(err)
	}
	r := c.report(s, condition, len(trials))
	r.Warnings = append(r.Warnings, fitted.Model.Summary().Warnings...)
	if !fitted.HasOffset {
		r.Warnings = append(r.Warnings, "All trials have the same placement offset, so nothing is known of larger placement errors: spread the items, record where they lay, and ask again.")
	}
	if c.Out != "" {
		if err := writeFile(c.Out, func(w io.Writer) error { return writeTolerance(w, s) }); err != nil {
			return err
		}
	}
	return r.print(env, c.JSON)
}

func (c *toleranceCommand) question() (q tolerance.Question, symmetry orient.Symmetry, err error) {
	if symmetry, err = symmetryOf(c.HandSymmetry, c.ItemSymmetry); err != nil {
		return q, symmetry, err
	}
	if !(c.Target > 0 && c.Target < 1) {
		return q, symmetry, usageError{fmt.Errorf("--target %g is not understood: write a success probability between 0 and 1, such as 0.9", c.Target)}
	}
	if !(c.AngleDeg >= 0 && c.AngleDeg <= 60) {
		return q, symmetry, usageError{fmt.Errorf("--angle-deg %g is not understood: write an angle from 0 to 60 degrees", c.AngleDeg)}
	}
	q = tolerance.Question{Target: c.Target, Seed: c.Seed}
	q.Stated.Angle = c.AngleDeg * math.Pi / 180
	if q.Stated.Position, err = positionOf(c.PositionMM); err != nil {
		return q, symmetry, err
	}
	if c.At != "best" {
		v, err := numbersOf(c.At, 3)
		if err != nil || !(v[0] >= 0 && v[0] <= 180) {
			return q, symmetry, usageError{fmt.Errorf("--at %s is not understood: write best, or tilt (0 to 180), azimuth and roll in degrees, such as 30,90,0", c.At)}
		}
		deg := math.Pi / 180
		q.Nominal = []orient.Rotation{orient.FromApproach(orient.Approach{Tilt: v[0] * deg, Azimuth: v[1] * deg, Roll: v[2] * deg})}
	}
	return q, symmetry, nil
}

// mostPositionMM bounds a stated placement error: beyond it the figure is surely in another unit.
const mostPositionMM = 500

// positionOf reads the flag --position-mm into a covariance in m².
func positionOf(text string) (c [2][2]float64, err error) {
	if text == "" {
		return c, nil
	}
	refuse := usageError{fmt.Errorf("--position-mm %s is not understood: write one standard deviation in mm, or that along x, that along y and their correlation, such as 3,5,0.2", text)}
	v, err := numbersOf(text, 1)
	if err != nil {
		if v, err = numbersOf(text, 3); err != nil {
			return c, refuse
		}
	} else {
		v = []float64{v[0], v[0], 0}
	}
	if !(v[0] >= 0 && v[0] <= mostPositionMM && v[1] >= 0 && v[1] <= mostPositionMM && math.Abs(v[2]) <= 1) {
		return c, refuse
	}
	x, y := v[0]/1e3, v[1]/1e3
	return [2][2]float64{{x * x, v[2] * x * y}, {v[2] * x * y, y * y}}, nil
}

// numbersOf reads n finite numbers with commas between.
func numbersOf(text string, n int) ([]float64, error) {
	parts := strings.Split(text, ",")
	if len(parts) != n {
		return nil, fmt.Errorf("%d numbers where %d belong", len(parts), n)
	}
	list := make([]float64, n)
	for i, p := range parts {
		v, err := strconv.ParseFloat(strings.TrimSpace(p), 64)
		if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
			return nil, fmt.Errorf("%s is not a number", p)
		}
		list[i] = v
	}
	return list, nil
}

func (c *toleranceCommand) read(columns *tables.ColumnMap) ([]tolerance.Trial, error) {
	src, closeFile, err := openTable(c.Trials)
	if err != nil {
		return nil, err
	}
	defer closeFile()
	var list []tolerance.Trial
	_, err = tables.Stream(src, columns, func(r *tables.Row) error {
		if !r.Outcome.Counts() || r.Reference {
			return nil
		}
		list = append(list, tolerance.Trial{
			Pose: tolerance.Pose{R: r.Rotation, X: r.Offset[0], Y: r.Offset[1]}, Held: r.Outcome == "held", Closing: r.Closing,
			Levels: map[string]string{"strategy": r.Strategy, "item": r.Item, "hand": r.Hand, "setting": r.Setting, "block": strconv.Itoa(r.Block), "operator": r.Operator},
		})
		return nil
	})
	if err == nil && len(list) == 0 {
		err = inputError{fmt.Errorf("%s holds no trial that counts", filepath.Base(c.Trials))}
	}
	return list, err
}

// asked are the factors that a tolerance must know the level of, where they have several: what holds for one item or
// strategy says nothing of another.
var asked = []string{"strategy", "item", "hand", "setting"}

func (c *toleranceCommand) condition(trials []tolerance.Trial) (tolerance.Condition, error) {
	known := tolerance.Condition{Levels: map[string]string{}}
	for name, level := range c.Where {
		if !slices.Contains(tolerance.Factors, name) {
			return known, usageError{fmt.Errorf("--where %s=%s: there is no %s; name %s", name, level, name, strings.Join(tolerance.Factors, ", "))}
		}
		if levels := levelsOf(trials, name); !slices.Contains(levels, level) {
			return known, usageError{fmt.Errorf("--where %s=%s: no trial of that %s; there are %s", name, level, name, listed(levels))}
		}
		known.Levels[name] = level
	}
	for _, name := range asked {
		levels := levelsOf(trials, name)
		if _, ok := known.Levels[name]; !ok && len(levels) > 1 {
			return known, usageError{fmt.Errorf("the trials differ in their %s, and the tolerance with it: say --where %s=… with one of %s", name, name, listed(levels))}
		}
	}
	count := map[float64]int{}
	matching := 0
	for i := range trials {
		if known.Matches(&trials[i]) {
			matching++
			count[trials[i].Closing]++
		}
	}
	if matching == 0 {
		return known, usageError{fmt.Errorf("no trial was made under the condition of --where")}
	}
	known.Closing = c.Closing
	if c.Closing < 0 {
		most := 0
		for v, n := range count {
			if n > most || n == most && v < known.Closing {
				known.Closing, most = v, n
			}
		}
	} else if !(c.Closing <= 1) {
		return known, usageError{fmt.Errorf("--closing %g is not understood: write a number from 0 to 1", c.Closing)}
	}
	return known, nil
}

func levelsOf(trials []tolerance.Trial, factor string) []string {
	seen := map[string]bool{}
	var list []string
	for i := range trials {
		if l := trials[i].Levels[factor]; l != "" && !seen[l] {
			seen[l] = true
			list = append(list, l)
		}
	}
	slices.Sort(list)
	return list
}

// listed names the first levels.
func listed(levels []string) string {
	const most = 12
	if len(levels) > most {
		return strings.Join(levels[:most], ", ") + ", …"
	}
	return strings.Join(levels, ", ")
}

// frontierPoints is how many corners of the frontier are told, toleranceGrid how many errors of either kind are written.
const (
	frontierPoints = 13
	toleranceGrid  = 25
)

func (c *toleranceCommand) report(s *tolerance.Surface, condition tolerance.Condition, trials int) *toleranceReport {
	const toDeg = 180 / math.Pi
	q, a := s.Question(), s.Answer()
	pose := q.Nominal[0].Approach()
	r := &toleranceReport{
		Sentence: a.Sentence, Trials: trials, TiltDeg: pose.Tilt * toDeg, AzimuthDeg: pose.Azimuth * toDeg, RollDeg: pose.Roll * toDeg,
		Closing: condition.Closing, Where: condition.Levels, Target: q.Target, PositionMM: q.Stated.Spread() * 1e3, AngleDeg: q.Stated.Angle * toDeg,
		Success: a.Stated.P, Low: a.Stated.Low, High: a.Stated.High, Reaches: a.Stated.Reaches, Untried: a.Stated.Untried,
		Scale:      toleranceLimit{a.Scale.Largest, string(a.Scale.Reason)},
		PositionTo: toleranceLimit{a.PositionOnly.Largest * 1e3, string(a.PositionOnly.Reason)},
		AngleTo:    toleranceLimit{a.AngleOnly.Largest * toDeg, string(a.AngleOnly.Reason)},
		Frontier:   []toleranceCorner{}, Warnings: append([]string{}, a.Notes...),
	}
	for _, p := range s.Frontier(frontierPoints) {
		r.Frontier = append(r.Frontier, toleranceCorner{p.Position * 1e3, p.Angle * toDeg, string(p.Reason)})
	}
	return r
}

func (r *toleranceReport) print(env *environment, asJSON bool) error {
	if asJSON {
		return json.NewEncoder(env.stdout).Encode(r)
	}
	fmt.Fprintln(env.stdout, r.Sentence)
	fmt.Fprintf(env.stdout, "Hand sent to tilt %.1f°, azimuth %.1f°, roll %.1f°, closing %.2g; %d trials.\n", r.TiltDeg, r.AzimuthDeg, r.RollDeg, r.Closing, r.Trials)
	if len(r.Frontier) > 0 {
		fmt.Fprintf(env.stdout, "\nLargest errors at which success is surely %.2g or more:\n", r.Target)
		w := tabwriter.NewWriter(env.stdout, 0, 0, 2, ' ', tabwriter.AlignRight)
		fmt.Fprintln(w, "orientation °\tplacement mm\tends by\t")
		for _, p := range r.Frontier {
			fmt.Fprintf(w, "%.1f\t%.2f\t%s\t\n", p.AngleDeg, p.PositionMM, p.Ends)
		}
		if err := w.Flush(); err != nil {
			return err
		}
	}
	for _, w := range r.Warnings {
		fmt.Fprintln(env.stderr, "note:", w)
	}
	return nil
}

// writeTolerance writes success over both errors.
func writeTolerance(w io.Writer, s *tolerance.Surface) error {
	c := csv.NewWriter(w)
	rows := [][]string{{"position_mm", "angle_deg", "p", "p_low", "p_high", "p_target", "untried_share"}}
	for _, v := range s.Grid(toleranceGrid, toleranceGrid) {
		row := make([]string, 7)
		for i, x := range []float64{v.Position * 1e3, v.Angle * 180 / math.Pi, v.P, v.Low, v.High, v.Reaches, v.Untried} {
			row[i] = strconv.FormatFloat(x, 'g', 6, 64)
		}
		rows = append(rows, row)
	}
	return c.WriteAll(rows)
}
