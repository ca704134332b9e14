package main

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"os"
	"path"
	"path/filepath"
	"runtime"
	"strings"
	"time"

	"holdfast/mechanics/trialsim"
	"holdfast/orient"
	"holdfast/replay"
	"holdfast/scenes"
	"holdfast/statistics/proportion"
	"holdfast/tables"
)

type simulateCommand struct {
	Scene        string  `required:"" placeholder:"FILE.yaml" help:"The scene: hand, item, setting, strategy; see docs/scenes.md."`
	Trials       int     `placeholder:"N" help:"How many trials; by default one for each row of --orientations."`
	Seed         uint64  `default:"1" help:"Decides sizes, masses and places of the items. The same seed gives the same trials."`
	Workers      int     `placeholder:"W" help:"How many trials run at once; by default one on each core. The results do not depend on it."`
	Orientations string  `placeholder:"PLAN.csv" help:"File of orientations to try one after the other, again from the top when it ends; by default random ones up to --tilt-max."`
	TiltMax      float64 `default:"60" placeholder:"DEG" help:"Largest tilt of random orientations."`
	Closing      float64 `default:"-1" placeholder:"SHARE" help:"Closing command from 0 to 1; by default the scene's."`
	StepMs       float64 `name:"step-ms" default:"1" placeholder:"MS" help:"Time step."`
	Out          string  `required:"" placeholder:"TRIALS.csv" help:"File to write the trials to. If it holds the beginning of the same run, the rest is added."`
	Replay       string  `placeholder:"DIR" help:"Also write replays to this folder."`
	ReplayEvery  int     `default:"1" placeholder:"K" help:"Write the replay of every K-th trial only."`
}

// filmRate is the number of frames a second of a replay.
const filmRate = 60

// Run simulates the trials that the file does not hold yet.
func (c *simulateCommand) Run(env *environment) error {
	scene, attempt, err := c.read()
	if err != nil {
		return err
	}
	if c.Replay != "" {
		if err := os.MkdirAll(c.Replay, 0o777); err != nil {
			return err
		}
	}
	out, err := openSimulated(c.Out, c.run(scene), c.Trials)
	if err != nil {
		return err
	}
	defer out.close()
	if out.rows > 0 {
		fmt.Fprintf(env.stderr, "%s holds the first %d trials of this run; going on from there.\n", c.Out, out.rows)
	}
	watch := newPace(env.stderr, out.rows, c.Trials)
	batch := &trialsim.Batch{
		Scene: &scene.Scene, Step: c.StepMs / 1e3, Workers: c.Workers, First: out.rows, Count: c.Trials - out.rows,
		Attempt: attempt, FilmRate: filmRate, Filmed: func(n int) bool { return c.Replay != "" && n%c.ReplayEvery == 0 },
	}
	err = batch.Run(env.ctx, func(d *trialsim.Done) error {
		if d.Film != nil {
			if err := c.film(scene, d); err != nil {
				return err
			}
		}
		if err := out.add(scene, d); err != nil {
			return err
		}
		watch.tell(d.Result.Outcome == trialsim.Held)
		return nil
	})
	if synced := out.sync(); err == nil {
		err = synced
	}
	switch {
	case errors.Is(err, context.Canceled):
		return fmt.Errorf("stopped: %s holds the first %d of %d trials; the same command goes on from there", c.Out, out.rows, c.Trials)
	case err != nil:
		return err
	}
	return c.tell(env.stdout, out)
}

// read checks the command line and reads the files that it names.
func (c *simulateCommand) read() (*scenes.Scene, func(int) trialsim.Attempt, error) {
	if c.Workers == 0 {
		c.Workers = runtime.NumCPU()
	}
	switch {
	case c.Workers < 1 || c.Workers > 1024:
		return nil, nil, usageError{fmt.Errorf("--workers is %d; it must be at least 1", c.Workers)}
	case !(c.TiltMax >= 0 && c.TiltMax <= 180):
		return nil, nil, usageError{fmt.Errorf("--tilt-max is %g°; it must lie between 0 and 180", c.TiltMax)}
	case !(c.StepMs >= 0.01 && c.StepMs <= 4):
		return nil, nil, usageError{fmt.Errorf("--step-ms is %g; it must lie between 0.01 and 4", c.StepMs)}
	case c.Closing != -1 && !(c.Closing >= 0 && c.Closing <= 1):
		return nil, nil, usageError{fmt.Errorf("--closing is %g; it must lie between 0 and 1", c.Closing)}
	case c.ReplayEvery < 1:
		return nil, nil, usageError{fmt.Errorf("--replay-every is %d; it must be at least 1", c.ReplayEvery)}
	}
	scene, err := readScene(c.Scene)
	if err != nil {
		return nil, nil, inputError{err}
	}
	if c.Closing < 0 {
		c.Closing = scene.Closing
	}
	var grid []orient.Rotation
	if c.Orientations != "" {
		src, closeFile, err := openTable(c.Orientations)
		if err != nil {
			return nil, nil, inputError{err}
		}
		grid, err = tables.ReadGrid(src, nil)
		if err := errors.Join(err, closeFile()); err != nil {
			return nil, nil, inputError{err}
		}
		if len(grid) == 0 {
			return nil, nil, inputError{fmt.Errorf("%s holds no orientations", c.Orientations)}
		}
		if c.Trials == 0 {
			c.Trials = len(grid)
		}
	}
	if c.Trials < 1 || c.Trials > 10_000_000 {
		return nil, nil, usageError{fmt.Errorf("--trials is %d; say how many, up to 10,000,000", c.Trials)}
	}
	return scene, func(n int) trialsim.Attempt {
		a := trialsim.Attempt{Closing: c.Closing, Seed: c.Seed, Number: n}
		if grid != nil {
			a.Orientation = grid[n%len(grid)]
		} else {
			a.Orientation = trialsim.RandomOrientation(c.Seed, n, c.TiltMax*math.Pi/180)
		}
		return a
	}, nil
}

