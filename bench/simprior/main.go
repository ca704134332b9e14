// Command simprior measures what a simulation is worth as the prior mean of a success map: how many more real trials the map
// without it needs for the same expected log loss, for simulations that are right, wrong in parts, and about something
// else.
package main

import (
	"context"
	"flag"
	"fmt"
	"math"
	"os"

	"holdfast/bench/measure"
	"holdfast/bench/truths"
	"holdfast/numeric"
	"holdfast/orient"
	"holdfast/statistics/successmap"
)

// The seeds of the truths. The priors of factor and departure were chosen on the tuning seeds; the held-out ones were run when
// they were frozen.
var (
	tuningSeeds  = []uint64{1, 2, 3, 4, 5}
	heldOutSeeds = []uint64{401, 402, 403, 404, 405, 406, 407, 408, 409, 410}
)

const (
	tiltMax    = math.Pi / 2
	simulated  = 4000 // trials of a simulation
	gridPoints = 1500
)

var (
	trials = []int{30, 60, 120, 240}
	alone  = []int{30, 60, 120, 240, 480, 960, 1920} // begins with the same
)

func main() {
	tuning := flag.Bool("tuning", false, "run the seeds that the priors were chosen on instead of the held-out ones")
	flag.Parse()
	seeds := heldOutSeeds
	if *tuning {
		seeds = tuningSeeds
	}
	if err := run(context.Background(), seeds); err != nil {
		fmt.Fprintln(os.Stderr, "simprior:", err)
		os.Exit(1)
	}
}

// quality is a simulation of a truth.
type quality struct {
	name    string
	logOdds func(seed uint64, r orient.Rotation) float64
}

func truth(seed uint64, r orient.Rotation) float64 {
	p := truths.Invent(seed, 1, tiltMax).At(r)
	return math.Log(p / (1 - p))
}

// The biased simulation is flatter than the truth, too hopeful, turned by 10°, and has a share of something else in it. The
// unrelated one is another truth.
var qualities = []quality{
	{"exact", truth},
	{"biased", func(seed uint64, r orient.Rotation) float64 {
		return 0.8 + 0.6*truth(seed, orient.RotX(10*math.Pi/180).Mul(r)) + 0.3*truth(seed+5000, r)
	}},
	{"unrelated", func(seed uint64, r orient.Rotation) float64 { return truth(seed+9000, r) }},
}

func draw(n int, seed uint64, purpose string, logOdds func(orient.Rotation) float64) []successmap.Observation {
	rng := numeric.Stream(seed, purpose)
	obs := make([]successmap.Observation, n)
	for i := range obs {
		obs[i] = successmap.Observation{R: orient.RandomWithin(tiltMax, rng), Trials: 1}
		if rng.Float64() < 1/(1+math.Exp(-logOdds(obs[i].R))) {
			obs[i].Held = 1
		}
	}
	return obs
}

// score is the expected log loss of a map beyond the truth's own, per trial, and the share of orientations whose 90 %
// interval holds the truth.
func score(m *successmap.Map, grid []orient.Rotation, chance []float64) (excess, covered float64) {
	est := make([]successmap.Estimate, len(grid))
	m.Predict(est, grid)
	n := float64(len(grid))
	for i, e := range est {
		t := chance[i]
		excess += (t*math.Log(t/e.P) + (1-t)*math.Log((1-t)/(1-e.P))) / n
		if e.Low <= t && t <= e.High {
			covered += 1 / n
		}
	}
	return excess, covered
}

type cell struct{ excess, covered, factor, trust, stated float64 }

func run(ctx context.Context, seeds []uint64) error {
	grid := make([]orient.Rotation, gridPoints)
	rng := numeric.Stream(78, "grid of simulations")
	for i := range grid {
		grid[i] = orient.RandomWithin(tiltMax, rng)
	}
	n := float64(len(seeds))
	plain := make([]cell, len(alone))
	with := make([][]cell, len(qualities))
	for q := range with {
		with[q] = make([]cell, len(trials))
	}
	for _, seed := range seeds {
		chance := make([]float64, len(grid))
		for i, r := range grid {
			chance[i] = 1 / (1 + math.Exp(-truth(seed, r)))
		}
		real := draw(alone[len(alone)-1], seed, "real trials", func(r orient.Rotation) float64 { return truth(seed, r) })
		own := make([]*successmap.Map, len(alone))
		for k, count := range alone {
			m, err := successmap.Fit(ctx, real[:count], successmap.Options{})
			if err != nil {
				return err
			}
			own[k] = m
			excess, covered := score(m, grid, chance)
			plain[k].excess += excess / n
			plain[k].covered += covered / n
		}
		for q, quality := range qualities {
			sim, err := successmap.Fit(ctx, draw(simulated, seed, "simulated trials", func(r orient.Rotation) float64 { return quality.logOdds(seed, r) }), successmap.Options{})
			if err != nil {
				return err
			}
			for k, count := range trials {
				m, err := successmap.Fit(ctx, real[:count], successmap.Options{Prior: sim.PriorMean()})
				if err != nil {
					return err
				}
				excess, covered := score(m, grid, chance)
				c := &with[q][k]
				c.excess += excess / n
				c.covered += covered / n
				c.factor += m.Summary().PriorFactor / n
				c.trust += m.Summary().PriorTrust / n
				stated, err := successmap.TrialsSaved(ctx, m, own[k], real[:count], grid[:200])
				if err != nil {
					return err
				}
				c.stated += stated / n
			}
		}
		fmt.Fprintf(os.Stderr, "truth %d done\n", seed)
	}
	fmt.Printf("mean over %d truths; excess log loss a trial; a simulation has %d trials\n", len(seeds), simulated)
	fmt.Println("without            excess  cover")
	for k, count := range alone {
		fmt.Printf("%5d real trials   %.4f  %.3f\n", count, plain[k].excess, plain[k].covered)
	}
	var bars measure.Bars
	for q, quality := range qualities {
		fmt.Printf("%-18s excess  cover  factor  trust  trials saved  stated\n", quality.name)
		for k, count := range trials {
			c := with[q][k]
			saved := needed(plain, c.excess) - float64(count)
			fmt.Printf("%5d real trials   %.4f  %.3f  %5.2f  %.3f  %12s  %6.0f\n", count, c.excess, c.covered, c.factor, c.trust, words(saved), c.stated)
			switch quality.name {
			case "exact", "biased":
				bars.AtLeast(fmt.Sprintf("trials saved, %s, %d", quality.name, count), saved, 0)
			case "unrelated":
				bars.AtMost(fmt.Sprintf("excess against without, %d", count), c.excess/plain[k].excess, 1.15)
			}
		}
	}
	bars.Exit()
	return nil
}

func words(saved float64) string {
	if math.IsInf(saved, 1) {
		return fmt.Sprintf("more than %d", alone[len(alone)-1])
	}
	return fmt.Sprintf("%.0f", saved)
}

// needed is the number of trials at which the map without a simulation has the excess, straight in logarithms between the
// numbers that were run; below the fewest it goes on in the same line.
func needed(plain []cell, excess float64) float64 {
	for k := 1; k < len(plain); k++ {
		if plain[k].excess <= excess {
			x0, x1 := math.Log(float64(alone[k-1])), math.Log(float64(alone[k]))
			y0, y1 := math.Log(plain[k-1].excess), math.Log(plain[k].excess)
			return math.Exp(x0 + (x1-x0)*(math.Log(excess)-y0)/(y1-y0))
		}
	}
	return math.Inf(1)
}
