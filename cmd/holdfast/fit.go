package main

import (
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"text/tabwriter"
	"time"

	"holdfast/orient"
	"holdfast/statistics/additive"
	"holdfast/tables"
)

type fitCommand struct {
	Trials       string `required:"" placeholder:"FILE" help:"CSV or Parquet file of trials."`
	Terms        string `default:"auto" placeholder:"LIST" help:"Comma list of orientation, closing, offset, offset_x, offset_y, item_size, item_mass, strategy, hand, item, setting, block, operator, and pairs such as strategy*orientation; auto: everything that varies."`
	Out          string `placeholder:"DIR" help:"Folder to write effects.csv, terms.csv and summary.json to; by default none."`
	Columns      string `placeholder:"MAP.yaml" help:"Tells how the file's columns are called; see docs/formats.md."`
	HandSymmetry string `default:"1" placeholder:"N|N+mirror" help:"The hand looks the same after 1/N of a turn; +mirror: and in its mirror plane."`
	ItemSymmetry string `default:"none" placeholder:"axial|N|none" help:"Symmetry of item and setting about the vertical."`
	Families     string `placeholder:"ITEMS.csv" help:"Features of the items: instead of terms, say what each item borrows from those alike. Columns: item, shape, size_mm, mass_g, stiffness_N_per_mm, friction."`
	For          string `placeholder:"ITEM" help:"With --families: the item that borrows; by default the one with fewest trials."`
	Matter       bool   `default:"true" negatable:"" help:"Score the model without each term by cross-validation."`
	Seed         uint64 `default:"1" help:"Seed of folds and draws."`
	JSON         bool   `name:"json" help:"Print the summary as JSON."`
}

// fitReport is what the fit command tells about its model.
type fitReport struct {
	Trials      int       `json:"trials"`
	Held        int       `json:"held"`
	Sentence    string    `json:"sentence"`
	Terms       []fitTerm `json:"terms"`
	LogScore    *float64  `json:"log_score,omitempty"` // per trial, of trials the model had not seen
	BaseScore   *float64  `json:"base_log_score,omitempty"`
	ScoredBy    string    `json:"scored_by,omitempty"` // blocks or orientations
	Folds       int       `json:"folds,omitempty"`
	LogEvidence float64   `json:"log_evidence"`
	Warnings    []string  `json:"warnings"`
	Seconds     float64   `json:"seconds"`
	effects     []additive.Effect
}

// fitTerm is one term; lengths are mm for offsets, degrees for orientations, a ratio for size and mass of items, and
// parts of the full command for closing.
type fitTerm struct {
	Term         string   `json:"term"`
	Coefficients int      `json:"coefficients"`
	Amplitude    float64  `json:"amplitude"`
	LengthScale  *float64 `json:"length_scale,omitempty"`
	LengthUnit   string   `json:"length_unit,omitempty"`
	Spread       float64  `json:"spread"`
	Drop         *float64 `json:"drop,omitempty"`
	DropSE       *float64 `json:"drop_se,omitempty"`
	LeftOutWith  []string `json:"left_out_with,omitempty"`
}

// Run fits the model and writes what is asked for.
func (c *fitCommand) Run(env *environment) error {
	start := time.Now()
	symmetry, err := symmetryOf(c.HandSymmetry, c.ItemSymmetry)
	if err != nil {
		return err
	}
	if c.For != "" && c.Families == "" {
		return usageError{errors.New("--for names the item that borrows and needs --families")}
	}
	columns, err := readColumns(c.Columns)
	if err != nil {
		return badInput(err)
	}
	if c.Families != "" {
		return c.borrow(env, columns, symmetry)
	}
	d, err := readVaried(c.Trials, columns)
	if err != nil {
		return badInput(err)
	}
	terms, notes, err := c.terms(d, symmetry)
	if err != nil {
		return err
	}
	notes = append(notes, additive.FeatureNotes(d.Data, terms)...)
	if one := oneSymmetry(d.Data, terms, symmetry); one != "" {
		notes = append(notes, one)
	}
	m, err := additive.Fit(env.ctx, d.Data, terms, additive.Options{})
	if err != nil {
		return badInput(err)
	}
	r := reportOf(m)
	r.Warnings = append(notes, r.Warnings...)
	if r.effects, err = m.Effects(additive.EffectOptions{Seed: c.Seed}); err != nil {
		return err
	}
	if c.Matter {
		if err := r.score(env, m, d.Data, c.Seed); err != nil {
			return err
		}
	}
	r.Seconds = time.Since(start).Seconds()
	if c.Out != "" {
		if err := r.write(c.Out); err != nil {
			return err
		}
	}
	for _, w := range r.Warnings {
		fmt.Fprintln(env.stderr, "note:", w)
	}
	if c.JSON {
		return json.NewEncoder(env.stdout).Encode(r)
	}
	return r.print(env.stdout)
}

