// Command simulate measures simulated picks beside a general-purpose physics engine: same hand, item, motion, step and poses,
// turn by turn in one run, so that what else the machine does falls on both.
//
//	go run ./bench/simulate [-rounds 5] [-poses 60]
//	go run ./bench/simulate -steps [-poses 200]     what the length of a step changes, instead
//
// Speed on one core is in processor time, from the first step to the last. What two workers do beside one is by the clock, the
// best of all rounds: other programs on the same cores take from it. Memory is the largest that the whole process held.
package main

import (
	"errors"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"sync"
	"syscall"
	"text/tabwriter"
	"time"

	"holdfast/bench/measure"
	"holdfast/bench/peerscene"
	"holdfast/mechanics/trialsim"
)

// The bars of this bench.
const (
	barRatio   = 4.0  // times as many trials a second on one core
	barWorkers = 1.8  // times as many with two workers
	barMemory  = 20.0 // MB a worker
)

const (
	step   = 1e-3 // s
	longer = 2e-3
)

func main() {
	rounds := flag.Int("rounds", 5, "rounds; medians count")
	poses := flag.Int("poses", 60, "poses a round")
	workers := flag.Int("work", 0, "be one of the processes measured: simulate with so many workers")
	h := flag.Float64("step", step, "with -work: seconds a step")
	seed := flag.Uint64("seed", 1, "with -work: of the poses")
	steps := flag.Bool("steps", false, "print the table of step lengths")
	flag.Parse()
	err := error(nil)
	if *steps {
		err = tableOfSteps(*poses)
	} else if *workers > 0 {
		err = work(*workers, *h, *seed, *poses)
	} else {
		err = run(*rounds, *poses)
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "bench/simulate:", err)
		os.Exit(2)
	}
}

// round is what one of our processes tells.
type round struct {
	cpu, wall float64 // s, of the trials
	held      int
	usage     measure.Usage
}

// work simulates and prints processor seconds, clock seconds and how many poses were held.
func work(workers int, h float64, seed uint64, poses int) error {
	runtime.GOMAXPROCS(workers)
	scene, err := peerscene.Peer().Scene(peerscene.Surface())
	if err != nil {
		return err
	}
	attempts := attemptsOf(seed, poses)
	held := make([]int, workers)
	start, cpu := time.Now(), processorSeconds()
	var wg sync.WaitGroup
	for w := range workers {
		wg.Go(func() {
			stage := trialsim.NewStage(scene)
			for i := w; i < len(attempts); i += workers {
				if peerscene.Run(stage, attempts[i], h).Height > peerscene.Held {
					held[w]++
				}
			}
		})
	}
	wg.Wait()
	total := 0
	for _, n := range held {
		total += n
	}
	fmt.Println(processorSeconds()-cpu, time.Since(start).Seconds(), total)
	return nil
}

func attemptsOf(seed uint64, n int) []*peerscene.Attempt {
	attempts := make([]*peerscene.Attempt, n)
	for i, p := range peerscene.Poses(seed, n) {
		attempts[i] = peerscene.Peer().Attempt(p)
	}
	return attempts
}

// ours runs one of our processes.
func ours(workers int, h float64, seed uint64, poses int) (r round, err error) {
	self, err := os.Executable()
	if err != nil {
		return r, err
	}
	r.usage, err = measure.Process(self, "-work", strconv.Itoa(workers), "-step", fmt.Sprint(h), "-seed", fmt.Sprint(seed), "-poses", strconv.Itoa(poses))
	if err != nil {
		return r, err
	}
	_, err = fmt.Sscan(r.usage.Output, &r.cpu, &r.wall, &r.held)
	return r, err
}

func run(rounds, poses int) error {
	if rounds < 1 || poses < 1 {
		return fmt.Errorf("%d rounds of %d poses measure nothing", rounds, poses)
	}
	if err := os.MkdirAll("build", 0o755); err != nil {
		return err
	}
	folder, err := os.MkdirTemp("build", "simulate-*")
	if err != nil {
		return err
	}
	defer os.RemoveAll(folder)
	if folder, err = filepath.Abs(folder); err != nil {
		return err
	}
	engine, err := peerscene.BuildEngine(folder)
	if errors.Is(err, peerscene.ErrNoEngine) {
		fmt.Println("skipped by name: the engine beside our picks", peerscene.ErrNoEngine)
		engine = nil
	} else if err != nil {
		return err
	}
	seen, err := sceneFor(engine)
	if err != nil {
		return err
	}

	var one, two, long []round
	var theirs, theirsLong []peerscene.Spent
	theirHeld := 0
	for k := range rounds {
		seed := uint64(k + 1)
		for _, m := range []struct {
			to      *[]round
			workers int
			step    float64
		}{{&one, 1, step}, {&two, 2, step}, {&long, 1, longer}} {
			r, err := ours(m.workers, m.step, seed, poses)
			if err != nil {
				return err
			}
			*m.to = append(*m.to, r)
		}
		if engine == nil {
			continue
		}
		for _, m := range []struct {
			to   *[]peerscene.Spent
			step float64
		}{{&theirs, step}, {&theirsLong, longer}} {
			results, spent, err := engine.Timed(seen, attemptsOf(seed, poses), m.step)
			if err != nil {
				return err
			}
			*m.to = append(*m.to, spent)
			for _, r := range results {
				if m.step == step && r.Height > peerscene.Held {
					theirHeld++
				}
			}
		}
	}
	return tell(poses, one, two, long, theirs, theirsLong, theirHeld)
}

