package main

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"path/filepath"
	"slices"
	"sort"
	"strings"
	"text/tabwriter"

	"holdfast/orient"
	"holdfast/statistics/compare"
	"holdfast/statistics/proportion"
	"holdfast/statistics/successmap"
	"holdfast/tables"
)

type compareCommand struct {
	Files        []string `arg:"" name:"file" help:"Two files of trials, A and B; or one, with --by."`
	By           string   `placeholder:"COLUMN" help:"Compare the groups of one file: strategy, hand, item, setting or operator."`
	Columns      string   `placeholder:"MAP.yaml" help:"Tells how the files' columns are called; see docs/formats.md."`
	Level        float64  `default:"0.90" help:"Level of the intervals."`
	NoWorseBy    float64  `placeholder:"SHARE" help:"Also ask whether A is no worse than B by more than this share, such as 0.02."`
	Pairs        bool     `help:"Rows with the same key in both files are one run tried under both."`
	IgnoreBlocks bool     `help:"Compare trials as if blocks did not matter, though the files number them."`
	BlurDeg      float64  `placeholder:"DEG" help:"Compare the maps when the orientation errs by this root-mean-square angle."`
	HandSymmetry string   `default:"1" placeholder:"N|N+mirror" help:"The hand looks the same after 1/N of a turn; +mirror: and in its mirror plane."`
	ItemSymmetry string   `default:"none" placeholder:"axial|N|none" help:"Symmetry of item and setting about the vertical."`
	At           string   `placeholder:"GRID" help:"File of orientations to compare the maps at; by default those of the trials."`
	Out          string   `placeholder:"FILE.csv" help:"File to write the comparison of the maps to; by default none."`
	Seed         uint64   `default:"1" help:"Seed of draws and relabellings."`
	JSON         bool     `name:"json" help:"Print the result as JSON."`
}

// Run compares two files, or the groups of one.
func (c *compareCommand) Run(env *environment) error {
	switch {
	case !(c.Level > 0 && c.Level < 1):
		return usageError{fmt.Errorf("--level %g is not understood: write a number between 0 and 1", c.Level)}
	case c.By != "" && len(c.Files) != 1:
		return usageError{fmt.Errorf("--by compares the groups of one file; %d are named", len(c.Files))}
	case c.By != "":
		return c.groups(env)
	case len(c.Files) != 2:
		return usageError{fmt.Errorf("two files are compared, or one with --by; %d are named", len(c.Files))}
	}
	return c.two(env)
}

// attempt is what a comparison needs of a row.
type attempt struct {
	key, group string
	block      int
	rotation   orient.Rotation
	held       bool
}

// grouping reads the column that --by names.
var grouping = map[string]func(*tables.Row) string{
	"strategy": func(r *tables.Row) string { return r.Strategy },
	"hand":     func(r *tables.Row) string { return r.Hand },
	"item":     func(r *tables.Row) string { return r.Item },
	"setting":  func(r *tables.Row) string { return r.Setting },
	"operator": func(r *tables.Row) string { return r.Operator },
}

// attempts reads the trials of a file that count, without reference trials.
func attempts(path string, columns *tables.ColumnMap, group func(*tables.Row) string) ([]attempt, error) {
	src, closeFile, err := openTable(path)
	if err != nil {
		return nil, err
	}
	defer closeFile()
	var list []attempt
	_, err = tables.Stream(src, columns, func(r *tables.Row) error {
		if !r.Outcome.Counts() || r.Reference {
			return nil
		}
		a := attempt{key: r.Key, block: r.Block, rotation: r.Rotation, held: r.Outcome == "held"}
		if group != nil {
			a.group = group(r)
		}
		list = append(list, a)
		return nil
	})
	if err == nil && len(list) == 0 {
		err = fmt.Errorf("%s holds no trial that counts", filepath.Base(path))
	}
	return list, err
}

