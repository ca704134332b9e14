// Command map measures the success map against a general-purpose reference, R's mgcv, on invented truths: time and
// memory of whole processes, expected log loss above the truth's entropy (excess), and coverage of the 90 % intervals.
//
//	go run ./bench/map [-quick] [-force] [-holdfast bin/holdfast]
//
// The reference takes minutes; its results are kept under build/bench/map by the digest of script, data and settings,
// and marked as kept in the table. -force measures it anew, so that both sides ran in the same minutes.
package main

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"holdfast/bench/measure"
	"holdfast/bench/truths"
	"holdfast/orient"
)

// coverageSeeds are the truths on which intervals are checked.
var coverageSeeds = []uint64{111, 112, 113, 114, 115}

type bench struct {
	measure.Bars
	folder   string
	script   string
	program  string // the holdfast binary, or "" for this one's own fit
	self     string
	force    bool
	noR      bool
	repeats  int
	grid     []orient.Rotation
	gridName string
}

func main() {
	if len(os.Args) == 6 && os.Args[1] == "fit" {
		fold, err := strconv.Atoi(os.Args[5])
		if err == nil {
			err = fitFiles(os.Args[2], os.Args[3], os.Args[4], fold)
		}
		exitOn(err)
		return
	}
	b := bench{}
	quick := flag.Bool("quick", false, "one truth a size for accuracy, 2,000 trials at most against the reference")
	flag.BoolVar(&b.force, "force", false, "run the reference even where its result is kept")
	flag.BoolVar(&b.noR, "alone", false, "leave out the reference")
	flag.StringVar(&b.program, "holdfast", "", "measure this holdfast binary's map command instead of the package alone")
	flag.IntVar(&b.repeats, "repeats", 5, "runs of ours; the median counts")
	flag.StringVar(&b.folder, "folder", filepath.Join("build", "bench", "map"), "where data and kept results lie")
	flag.StringVar(&b.script, "script", filepath.Join("bench", "map", "reference.R"), "the reference's R script")
	flag.Parse()
	var err error
	b.self, err = os.Executable()
	exitOn(err)
	exitOn(os.MkdirAll(b.folder, 0o755))
	b.grid = grid(700, 72)
	b.gridName = filepath.Join(b.folder, "grid.csv")
	exitOn(writeGrid(b.gridName, b.grid))
	exitOn(b.all(*quick))
	b.Exit()
}

func exitOn(err error) {
	if err != nil {
		fmt.Fprintln(os.Stderr, "bench/map:", err)
		os.Exit(1)
	}
}

// Seeds 101 and up; the defaults were tuned on other truths (seeds 1 to 12).
func (b *bench) all(quick bool) error {
	fmt.Println("Success map against R mgcv. Whole processes; excess = expected log loss above the truth's entropy.")
	if !b.noR && !quick {
		if err := b.against("20,000 trials", 20000, 101, 20, 0, []string{"gp", "k=250", "rho=1"}, []string{"tensor", "kd=50", "kr=10"}); err != nil {
			return err
		}
	}
	if !b.noR {
		if err := b.against("2,000 trials", 2000, 102, 0, 0.5, []string{"gp", "k=150", "rho=0"}, []string{"tensor", "kd=40", "kr=9"}); err != nil {
			return err
		}
	}
	if !b.noR {
		if err := b.few(quick); err != nil {
			return err
		}
	}
	if err := b.twoFold(); err != nil {
		return err
	}
	return b.coverage(quick)
}

// against compares one data set with the reference's two fits.
func (b *bench) against(title string, n int, seed uint64, minRatio, maxFit float64, gp, tensor []string) error {
	t := inventTruth(seed, 1)
	name := filepath.Join(b.folder, fmt.Sprintf("trials_%d_%d.csv", n, seed))
	if err := writeTrials(name, attempt(t, n, seed)); err != nil {
		return err
	}
	ours, mine, err := b.ours(t, name, 1)
	if err != nil {
		return err
	}
	fmt.Printf("\n%s (truth %d), grid of %d rows\n", title, seed, len(b.grid))
	fmt.Printf("  %-34s %8s %8s %8s %9s %7s %8s %7s\n", "", "wall s", "CPU s", "peak MB", "excess", "RMSE", "cover90", "width")
	row := func(what string, r run, s scores) {
		if r.Cached {
			what += " (kept)"
		}
		fmt.Printf("  %-34s %8.2f %8.2f %8.0f %9.5f %7.4f %8.3f %7.3f\n", what, r.Seconds, r.CPUSeconds, r.PeakMB, s.excess, s.rmse, s.coverage, s.width)
	}
	row("ours", ours, mine)
	fmt.Printf("    %s\n", strings.ReplaceAll(strings.TrimSpace(ours.Output), "\n", "\n    "))
	for i, method := range [][]string{gp, tensor} {
		r, out, err := reference(b.script, b.folder, b.force, method[0], name, b.gridName, method[1:]...)
		if err != nil {
			return err
		}
		rows, err := readPredictions(out)
		if err != nil {
			return err
		}
		theirs := score(t, b.grid, rows)
		row(fmt.Sprintf("mgcv %v", method), r, theirs)
		switch what := "excess against " + method[0]; {
		case i == 0:
			b.AtMost(what, mine.excess/theirs.excess, 1.03)
		case minRatio > 0:
			b.AtMost(what, mine.excess/theirs.excess, 0.7)
		default:
			fmt.Printf("    %-37s %8.3f\n", what, mine.excess/theirs.excess)
		}
		if i == 0 && minRatio > 0 {
			b.AtLeast("times faster", r.Seconds/ours.Seconds, minRatio)
			b.AtLeast("times less processor time", r.CPUSeconds/ours.CPUSeconds, minRatio)
			b.AtMost("peak MB", ours.PeakMB, 200)
		}
	}
	if maxFit > 0 {
		seconds, err := b.fitSeconds(name)
		if err != nil {
			return err
		}
		b.AtMost("fit, s", seconds, maxFit)
	}
	return nil
}

