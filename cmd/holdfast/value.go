package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"holdfast/domain"
	"holdfast/statistics/value"
	"holdfast/store/sqlite"
	"holdfast/tables"
	"holdfast/workflow"
)

type valueCommand struct {
	Lab    string   `placeholder:"DIR" help:"Folder of the lab; a server may have it open."`
	Item   string   `placeholder:"NAME" help:"Item to value, as its ID or name."`
	Study  string   `placeholder:"NAME" help:"With --lab: only this study; by default all that try the item."`
	Trials string   `placeholder:"FILE" help:"Without a lab: CSV or Parquet file of trials."`
	Retry  []string `placeholder:"STEP" help:"What follows each failed attempt: same, next, person or leave, with commas between."`
	JSON   bool     `name:"json" help:"Print the answer as JSON."`

	Columns string `placeholder:"MAP.yaml" help:"With --trials: tells how the file's columns are called; see docs/formats.md."`
	Figures string `placeholder:"FILE.yaml" help:"With --trials: what picking brings and costs, with the names of the flags below in snake case."`
	Repeats string `placeholder:"FILE.csv" help:"With --trials: items that were tried more than once, columns tried and held, to measure how attempts at one item go together."`
	valueFigures
}

// Run values the item.
func (c *valueCommand) Run(env *environment) error {
	steps := make([]domain.RetryStep, len(c.Retry))
	for i, s := range c.Retry {
		steps[i] = domain.RetryStep(strings.TrimSpace(s))
	}
	if err := domain.CheckRetry(steps); err != nil {
		return usageError{fmt.Errorf("--retry %s is not understood: the policy %w", strings.Join(c.Retry, ","), err)}
	}
	var r valueReport
	var err error
	switch {
	case c.Lab != "" && c.Trials != "":
		return usageError{errors.New("name either --lab or --trials: a lab keeps its trials itself")}
	case c.Lab != "":
		r, err = c.fromLab(env, steps)
	case c.Trials != "":
		r, err = c.fromFile(env, steps)
	default:
		return usageError{errors.New("name a lab with --lab and an item with --item, or a file of trials with --trials")}
	}
	if err != nil {
		return badInput(err)
	}
	for _, w := range r.Warnings {
		fmt.Fprintln(env.stderr, "note:", w)
	}
	if c.JSON {
		return json.NewEncoder(env.stdout).Encode(r)
	}
	return r.print(env.stdout)
}

// fromLab values the item in every study that tries it.
func (c *valueCommand) fromLab(env *environment, steps []domain.RetryStep) (r valueReport, err error) {
	if c.Item == "" {
		return r, usageError{errors.New("name the item with --item")}
	}
	if c.valueFigures != (valueFigures{}) || c.Figures != "" || c.Repeats != "" || c.Columns != "" {
		return r, usageError{errors.New("a lab keeps its own figures: change them on the page Value, or leave out the flags that go with --trials")}
	}
	store, err := sqlite.OpenReadOnly(c.Lab, sqlite.Options{Clock: systemClock{}})
	if err != nil {
		return r, err
	}
	defer store.Close()
	lab := newWorkflow(store, labName(c.Lab))
	items, err := lab.Items(env.ctx)
	if err != nil {
		return r, err
	}
	at := slices.IndexFunc(items, func(it domain.Item) bool {
		return strings.EqualFold(string(it.ID), c.Item) || strings.EqualFold(it.Name, c.Item)
	})
	if at < 0 {
		names := make([]string, len(items))
		for i, it := range items {
			names[i] = string(it.ID)
		}
		return r, usageError{fmt.Errorf("the lab has no item %q; it has %s", c.Item, strings.Join(names, ", "))}
	}
	studies, err := store.Studies(env.ctx)
	if err != nil {
		return r, err
	}
	found := false
	tell := spaced(env.stderr, time.Now)
	for _, s := range studies {
		if !slices.Contains(s.Items, items[at].ID) || c.Study != "" && string(s.ID) != c.Study && s.Name != c.Study {
			continue
		}
		found = true
		tell("Going on with the maps of %s", s.Name)
		v, err := lab.Value(env.ctx, workflow.ValueQuery{Study: s.ID, Item: items[at].ID, Retry: steps})
		if err != nil {
			return r, err
		}
		r.Item, r.Currency, r.Shared, r.Assumed = items[at].Name, v.Line.Currency, v.Shared, v.Assumed
		r.Person = valueHour{v.Person.Items, v.Person.Net}
		for _, w := range v.Warnings {
			if !slices.Contains(r.Warnings, w) {
				r.Warnings = append(r.Warnings, w)
			}
		}
		for _, row := range v.Rows {
			one := newValueRow(row.Assessment, row.End)
			one.Study, one.Hand, one.Setting = string(s.ID), string(row.Condition.Hand), string(row.Condition.Setting)
			one.Trials, one.Held = row.Condition.Trials, row.Condition.Held
			for k, g := range row.Strategies {
				one.Strategies = append(one.Strategies, string(g))
				one.Steps[k].Strategy = string(g)
			}
			r.Rows = append(r.Rows, one)
		}
	}
	if !found {
		return r, usageError{fmt.Errorf("no study tries %s%s", items[at].Name, map[bool]string{true: " under that name", false: ""}[c.Study != ""])}
	}
	r.sort()
	return r, nil
}

