package main

import (
	"encoding/json"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"holdfast/orient"
	"holdfast/statistics/compare"
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