// compareReport is what the comparison of two files tells.
type compareReport struct {
	A        string          `json:"a"`
	B        string          `json:"b"`
	Sentence string          `json:"sentence"`
	Design   string          `json:"design"` // trials, pairs, blocks or whole plots
	Level    float64         `json:"level"`
	HeldA    int             `json:"held_a"`
	TrialsA  int             `json:"trials_a"`
	HeldB    int             `json:"held_b"`
	TrialsB  int             `json:"trials_b"`
	Diff     float64         `json:"difference"`
	Low      float64         `json:"difference_low"`
	High     float64         `json:"difference_high"`
	Better   *float64        `json:"chance_a_is_better,omitempty"`
	Test     string          `json:"test"`
	P        compare.PValues `json:"p"`
	NoWorse  *noWorse        `json:"no_worse,omitempty"`
	Maps     *mapsReport     `json:"maps,omitempty"`
	Warnings []string        `json:"warnings"`
}

type noWorse struct {
	Margin     float64 `json:"margin"`
	Chance     float64 `json:"chance"`
	Bound      float64 `json:"lower_bound"`
	Confidence float64 `json:"confidence"`
	Shown      bool    `json:"shown"`
}

type mapsReport struct {
	Orientations int     `json:"orientations"`
	BlurDeg      float64 `json:"blur_deg"`
	ClearA       float64 `json:"share_a_clearly_better"`
	ClearB       float64 `json:"share_b_clearly_better"`
	SureA        float64 `json:"share_a_better_over_all"`
	SureB        float64 `json:"share_b_better_over_all"`
}

func (c *compareCommand) two(env *environment) error {
	columns, err := readColumns(c.Columns)
	if err != nil {
		return badInput(err)
	}
	a, err := attempts(c.Files[0], columns, nil)
	if err != nil {
		return badInput(err)
	}
	b, err := attempts(c.Files[1], columns, nil)
	if err != nil {
		return badInput(err)
	}
	r := compareReport{A: baseName(c.Files[0]), B: baseName(c.Files[1]), Level: c.Level, Warnings: []string{}}
	if r.A == r.B {
		r.A, r.B = "A", "B"
	}
	arms := armsOf(a, b)
	r.HeldA, r.TrialsA, r.HeldB, r.TrialsB = arms.HeldA, arms.TrialsA, arms.HeldB, arms.TrialsB
	if err := c.design(&r, a, b, arms); err != nil {
		return badInput(err)
	}
	if c.NoWorseBy != 0 {
		confidence := (1 + c.Level) / 2
		e, err := compare.Equivalence(arms, c.NoWorseBy, confidence)
		if err != nil {
			return badInput(err)
		}
		r.NoWorse = &noWorse{c.NoWorseBy, e.Posterior, e.Bound, confidence, e.Shown}
		if r.Design != "trials" {
			r.Warnings = append(r.Warnings, "The question whether A is no worse was asked of trials as if pairs and blocks did not matter.")
		}
	}
	if err := c.maps(env, &r, a, b); err != nil {
		return err
	}
	for _, w := range r.Warnings {
		fmt.Fprintln(env.stderr, "note:", w)
	}
	if c.JSON {
		return json.NewEncoder(env.stdout).Encode(r)
	}
	return r.print(env.stdout)
}

func baseName(path string) string {
	return strings.TrimSuffix(filepath.Base(path), filepath.Ext(path))
}

func armsOf(a, b []attempt) compare.Arms {
	arms := compare.Arms{TrialsA: len(a), TrialsB: len(b)}
	for _, x := range a {
		if x.held {
			arms.HeldA++
		}
	}
	for _, x := range b {
		if x.held {
			arms.HeldB++
		}
	}
	return arms
}