// oneSymmetry says that the symmetry of the options is taken for everything in the file, where several things could differ in
// theirs; empty where nothing could.
func oneSymmetry(d *additive.Data, terms []additive.Term, s orient.Symmetry) string {
	oriented := slices.ContainsFunc(terms, func(t additive.Term) bool { return t.Kind == additive.Orientation })
	if s.Order() == 1 && !s.Axial() || !oriented {
		return ""
	}
	var several []string
	for _, factor := range []string{additive.Hand, additive.Item, additive.Setting} {
		if n := len(slices.Compact(slices.Sorted(slices.Values(d.Levels[factor])))); n > 1 {
			several = append(several, fmt.Sprintf("%d %ss", n, factor))
		}
	}
	if len(several) == 0 {
		return ""
	}
	return fmt.Sprintf("One symmetry (%s) is taken for all of the file's %s. It must be what all of them share: state less where one has less, and lose some sharpness where one has more.", s, strings.Join(several, " and "))
}

// variedTrials are trials as the model reads them, with the row of the file that each comes from.
type variedTrials struct {
	*additive.Data
	rows []int
}

// fileColumns names the columns of the file behind the model's variables.
var fileColumns = map[string]tables.Field{
	additive.Closing: tables.FieldClosing, additive.OffsetX: tables.FieldOffsetX, additive.OffsetY: tables.FieldOffsetY,
	additive.ItemSize: tables.FieldItemSize, additive.ItemMass: tables.FieldItemMass,
}

// whole sees that every trial gives the numbers that the terms named read.
func (d *variedTrials) whole(file string, terms []additive.Term) error {
	for _, t := range terms {
		for _, v := range t.Variables {
			for i, x := range d.Numbers[v] {
				if math.IsNaN(x) {
					return inputError{fmt.Errorf("%s, row %d, column %s: is empty or not there; give it in every row or leave the term %s out", filepath.Base(file), d.rows[i], fileColumns[v], t.Name)}
				}
			}
		}
	}
	return nil
}

func (c *fitCommand) terms(d *variedTrials, s orient.Symmetry) ([]additive.Term, []string, error) {
	if c.Terms != "auto" {
		terms, err := additive.Parse(c.Terms, d.Data, s)
		if err != nil {
			return nil, nil, usageError{fmt.Errorf("--terms: %w", err)}
		}
		return terms, nil, d.whole(c.Trials, terms)
	}
	terms, notes := additive.Varied(d.Data, s)
	if len(terms) == 0 {
		return nil, nil, inputError{fmt.Errorf("nothing varies in %s that a model could use; vary orientation, closing, offset, item_size, item_mass, strategy, hand, item, setting, block or operator", filepath.Base(c.Trials))}
	}
	return terms, notes, nil
}

