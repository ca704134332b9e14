package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"text/tabwriter"
	"time"

	"github.com/goccy/go-yaml"

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

// valueFigures are the flags that stand for the figures a lab keeps. nil: not given.
type valueFigures struct {
	Currency      *string  `yaml:"currency" placeholder:"EUR" help:"Currency of all amounts (ISO 4217); nothing is converted."`
	ValuePerGood  *float64 `yaml:"value_per_good" placeholder:"M" help:"Money that an item placed undamaged brings."`
	CostDamaged   *float64 `yaml:"cost_damaged" placeholder:"M" help:"Cost of a damaged item."`
	CostFailed    *float64 `yaml:"cost_failed" placeholder:"M" help:"Cost of a failed attempt."`
	CostPerson    *float64 `yaml:"cost_person_item" name:"cost-person-item" placeholder:"M" help:"Cost of handing one item to a person."`
	CostAttempt   *float64 `yaml:"cost_attempt" placeholder:"M" help:"Wear of the hand, an attempt."`
	LinePerHour   *float64 `yaml:"line_per_hour" placeholder:"M" help:"Cost of an hour of the line, whoever picks."`
	HandPerHour   *float64 `yaml:"hand_per_hour" placeholder:"M" help:"Cost of an hour of the hand."`
	PersonPerHour *float64 `yaml:"person_per_hour" placeholder:"M" help:"Cost of an hour of the person who would pick instead."`
	PersonS       *float64 `yaml:"person_s" placeholder:"S" help:"That person's time for an item, in s."`
	ItemS         *float64 `yaml:"item_s" placeholder:"S" help:"Time added to every item, in s."`
	FailS         *float64 `yaml:"fail_s" placeholder:"S" help:"Time added to every failed attempt, in s."`
	WaitS         *float64 `yaml:"wait_s" placeholder:"S" help:"Time that the line waits for each item handed to a person, in s."`
	CycleS        *float64 `yaml:"cycle_s" placeholder:"S" help:"Duration of an attempt where the trials were not timed, in s."`
	Demand        *float64 `yaml:"demand_per_hour" name:"demand-per-hour" placeholder:"N" help:"Items an hour that the line is fed; by default as many as it can take."`
	Shared        *float64 `yaml:"shared" placeholder:"R" help:"Correlation of attempts at one item, 0 to 0.95; by default as measured by --repeats, else 0.3."`
	RetryFactor   *float64 `yaml:"retry_factor" placeholder:"F" help:"The odds of success at each further attempt are multiplied by it."`
}

// valueReport is what value tells.
type valueReport struct {
	Item     string           `json:"item,omitempty"`
	Currency string           `json:"currency"`
	Shared   float64          `json:"shared"`
	Assumed  bool             `json:"shared_assumed"`
	Person   valueHour        `json:"person"`
	Rows     []valueReportRow `json:"rows"`
	Warnings []string         `json:"warnings"`
}

type valueHour struct {
	Items float64 `json:"items_per_hour"`
	Net   float64 `json:"net_per_hour"`
}

type valueRange struct {
	Mean float64 `json:"mean"`
	Low  float64 `json:"low"`
	High float64 `json:"high"`
}

type valueReportRow struct {
	Study       string      `json:"study,omitempty"`
	Hand        string      `json:"hand,omitempty"`
	Setting     string      `json:"setting,omitempty"`
	Strategies  []string    `json:"attempts"`
	End         string      `json:"end"`
	Trials      int         `json:"trials"`
	Held        int         `json:"held"`
	Success     valueRange  `json:"success"`
	Picks       valueRange  `json:"picks_per_hour"`
	Good        valueRange  `json:"good_items_per_hour"`
	Net         valueRange  `json:"net_per_hour"`
	Gains       float64     `json:"probability_net_above_0"`
	BeatsPerson float64     `json:"probability_better_than_person"`
	BreakEven   *float64    `json:"break_even_success,omitempty"`
	BreakWord   string      `json:"break_even"`
	Ends        valueEnds   `json:"item"`
	Steps       []valueStep `json:"chain"`
	Sensitivity []valueBar  `json:"sensitivity"`
}

type valueEnds struct {
	Held     float64 `json:"held"`
	Damaged  float64 `json:"damaged"`
	Person   float64 `json:"person"`
	Left     float64 `json:"left"`
	Attempts float64 `json:"attempts"`
	Seconds  float64 `json:"time_s"`
	Money    float64 `json:"money"`
}

type valueStep struct {
	Strategy string  `json:"strategy"`
	Reached  float64 `json:"reached"`
	Held     float64 `json:"held"`
	Damaged  float64 `json:"damaged"`
	GivenUp  float64 `json:"given_up"`
}