func sceneFor(engine *peerscene.Engine) (peerscene.EngineScene, error) {
	if engine == nil {
		return peerscene.EngineScene{}, nil
	}
	scene, err := peerscene.Peer().Scene(peerscene.Surface())
	if err != nil {
		return peerscene.EngineScene{}, err
	}
	return engine.Scene("usual", scene, peerscene.EngineContact{})
}

func tell(poses int, one, two, long []round, theirs, theirsLong []peerscene.Spent, theirHeld int) error {
	seconds := func(rs []round) (list []float64) {
		for _, r := range rs {
			list = append(list, r.cpu)
		}
		return list
	}
	engine := func(spent []peerscene.Spent) (list []float64) {
		for _, s := range spent {
			list = append(list, s.CPUSeconds)
		}
		return list
	}
	t := tabwriter.NewWriter(os.Stdout, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, "one core, processor time\tµs a step\tsteps/s\ttrials/s\ttimes as fast")
	ratio := 0.0
	for _, m := range []struct {
		what         string
		step         float64
		ours, theirs []float64
	}{{"1 ms", step, seconds(one), engine(theirs)}, {"2 ms", longer, seconds(long), engine(theirsLong)}} {
		steps := float64(poses) * peerscene.Seconds / m.step
		row := func(who string, s float64, times string) {
			fmt.Fprintf(t, "%s, %s\t%.2f\t%.0f\t%.1f\t%s\n", who, m.what, 1e6*s/steps, steps/s, float64(poses)/s, times)
		}
		if len(m.theirs) == 0 {
			row("ours", median(m.ours), "")
			continue
		}
		// Round by round, so that what disturbs one round falls out.
		times := make([]float64, len(m.ours))
		for k := range times {
			times[k] = m.theirs[k] / m.ours[k]
		}
		if m.step == step {
			ratio = median(times)
		}
		row("ours", median(m.ours), fmt.Sprintf("%.2f (%.2f to %.2f)", median(times), slices.Min(times), slices.Max(times)))
		row("engine", median(m.theirs), "")
	}
	if err := t.Flush(); err != nil {
		return err
	}
	best := func(rs []round) (wall float64) {
		wall = rs[0].wall
		for _, r := range rs {
			wall = min(wall, r.wall)
		}
		return wall
	}
	memory, held := 0.0, 0
	for k := range one {
		memory = max(memory, one[k].usage.PeakMB, two[k].usage.PeakMB/2)
		held += one[k].held
		if one[k].held != two[k].held {
			return fmt.Errorf("round %d: one worker holds %d poses, two hold %d", k+1, one[k].held, two[k].held)
		}
	}
	all := poses * len(one)
	fmt.Printf("held: ours %d of %d", held, all)
	if len(theirs) > 0 {
		fmt.Printf(", the engine %d", theirHeld)
	}
	fmt.Printf("\nby the clock: one worker %.1f trials/s, two %.1f\n", float64(poses)/best(one), float64(poses)/best(two))
	bars := measure.Bars{}
	if len(theirs) > 0 {
		bars.AtLeast("trials a second against the engine", ratio, barRatio)
	}
	bars.AtLeast("two workers against one", best(one)/best(two), barWorkers)
	bars.AtMost("MB a worker", memory, barMemory)
	bars.Exit()
	return nil
}

func median(list []float64) float64 {
	sorted := slices.Sorted(slices.Values(list))
	return (sorted[(len(sorted)-1)/2] + sorted[len(sorted)/2]) / 2
}

// processorSeconds is the processor time that this process has used.
func processorSeconds() float64 {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		return 0 // not on any system that this runs on
	}
	return float64(u.Utime.Nano()+u.Stime.Nano()) / 1e9
}