// design compares as the trials were run: in pairs when that was said, by block when both were tried in the same blocks,
// by whole plot when no block has both.
func (c *compareCommand) design(r *compareReport, a, b []attempt, arms compare.Arms) error {
	if c.Pairs {
		return c.paired(r, a, b)
	}
	blocks := map[int]*compare.Arms{}
	numbered, shared := 0, 0
	for i, list := range [][]attempt{a, b} {
		for _, x := range list {
			if x.block == 0 {
				continue
			}
			numbered++
			k := blocks[x.block]
			if k == nil {
				k = &compare.Arms{}
				blocks[x.block] = k
			}
			trials, held := &k.TrialsA, &k.HeldA
			if i == 1 {
				trials, held = &k.TrialsB, &k.HeldB
			}
			*trials++
			if x.held {
				*held++
			}
		}
	}
	for _, k := range blocks {
		if k.TrialsA > 0 && k.TrialsB > 0 {
			shared++
		}
	}
	switch {
	case numbered < len(a)+len(b) || len(blocks) < 2 || c.IgnoreBlocks:
		return c.plain(r, arms)
	case shared > 0:
		return c.blocked(r, blocks)
	}
	return c.wholePlots(r, blocks, arms)
}

func (c *compareCommand) plain(r *compareReport, arms compare.Arms) error {
	p, err := compare.Proportions(arms, c.Level)
	if err != nil {
		return err
	}
	r.Design, r.Test, r.P = "trials", "Boschloo's exact test", p.Boschloo
	r.Diff, r.Low, r.High, r.Better = p.Difference, p.Interval.Low, p.Interval.High, &p.Better
	r.Sentence = p.Sentence(r.A, r.B)
	return nil
}

func (c *compareCommand) paired(r *compareReport, a, b []attempt) error {
	other := map[string]bool{}
	for _, x := range b {
		other[x.key] = x.held
	}
	var pairs compare.Pairs
	for _, x := range a {
		held, both := other[x.key]
		switch {
		case !both:
		case x.held && held:
			pairs.Both++
		case x.held:
			pairs.OnlyA++
		case held:
			pairs.OnlyB++
		default:
			pairs.Neither++
		}
	}
	if pairs.N() == 0 {
		return fmt.Errorf("no key stands in both files, so there are no pairs; give both rows of a pair the same key")
	}
	if left := len(a) + len(b) - 2*pairs.N(); left > 0 {
		r.Warnings = append(r.Warnings, fmt.Sprintf("%s no partner and left out.", have(left)))
	}
	p, err := compare.Matched(pairs, c.Level)
	if err != nil {
		return err
	}
	r.Design, r.Test, r.P = "pairs", "McNemar's exact test", p.McNemar
	r.Diff, r.Low, r.High, r.Better = p.Difference, p.Interval.Low, p.Interval.High, &p.Better
	r.Sentence = p.Sentence(r.A, r.B)
	return nil
}

func have(n int) string {
	if n == 1 {
		return "1 trial has"
	}
	return fmt.Sprintf("%d trials have", n)
}

func inOrder(blocks map[int]*compare.Arms) []compare.Arms {
	numbers := make([]int, 0, len(blocks))
	for n := range blocks {
		numbers = append(numbers, n)
	}
	slices.Sort(numbers)
	list := make([]compare.Arms, len(numbers))
	for i, n := range numbers {
		list[i] = *blocks[n]
	}
	return list
}

func (c *compareCommand) blocked(r *compareReport, blocks map[int]*compare.Arms) error {
	p, err := compare.PerBlock(inOrder(blocks), c.Level)
	if err != nil {
		return err
	}
	r.Design, r.Test, r.P = "blocks", "exact conditional test over blocks", p.Exact
	r.Diff, r.Low, r.High, r.Better = p.Difference, p.Interval.Low, p.Interval.High, &p.Better
	r.Sentence = p.Sentence(r.A, r.B)
	if p.Left > 0 {
		r.Warnings = append(r.Warnings, fmt.Sprintf("%s in blocks with one of the two only, and left out.", are(p.Left)))
	}
	return nil
}

