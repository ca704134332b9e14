// Command strategies asks which strategy gets which item: each shipped strategy with each shipped hand and item, over errors of
// position, and strategy against strategy pair by pair.
//
//	go run ./bench/strategies [-trials 24] [-workers 1]
//
// All ways meet the same items in the same places; directions are those that each is meant for. An orientation in which the
// planner sees no way counts as not held; how many those were stands behind v. Everything is a computation on invented items
// and hands, not a bench.
package main

import (
	"context"
	"flag"
	"fmt"
	"os"
	"text/tabwriter"

	"holdfast/bench/picks"
	"holdfast/statistics/compare"
	"holdfast/statistics/proportion"
)

func main() {
	trials := flag.Int("trials", 24, "trials a cell")
	workers := flag.Int("workers", 1, "trials at once; the results do not depend on it")
	flag.Parse()
	if *trials < 2 || *workers < 1 {
		fmt.Fprintln(os.Stderr, "bench/strategies: at least two trials and one worker")
		os.Exit(2)
	}
	if err := run(*trials, *workers); err != nil {
		fmt.Fprintln(os.Stderr, "bench/strategies:", err)
		os.Exit(1)
	}
}

// cell names what was tried.
type cell struct {
	item, hand, strategy string
	mm                   float64
}

func run(trials, workers int) error {
	ctx := context.Background()
	all := map[cell]*picks.Tried{}
	fmt.Printf("held of %d, with %.0f %% intervals, by standard deviation of position; v: no way was seen\n", trials, picks.Level*100)
	t := tabwriter.NewWriter(os.Stdout, 0, 0, 2, ' ', 0)
	fmt.Fprint(t, "item\thand\tstrategy")
	for _, mm := range positionErrors {
		fmt.Fprintf(t, "\t%g mm", mm)
	}
	fmt.Fprintln(t, "\tv")
	for _, item := range items {
		for _, hand := range hands {
			for i := range ways {
				w := &ways[i]
				fmt.Fprintf(t, "%s\t%s\t%s", item, hand, w.strategy)
				void := 0
				for _, mm := range positionErrors {
					got, err := try(ctx, item, hand, w, mm, trials, workers)
					if err != nil {
						return err
					}
					all[cell{item, hand, w.strategy, mm}] = got
					void += got.Void
					interval, err := proportion.Jeffreys.Interval(got.Count(), trials, picks.Level)
					if err != nil {
						return err
					}
					fmt.Fprintf(t, "\t%d (%.2f–%.2f)", got.Count(), interval.Low, interval.High)
				}
				fmt.Fprintf(t, "\t%d\n", void)
			}
		}
	}
	if err := t.Flush(); err != nil {
		return err
	}
	return tell(all)
}

// tell compares each directed strategy with the tips on the support, pair by pair, over all errors.
func tell(all map[cell]*picks.Tried) error {
	fmt.Printf("\nDifference in share held against surface-guided, pair by pair over all errors, with %.0f %% intervals:\n", picks.Level*100)
	for _, w := range ways[2:] {
		for _, item := range items {
			for _, hand := range hands {
				var p compare.Pairs
				for _, mm := range positionErrors {
					picks.AddPairs(&p, all[cell{item, hand, w.strategy, mm}], all[cell{item, hand, "surface-guided", mm}])
				}
				verdict, err := picks.Verdict(p)
				if err != nil {
					return err
				}
				fmt.Printf("  %s, %s, %s: %s\n", w.strategy, item, hand, verdict)
			}
		}
	}
	fmt.Println("\n" + picks.Closing)
	return nil
}
