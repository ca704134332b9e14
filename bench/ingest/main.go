// Command ingest measures what keeping trials costs, against what the database alone costs on the same disk in the same
// run: one logged trial through HTTP against one bare commit, and the import of a file against bare inserts.
//
//	go run ./bench/ingest [-holdfast bin/holdfast] [-folder DIR] [-trials 2000] [-rows 100000] [-repeats 5]
//
// The bare side is SQLite through the same driver with the same settings (write-ahead log, synchronous=FULL, prepared
// statement), a row of 12 columns and no index. Processor time is printed beside the clock's, for machines that are
// busy with other things.
package main

import (
	"context"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"text/tabwriter"
	"time"

	"holdfast/domain"
	"holdfast/store/sqlite"
)

// The bars of this bench: ours may cost so many times the bare side, and so much memory.
const (
	barTrial  = 2.0
	barImport = 3.0
	barMemory = 300.0 // MB
)

type settings struct {
	program string
	folder  string
	trials  int
	rows    int
	repeats int
}

func main() {
	var s settings
	flag.StringVar(&s.program, "holdfast", "", "the holdfast binary to measure; by default it is built first")
	flag.StringVar(&s.folder, "folder", "", "a folder on the disk to measure; by default one below build/, thrown away afterwards")
	flag.IntVar(&s.trials, "trials", 2000, "trials logged one by one")
	flag.IntVar(&s.rows, "rows", 100_000, "rows imported")
	flag.IntVar(&s.repeats, "repeats", 5, "imports; the median counts")
	flag.Parse()
	met, err := run(s)
	if err != nil {
		fmt.Fprintln(os.Stderr, "ingest:", err)
		os.Exit(2)
	}
	if !met {
		os.Exit(1)
	}
}

func run(s settings) (met bool, err error) {
	if s.folder == "" {
		if err := os.MkdirAll("build", 0o755); err != nil {
			return false, err
		}
		if s.folder, err = os.MkdirTemp("build", "ingest-*"); err != nil {
			return false, err
		}
		defer os.RemoveAll(s.folder)
	}
	if s.folder, err = filepath.Abs(s.folder); err != nil {
		return false, err
	}
	if s.program == "" {
		s.program = filepath.Join(s.folder, "holdfast")
		if out, err := exec.Command("go", "build", "-o", s.program, "./cmd/holdfast").CombinedOutput(); err != nil {
			return false, fmt.Errorf("building holdfast: %w\n%s", err, out)
		}
	}
	t := tabwriter.NewWriter(os.Stdout, 0, 0, 2, ' ', 0)
	defer t.Flush()
	trial, err := logTrials(t, s)
	if err != nil {
		return false, err
	}
	fmt.Fprintln(t)
	imported, err := importRows(t, s)
	return trial && imported, err
}

// makeLab makes a lab with one study for unplanned trials.
func makeLab(dir string) error {
	lab, err := sqlite.Open(dir, sqlite.Options{})
	if err != nil {
		return err
	}
	defer lab.Close()
	ctx := context.Background()
	if _, err := lab.PutHand(ctx, domain.Hand{ID: "soft-two", Name: "Soft two", Actuation: domain.ActuationMotor, Fingers: 2, RollFold: 2, FingerLength: 0.09,
		PalmDiameter: 0.07, OpeningMax: 0.1, CommandUnit: "mm", CommandFull: 30, ForceMax: 10, Meta: domain.Meta{Invented: true}}); err != nil {
		return err
	}
	if _, err := lab.PutItem(ctx, domain.Item{ID: "croissant", Name: "Croissant", Shape: domain.ShapeCrescent, Size: [3]float64{0.13, 0.07, 0.05}, Mass: 0.06,
		Friction: 0.5, Turning: domain.Turning{Fold: 1}, Food: true, Meta: domain.Meta{Invented: true}}); err != nil {
		return err
	}
	if _, err := lab.PutSetting(ctx, domain.Setting{ID: "tray", Name: "Tray", Support: domain.SupportTray, Friction: 0.4, Turning: domain.Turning{Axial: true},
		Meta: domain.Meta{Invented: true}}); err != nil {
		return err
	}
	_, err = lab.PutStudy(ctx, domain.Study{ID: study, Name: "Ingest", State: domain.StudyPlanned, Hands: []domain.ID{"soft-two"}, Items: []domain.ID{"croissant"},
		Settings: []domain.ID{"tray"}, Strategies: []domain.Strategy{domain.DefaultStrategy(domain.StrategyFree), domain.DefaultStrategy(domain.StrategySurface)},
		Orientations: domain.OrientationPlan{Kind: "even", TiltMax: 1, Count: 100}, ClosingLevels: []float64{0.75}, Offset: domain.OffsetPlan{Kind: "none"},
		Replicates: 1, BlockSize: 40, Meta: domain.Meta{Invented: true}}, nil)
	return err
}

const study = "ingest"

func median(list []time.Duration) time.Duration { return quantile(list, 0.5) }

func quantile(list []time.Duration, p float64) time.Duration {
	sorted := slices.Sorted(slices.Values(list))
	return sorted[min(int(p*float64(len(sorted))), len(sorted)-1)]
}

// verdict says whether a bar is met.
func verdict(met bool) string {
	if met {
		return "met"
	}
	return "MISSED"
}