// fitSeconds is the median time of the fit alone, without reading, predicting and writing.
func (b *bench) fitSeconds(name string) (float64, error) {
	var all []float64
	for range b.repeats {
		r, err := measure.Process(b.self, "fit", name, b.gridName, filepath.Join(b.folder, "ours.csv"), "1")
		if err != nil {
			return 0, err
		}
		var seconds float64
		if _, err := fmt.Sscanf(r.Output, "fit %f", &seconds); err != nil {
			return 0, fmt.Errorf("no time in %q: %w", r.Output, err)
		}
		all = append(all, seconds)
	}
	slices.Sort(all)
	return all[len(all)/2], nil
}

// few compares accuracy with few trials over several truths, where the reference is quick enough to run on all.
func (b *bench) few(quick bool) error {
	const n = 500
	seeds := coverageSeeds
	if quick {
		seeds = seeds[:2]
	}
	fmt.Printf("\n%d trials, excess over several truths\n", n)
	sum := 0.0
	for _, seed := range seeds {
		t := inventTruth(seed, 1)
		name := filepath.Join(b.folder, fmt.Sprintf("trials_%d_%d.csv", n, seed))
		if err := writeTrials(name, attempt(t, n, seed)); err != nil {
			return err
		}
		_, mine, err := b.ours(t, name, 1)
		if err != nil {
			return err
		}
		_, out, err := reference(b.script, b.folder, b.force, "gp", name, b.gridName, "k=100", "rho=0")
		if err != nil {
			return err
		}
		rows, err := readPredictions(out)
		if err != nil {
			return err
		}
		theirs := score(t, b.grid, rows)
		fmt.Printf("  truth %d: ours %.5f (cover %.3f), mgcv gp %.5f (cover %.3f)\n", seed, mine.excess, mine.coverage, theirs.excess, theirs.coverage)
		sum += mine.excess / theirs.excess
	}
	b.AtMost("mean excess against gp", sum/float64(len(seeds)), 1.03)
	return nil
}

// ours fits and predicts in a process of its own, several times, and returns the run of median wall time.
func (b *bench) ours(t truths.Truth, name string, fold int) (run, scores, error) {
	out := filepath.Join(b.folder, "ours.csv")
	var runs []run
	for range b.repeats {
		program, args := b.self, []string{"fit", name, b.gridName, out, strconv.Itoa(fold)}
		if b.program != "" {
			program = b.program
			args = []string{"map", "--trials", name, "--at", b.gridName, "--out", out, "--hand-symmetry", strconv.Itoa(fold)}
		}
		used, err := measure.Process(program, args...)
		if err != nil {
			return run{}, scores{}, err
		}
		runs = append(runs, run{Usage: used})
	}
	slices.SortFunc(runs, func(a, c run) int {
		if a.Seconds < c.Seconds {
			return -1
		}
		return 1
	})
	rows, err := readPredictions(out)
	if err != nil {
		return run{}, scores{}, err
	}
	return runs[len(runs)/2], score(t, b.grid, rows), nil
}

// twoFold shows what it is worth to know that a hand looks the same after half a turn.
func (b *bench) twoFold() error {
	const n, seed = 2000, 103
	t := inventTruth(seed, 2)
	name := filepath.Join(b.folder, "trials_twofold.csv")
	if err := writeTrials(name, attempt(t, n, seed)); err != nil {
		return err
	}
	_, untold, err := b.ours(t, name, 1)
	if err != nil {
		return err
	}
	_, told, err := b.ours(t, name, 2)
	if err != nil {
		return err
	}
	fmt.Printf("\nTwo-fold hand, %d trials (truth %d): excess %.5f untold, %.5f told\n", n, seed, untold.excess, told.excess)
	b.AtMost("excess told over untold", told.excess/untold.excess, 0.7)
	return nil
}

// coverage checks the 90 % intervals on several truths and sizes.
func (b *bench) coverage(quick bool) error {
	seeds := coverageSeeds
	if quick {
		seeds = seeds[:1]
	}
	repeats := b.repeats
	b.repeats = 1
	defer func() { b.repeats = repeats }()
	fmt.Println("\nCoverage of the 90 % intervals over the grid")
	for _, n := range []int{500, 2000, 20000} {
		for _, seed := range seeds {
			t := inventTruth(seed, 1)
			name := filepath.Join(b.folder, "trials_coverage.csv")
			if err := writeTrials(name, attempt(t, n, seed)); err != nil {
				return err
			}
			r, s, err := b.ours(t, name, 1)
			if err != nil {
				return err
			}
			verdict := "met"
			if s.coverage < 0.83 || s.coverage > 0.98 {
				verdict = "MISSED"
				b.Missed++
			}
			fmt.Printf("  %6d trials, truth %d: cover %.3f (asked 0.83 to 0.98: %s), excess %.5f, width %.3f, %.2f s\n", n, seed, s.coverage, verdict, s.excess, s.width, r.Seconds)
		}
	}
	return nil
}