// fromFile values the strategies of a file of trials. Their success is that of all trials; where it should be that of a
// region, a lab is needed.
func (c *valueCommand) fromFile(env *environment, steps []domain.RetryStep) (r valueReport, err error) {
	f, err := c.figures()
	if err != nil {
		return r, err
	}
	counts, err := c.countTrials()
	if err != nil {
		return r, err
	}
	r.Currency = f.text(f.Currency, "EUR")
	if !domain.CurrencyCode(r.Currency) {
		return r, usageError{fmt.Errorf("the currency %q is not understood: write a code of three capital letters, such as EUR", r.Currency)}
	}
	p := value.Policy{End: value.ToPerson, Again: value.DefaultAgain(), Factor: f.number(f.RetryFactor, 1)}
	if p.Shared, r.Assumed, err = c.shared(f); err != nil {
		return r, err
	}
	r.Shared = p.Shared
	m := f.money()
	r.Person = valueHour{m.PersonHour().Items, m.PersonHour().Net}
	names := slices.Sorted(maps.Keys(counts))
	ways := make([]value.Way, len(names))
	for i, name := range names {
		if ways[i], err = value.Posterior(name, *counts[name], nil, f.number(f.CycleS, 0), fileDraws, 1); err != nil {
			return r, err
		}
	}
	if len(steps) == 0 {
		steps = []domain.RetryStep{domain.RetrySame, domain.RetryPerson}
	}
	for first, name := range names {
		own := p
		own.Ways = []int{first}
		for _, s := range steps {
			switch s {
			case domain.RetrySame:
				own.Ways = append(own.Ways, own.Ways[len(own.Ways)-1])
			case domain.RetryNext:
				if next := bestUnused(ways, own.Ways); next >= 0 {
					own.Ways = append(own.Ways, next)
				}
			case domain.RetryLeave:
				own.End = value.LeaveIt
			}
		}
		a, err := value.Assess(env.ctx, ways, own, m)
		if err != nil {
			return r, err
		}
		row := newValueRow(a, own.End)
		row.Trials, row.Held = counts[name].Trials(), counts[name].Held
		for k, w := range own.Ways {
			row.Strategies = append(row.Strategies, names[w])
			row.Steps[k].Strategy = names[w]
		}
		r.Rows = append(r.Rows, row)
	}
	r.Item = c.Item
	if r.Assumed && len(steps) > 1 {
		r.Warnings = append(r.Warnings, fmt.Sprintf("How attempts at one item go together was not measured; a correlation of %.2g is assumed.", r.Shared))
	}
	r.Warnings = append(r.Warnings, "Success is that of all trials of a strategy, wherever the hand came from; a lab values its best region.")
	r.sort()
	return r, nil
}

// fileDraws is how many posterior draws are carried through the chain.
const fileDraws = 4000

func bestUnused(ways []value.Way, used []int) int {
	best, high := -1, -1.0
	for i := range ways {
		if v := value.Summarise(ways[i].Held).Low; !slices.Contains(used, i) && v > high {
			best, high = i, v
		}
	}
	return best
}

// countTrials counts the trials of each strategy; those of a file without strategies are one.
func (c *valueCommand) countTrials() (map[string]*value.Counts, error) {
	columns, err := readColumns(c.Columns)
	if err != nil {
		return nil, err
	}
	src, closeFile, err := openTable(c.Trials)
	if err != nil {
		return nil, err
	}
	defer closeFile()
	counts := map[string]*value.Counts{}
	_, err = tables.Stream(src, columns, func(r *tables.Row) error {
		if !r.Outcome.Counts() || r.Reference || c.Item != "" && !strings.EqualFold(r.Item, c.Item) {
			return nil
		}
		name := r.Strategy
		if name == "" {
			name = "all trials"
		}
		if counts[name] == nil {
			counts[name] = &value.Counts{}
		}
		var duration *float64
		if r.Has(tables.FieldDuration) {
			duration = &r.Duration
		}
		counts[name].Add(r.Outcome, duration)
		return nil
	})
	if err == nil && len(counts) == 0 {
		err = fmt.Errorf("%s holds no trial that counts%s", filepath.Base(c.Trials), map[bool]string{true: " of " + c.Item, false: ""}[c.Item != ""])
	}
	return counts, err
}

// shared gives the correlation of attempts at one item: as stated, as measured, or assumed.
func (c *valueCommand) shared(f valueFigures) (rho float64, assumed bool, err error) {
	if f.Shared != nil {
		return *f.Shared, false, nil
	}
	if c.Repeats == "" {
		return value.DefaultShared, true, nil
	}
	items, err := readRepeats(c.Repeats)
	if err != nil {
		return 0, false, err
	}
	rho, err = value.EstimateShared(items)
	return rho, false, err
}
