package main

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"text/tabwriter"

	"holdfast/statistics/value"
)

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