// readVaried reads the trials that count, without reference trials, with all that may have been varied.
func readVaried(path string, columns *tables.ColumnMap) (*variedTrials, error) {
	src, closeFile, err := openTable(path)
	if err != nil {
		return nil, err
	}
	defer closeFile()
	d := &variedTrials{Data: &additive.Data{Numbers: map[string][]float64{}, Levels: map[string][]string{}}}
	figure := func(name string, given bool, v float64) {
		if !given {
			v = math.NaN()
		}
		d.Numbers[name] = append(d.Numbers[name], v)
	}
	level := func(name, v string) { d.Levels[name] = append(d.Levels[name], v) }
	_, err = tables.StreamFeatures(src, columns, func(r *tables.Row) error {
		if !r.Outcome.Counts() || r.Reference {
			return nil
		}
		held := 0.0
		if r.Outcome == "held" {
			held = 1
		}
		d.Held, d.Trials, d.rows = append(d.Held, held), append(d.Trials, 1), append(d.rows, r.Number)
		d.Orientations = append(d.Orientations, r.Rotation)
		figure(additive.Closing, r.Has(tables.FieldClosing), r.Closing)
		figure(additive.OffsetX, r.Has(tables.FieldOffsetX), r.Offset[0])
		figure(additive.OffsetY, r.Has(tables.FieldOffsetY), r.Offset[1])
		figure(additive.ItemSize, r.Has(tables.FieldItemSize), math.Log(r.ItemSize))
		figure(additive.ItemMass, r.Has(tables.FieldItemMass), math.Log(r.ItemMass))
		level(additive.Strategy, r.Strategy)
		level(additive.Hand, r.Hand)
		level(additive.Item, r.Item)
		level(additive.Setting, r.Setting)
		level(additive.Operator, r.Operator)
		block := ""
		if r.Has(tables.FieldBlock) {
			block = additive.BlockName(r.Block)
		}
		level(additive.Block, block)
		return nil
	})
	if err == nil && len(d.Held) == 0 {
		err = fmt.Errorf("%s holds no trial that counts", filepath.Base(path))
	}
	return d, err
}

func reportOf(m *additive.Model) *fitReport {
	s := m.Summary()
	r := &fitReport{Trials: int(math.Round(s.Trials)), Held: int(math.Round(s.Held)), LogEvidence: s.Evidence, Warnings: append([]string{}, s.Warnings...)}
	for _, t := range s.Terms {
		f := fitTerm{Term: t.Name, Coefficients: t.Columns, Amplitude: t.Amplitude, Spread: t.Spread}
		if !math.IsNaN(t.Length) {
			length := t.Length
			switch {
			case t.Kind == additive.Orientation:
				f.LengthUnit = "degrees"
				length *= 180 / math.Pi
			case strings.Contains(t.Name, "offset"):
				f.LengthUnit = "mm"
				length *= 1000
			case strings.Contains(t.Name, additive.ItemSize), strings.Contains(t.Name, additive.ItemMass):
				f.LengthUnit = "times" // of a ratio: the variable is a logarithm
				length = math.Exp(length)
			default:
				f.LengthUnit = "of the full command"
			}
			f.LengthScale = &length
		}
		r.Terms = append(r.Terms, f)
	}
	r.Sentence = fmt.Sprintf("%d trials, %d held; %d terms fitted.", r.Trials, r.Held, len(r.Terms))
	return r
}

// fitFolds is the number of folds that what matters is judged by.
const fitFolds = 5

func (r *fitReport) score(env *environment, m *additive.Model, d *additive.Data, seed uint64) error {
	if r.Held < 3 || r.Trials-r.Held < 3 {
		r.Warnings = append(r.Warnings, "What matters is not scored: that needs three trials that held and three that did not.")
		return nil
	}
	groups, by := additive.Groups(d)
	s, err := m.Matter(env.ctx, d, groups, fitFolds, seed)
	if err != nil {
		if env.ctx.Err() != nil {
			return err
		}
		r.Warnings = append(r.Warnings, "What matters is not scored: "+err.Error()+".")
		return nil
	}
	r.LogScore, r.BaseScore, r.ScoredBy, r.Folds = &s.LogScore, &s.Base, by, s.Folds
	r.Sentence = s.Sentence()
	if s.LogScore <= s.Base {
		r.Warnings = append(r.Warnings, fmt.Sprintf("On trials it had not seen the model does no better than the plain success rate (log score %.3f against %.3f).", s.LogScore, s.Base))
	}
	ordered := make([]fitTerm, 0, len(r.Terms))
	for _, l := range s.Terms {
		for _, t := range r.Terms {
			if t.Term == l.Term {
				t.Drop, t.DropSE, t.LeftOutWith = &l.Drop, &l.SE, l.With
				ordered = append(ordered, t)
			}
		}
	}
	r.Terms = ordered
	return nil
}

