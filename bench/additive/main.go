// Command additive measures the model of everything that was varied against a general-purpose reference, R's mgcv, with
// the same terms on the same invented trials in the same run: time and memory of whole processes, expected log loss above
// the truth's entropy (excess) on rows that nobody was given the outcome of, and coverage of the 90 % intervals there.
package main

import (
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"

	"holdfast/bench/measure"
)

const (
	trialCount = 2000
	newRows    = 2000
)

var seeds = []uint64{701, 702, 703}

// The bars, against the better of mgcv's two fits in each: how many times faster, and with how much less processor time and
// memory, ours is at least; how much larger its mean excess over the truths may be. Intervals cover about what they say.
const (
	timesFaster  = 4.0
	timesSmaller = 4.0
	mostExcess   = 1.03
	leastCovered = 0.85
	mostCovered  = 0.95
)

type bench struct {
	measure.Bars
	folder, script, self string
}

func main() {
	if len(os.Args) == 5 && os.Args[1] == "fit" {
		exitOn(fitFiles(os.Args[2], os.Args[3], os.Args[4]))
		return
	}
	var b bench
	flag.StringVar(&b.folder, "folder", filepath.Join("build", "bench", "additive"), "where data and results lie")
	flag.StringVar(&b.script, "script", filepath.Join("bench", "additive", "reference.R"), "the reference's R script")
	flag.Parse()
	var err error
	b.self, err = os.Executable()
	exitOn(err)
	exitOn(os.MkdirAll(b.folder, 0o755))
	exitOn(b.all())
	b.Exit()
}

func exitOn(err error) {
	if err != nil {
		fmt.Fprintln(os.Stderr, "bench/additive:", err)
		os.Exit(1)
	}
}

func (b *bench) all() error {
	fmt.Printf("%d trials, 7 terms; %d new rows with the truth known. Whole processes, mgcv as it comes.\n\n", trialCount, newRows)
	fmt.Printf("%-6s %-22s %8s %8s %8s %9s %8s %7s  %s\n", "truth", "", "wall s", "CPU s", "peak MB", "excess", "cover90", "width", "fit")
	sides := []string{"ours"}
	if exec.Command("Rscript", "-e", "library(mgcv)").Run() == nil {
		sides = append(sides, "gam", "bam")
	}
	mean := make([]result, len(sides))
	for _, seed := range seeds {
		w := invent(seed)
		trials, fresh := filepath.Join(b.folder, "trials.csv"), filepath.Join(b.folder, "new.csv")
		if err := writeRows(trials, w.rows(trialCount, "trials")); err != nil {
			return err
		}
		asked := w.rows(newRows, "new rows")
		if err := writeRows(fresh, asked); err != nil {
			return err
		}
		for i, side := range sides {
			r, err := b.run(side, trials, fresh, asked)
			if err != nil {
				return err
			}
			r.print(fmt.Sprint(seed), side)
			mean[i].add(r, 1/float64(len(seeds)))
		}
	}
	for i, side := range sides {
		mean[i].print("mean", side)
	}
	fmt.Println()
	ours := mean[0]
	b.AtLeast("coverage of 90 % intervals", ours.coverage, leastCovered)
	b.AtMost("coverage of 90 % intervals", ours.coverage, mostCovered)
	if len(sides) == 1 {
		fmt.Println("skipped by name: the reference needs Debian's packages r-base-core and r-cran-mgcv")
		return nil
	}
	gam, bam := mean[1], mean[2]
	b.AtLeast("times faster", min(gam.Seconds, bam.Seconds)/ours.Seconds, timesFaster)
	b.AtLeast("times less processor time", min(gam.CPUSeconds, bam.CPUSeconds)/ours.CPUSeconds, timesFaster)
	b.AtLeast("times less memory", min(gam.PeakMB, bam.PeakMB)/ours.PeakMB, timesSmaller)
	b.AtMost("mean excess against the better", ours.excess/min(gam.excess, bam.excess), mostExcess)
	return nil
}

// result is what one side took and scored.
type result struct {
	measure.Usage
	scores
}

func (r *result) add(o result, share float64) {
	r.Seconds += share * o.Seconds
	r.CPUSeconds += share * o.CPUSeconds
	r.PeakMB += share * o.PeakMB
	r.excess += share * o.excess
	r.coverage += share * o.coverage
	r.width += share * o.width
}

func (r *result) print(truth, side string) {
	if side != "ours" {
		side = "mgcv " + side
	}
	fmt.Printf("%-6s %-22s %8.2f %8.2f %8.0f %9.5f %8.3f %7.3f  %s\n", truth, side, r.Seconds, r.CPUSeconds, r.PeakMB, r.excess, r.coverage, r.width, r.Output)
}

// run runs one side's whole process, which writes its predictions of the new rows to a file.
func (b *bench) run(side, trials, fresh string, asked []row) (r result, err error) {
	out := filepath.Join(b.folder, "predicted.csv")
	program, args := b.self, []string{"fit", trials, fresh, out}
	if side != "ours" {
		program, args = "Rscript", []string{b.script, side, trials, fresh, out}
	}
	if r.Usage, err = measure.Process(program, args...); err != nil {
		return r, err
	}
	predicted, err := readPredictions(out)
	if err != nil {
		return r, err
	}
	r.scores, err = score(asked, predicted)
	return r, err
}