// readScene reads a scene file and what it names, wherever that lies.
func readScene(name string) (*scenes.Scene, error) { return readFromRoot(name, scenes.ReadScene) }

// readFromRoot reads a description from a root from which all that it may name can be reached. Errors name files as name does.
func readFromRoot[T any](name string, read func(fs.FS, string) (T, error)) (none T, err error) {
	whole, err := filepath.Abs(name)
	if err != nil {
		return none, err
	}
	if _, err := os.Stat(whole); err != nil {
		return none, fileError(name, err)
	}
	rooted := strings.TrimPrefix(filepath.ToSlash(whole), "/")
	x, err := read(os.DirFS("/"), rooted)
	if err != nil {
		typed := strings.TrimSuffix(filepath.ToSlash(filepath.Clean(name)), path.Base(rooted))
		return none, renamedError{err, strings.TrimSuffix(rooted, path.Base(rooted)), typed}
	}
	return x, nil
}

// renamedError tells an error with the folder as the user wrote it.
type renamedError struct {
	error
	folder, typed string
}

func (e renamedError) Error() string {
	if e.folder == "" {
		return e.error.Error()
	}
	return strings.ReplaceAll(e.error.Error(), e.folder, e.typed)
}
func (e renamedError) Unwrap() error { return e.error }

// run names the run: trials of two runs with the same name are the same, up to the shorter's end.
func (c *simulateCommand) run(scene *scenes.Scene) string {
	h := sha256.New()
	h.Write(scene.Digest[:])
	for _, x := range []uint64{c.Seed, math.Float64bits(c.StepMs), math.Float64bits(c.Closing), math.Float64bits(c.TiltMax)} {
		_ = binary.Write(h, binary.LittleEndian, x)
	}
	if c.Orientations != "" {
		if f, err := os.Open(c.Orientations); err == nil {
			_, _ = io.Copy(h, f)
			_ = f.Close()
		}
	}
	return fmt.Sprintf("sim-%x", h.Sum(nil)[:6])
}

// film writes a trial's replay beside the others.
func (c *simulateCommand) film(scene *scenes.Scene, d *trialsim.Done) error {
	var text bytes.Buffer
	if err := replay.Write(&text, replay.Of(&scene.Scene, d.Attempt, d.Result, *d.Film)); err != nil {
		return err
	}
	// Written beside and renamed, so that a killed run leaves no half replay.
	name := filepath.Join(c.Replay, fmt.Sprintf("trial-%06d.replay.json.gz", d.Number+1))
	if err := os.WriteFile(name+".part", text.Bytes(), 0o666); err != nil {
		return err
	}
	return os.Rename(name+".part", name)
}

// tell sums the file up by tilt.
func (c *simulateCommand) tell(w io.Writer, out *simulatedFile) error {
	held, tried, void := 0, 0, 0
	for _, n := range out.outcomes {
		tried += n
	}
	held, void = out.outcomes[trialsim.Held], out.outcomes[trialsim.Void]
	tried -= void
	fmt.Fprintf(w, "%d trials in %s: %d held of %d that could be tried.\n\n", out.rows, c.Out, held, tried)
	if tried == 0 {
		return nil
	}
	fmt.Fprintf(w, "tilt       held      share  90 %% interval\n")
	for b := range out.bands {
		n := out.bands[b]
		if n.trials == 0 {
			continue
		}
		interval, err := proportion.Jeffreys.Interval(n.held, n.trials, 0.9)
		if err != nil {
			return err
		}
		fmt.Fprintf(w, "%3d–%-3d°  %4d/%-4d  %5.2f  %.2f–%.2f\n", 10*b, 10*b+10, n.held, n.trials, float64(n.held)/float64(n.trials), interval.Low, interval.High)
	}
	fmt.Fprintln(w)
	for _, o := range []trialsim.Outcome{trialsim.Held, trialsim.Dropped, trialsim.Slipped, trialsim.Missed, trialsim.Pushed, trialsim.Damaged, trialsim.Stopped, trialsim.Void} {
		if n := out.outcomes[o]; n > 0 {
			fmt.Fprintf(w, "%-8s %d\n", o, n)
		}
	}
	_, err := fmt.Fprintln(w, "\nA computation, not a bench: it finds hopeless directions and differences; what the line runs is proved with the real hand.")
	return err
}

// pace says how a long run gets on, once a second at most.
type pace struct {
	w                         io.Writer
	begun, last               time.Time
	already, done, all, holds int
}

func newPace(w io.Writer, done, all int) *pace {
	now := time.Now()
	return &pace{w: w, begun: now, last: now, already: done, done: done, all: all}
}

func (p *pace) tell(held bool) {
	p.done++
	if held {
		p.holds++
	}
	now := time.Now()
	if now.Sub(p.last) < time.Second {
		return
	}
	p.last = now
	rate := float64(p.done-p.already) / now.Sub(p.begun).Seconds()
	left := time.Duration(float64(p.all-p.done) / rate * float64(time.Second)).Round(time.Second)
	fmt.Fprintf(p.w, "%d of %d trials, %d held since the start of this run, %.0f a second, about %s left\n", p.done, p.all, p.holds, rate, left)
}
