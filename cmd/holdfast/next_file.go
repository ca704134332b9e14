package main

import (
	"errors"
	"fmt"
	"math"
	"os"
	"slices"
	"strings"

	"holdfast/domain"
	"holdfast/orient"
	"holdfast/statistics/decide"
	"holdfast/statistics/propose"
	"holdfast/statistics/successmap"
	"holdfast/tables"
)

// triedArm is what a file says about one way of picking.
type triedArm struct {
	hand, item, setting, strategy string
	trials                        float64
	at                            map[orient.Rotation]int
	obs                           []successmap.Observation
}

// group names what ways of picking compete for.
func (a *triedArm) group() string {
	if a.item == "" || a.setting == "" {
		return a.item + a.setting
	}
	return a.item + " in " + a.setting
}

// triedFile is a file of trials by arm.
type triedFile struct {
	arms     []*triedArm
	trials   int
	block    int                 // largest that was used
	closings map[float64]float64 // trials by closing command
}

// read takes the trials that count; void and reference trials are left out, as they are in a lab.
func (c *nextCommand) read(columns *tables.ColumnMap) (*triedFile, error) {
	f := &triedFile{closings: map[float64]float64{}}
	if c.Trials == "" {
		return f, nil
	}
	src, closeFile, err := openTable(c.Trials)
	if err != nil {
		return nil, inputError{err}
	}
	defer closeFile()
	if len(c.Strategy) > 0 && slices.Contains(c.Strategy, "") {
		return nil, usageError{errors.New("--strategy holds an empty name")}
	}
	_, err = tables.Stream(src, columns, func(r *tables.Row) error {
		f.block = max(f.block, r.Block)
		if !r.Outcome.Counts() || r.Reference || len(c.Strategy) > 0 && !slices.Contains(c.Strategy, r.Strategy) {
			return nil
		}
		a := f.arm(r.Hand, r.Item, r.Setting, r.Strategy)
		i, known := a.at[r.Rotation]
		if !known {
			i = len(a.obs)
			a.at[r.Rotation] = i
			a.obs = append(a.obs, successmap.Observation{R: r.Rotation})
		}
		a.obs[i].Trials++
		if r.Outcome == domain.OutcomeHeld {
			a.obs[i].Held++
		}
		a.trials++
		f.trials++
		if r.Has(tables.FieldClosing) {
			f.closings[r.Closing]++
		}
		return nil
	})
	var faults *tables.Errors
	if errors.As(err, &faults) && tables.NoRows(faults) {
		err = nil // a record that is about to begin
	}
	return f, badInput(err)
}

func (f *triedFile) arm(hand, item, setting, strategy string) *triedArm {
	for _, a := range f.arms {
		if a.hand == hand && a.item == item && a.setting == setting && a.strategy == strategy {
			return a
		}
	}
	a := &triedArm{hand: hand, item: item, setting: setting, strategy: strategy, at: map[orient.Rotation]int{}}
	f.arms = append(f.arms, a)
	return a
}

// complete adds the strategies asked for that have no trial yet, for every set-up that was seen.
func (f *triedFile) complete(strategies []string) {
	type setup struct{ hand, item, setting string }
	var setups []setup
	for _, a := range f.arms {
		if s := (setup{a.hand, a.item, a.setting}); !slices.Contains(setups, s) {
			setups = append(setups, s)
		}
	}
	if len(setups) == 0 {
		setups = []setup{{}}
	}
	if len(strategies) == 0 && len(f.arms) == 0 {
		strategies = []string{""}
	}
	for _, s := range setups {
		for _, g := range strategies {
			f.arm(s.hand, s.item, s.setting, g)
		}
	}
}

// closing is the command that was tried most, 1 (fully closed) where none is told.
func (f *triedFile) closing() float64 {
	best, most := 1.0, 0.0
	for c, n := range f.closings {
		if n > most || n == most && c < best {
			best, most = c, n
		}
	}
	return best
}

