package main

import (
	"encoding/json"
	"fmt"
	"io"
	"path/filepath"
	"sort"
	"text/tabwriter"

	"holdfast/statistics/compare"
	"holdfast/statistics/proportion"
)

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
