// Command additive measures the model of everything that was varied against a general-purpose reference, R's mgcv, with
// the same terms on the same invented trials in the same run: time and memory of whole processes, expected log loss above
// the truth's entropy (excess) on rows that nobody was given the outcome of, and coverage of the 90 % intervals there.
package main

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"time"
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
	folder, script, self string
	missed               int
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
	if b.missed > 0 {
		fmt.Printf("\n%d bars missed\n", b.missed)
		os.Exit(1)
	}
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
	b.bar("coverage of 90 % intervals", ours.coverage, leastCovered, true)
	b.bar("coverage of 90 % intervals", ours.coverage, mostCovered, false)
	if len(sides) == 1 {
		fmt.Println("skipped by name: the reference needs Debian's packages r-base-core and r-cran-mgcv")
		return nil
	}
	gam, bam := mean[1], mean[2]
	b.bar("times faster", min(gam.seconds, bam.seconds)/ours.seconds, timesFaster, true)
	b.bar("times less processor time", min(gam.cpu, bam.cpu)/ours.cpu, timesFaster, true)
	b.bar("times less memory", min(gam.peakMB, bam.peakMB)/ours.peakMB, timesSmaller, true)
	b.bar("mean excess against the better", ours.excess/min(gam.excess, bam.excess), mostExcess, false)
	return nil
}

// result is what one side took and scored.
type result struct {
	usage
	scores
}

func (r *result) add(o result, share float64) {
	r.seconds += share * o.seconds
	r.cpu += share * o.cpu
	r.peakMB += share * o.peakMB
	r.excess += share * o.excess
	r.coverage += share * o.coverage
	r.width += share * o.width
}

func (r *result) print(truth, side string) {
	if side != "ours" {
		side = "mgcv " + side
	}
	fmt.Printf("%-6s %-22s %8.2f %8.2f %8.0f %9.5f %8.3f %7.3f  %s\n", truth, side, r.seconds, r.cpu, r.peakMB, r.excess, r.coverage, r.width, r.output)
}

// run runs one side's whole process, which writes its predictions of the new rows to a file.
func (b *bench) run(side, trials, fresh string, asked []row) (r result, err error) {
	out := filepath.Join(b.folder, "predicted.csv")
	program, args := b.self, []string{"fit", trials, fresh, out}
	if side != "ours" {
		program, args = "Rscript", []string{b.script, side, trials, fresh, out}
	}
	if r.usage, err = measure(program, args...); err != nil {
		return r, err
	}
	predicted, err := readPredictions(out)
	if err != nil {
		return r, err
	}
	r.scores, err = score(asked, predicted)
	return r, err
}

func (b *bench) bar(what string, value, limit float64, atLeast bool) {
	met, sign := value <= limit, "at most"
	if atLeast {
		met, sign = value >= limit, "at least"
	}
	verdict := "met"
	if !met {
		verdict = "MISSED"
		b.missed++
	}
	fmt.Printf("bar: %-34s %8.3f, asked %s %g: %s\n", what, value, sign, limit, verdict)
}

// usage is what a whole process took from start to exit.
type usage struct {
	seconds, cpu, peakMB float64
	output               string
}

func measure(program string, args ...string) (usage, error) {
	cmd := exec.Command(program, args...)
	var out bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &out
	start := time.Now()
	err := cmd.Run()
	u := usage{seconds: time.Since(start).Seconds(), output: strings.TrimSpace(out.String())}
	if err != nil {
		return u, fmt.Errorf("%s %s: %w\n%s", program, strings.Join(args, " "), err, u.output)
	}
	if r, ok := cmd.ProcessState.SysUsage().(*syscall.Rusage); ok {
		u.peakMB = float64(r.Maxrss) / 1024
	}
	u.cpu = (cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime()).Seconds()
	return u, nil
}
