// Command family measures what borrowing from other items is worth: the excess log loss of a new item's map with and
// without the others, over invented families that were not used for tuning.
package main

import (
	"context"
	"flag"
	"fmt"
	"math"
	"os"
	"time"

	"holdfast/numeric"
	"holdfast/orient"
	"holdfast/statistics/family"
)

func main() {
	tuning := flag.Bool("tuning", false, "run the seeds that the rules were chosen on instead of the held-out ones")
	outlier := flag.Bool("outlier", false, "make the new item unlike all others, whatever its features say")
	flag.Parse()
	seeds := heldOutSeeds
	if *tuning {
		seeds = tuningSeeds
	}
	if err := run(context.Background(), seeds, *outlier); err != nil {
		fmt.Fprintln(os.Stderr, "family:", err)
		os.Exit(1)
	}
}

const gridPoints = 1500

func run(ctx context.Context, seeds []uint64, outlier bool) error {
	grid := make([]orient.Rotation, gridPoints)
	rng := numeric.Stream(77, "grid of a family")
	for i := range grid {
		grid[i] = orient.RandomWithin(tiltMax, rng)
	}
	fmt.Printf("%d donors with %d trials each; excess log loss per trial of the new item\n", donors, donorTrials)
	fmt.Println("seed  own  borrowed   alone     gain     covered  trust  worth  seconds")
	for _, own := range []int{0, 20, 300} {
		var gains []float64
		for _, seed := range seeds {
			start := time.Now()
			c := invent(seed, outlier)
			for i := range donors {
				c.run(i, donorTrials, seed)
			}
			c.run(donors, own, seed)
			f, err := family.Fit(ctx, c.items, family.Options{Symmetry: symmetry, TiltMax: tiltMax})
			if err != nil {
				return err
			}
			b, err := f.Borrow(ctx, c.items[donors].Name)
			if err != nil {
				return err
			}
			est := make([]family.Estimate, len(grid))
			if err := b.Predict(est, grid); err != nil {
				return err
			}
			p := make([]float64, len(grid))
			covered := 0.0
			for i, e := range est {
				p[i] = e.P
				if t := 1 / (1 + math.Exp(-c.logOdds(donors, grid[i]))); e.Low <= t && t <= e.High {
					covered += 1 / float64(len(grid))
				}
			}
			borrowed := c.excess(donors, grid, p)
			alone := math.NaN()
			if b.Alone(est, grid) {
				for i, e := range est {
					p[i] = e.P
				}
				alone = c.excess(donors, grid, p)
				gains = append(gains, alone-borrowed)
			}
			fmt.Printf("%4d %4d  %.4f    %.4f   %+.4f    %.3f   %.3f  %5.0f  %.1f\n", seed, own, borrowed, alone, alone-borrowed, covered, b.Trust, b.Worth, time.Since(start).Seconds())
		}
		if len(gains) > 1 {
			mean, se := meanSE(gains)
			fmt.Printf("with %d own trials borrowing gains %+.4f (standard error %.4f) of log loss a trial\n", own, mean, se)
			if own == 300 && mean < -2*se-0.001 || own == 20 && !outlier && mean < 0 {
				return fmt.Errorf("borrowing hurts with %d own trials", own)
			}
		}
	}
	return nil
}

func meanSE(x []float64) (mean, se float64) {
	for _, v := range x {
		mean += v / float64(len(x))
	}
	for _, v := range x {
		se += (v - mean) * (v - mean)
	}
	return mean, math.Sqrt(se / float64(len(x)-1) / float64(len(x)))
}