func (c *compareCommand) wholePlots(r *compareReport, blocks map[int]*compare.Arms, arms compare.Arms) error {
	var a, b []float64
	for _, k := range inOrder(blocks) {
		if k.TrialsA > 0 {
			a = append(a, float64(k.HeldA)/float64(k.TrialsA))
		} else {
			b = append(b, float64(k.HeldB)/float64(k.TrialsB))
		}
	}
	p, err := compare.PerWholePlot(a, b, c.Level, c.Seed)
	if err != nil {
		return fmt.Errorf("%w (--ignore-blocks compares the trials all the same)", err)
	}
	r.Design, r.Test, r.P = "whole plots", "permutation of whole plots", p.Permuted
	r.Diff, r.Low, r.High = p.Difference, p.Interval.Low, p.Interval.High
	r.Sentence = fmt.Sprintf("%s minus %s over %d and %d whole plots: %+.3g points, %.3g %% interval %+.3g to %+.3g.",
		r.A, r.B, p.PlotsA, p.PlotsB, 100*p.Difference, 100*c.Level, 100*p.Interval.Low, 100*p.Interval.High)
	r.Warnings = append(r.Warnings, "No block has trials of both, so whole blocks are compared: what differs could also be the day.")
	return nil
}

// What maps are compared with: enough trials that a map says something, and joint draws.
const (
	fewestMapped = 20
	compareDraws = 400
	mostCompared = 2000
)

func (c *compareCommand) maps(env *environment, r *compareReport, a, b []attempt) error {
	m := mapCommand{Degree: "auto", HandSymmetry: c.HandSymmetry, ItemSymmetry: c.ItemSymmetry, BlurDeg: c.BlurDeg}
	options, err := m.options()
	if err != nil {
		return err
	}
	if len(a) < fewestMapped || len(b) < fewestMapped {
		r.Warnings = append(r.Warnings, fmt.Sprintf("The maps are not compared: that needs %d trials of each.", fewestMapped))
		if c.Out != "" {
			return badInput(fmt.Errorf("%s can not be written: maps need %d trials of each file", c.Out, fewestMapped))
		}
		return nil
	}
	columns, err := readColumns(c.Columns)
	if err != nil {
		return badInput(err)
	}
	grid, err := c.grid(a, b, options.Symmetry, columns)
	if err != nil {
		return badInput(err)
	}
	var draws [2][][]float64
	for i, list := range [][]attempt{a, b} {
		fit, err := successmap.Fit(env.ctx, observed(list), options)
		if err != nil {
			return err
		}
		// Each map has draws of its own: a shared seed would make the two move together.
		if c.BlurDeg > 0 {
			var blurred *successmap.Blurred
			if blurred, err = fit.Blur(c.BlurDeg * math.Pi / 180); err == nil {
				draws[i], err = blurred.Draws(compareDraws, c.Seed+uint64(i), grid)
			}
		} else {
			draws[i], err = fit.Draws(compareDraws, c.Seed+uint64(i), grid)
		}
		if err != nil {
			return err
		}
	}
	over, err := compare.OverOrientations(draws[0], draws[1], c.Level)
	if err != nil {
		return err
	}
	r.Maps = &mapsReport{len(grid), c.BlurDeg, over.ClearA, over.ClearB, over.SureA, over.SureB}
	if c.Out == "" {
		return nil
	}
	return writeFile(c.Out, func(w io.Writer) error { return writeMaps(w, grid, draws, over) })
}

func observed(list []attempt) []successmap.Observation {
	obs := make([]successmap.Observation, len(list))
	for i, x := range list {
		obs[i] = successmap.Observation{R: x.rotation, Trials: 1}
		if x.held {
			obs[i].Held = 1
		}
	}
	return obs
}

