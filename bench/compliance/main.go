// Command compliance asks what fingers that give and what the surroundings are worth when items do not lie where they are
// believed to: how often each shipped hand holds each shipped item by each strategy, over errors of position.
//
//	go run ./bench/compliance [-trials 16] [-workers 1]
//
// All hands meet the same items in the same places in the same directions, so differences are taken pair by pair. The hold is
// shortened to 0.3 s and the shake left out. Everything is a computation on invented items and hands, not a bench.
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
	trials := flag.Int("trials", 16, "trials a cell")
	workers := flag.Int("workers", 1, "trials at once; the results do not depend on it")
	flag.Parse()
	if *trials < 2 || *workers < 1 {
		fmt.Fprintln(os.Stderr, "bench/compliance: at least two trials and one worker")
		os.Exit(2)
	}
	if err := run(*trials, *workers); err != nil {
		fmt.Fprintln(os.Stderr, "bench/compliance:", err)
		os.Exit(1)
	}
}

func run(trials, workers int) error {
	ctx := context.Background()
	all := results{}
	for _, s := range strategies {
		fmt.Printf("%s, %s\n", s.name, told)
		t := tabwriter.NewWriter(os.Stdout, 0, 0, 2, ' ', 0)
		fmt.Fprint(t, "item\thand")
		for _, e := range positionErrors {
			fmt.Fprintf(t, "\t%g mm", e)
		}
		fmt.Fprintln(t)
		for _, item := range items {
			for _, hand := range hands {
				fmt.Fprintf(t, "%s\t%s", item, hand.name)
				for _, e := range positionErrors {
					got, err := try(ctx, item, hand.name, s, e, trials, workers)
					if err != nil {
						return err
					}
					all[cell{item, hand.name, s.name, e}] = got
					k := got.Count()
					interval, err := proportion.Jeffreys.Interval(k, trials, picks.Level)
					if err != nil {
						return err
					}
					fmt.Fprintf(t, "\t%d/%d (%.2f–%.2f)", k, trials, interval.Low, interval.High)
				}
				fmt.Fprintln(t)
			}
		}
		if err := t.Flush(); err != nil {
			return err
		}
		fmt.Println()
	}
	return all.tell()
}

// cell names what was tried.
type cell struct {
	item, hand, strategy string
	mm                   float64
}

// results say which trials of a cell were held.
type results map[cell]*picks.Tried

// pairs adds up two cells' trials, which had the same draws.
func (r results) pairs(p *compare.Pairs, a, b cell) { picks.AddPairs(p, r[a], r[b]) }

// tell says where giving and where the surroundings helped.
func (r results) tell() error {
	fmt.Printf("Differences in share held, pair by pair, with %.0f %% intervals (errors of 4, 8 and 12 mm together):\n", picks.Level*100)
	for _, s := range strategies {
		for _, soft := range hands {
			for _, hard := range hands {
				if !soft.gives || hard.gives {
					continue
				}
				var pooled compare.Pairs
				for _, item := range items {
					var p compare.Pairs
					for _, mm := range positionErrors[1:] {
						r.pairs(&p, cell{item, soft.name, s.name, mm}, cell{item, hard.name, s.name, mm})
						r.pairs(&pooled, cell{item, soft.name, s.name, mm}, cell{item, hard.name, s.name, mm})
					}
					if err := line(fmt.Sprintf("  %s, %s: %s against %s", s.name, item, soft.name, hard.name), p); err != nil {
						return err
					}
				}
				if err := line(fmt.Sprintf("  %s, all items: %s against %s", s.name, soft.name, hard.name), pooled); err != nil {
					return err
				}
			}
		}
	}
	for _, hand := range hands {
		for _, mm := range []float64{0, 8} {
			var p compare.Pairs
			for _, item := range items {
				r.pairs(&p, cell{item, hand.name, "surface-guided", mm}, cell{item, hand.name, "free", mm})
			}
			if err := line(fmt.Sprintf("  tips on the support against free, all items, %g mm: %s", mm, hand.name), p); err != nil {
				return err
			}
		}
	}
	fmt.Println("\n" + picks.Closing)
	return nil
}

func line(what string, p compare.Pairs) error {
	verdict, err := picks.Verdict(p)
	if err != nil {
		return err
	}
	fmt.Printf("%s %s\n", what, verdict)
	return nil
}