type valueBar struct {
	Input    string  `json:"input"`
	Unit     string  `json:"unit"`
	Measured bool    `json:"measured"`
	Low      float64 `json:"low"`
	High     float64 `json:"high"`
	NetLow   float64 `json:"net_per_hour_at_low"`
	NetHigh  float64 `json:"net_per_hour_at_high"`
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

func newValueRow(a value.Assessment, end value.End) valueReportRow {
	span := func(e value.Estimate) valueRange { return valueRange{e.Mean, e.Low, e.High} }
	row := valueReportRow{
		End: string(end), Success: span(a.Success), Picks: span(a.Picks), Good: span(a.Good), Net: span(a.Net), Gains: a.Gains, BeatsPerson: a.BeatsPerson,
		Ends: valueEnds{a.Ends.Held, a.Ends.Damaged, a.Ends.Person, a.Ends.Left, a.Ends.Attempts, a.Ends.Seconds, a.Ends.Money},
	}
	switch {
	case a.BreakEven.Found:
		row.BreakEven, row.BreakWord = &a.BreakEven.Success, "at"
	case a.BreakEven.Always:
		row.BreakWord = "always better than a person"
	default:
		row.BreakWord = "never better than a person"
	}
	for _, s := range a.Ends.Steps {
		row.Steps = append(row.Steps, valueStep{Reached: s.Reached, Held: s.Held, Damaged: s.Damaged, GivenUp: s.GivenUp})
	}
	for _, b := range a.Sensitivity {
		row.Sensitivity = append(row.Sensitivity, valueBar{b.Input, b.Unit, b.Measured, b.Low, b.High, b.NetLow, b.NetHigh})
	}
	return row
}

func (r *valueReport) sort() {
	slices.SortStableFunc(r.Rows, func(a, b valueReportRow) int {
		switch {
		case a.Net.Mean > b.Net.Mean:
			return -1
		case a.Net.Mean < b.Net.Mean:
			return 1
		}
		return 0
	})
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

// figures reads the file of figures, over which flags win.
func (c *valueCommand) figures() (valueFigures, error) {
	var f valueFigures
	if c.Figures != "" {
		text, err := os.ReadFile(c.Figures)
		if err != nil {
			return f, fileError(c.Figures, err)
		}
		if err := yaml.UnmarshalWithOptions(text, &f, yaml.Strict()); err != nil {
			return f, fmt.Errorf("%s can not be understood: %s", filepath.Base(c.Figures), strings.TrimSpace(yaml.FormatError(err, false, false)))
		}
	}
	f.over(c.valueFigures)
	return f, nil
}

func (f *valueFigures) over(flags valueFigures) {
	if flags.Currency != nil {
		f.Currency = flags.Currency
	}
	mine, given := f.numbers(), flags.numbers()
	for i := range mine {
		if *given[i] != nil {
			*mine[i] = *given[i]
		}
	}
}

func (f *valueFigures) numbers() []**float64 {
	return []**float64{&f.ValuePerGood, &f.CostDamaged, &f.CostFailed, &f.CostPerson, &f.CostAttempt, &f.LinePerHour, &f.HandPerHour, &f.PersonPerHour,
		&f.PersonS, &f.ItemS, &f.FailS, &f.WaitS, &f.CycleS, &f.Demand, &f.Shared, &f.RetryFactor}
}

func (f *valueFigures) number(v *float64, otherwise float64) float64 {
	if v == nil {
		return otherwise
	}
	return *v
}

func (f *valueFigures) text(v *string, otherwise string) string {
	if v == nil {
		return otherwise
	}
	return *v
}

// money puts the figures together; a person takes 5 s an item unless it is said.
func (f *valueFigures) money() value.Money {
	n := func(v *float64) float64 { return f.number(v, 0) }
	m := value.Money{
		Good: n(f.ValuePerGood), Damaged: n(f.CostDamaged), Person: n(f.CostPerson), Attempt: n(f.CostAttempt), LineHour: n(f.LinePerHour),
		HandHour: n(f.HandPerHour), ItemSeconds: n(f.ItemS), FailSeconds: n(f.FailS), PersonSeconds: n(f.WaitS), Demand: n(f.Demand),
		Alternative: value.PersonAtTheLine{ItemSeconds: f.number(f.PersonS, 5), Hour: n(f.PersonPerHour)},
	}
	for k := range m.Failed {
		m.Failed[k] = n(f.CostFailed)
	}
	return m
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

func (r *valueReport) print(w io.Writer) error {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintf(t, "first, then\thand\ttrials\tsuccess %%\tpicks/h\tgood items/h\tnet %s/h, 90 %% interval\tbetter than a person\n", r.Currency)
	for _, row := range r.Rows {
		chain := strings.Join(append(slices.Clone(row.Strategies), row.End), ", ")
		fmt.Fprintf(t, "%s\t%s\t%d\t%.1f\t%.0f\t%.0f\t%.2f (%.2f … %.2f)\t%.3f\n", chain, row.Hand, row.Trials, 100*row.Success.Mean, row.Picks.Mean, row.Good.Mean,
			row.Net.Mean, row.Net.Low, row.Net.High, row.BeatsPerson)
	}
	fmt.Fprintf(t, "a person\t\t\t\t\t%.0f\t%.2f\t\n", r.Person.Items, r.Person.Net)
	if err := t.Flush(); err != nil {
		return err
	}
	if len(r.Rows) == 0 {
		return nil
	}
	best := r.Rows[0]
	fmt.Fprintf(w, "\nThe first line, an item: %.1f %% held, %.1f %% damaged, %.1f %% to a person, %.1f %% left; %.3g attempts, %.3g s, %.4f %s.\n",
		100*best.Ends.Held, 100*best.Ends.Damaged, 100*best.Ends.Person, 100*best.Ends.Left, best.Ends.Attempts, best.Ends.Seconds, best.Ends.Money, r.Currency)
	if best.BreakEven != nil {
		fmt.Fprintf(w, "Break-even: as good as a person at %.1f %% success of a first attempt.\n", 100**best.BreakEven)
	} else {
		fmt.Fprintf(w, "Break-even: %s, whatever the success.\n", best.BreakWord)
	}
	fmt.Fprintf(w, "\nWhat it hangs on (net %s/h when one input moves; measured: 5 and 95 %% points, stated: a fifth down and up)\n", r.Currency)
	for _, b := range best.Sensitivity[:min(8, len(best.Sensitivity))] {
		kind := "stated"
		if b.Measured {
			kind = "measured"
		}
		fmt.Fprintf(t, "  %s\t%s\t%.4g … %.4g\t%.2f … %.2f\n", b.Input, kind, b.Low, b.High, b.NetLow, b.NetHigh)
	}
	return t.Flush()
}
