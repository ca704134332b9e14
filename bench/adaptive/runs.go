package main

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"strings"
	"sync"

	"holdfast/statistics/propose"
)

// tally counts right choices by the number of trials spent.
type tally struct {
	right   map[int][]int // trials: by truth
	regret  map[int]float64
	said    map[int]float64 // expected loss that was stated
	covered map[int]int     // times that the true loss was at most the stated 95 % bound
}

func newTally() tally {
	return tally{map[int][]int{}, map[int]float64{}, map[int]float64{}, map[int]int{}}
}

func (t *tally) note(truths, truth, trials int, regret float64, s propose.State) {
	if t.right[trials] == nil {
		t.right[trials] = make([]int, truths)
	}
	if regret <= within {
		t.right[trials][truth]++
	}
	t.regret[trials] += regret
	t.said[trials] += s.Loss.Expected
	if regret <= s.Loss.High {
		t.covered[trials]++
	}
}

// evenSteps are the sizes at which the even plan is looked at: a factor of about 1.19 apart.
func (b *bench) evenSteps() (steps []int) {
	for x := 128.0; x <= float64(b.longestEven)+0.5; x *= math.Pow(2, 0.25) {
		steps = append(steps, int(math.Round(x/8))*8)
	}
	return steps
}

// replicate runs both plans on every scene, as many at once as there are processors.
func (b *bench) replicate(scenes []*scene) error {
	placed, even := newTally(), newTally()
	var mu sync.Mutex
	var failed error
	var wg sync.WaitGroup
	slots := make(chan struct{}, runtime.GOMAXPROCS(0))
	for i, s := range scenes {
		for r := range b.replications {
			for _, run := range []func() error{
				func() error {
					return b.place(s, i, r, func(n int, regret float64, st propose.State) {
						mu.Lock()
						defer mu.Unlock()
						placed.note(len(scenes), i, n, regret, st)
					})
				},
				func() error {
					if b.alone {
						return nil
					}
					return b.spread(s, i, r, func(n int, regret float64, st propose.State) {
						mu.Lock()
						defer mu.Unlock()
						even.note(len(scenes), i, n, regret, st)
					})
				},
			} {
				wg.Add(1)
				slots <- struct{}{}
				go func() {
					defer func() { <-slots; wg.Done() }()
					if err := run(); err != nil {
						mu.Lock()
						failed = err
						mu.Unlock()
					}
				}()
			}
		}
	}
	wg.Wait()
	b.placed, b.evens = []tally{placed}, []tally{even}
	return failed
}

type noteFunc func(trials int, regret float64, s propose.State)

// place spends trials where package propose puts them.
func (b *bench) place(s *scene, truth, replication int, note noteFunc) error {
	t := newTrials(s.truth, uint64(1000*truth+replication))
	p := b.problem(replication)
	for t.count <= b.longest {
		p.Arms[0].Observations = t.obs
		out, err := propose.Next(context.Background(), p)
		if err != nil {
			return err
		}
		if out.Known {
			note(t.count, s.best-s.value[out.Choices[0].Candidate], out.State)
		}
		for _, trial := range out.Trials {
			t.try(trial.Rotation)
		}
	}
	return nil
}

// spread spends trials on the even plan, replicate after replicate, each in random order.
func (b *bench) spread(s *scene, truth, replication int, note noteFunc) error {
	t := newTrials(s.truth, uint64(1000*truth+replication))
	rng := rand.New(rand.NewPCG(uint64(replication), 0x6576656e))
	p := b.problem(replication)
	order := rng.Perm(len(b.even.Points))
	for _, n := range b.evenSteps() {
		for t.count < n {
			at := t.count % len(order)
			if at == 0 {
				order = rng.Perm(len(order))
			}
			t.try(b.even.Points[order[at]])
		}
		p.Arms[0].Observations = t.obs
		out, err := propose.Standing(context.Background(), p)
		if err != nil {
			return err
		}
		note(n, s.best-s.value[out.Choices[0].Candidate], out)
	}
	return nil
}

// needs returns the number of trials from which on the share of right choices stays at the asked one, by the counts given;
// longest + 1 when it never does.
func (t *tally) needs(runs int, count func(byTruth []int) int) int {
	sizes := t.sizes()
	need := -1
	for _, n := range slices.Backward(sizes) {
		if float64(count(t.right[n])) < asked*float64(runs) {
			break
		}
		need = n
	}
	return need
}

func (t *tally) sizes() []int {
	var sizes []int
	for n := range t.right {
		sizes = append(sizes, n)
	}
	slices.Sort(sizes)
	return sizes
}

func all(byTruth []int) (n int) {
	for _, c := range byTruth {
		n += c
	}
	return n
}

func (b *bench) report(scenes []*scene) {
	placed, even := &b.placed[0], &b.evens[0]
	runs := len(scenes) * b.replications
	show := func(title string, t *tally, every int) {
		fmt.Printf("%s\n  %7s %7s %8s %10s %16s   right by truth, %%\n", title, "trials", "right", "regret", "said", "below its bound")
		for i, n := range t.sizes() {
			if i%every != 0 {
				continue
			}
			var by strings.Builder
			for _, c := range t.right[n] {
				fmt.Fprintf(&by, " %3.0f", 100*float64(c)/float64(b.replications))
			}
			fmt.Printf("  %7d %6.1f%% %8.4f %10.4f %15.1f%%  %s\n", n, 100*float64(all(t.right[n]))/float64(runs), t.regret[n]/float64(runs), t.said[n]/float64(runs), 100*float64(t.covered[n])/float64(runs), by.String())
		}
		fmt.Println()
	}
	show("Placed trials", placed, 4)
	if b.alone {
		return
	}
	show("Even plan", even, 1)
	fmt.Printf("Trials needed (from there on right in %.0f %% of runs)\n  %-8s %8s %8s %8s\n", 100*asked, "truth", "placed", "even", "ratio")
	for i, seed := range b.seeds {
		one := func(by []int) int { return by[i] }
		p, e := placed.needs(b.replications, one), even.needs(b.replications, one)
		fmt.Printf("  %-8d %8s %8s %8s\n", seed, number(p, b.longest), number(e, b.longestEven), ratio(p, e, b.longestEven))
	}
	p, e := placed.needs(runs, all), even.needs(runs, all)
	fmt.Printf("  %-8s %8s %8s %8s\n", "all", number(p, b.longest), number(e, b.longestEven), ratio(p, e, b.longestEven))
	value := math.Inf(1)
	if p > 0 {
		// An even plan that never got there needs more than the longest looked at, so the ratio is at most this.
		value = float64(p) / float64(max(e, b.longestEven*btoi(e < 0)))
	}
	b.AtMost("placed trials / even plan", value, 0.5)
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}

func number(n, longest int) string {
	if n < 0 {
		return fmt.Sprintf("> %d", longest)
	}
	return fmt.Sprint(n)
}

func ratio(p, e, longestEven int) string {
	switch {
	case p < 0:
		return "–"
	case e < 0:
		return fmt.Sprintf("< %.2f", float64(p)/float64(longestEven))
	}
	return fmt.Sprintf("%.2f", float64(p)/float64(e))
}