func (c *nextCommand) fromFile(env *environment) (r nextReport, runs []domain.PlannedRun, err error) {
	symmetry, err := symmetryOf(c.HandSymmetry, c.ItemSymmetry)
	if err != nil {
		return r, nil, err
	}
	if err := c.checkFigures(); err != nil {
		return r, nil, err
	}
	if err := c.sparesTrials(); err != nil {
		return r, nil, err
	}
	columns, err := readColumns(c.Columns)
	if err != nil {
		return r, nil, inputError{err}
	}
	f, err := c.read(columns)
	if err != nil {
		return r, nil, err
	}
	f.complete(c.Strategy)
	const deg = math.Pi / 180
	tilt := c.MaxTiltDeg * deg
	cover, err := orient.Cover(decide.CandidateCount(tilt, symmetry), tilt, symmetry, 1)
	if err != nil {
		return r, nil, err
	}
	p := propose.Problem{
		Question: propose.Question(c.Question), Blur: c.BlurDeg * deg, Target: c.Target, MinRadius: c.MinRadiusDeg * deg,
		Batch: c.N, FirstCover: c.FirstCover, Tolerance: c.Tolerance, Seed: c.Seed,
	}
	severalHands := false
	for _, a := range f.arms {
		severalHands = severalHands || a.hand != f.arms[0].hand
	}
	for _, a := range f.arms {
		name := []string{a.strategy}
		if severalHands && a.hand != "" {
			name = append(name, "with", a.hand)
		}
		p.Arms = append(p.Arms, propose.Arm{
			Name: strings.TrimSpace(strings.Join(name, " ")), Group: a.group(),
			Setup:        a.hand + "\x00" + a.item + "\x00" + a.setting,
			Observations: a.obs, Candidates: cover.Points, Spacing: math.Max(cover.CoveringRadius, 1e-6), Symmetry: symmetry,
		})
	}
	if !slices.ContainsFunc(p.Arms, func(a propose.Arm) bool { return a.Group != p.Arms[0].Group }) {
		for i := range p.Arms {
			p.Arms[i].Group = ""
		}
	}
	out, err := propose.Next(env.ctx, p)
	if err != nil {
		return r, nil, badInput(err)
	}
	for i, t := range out.Trials {
		a := f.arms[t.Arm]
		runs = append(runs, domain.PlannedRun{
			Order: i + 1, Block: f.block + 1, WholePlot: 1, Hand: domain.ID(a.hand), Item: domain.ID(a.item), Setting: domain.ID(a.setting),
			Strategy: domain.StrategyKind(a.strategy), Cell: t.Candidate, Planned: t.Rotation, Closing: f.closing(), Replicate: 1, Why: t.Why,
		})
	}
	r = newNextReport(c.Question, out, p.Tolerance, runs)
	r.Trials = f.trials
	for _, choice := range out.Choices {
		a := f.arms[choice.Arm]
		n := nextChoice{Of: choice.Group, Strategy: a.strategy, Success: choice.Success, Low: choice.Low, High: choice.High}
		for _, o := range choice.Order {
			n.Order = append(n.Order, f.arms[o].strategy)
		}
		if choice.Candidate >= 0 {
			n.at(cover.Points[choice.Candidate])
		}
		r.Choices = append(r.Choices, n)
	}
	r.money(c.ValuePerPick)
	return r, runs, nil
}

// checkFigures refuses angles and shares that can not be meant.
func (c *nextCommand) checkFigures() error {
	for _, f := range []struct {
		flag      string
		value     float64
		low, high float64
		what      string
	}{
		{"--blur-deg", c.BlurDeg, 0, 90, "an angle from 0 to 90 degrees"},
		{"--max-tilt-deg", c.MaxTiltDeg, 0, 180, "an angle from 0 to 180 degrees"},
		{"--min-radius-deg", c.MinRadiusDeg, 0, 180, "an angle from 0 to 180 degrees"},
		{"--target", c.Target, 0, 1, "a success from 0 to 1"},
		{"--tolerance", c.Tolerance, 1e-6, 0.999, "a loss between 0 and 1"},
		{"--value-per-pick", c.ValuePerPick, 0, 1e9, "what a good pick is worth, not below 0"},
	} {
		if !(f.value >= f.low && f.value <= f.high) {
			return usageError{fmt.Errorf("%s %g is not understood: write %s", f.flag, f.value, f.what)}
		}
	}
	return nil
}

// sparesTrials refuses an output that would take the place of the trials.
func (c *nextCommand) sparesTrials() error {
	out, err := os.Stat(c.Out)
	if err != nil {
		return nil // nothing there that could be lost
	}
	for _, read := range []struct{ flag, path string }{{"--trials", c.Trials}, {"--columns", c.Columns}} {
		if in, err := os.Stat(read.path); err == nil && os.SameFile(in, out) {
			return usageError{fmt.Errorf("--out %s is the file that %s reads, which would be lost; name another file", c.Out, read.flag)}
		}
	}
	return nil
}
