package main

import (
	"bufio"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"holdfast/orient"
	"holdfast/statistics/successmap"
	"holdfast/tables"
)

type mapCommand struct {
	Trials       string  `required:"" placeholder:"FILE" help:"CSV or Parquet file of trials."`
	At           string  `placeholder:"GRID" help:"File of orientations to estimate the success at, in order; by default those of the trials."`
	Out          string  `placeholder:"OUT" help:"File to write p, p_low, p_high (and p_blurred) to, as CSV or, when it ends in .parquet, Parquet; by default none."`
	Columns      string  `placeholder:"MAP.yaml" help:"Tells how the files' columns are called; see docs/formats.md."`
	Degree       string  `default:"auto" help:"Largest degree of the functions on the rotation group, or auto to let the trials decide."`
	HandSymmetry string  `default:"1" placeholder:"N|N+mirror" help:"The hand looks the same after 1/N of a turn; +mirror: and in its mirror plane."`
	ItemSymmetry string  `default:"none" placeholder:"axial|N|none" help:"Symmetry of item and setting about the vertical."`
	BlurDeg      float64 `placeholder:"DEG" help:"Also give the success when the orientation errs by this root-mean-square angle."`
	Scores       bool    `default:"true" negatable:"" help:"Score the map by cross-validation."`
	JSON         bool    `name:"json" help:"Print the summary as JSON."`
}

// mapSummary is what the map command tells about its map.
type mapSummary struct {
	Trials         int      `json:"trials"`
	Held           int      `json:"held"`
	Orientations   int      `json:"orientations"`
	Degree         int      `json:"degree"`
	BasisSize      int      `json:"basis_size"`
	LengthScaleDeg float64  `json:"length_scale_deg"`
	Anisotropy     float64  `json:"anisotropy"`
	Amplitude      float64  `json:"amplitude"`
	LogLoss        *float64 `json:"log_loss,omitempty"`
	BaseLogLoss    *float64 `json:"base_log_loss,omitempty"`
	Brier          *float64 `json:"brier,omitempty"`
	BaseBrier      *float64 `json:"base_brier,omitempty"`
	Dispersion     string   `json:"dispersion,omitempty"`
	Rows           int      `json:"rows"`
	Warnings       []string `json:"warnings"`
	Seconds        float64  `json:"seconds"`
}

// Run fits the map and writes what is asked for.
func (c *mapCommand) Run(env *environment) error {
	start := time.Now()
	options, err := c.options()
	if err != nil {
		return err
	}
	if err := c.sparesInputs(); err != nil {
		return err
	}
	columns, err := readColumns(c.Columns)
	if err != nil {
		return err
	}
	trials, err := readTrials(c.Trials, columns, options.Symmetry)
	if err != nil {
		return err
	}
	grid, err := c.grid(trials, columns)
	if err != nil {
		return err
	}
	m, err := successmap.Fit(env.ctx, trials.obs, options)
	if err != nil {
		return err
	}
	s := m.Summary()
	sum := mapSummary{
		Trials: int(math.Round(s.Trials)), Held: int(math.Round(s.Held)), Orientations: s.Distinct, Degree: s.Degree, BasisSize: s.BasisSize,
		LengthScaleDeg: s.LengthScale * 180 / math.Pi, Anisotropy: s.Anisotropy, Amplitude: s.Amplitude, Rows: len(grid),
		Warnings: append([]string{}, s.Warnings...),
	}
	estimates := make([]successmap.Estimate, len(grid))
	m.Predict(estimates, grid)
	sum.Warnings = append(sum.Warnings, m.RegionWarnings(estimates)...)
	if err := c.write(m, grid, estimates); err != nil {
		return err
	}
	if c.BlurDeg > 0 && c.Out == "" {
		sum.Warnings = append(sum.Warnings, "--blur-deg changes only the column p_blurred of --out, which was not asked for.")
	}
	if c.Scores {
		if err := sum.score(env, m, trials); err != nil {
			return err
		}
	}
	sum.disperse(trials)
	sum.Seconds = time.Since(start).Seconds()
	return sum.print(env, c.JSON)
}

// sparesInputs refuses an output that would take the place of a file that is read.
func (c *mapCommand) sparesInputs() error {
	out, err := os.Stat(c.Out)
	if err != nil {
		return nil // nothing there that could be lost
	}
	for _, read := range []struct{ flag, path string }{{"--trials", c.Trials}, {"--at", c.At}, {"--columns", c.Columns}} {
		if in, err := os.Stat(read.path); err == nil && os.SameFile(in, out) {
			return usageError{fmt.Errorf("--out %s is the file that %s reads, which would be lost; name another file", c.Out, read.flag)}
		}
	}
	return nil
}