func (r *fitReport) print(out io.Writer) error {
	fmt.Fprintln(out, r.Sentence)
	fmt.Fprintln(out)
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "term\tlost when left out\t± (90 %)\tspread of log-odds\tlength scale")
	for _, t := range r.Terms {
		drop, se, length := "", "", ""
		if t.Drop != nil {
			drop, se = fmt.Sprintf("%+.4f", *t.Drop), fmt.Sprintf("%.4f", 1.645**t.DropSE)
		}
		if t.LengthScale != nil {
			length = fmt.Sprintf("%.3g %s", *t.LengthScale, t.LengthUnit)
		}
		fmt.Fprintf(w, "%s\t%s\t%s\t%.2f\t%s\n", t.Term, drop, se, t.Spread, length)
	}
	if err := w.Flush(); err != nil {
		return err
	}
	if r.LogScore != nil {
		fmt.Fprintf(out, "\nLost: log score per trial not seen, in nats (%d folds of %s). The model scores %.4f, the plain success rate %.4f.\n", r.Folds, r.ScoredBy, *r.LogScore, *r.BaseScore)
	}
	w = tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "\nfactor\tlevel\ttrials\tlog-odds (90 %)\tchance, all else as tried (90 %)")
	for _, e := range r.effects {
		if e.By == "" {
			continue
		}
		for _, p := range e.Points {
			fmt.Fprintf(w, "%s\t%s\t%.0f\t%+.2f (%+.2f to %+.2f)\t%.3f (%.3f to %.3f)\n", e.Term, p.Level, p.Trials, p.Mean, p.Low, p.High, p.P, p.PLow, p.PHigh)
		}
	}
	if err := w.Flush(); err != nil {
		return err
	}
	fmt.Fprintf(out, "\nN=%d held=%d seconds=%.2f\n", r.Trials, r.Held, r.Seconds)
	return nil
}

// write writes the three files into the folder, each whole or not at all.
func (r *fitReport) write(dir string) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return fileError(dir, err)
	}
	if err := writeFile(filepath.Join(dir, "effects.csv"), r.writeEffects); err != nil {
		return err
	}
	if err := writeFile(filepath.Join(dir, "terms.csv"), r.writeTerms); err != nil {
		return err
	}
	return writeFile(filepath.Join(dir, "summary.json"), func(w io.Writer) error {
		e := json.NewEncoder(w)
		e.SetIndent("", "  ")
		return e.Encode(r)
	})
}

func figure(v float64) string {
	if math.IsNaN(v) {
		return ""
	}
	return strconv.FormatFloat(v, 'g', -1, 64)
}

// thousandfold writes a quantity whose logarithm is given in mm or g. The logarithm has cost it the last digits.
func thousandfold(log float64) string { return strconv.FormatFloat(1000*math.Exp(log), 'g', 12, 64) }

func optional(v *float64) string {
	if v == nil {
		return ""
	}
	return figure(*v)
}

func (r *fitReport) writeEffects(out io.Writer) error {
	w := csv.NewWriter(out)
	rows := [][]string{{"term", "level", "closing", "offset_x_mm", "offset_y_mm", "item_size_mm", "item_mass_g", "trials", "effect", "effect_low", "effect_high", "p", "p_low", "p_high"}}
	for _, e := range r.effects {
		for _, p := range e.Points {
			var closing, x, y, size, mass string
			switch {
			case e.Kind == additive.Offset:
				x, y = figure(1000*p.X), figure(1000*p.Y)
			case e.Term == additive.OffsetX:
				x = figure(1000 * p.X)
			case e.Term == additive.OffsetY:
				y = figure(1000 * p.X)
			case e.Term == additive.ItemSize:
				size = thousandfold(p.X)
			case e.Term == additive.ItemMass:
				mass = thousandfold(p.X)
			case e.Term == additive.Closing:
				closing = figure(p.X)
			}
			rows = append(rows, []string{e.Term, tables.SafeText(p.Level), closing, x, y, size, mass, figure(p.Trials), figure(p.Mean), figure(p.Low), figure(p.High), figure(p.P), figure(p.PLow), figure(p.PHigh)})
		}
	}
	return w.WriteAll(rows)
}

func (r *fitReport) writeTerms(out io.Writer) error {
	w := csv.NewWriter(out)
	rows := [][]string{{"term", "coefficients", "amplitude", "length_scale", "length_unit", "spread", "drop", "drop_se", "left_out_with"}}
	for _, t := range r.Terms {
		rows = append(rows, []string{t.Term, strconv.Itoa(t.Coefficients), figure(t.Amplitude), optional(t.LengthScale), t.LengthUnit, figure(t.Spread), optional(t.Drop), optional(t.DropSE), strings.Join(t.LeftOutWith, "; ")})
	}
	return w.WriteAll(rows)
}