// grid is what the maps are compared at: the file's orientations, or the distinct ones of both lists of trials.
func (c *compareCommand) grid(a, b []attempt, symmetry orient.Symmetry, columns *tables.ColumnMap) ([]orient.Rotation, error) {
	if c.At != "" {
		src, closeFile, err := openTable(c.At)
		if err != nil {
			return nil, err
		}
		defer closeFile()
		grid, err := tables.ReadGrid(src, columns)
		if err == nil && len(grid) == 0 {
			err = fmt.Errorf("%s holds no orientation", filepath.Base(c.At))
		}
		return grid, err
	}
	points := make([]orient.Rotation, 0, len(a)+len(b))
	for _, list := range [][]attempt{a, b} {
		for _, x := range list {
			points = append(points, x.rotation)
		}
	}
	distinct, _ := symmetry.Distinct(points)
	if len(distinct) > mostCompared {
		// Every so many of them: the order of trials was randomised, so this is an even sample.
		step := float64(len(distinct)) / mostCompared
		some := make([]orient.Rotation, mostCompared)
		for i := range some {
			some[i] = distinct[int(float64(i)*step)]
		}
		distinct = some
	}
	return distinct, nil
}

func writeMaps(w io.Writer, grid []orient.Rotation, draws [2][][]float64, over *compare.Maps) error {
	out := csv.NewWriter(w)
	_ = out.Write([]string{"qw", "qx", "qy", "qz", "p_a", "p_b", "difference", "difference_low", "difference_high", "chance_a_is_better", "clear", "clear_over_all"})
	for i, s := range over.Spots {
		var mean [2]float64
		for k := range draws {
			for d := range draws[k] {
				mean[k] += draws[k][d][i] / float64(len(draws[k]))
			}
		}
		q := grid[i].Canonical()
		_ = out.Write([]string{number(q.W), number(q.X), number(q.Y), number(q.Z), number(mean[0]), number(mean[1]), number(s.Difference), number(s.Low), number(s.High),
			number(s.Better), fmt.Sprint(s.Clear), fmt.Sprint(s.Sure)})
	}
	out.Flush()
	return out.Error()
}

func (r *compareReport) print(w io.Writer) error {
	fmt.Fprintln(w, r.Sentence)
	fmt.Fprintf(w, "Held: %s %d of %d (%.3g %%), %s %d of %d (%.3g %%). Compared by %s.\n",
		r.A, r.HeldA, r.TrialsA, 100*float64(r.HeldA)/float64(r.TrialsA), r.B, r.HeldB, r.TrialsB, 100*float64(r.HeldB)/float64(r.TrialsB), r.Design)
	fmt.Fprintf(w, "%s: p = %.3g two-sided, %.3g one-sided.\n", upper(r.Test), r.P.TwoSided, min(r.P.Greater, r.P.Less))
	if n := r.NoWorse; n != nil {
		verdict := "not shown"
		if n.Shown {
			verdict = "shown"
		}
		fmt.Fprintf(w, "No worse by more than %.3g points: %s (lower bound %+.3g points at %.3g %% confidence); posterior chance %.3f.\n",
			100*n.Margin, verdict, 100*n.Bound, 100*n.Confidence, n.Chance)
	}
	if m := r.Maps; m != nil {
		fmt.Fprintf(w, "Over %d orientations, blurred by %.3g°: %s clearly better at %.0f %% of them (%.0f %% in a band over all at once), %s at %.0f %% (%.0f %%).\n",
			m.Orientations, m.BlurDeg, r.A, 100*m.ClearA, 100*m.SureA, r.B, 100*m.ClearB, 100*m.SureB)
	}
	return nil
}

func upper(s string) string { return strings.ToUpper(s[:1]) + s[1:] }

// groupsReport is what the comparison of many groups tells.
type groupsReport struct {
	By     string      `json:"by"`
	Level  float64     `json:"level"`
	Groups []groupRow  `json:"groups"` // largest share held first
	Pairs  []groupPair `json:"pairs"`
}

type groupRow struct {
	Name   string  `json:"name"`
	Held   int     `json:"held"`
	Trials int     `json:"trials"`
	Low    float64 `json:"low"`
	High   float64 `json:"high"`
}

