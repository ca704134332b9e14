package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/goccy/go-yaml"

	"holdfast/statistics/value"
)

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