// options reads the flags that steer the fit.
func (c *mapCommand) options() (o successmap.Options, err error) {
	if c.Degree != "auto" {
		if o.Degree, err = strconv.Atoi(c.Degree); err != nil || o.Degree < 1 || o.Degree > orient.MaxHarmonicDegree {
			return o, usageError{fmt.Errorf("--degree %s is not understood: write auto or a whole number from 1 to %d", c.Degree, orient.MaxHarmonicDegree)}
		}
	}
	if o.Symmetry, err = symmetryOf(c.HandSymmetry, c.ItemSymmetry); err != nil {
		return o, err
	}
	if !(c.BlurDeg >= 0 && c.BlurDeg <= 90) {
		return o, usageError{fmt.Errorf("--blur-deg %g is not understood: write an angle from 0 to 90 degrees", c.BlurDeg)}
	}
	return o, nil
}

// symmetryOf reads --hand-symmetry and --item-symmetry.
func symmetryOf(hand, item string) (s orient.Symmetry, err error) {
	around, err := orient.ParseSurroundings(item)
	if err != nil {
		return s, usageError{fmt.Errorf("--item-symmetry: %w", err)}
	}
	own, err := orient.ParseSurroundings(hand)
	if err != nil || own.Axial {
		return s, usageError{fmt.Errorf("--hand-symmetry %s is not understood: write a whole number from 1 on, with +mirror behind it when the plane of palm axis and opening is a mirror plane", hand)}
	}
	if s, err = orient.Combine(max(own.Fold, 1), own.Mirror, around, orient.Surroundings{Axial: true, Mirror: true}); err != nil {
		return s, usageError{fmt.Errorf("--hand-symmetry: %w", err)}
	}
	return s, nil
}

// trialFile is a file of trials, counted where rows share an orientation.
type trialFile struct {
	obs    []successmap.Observation
	counts []successmap.Count // by item, orientation and block, for the test of dispersion
}

