package design

import (
	"strings"
	"testing"
)

func TestSummaryCounts(t *testing.T) {
	spec := bakery()
	runs := plan(t, spec)
	s := Summarize(spec, runs)
	// 2 replicates of 4 set-ups, 48 conditions each, in 3 blocks of 16 with 2 reference runs.
	if s.Runs != 8*(48+6) || s.References != 48 || s.Blocks != 24 || s.WholePlots != 8 || s.SetUps != 4 || s.LargestRun != 18 {
		t.Errorf("%+v", s)
	}
	for _, total := range s.Totals {
		want := map[string][2]int{"hand": {192, 4}, "item": {192, 4}, "setting": {384, 8}, "strategy": {192, 8}, "closing": {128, 8}}[total.Factor]
		if total.Runs != want[0] || total.WholePlots != want[1] {
			t.Errorf("%+v, want %v", total, want)
		}
	}
	if len(s.Totals) != 2+2+1+2+3 {
		t.Errorf("%d totals", len(s.Totals))
	}
	if want := float64(s.Runs*90+s.Changes*600) / 3600; s.Hours() != want {
		t.Errorf("%g hours, want %g", s.Hours(), want)
	}
	text := s.Text()
	for _, want := range []string{"432 runs, of them 48 reference runs, in 24 blocks and 8 whole plots", "seed 42", "split-plot plan: the set-up (hand, item)", s.Digest[:16]} {
		if !strings.Contains(text, want) {
			t.Errorf("summary lacks %q:\n%s", want, text)
		}
	}
}

func TestEffortCountsChanges(t *testing.T) {
	spec := bakery()
	spec.TrialSeconds, spec.ChangeSeconds = 10, 100
	at := func(plot int, hand, item string) Run {
		return Run{WholePlot: plot, Hand: hand, Item: item, Setting: "tray"}
	}
	e := BenchEffort(spec, []Run{
		at(1, "a", "x"), at(1, "a", "x"),
		at(2, "b", "y"), // both change
		at(3, "b", "y"), // the same set-up built anew: hand and item
		at(4, "b", "x"), // one changes
		{WholePlot: 4, Hand: "b", Item: "x", Setting: "tray", Reference: true},
	})
	if e.Changes != 5 || e.Runs != 6 || e.References != 1 || e.Seconds != 560 {
		t.Errorf("%+v", e)
	}
	if e := BenchEffort(spec, nil); e != (Effort{}) {
		t.Errorf("no runs take %+v", e)
	}
}

func TestSummaryWarns(t *testing.T) {
	spec := bakery()
	spec.Replicates, spec.References, spec.Offset = 1, 0, Offset{Kind: OffsetNone}
	text := Summarize(spec, plan(t, spec)).Text()
	for _, want := range []string{"set up only once", "no reference trials", "without offset"} {
		if !strings.Contains(text, want) {
			t.Errorf("summary lacks %q:\n%s", want, text)
		}
	}
	spec.Hands, spec.Items = spec.Hands[:1], spec.Items[:1]
	if text := Summarize(spec, plan(t, spec)).Text(); strings.Contains(text, "split-plot") {
		t.Errorf("a single set-up is called split-plot:\n%s", text)
	}
}