type groupPair struct {
	A      string  `json:"a"`
	B      string  `json:"b"`
	Diff   float64 `json:"difference"`
	Low    float64 `json:"difference_low"`
	High   float64 `json:"difference_high"`
	Better float64 `json:"chance_a_is_better"`
	P      float64 `json:"p"`
	Holm   float64 `json:"p_holm"`
}

// mostGroups bounds the pairs that are compared.
const mostGroups = 20

func (c *compareCommand) groups(env *environment) error {
	group := grouping[c.By]
	if group == nil {
		return usageError{fmt.Errorf("--by %s is not understood: write strategy, hand, item, setting or operator", c.By)}
	}
	columns, err := readColumns(c.Columns)
	if err != nil {
		return badInput(err)
	}
	list, err := attempts(c.Files[0], columns, group)
	if err != nil {
		return badInput(err)
	}
	counts := map[string]*groupRow{}
	for _, x := range list {
		if x.group == "" {
			return badInput(fmt.Errorf("%s has trials without %s, so they can not be grouped by it", filepath.Base(c.Files[0]), c.By))
		}
		g := counts[x.group]
		if g == nil {
			g = &groupRow{Name: x.group}
			counts[x.group] = g
		}
		g.Trials++
		if x.held {
			g.Held++
		}
	}
	if len(counts) < 2 || len(counts) > mostGroups {
		return badInput(fmt.Errorf("%s has %d different values of %s; 2 to %d can be compared", filepath.Base(c.Files[0]), len(counts), c.By, mostGroups))
	}
	r := groupsReport{By: c.By, Level: c.Level}
	for _, g := range counts {
		i, err := proportion.ClopperPearson.Interval(g.Held, g.Trials, c.Level)
		if err != nil {
			return err
		}
		g.Low, g.High = i.Low, i.High
		r.Groups = append(r.Groups, *g)
	}
	sort.Slice(r.Groups, func(i, j int) bool {
		a, b := r.Groups[i], r.Groups[j]
		if x, y := float64(a.Held)/float64(a.Trials), float64(b.Held)/float64(b.Trials); x != y {
			return x > y
		}
		return a.Name < b.Name
	})
	var p []float64
	for i, a := range r.Groups {
		for _, b := range r.Groups[i+1:] {
			x, err := compare.Proportions(compare.Arms{HeldA: a.Held, TrialsA: a.Trials, HeldB: b.Held, TrialsB: b.Trials}, c.Level)
			if err != nil {
				return err
			}
			r.Pairs = append(r.Pairs, groupPair{A: a.Name, B: b.Name, Diff: x.Difference, Low: x.Interval.Low, High: x.Interval.High, Better: x.Better, P: x.Boschloo.TwoSided})
			p = append(p, x.Boschloo.TwoSided)
		}
	}
	for i, adjusted := range compare.Holm(p) {
		r.Pairs[i].Holm = adjusted
	}
	if c.JSON {
		return json.NewEncoder(env.stdout).Encode(r)
	}
	return r.print(env.stdout)
}

func (r *groupsReport) print(w io.Writer) error {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintf(t, "%s\theld\ttrials\tshare\t%.3g %% interval\n", r.By, 100*r.Level)
	for _, g := range r.Groups {
		fmt.Fprintf(t, "%s\t%d\t%d\t%.3f\t%.3f to %.3f\n", g.Name, g.Held, g.Trials, float64(g.Held)/float64(g.Trials), g.Low, g.High)
	}
	fmt.Fprintf(t, "\nA against B\tdifference\t%.3g %% interval\tchance A is better\tp (Boschloo)\tp (Holm)\n", 100*r.Level)
	for _, p := range r.Pairs {
		fmt.Fprintf(t, "%s against %s\t%+.3f\t%+.3f to %+.3f\t%.3f\t%.3g\t%.3g\n", p.A, p.B, p.Diff, p.Low, p.High, p.Better, p.P, p.Holm)
	}
	return t.Flush()
}
