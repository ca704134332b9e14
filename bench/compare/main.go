// Command compare measures Boschloo's exact test beside scipy's in the same run, in processor time of one core.
//
// It prints one row a table of counts: microseconds of both, their ratio, and how far the p-values are apart. scipy looks
// for the largest chance by sampling the nuisance probability; where it stops short, ours is the larger.
package main

import (
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"strings"
	"syscall"

	"holdfast/statistics/compare"
)

const scipyTimes = `
import json, sys, time
from scipy.stats import boschloo_exact
out = []
for x, n, y, m in json.load(sys.stdin):
    table = [[x, y], [n - x, m - y]]
    boschloo_exact(table, "greater")
    times = []
    for _ in range(5):
        start = time.process_time()
        p = boschloo_exact(table, "greater").pvalue
        times.append(time.process_time() - start)
    out.append([sorted(times)[2], p])
json.dump(out, sys.stdout)
`

// bar is how many times faster than scipy every row has to be.
const bar = 10

func main() {
	if err := run(); err != nil {
		fmt.Fprintln(os.Stderr, "bench/compare:", err)
		os.Exit(1)
	}
}

func run() error {
	tables := [][4]int{{18, 20, 12, 20}, {45, 50, 35, 50}, {90, 100, 60, 100}, {180, 200, 165, 200}}
	asked, err := json.Marshal(tables)
	if err != nil {
		return err
	}
	const python = "/usr/bin/python3"
	command := exec.Command(python, "-c", scipyTimes)
	command.Stdin = strings.NewReader(string(asked))
	answered, err := command.Output()
	if err != nil {
		fmt.Println("skipped by name: Boschloo's test beside scipy needs Debian's package python3-scipy")
		return nil
	}
	var scipy [][2]float64
	if err := json.Unmarshal(answered, &scipy); err != nil {
		return err
	}
	missed := 0
	fmt.Printf("%-22s %12s %12s %8s %12s\n", "Boschloo, A better", "ours us", "scipy us", "ratio", "p apart")
	for i, t := range tables {
		a := compare.Arms{HeldA: t[0], TrialsA: t[1], HeldB: t[2], TrialsB: t[3]}
		const repeats = 200
		start := processorSeconds()
		var p compare.PValues
		for range repeats {
			if p, err = compare.Boschloo(a); err != nil {
				return err
			}
		}
		ours := (processorSeconds() - start) / repeats / 2 // both sides were computed
		ratio := scipy[i][0] / ours
		if ratio < bar {
			missed++
		}
		fmt.Printf("%-22s %12.0f %12.0f %8.0f %12.1e\n", fmt.Sprintf("%d/%d against %d/%d", t[0], t[1], t[2], t[3]), 1e6*ours, 1e6*scipy[i][0], ratio, p.Greater-scipy[i][1])
	}
	if missed > 0 {
		return fmt.Errorf("%d rows are less than %d times faster", missed, bar)
	}
	return nil
}

// processorSeconds is the processor time that this process has used.
func processorSeconds() float64 {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		return 0 // not on any system that this runs on
	}
	return float64(u.Utime.Nano()+u.Stime.Nano()) / 1e9
}