// readTrials reads the trials that count; void and reference trials are left out, as they are in a lab. Orientations that
// the symmetry makes equal are one: a trial must not predict its twin when the map is scored.
func readTrials(path string, columns *tables.ColumnMap, symmetry orient.Symmetry) (*trialFile, error) {
	src, closeFile, err := openTable(path)
	if err != nil {
		return nil, err
	}
	defer closeFile()
	type cell struct {
		r     orient.Rotation
		item  string
		block int
	}
	index := map[cell]int{}
	var cells []cell
	var points []orient.Rotation
	var counts []successmap.Count
	_, err = tables.Stream(src, columns, func(r *tables.Row) error {
		if !r.Outcome.Counts() || r.Reference {
			return nil
		}
		c := cell{r.Rotation, r.Item, r.Block}
		at, known := index[c]
		if !known {
			at = len(cells)
			index[c] = at
			cells, points, counts = append(cells, c), append(points, c.r), append(counts, successmap.Count{})
		}
		counts[at].Trials++
		if r.Outcome == "held" {
			counts[at].Held++
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	if len(cells) == 0 {
		return nil, fmt.Errorf("%s holds no trial that counts", filepath.Base(path))
	}
	f := &trialFile{}
	distinct, stands := symmetry.Distinct(points)
	clear(index)
	for i, c := range cells {
		c.r = distinct[stands[i]]
		at, known := index[c]
		if !known {
			at = len(f.obs)
			index[c] = at
			f.obs = append(f.obs, successmap.Observation{R: c.r})
			f.counts = append(f.counts, successmap.Count{Levels: []string{strconv.Itoa(stands[i]), c.item, strconv.Itoa(c.block)}})
		}
		f.counts[at].Held += counts[i].Held
		f.counts[at].Trials += counts[i].Trials
	}
	for i, c := range f.counts {
		f.obs[i].Held, f.obs[i].Trials = c.Held, c.Trials
	}
	return f, nil
}

// grid reads the orientations to estimate at.
func (c *mapCommand) grid(trials *trialFile, columns *tables.ColumnMap) ([]orient.Rotation, error) {
	if c.At != "" {
		src, closeFile, err := openTable(c.At)
		if err != nil {
			return nil, err
		}
		defer closeFile()
		return tables.ReadGrid(src, columns)
	}
	seen := map[orient.Rotation]bool{}
	var list []orient.Rotation
	for _, o := range trials.obs {
		if !seen[o.R] {
			seen[o.R] = true
			list = append(list, o.R)
		}
	}
	return list, nil
}

// write writes the map's answers, whole or not at all.
func (c *mapCommand) write(m *successmap.Map, grid []orient.Rotation, estimates []successmap.Estimate) (err error) {
	if c.Out == "" {
		return nil
	}
	blurred := make([]float64, len(grid))
	for i := range blurred {
		blurred[i] = math.NaN()
	}
	if c.BlurDeg > 0 {
		b, err := m.Blur(c.BlurDeg * math.Pi / 180)
		if err != nil {
			return err
		}
		b.Predict(blurred, grid)
	}
	rows := make([]tables.MapRow, len(grid))
	for i, e := range estimates {
		rows[i] = tables.MapRow{Rotation: grid[i], P: e.P, Low: e.Low, High: e.High, Blurred: blurred[i]}
	}
	format := tables.CSV
	if strings.EqualFold(filepath.Ext(c.Out), ".parquet") {
		format = tables.Parquet
	}
	return writeFile(c.Out, func(w io.Writer) error { return tables.WriteMap(w, format, rows) })
}

// writeFile writes beside the target and moves it there when it is whole.
func writeFile(path string, write func(io.Writer) error) (err error) {
	f, err := os.CreateTemp(filepath.Dir(path), "."+filepath.Base(path)+".*")
	if err != nil {
		return fileError(filepath.Dir(path), err)
	}
	defer func() {
		if err != nil {
			err = errors.Join(err, os.Remove(f.Name()))
		}
	}()
	w := bufio.NewWriterSize(f, 1<<16)
	if err = errors.Join(write(w), w.Flush(), f.Chmod(0o644), f.Close()); err != nil {
		return err
	}
	if err = os.Rename(f.Name(), path); err != nil {
		return fileError(path, errors.Unwrap(err))
	}
	return nil
}

// The cross-validation deals orientations to folds by a fixed seed, so that the same file gives the same scores.
const (
	scoreFolds  = 10
	leastScored = 5 // orientations; with fewer folds than that too much of the map would be missing from each
	scoreSeed   = 1
)

func (s *mapSummary) score(env *environment, m *successmap.Map, trials *trialFile) error {
	if s.Orientations < leastScored || s.Held < 3 || s.Trials-s.Held < 3 {
		s.Warnings = append(s.Warnings, "The map is not scored: that needs five orientations, three trials that held and three that did not.")
		return nil
	}
	v, err := m.CrossValidate(env.ctx, trials.obs, nil, scoreFolds, scoreSeed)
	if err != nil {
		return err
	}
	if w := v.Warning(); w != "" {
		s.Warnings = append(s.Warnings, w)
	}
	s.LogLoss, s.BaseLogLoss, s.Brier, s.BaseBrier = &v.Map.LogLoss, &v.Base.LogLoss, &v.Map.Brier, &v.Base.Brier
	return nil
}

// The table whose scatter is tested is bounded, and must hold several trials a cell: with one or two, the effects of
// orientation, item and block fit nearly every outcome, and the test would cry wolf.
const (
	mostDispersion = 1000
	trialsPerCell  = 4
)

// disperse tests the scatter of the counts where trials share orientations.
func (s *mapSummary) disperse(trials *trialFile) {
	if len(trials.counts) > mostDispersion || trialsPerCell*len(trials.counts) > s.Trials {
		return
	}
	if d, err := successmap.CheckDispersion(trials.counts, scoreSeed); err == nil {
		s.Dispersion = d.Text
	}
}

func (s *mapSummary) print(env *environment, asJSON bool) error {
	for _, w := range s.Warnings {
		fmt.Fprintln(env.stderr, "note:", w)
	}
	if asJSON {
		return json.NewEncoder(env.stdout).Encode(s)
	}
	fmt.Fprintf(env.stdout, "N=%d held=%d orientations=%d degree=%d basis=%d length_scale_deg=%.3g anisotropy=%.3g amplitude=%.3g",
		s.Trials, s.Held, s.Orientations, s.Degree, s.BasisSize, s.LengthScaleDeg, s.Anisotropy, s.Amplitude)
	if s.LogLoss != nil {
		fmt.Fprintf(env.stdout, " log_loss=%.4f (base %.4f) brier=%.4f (base %.4f)", *s.LogLoss, *s.BaseLogLoss, *s.Brier, *s.BaseBrier)
	}
	fmt.Fprintf(env.stdout, " rows=%d seconds=%.2f\n", s.Rows, s.Seconds)
	if s.Dispersion != "" {
		fmt.Fprintln(env.stdout, s.Dispersion)
	}
	return nil
}
