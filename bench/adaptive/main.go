// Command adaptive measures how many trials it takes to find the best region of orientations: trials placed by package
// propose, against the even plan of package design, on invented truths. Both are fitted by the same map and choose by the
// same rule.
//
//	go run ./bench/adaptive [-full] [-tuning] [-rule "top two"] [-first 54]
//
// A choice counts as right when the true success on the line, averaged over the chosen region's core, is within 0.03 of the
// best region's among the 500 candidates, which are all that either plan can choose from. The bar: to be right in 90 % of
// all runs, placed trials need at most half as many as the even plan; and eight further trials are proposed in less than a
// second when 2,000 are known.
package main

import (
	"bufio"
	"context"
	_ "embed"
	"flag"
	"fmt"
	"math"
	"os"
	"slices"
	"strconv"
	"strings"
	"time"

	"holdfast/bench/measure"
	"holdfast/bench/truths"
	"holdfast/orient"
	"holdfast/statistics/propose"
	"holdfast/statistics/successmap"
)

//go:embed seeds.txt
var barSeeds string

//go:embed tuning-seeds.txt
var tuningSeeds string

const degree = math.Pi / 180

// The scene: what a free hand over a bench could be asked. No symmetry makes it easier.
const (
	tiltMax    = 110 * degree
	blur       = 8 * degree  // root mean square
	radius     = 30 * degree // of a region
	within     = 0.03        // success that a right choice may give away
	asked      = 0.9         // share of runs that must be right
	candidates = 500
	evenPoints = 128 // orientations of the even plan; with 500 it did no better on the tuning truths
)

var batch = 8

type bench struct {
	measure.Bars
	rule          propose.Rule
	first         int
	replications  int
	alone         bool
	longest       int // placed trials
	longestEven   int
	cover         orient.Covering
	even          orient.Covering
	seeds         []uint64
	placed, evens []tally
}

func main() {
	b := bench{}
	full := flag.Bool("full", false, "20 replications a truth instead of 3")
	tuning := flag.Bool("tuning", false, "the tuning truths instead of those of the bar")
	rule := flag.String("rule", "", `how trials are placed: "", "draw" or "top two"`)
	flag.IntVar(&b.first, "first", 0, "trials of the first cover; 0: the default")
	flag.IntVar(&b.replications, "replications", 0, "replications a truth; 0: 3, or 20 with -full")
	only := flag.Uint64("only", 0, "the truth of this seed alone")
	flag.IntVar(&batch, "batch", 8, "trials proposed at once")
	flag.BoolVar(&b.alone, "alone", false, "leave out the even plan")
	flag.IntVar(&b.longest, "longest", 720, "placed trials to stop at")
	flag.Parse()
	b.rule = propose.Rule(*rule)
	if b.replications == 0 {
		b.replications = 3
		if *full {
			b.replications = 20
		}
	}
	text := barSeeds
	if *tuning {
		text = tuningSeeds
	}
	var err error
	b.seeds, err = readSeeds(text)
	exitOn(err)
	if *only > 0 {
		b.seeds = []uint64{*only}
	}
	b.longestEven = 4096
	exitOn(b.run())
	b.Exit()
}

func exitOn(err error) {
	if err != nil {
		fmt.Fprintln(os.Stderr, "bench/adaptive:", err)
		os.Exit(1)
	}
}

func readSeeds(text string) (list []uint64, err error) {
	for scan := bufio.NewScanner(strings.NewReader(text)); scan.Scan(); {
		if line := strings.TrimSpace(scan.Text()); line != "" && line[0] != '#' {
			seed, err := strconv.ParseUint(line, 10, 64)
			if err != nil {
				return nil, err
			}
			list = append(list, seed)
		}
	}
	return list, nil
}

func (b *bench) run() (err error) {
	for _, c := range []struct {
		into *orient.Covering
		n    int
		seed uint64
	}{{&b.cover, candidates, 1}, {&b.even, evenPoints, 3}} {
		if *c.into, err = orient.Cover(c.n, tiltMax, orient.Symmetry{}, c.seed); err != nil {
			return err
		}
	}
	first := b.first
	if first == 0 {
		first = propose.DefaultCover(&propose.Arm{Candidates: b.cover.Points, Spacing: b.cover.CoveringRadius}, 1)
	}
	fmt.Printf("Trials until the chosen region is within %g of the best in %.0f %% of runs. Tilt to %.0f°, blur %.0f°, regions of %.0f°,\n", within, 100*asked, tiltMax/degree, blur/degree, radius/degree)
	fmt.Printf("%d truths × %d replications, batches of %d after a first cover of %d.\n\n", len(b.seeds), b.replications, batch, first)
	var scenes []*scene
	for _, seed := range b.seeds {
		scenes = append(scenes, newScene(truths.Invent(seed, 1, tiltMax), b.cover))
	}
	if err := b.replicate(scenes); err != nil {
		return err
	}
	b.report(scenes)
	if b.alone {
		return nil
	}
	return b.speed(scenes[0])
}

func (b *bench) problem(replication int) propose.Problem {
	return propose.Problem{
		Question: propose.Best, Blur: blur, MinRadius: radius, Batch: batch, FirstCover: b.first, Seed: uint64(replication), Workers: 1, Rule: b.rule,
		Arms: []propose.Arm{{Name: "free", Candidates: b.cover.Points, Spacing: b.cover.CoveringRadius}},
	}
}

// speed measures the whole call: fit, draws and placing, the candidates being those of the study.
func (b *bench) speed(s *scene) error {
	const known = 2000
	p := b.problem(0)
	p.Workers = 0
	t := newTrials(s.truth, 99)
	for i := range known {
		t.try(b.cover.Points[(i*37)%candidates])
	}
	p.Arms[0].Observations = t.obs
	var times []float64
	for range 5 {
		start := time.Now()
		if _, err := propose.Next(context.Background(), p); err != nil {
			return err
		}
		times = append(times, time.Since(start).Seconds())
	}
	slices.Sort(times)
	fmt.Printf("\nProposing %d trials with %d known, refit included: median %.2f s of five (%.2f to %.2f)\n", batch, known, times[2], times[0], times[4])
	b.AtMost("seconds to propose", times[2], 1)
	return nil
}

// observations in the order in which orientations were first tried.
type trialLog struct {
	truth truths.Truth
	next  func() float64
	at    map[orient.Rotation]int
	obs   []successmap.Observation
	count int
}

func (t *trialLog) try(r orient.Rotation) {
	held := 0.0
	if t.next() < t.truth.At(r) {
		held = 1
	}
	i, known := t.at[r]
	if !known {
		i = len(t.obs)
		t.at[r] = i
		t.obs = append(t.obs, successmap.Observation{R: r})
	}
	t.obs[i].Held += held
	t.obs[i].Trials++
	t.count++
}
