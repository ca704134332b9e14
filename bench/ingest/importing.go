package main

import (
	"context"
	"fmt"
	"io"
	"os/exec"
	"path/filepath"
	"syscall"
	"time"

	"holdfast/domain"
	"holdfast/store/sqlite"
)

// importRows imports a file with the program, each time into a new lab and in turn with bare inserts.
func importRows(w io.Writer, s settings) (bool, error) {
	list := drawRows(s.rows)
	file := filepath.Join(s.folder, "trials.csv")
	if err := writeCSV(file, list); err != nil {
		return false, err
	}
	var ours, oursCPU, theirs, theirsCPU []time.Duration
	peak := 0.0
	for i := range s.repeats {
		b, err := openBare(filepath.Join(s.folder, fmt.Sprintf("bare-import-%d.db", i)))
		if err != nil {
			return false, err
		}
		before := ownCPU()
		took, err := b.all(list)
		if err != nil {
			return false, err
		}
		theirs, theirsCPU = append(theirs, took), append(theirsCPU, ownCPU()-before)
		if err := b.db.Close(); err != nil {
			return false, err
		}

		dir := filepath.Join(s.folder, fmt.Sprintf("import-%d", i))
		if err := makeLab(dir); err != nil {
			return false, err
		}
		c := exec.Command(s.program, "import", "--lab", dir, "--study", study, file)
		start := time.Now()
		if out, err := c.CombinedOutput(); err != nil {
			return false, fmt.Errorf("importing: %w\n%s", err, out)
		}
		ours = append(ours, time.Since(start))
		oursCPU = append(oursCPU, c.ProcessState.UserTime()+c.ProcessState.SystemTime())
		if u, ok := c.ProcessState.SysUsage().(*syscall.Rusage); ok {
			peak = max(peak, float64(u.Maxrss)/1e3) // Linux counts in kB
		}
		if err := imported(dir, s.rows); err != nil {
			return false, err
		}
	}
	ratio, cpu := float64(median(ours))/float64(median(theirs)), float64(median(oursCPU))/float64(median(theirsCPU))
	fmt.Fprintf(w, "%d rows, median of %d in turn\tclock\tprocessor\trows/s\ttimes bare (clock)\ttimes bare (processor)\tbar\t\n", s.rows, s.repeats)
	line := func(name string, clock, processor time.Duration) {
		fmt.Fprintf(w, "%s\t%.2f s\t%.2f s\t%.0f\t", name, clock.Seconds(), processor.Seconds(), float64(s.rows)/clock.Seconds())
	}
	line("bare inserts, one transaction", median(theirs), median(theirsCPU))
	fmt.Fprintf(w, "1\t1\t\t\n")
	line("holdfast import, whole process", median(ours), median(oursCPU))
	fmt.Fprintf(w, "%.2f\t%.2f\tat most %g\t%s\n", ratio, cpu, barImport, verdict(ratio <= barImport))
	fmt.Fprintf(w, "its peak memory\t%.0f MB\t\t\t\t\tunder %g MB\t%s\n", peak, barMemory, verdict(peak < barMemory))
	return ratio <= barImport && peak < barMemory, nil
}

func ownCPU() time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		return 0
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// imported demands that the lab holds the rows: an import that did nothing would be fast.
func imported(dir string, want int) error {
	lab, err := sqlite.OpenReadOnly(dir, sqlite.Options{})
	if err != nil {
		return err
	}
	defer lab.Close()
	got := 0
	for _, err := range lab.CountedSeq(context.Background(), study, domain.TrialFilter{}) {
		if err != nil {
			return err
		}
		got++
	}
	if got != want {
		return fmt.Errorf("the lab holds %d trials after importing %d", got, want)
	}
	return nil
}
