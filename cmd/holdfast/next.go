package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"text/tabwriter"

	"holdfast/domain"
	"holdfast/orient"
	"holdfast/statistics/decide"
	"holdfast/statistics/propose"
	"holdfast/statistics/successmap"
	"holdfast/tables"
)

type nextCommand struct {
	Lab    string `placeholder:"DIR" xor:"from" help:"Folder of a lab whose study is to be extended; no server may have it open."`
	Study  string `placeholder:"NAME" help:"With --lab: ID or name of the study. Its aim, line error and target are stored with it."`
	DryRun bool   `help:"With --lab: propose and store nothing."`

	Trials       string   `placeholder:"FILE" xor:"from" help:"Without a lab: CSV or Parquet file of the trials so far; with none, or without rows, the first cover is begun."`
	Question     string   `default:"best" help:"What the trials are to settle: best (the best region), border (where the target is reached), rank (the order of the strategies) or measure (the success of the region that would be chosen)."`
	BlurDeg      float64  `placeholder:"DEG" help:"The line's orientation error: root-mean-square angle."`
	Target       float64  `placeholder:"P" help:"Success asked for, such as 0.9; border needs it."`
	MaxTiltDeg   float64  `default:"110" placeholder:"DEG" help:"Largest tilt to try."`
	MinRadiusDeg float64  `placeholder:"DEG" help:"Smallest turn that the region must tolerate; by default 1.5 times the spacing of the candidates."`
	Strategy     []string `placeholder:"NAME" help:"Strategies to try, with commas between; by default those of the trials."`
	FirstCover   int      `placeholder:"N" help:"Trials of each strategy that are spread evenly first; by default as many as leave no orientation farther than 50 degrees from one."`
	Tolerance    float64  `default:"0.03" help:"Loss of success (for border: share of orientations on the wrong side) below which stopping is suggested."`
	ValuePerPick float64  `placeholder:"MONEY" help:"Also give the loss in money: what a good pick is worth."`
	Columns      string   `placeholder:"MAP.yaml" help:"Tells how the file's columns are called; see docs/formats.md."`
	HandSymmetry string   `default:"1" placeholder:"N[+mirror]" help:"The hand looks the same after 1/N of a turn; +mirror: the plane of palm axis and opening is a mirror plane."`
	ItemSymmetry string   `default:"none" placeholder:"axial|N[+mirror]|none" help:"Symmetry of item and setting about the vertical."`
	Seed         uint64   `default:"1" help:"Seed of the posterior draws."`

	N    int    `name:"trials-to-propose" short:"n" placeholder:"N" help:"How many trials to propose, 1 for a robot that asks after every trial; by default 8, or with --lab the study's own batch."`
	Out  string `placeholder:"NEXT.csv" help:"File to write the proposed trials to, with the columns of a plan and why; by default they are printed."`
	JSON bool   `name:"json" help:"Print the result as JSON."`
}

// nextReport is what next tells.
type nextReport struct {
	Question    string         `json:"question"`
	Sentence    string         `json:"sentence"`
	Why         string         `json:"why,omitempty"`
	Trials      int            `json:"trials"`
	Known       bool           `json:"known"` // false while a strategy has no trial
	Choices     []nextChoice   `json:"choices"`
	Loss        float64        `json:"expected_loss"`
	LossLow     float64        `json:"loss_low"`
	LossHigh    float64        `json:"loss_high"`
	LossMoney   *float64       `json:"expected_loss_money_per_pick,omitempty"`
	LossMoney95 *float64       `json:"loss_money_per_pick_high,omitempty"`
	Tolerance   float64        `json:"tolerance"`
	Enough      bool           `json:"enough"`
	Proposed    []nextProposed `json:"proposed"`
	Stored      int            `json:"stored,omitempty"`
}

type nextChoice struct {
	Of         string   `json:"of,omitempty"`
	Strategy   string   `json:"strategy,omitempty"`
	Order      []string `json:"order,omitempty"`
	TiltDeg    *float64 `json:"tilt_deg,omitempty"`
	AzimuthDeg *float64 `json:"azimuth_deg,omitempty"`
	RollDeg    *float64 `json:"roll_deg,omitempty"`
	Success    float64  `json:"success"`
	Low        float64  `json:"success_low"`
	High       float64  `json:"success_high"`
}

type nextProposed struct {
	Order      int     `json:"order"`
	Hand       string  `json:"hand,omitempty"`
	Item       string  `json:"item,omitempty"`
	Setting    string  `json:"setting,omitempty"`
	Strategy   string  `json:"strategy,omitempty"`
	QW         float64 `json:"qw"`
	QX         float64 `json:"qx"`
	QY         float64 `json:"qy"`
	QZ         float64 `json:"qz"`
	TiltDeg    float64 `json:"tilt_deg"`
	AzimuthDeg float64 `json:"azimuth_deg"`
	RollDeg    float64 `json:"roll_deg"`
	Why        string  `json:"why"`
}

// Run proposes the next trials, from a file or for a study of a lab.
func (c *nextCommand) Run(env *environment) error {
	if c.N < 0 || c.N > propose.MaxBatch {
		return usageError{fmt.Errorf("-n %d is not understood: propose 1 to %d trials", c.N, propose.MaxBatch)}
	}
	var r nextReport
	var runs []domain.PlannedRun
	var err error
	switch {
	case c.Lab != "" && c.Study == "":
		return usageError{errors.New("--lab needs --study: name the study to extend")}
	case c.Lab == "" && (c.Study != "" || c.DryRun):
		return usageError{errors.New("--study and --dry-run belong to a lab; name it with --lab")}
	case c.Lab != "":
		r, runs, err = c.fromLab(env)
	default:
		r, runs, err = c.fromFile(env)
	}
	if err != nil {
		return err
	}
	if c.Out != "" {
		format := tables.CSV
		if strings.EqualFold(filepath.Ext(c.Out), ".parquet") {
			format = tables.Parquet
		}
		if err := writeFile(c.Out, func(w io.Writer) error { return tables.WritePlan(w, format, runs) }); err != nil {
			return err
		}
	}
	return r.print(env, c)
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
	if errors.As(err, &faults) && faults.NoRows() {
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

func newNextReport(question string, p propose.Proposal, tolerance float64, runs []domain.PlannedRun) nextReport {
	r := nextReport{
		Question: question, Sentence: p.Text, Why: p.Why, Known: p.Known, Loss: p.Loss.Expected, LossLow: p.Loss.Low, LossHigh: p.Loss.High,
		Tolerance: tolerance, Enough: p.Enough, Choices: []nextChoice{}, Proposed: []nextProposed{},
	}
	for i := range runs {
		r.Proposed = append(r.Proposed, newNextProposed(&runs[i]))
	}
	return r
}

func newNextProposed(run *domain.PlannedRun) nextProposed {
	q := run.Planned.Canonical()
	n := nextProposed{
		Order: run.Order, Hand: string(run.Hand), Item: string(run.Item), Setting: string(run.Setting), Strategy: string(run.Strategy),
		QW: q.W, QX: q.X, QY: q.Y, QZ: q.Z, Why: run.Why,
	}
	n.TiltDeg, n.AzimuthDeg, n.RollDeg = approachDegrees(run.Planned)
	return n
}

func (n *nextChoice) at(r orient.Rotation) {
	tilt, azimuth, roll := approachDegrees(r)
	n.TiltDeg, n.AzimuthDeg, n.RollDeg = &tilt, &azimuth, &roll
}

// approachDegrees gives the angles in degrees to a thousandth.
func approachDegrees(r orient.Rotation) (tilt, azimuth, roll float64) {
	a := r.Approach()
	deg := func(rad float64) float64 { return math.Round(rad*180/math.Pi*1e3)/1e3 + 0 }
	return deg(a.Tilt), deg(a.Azimuth), deg(a.Roll)
}

// fromLab proposes for a study and, unless it is a dry run, adds the runs to its plan.
func (c *nextCommand) fromLab(env *environment) (r nextReport, runs []domain.PlannedRun, err error) {
	if _, err := os.Stat(filepath.Join(c.Lab, "lab.db")); errors.Is(err, os.ErrNotExist) {
		return r, nil, inputError{fmt.Errorf("there is no lab in %s; make one with: holdfast serve --lab %s", c.Lab, c.Lab)}
	}
	store, err := openLab(c.Lab)
	if err != nil {
		return r, nil, err
	}
	defer store.Close()
	lab := newWorkflow(store, labName(c.Lab))
	study, err := lab.StudyByName(env.ctx, c.Study)
	if err != nil {
		return r, nil, badInput(err)
	}
	next, err := lab.Propose(env.ctx, study.ID, c.N)
	if err == nil && !c.DryRun {
		next, err = lab.Extend(env.ctx, study.ID, c.N, next.PlanEnd)
		r.Stored = len(next.Runs)
	}
	if err != nil {
		return r, nil, badInput(err)
	}
	stored := r.Stored
	r = newNextReport(next.Aim.Question, propose.Proposal{Why: next.Why, State: propose.State{
		Known: next.Known, Loss: propose.Loss(next.Loss), Enough: next.Enough, Text: next.Text,
	}}, next.Aim.Tolerance, next.Runs)
	r.Stored, r.Trials = stored, next.Trials
	for _, choice := range next.Choices {
		n := nextChoice{Of: choice.Group, Strategy: string(choice.Condition.Strategy), Success: choice.Success, Low: choice.Low, High: choice.High}
		for _, o := range choice.Order {
			n.Order = append(n.Order, string(o.Condition.Strategy))
		}
		if choice.Nominal != nil {
			n.at(*choice.Nominal)
		}
		r.Choices = append(r.Choices, n)
	}
	r.money(next.Worth)
	return r, next.Runs, nil
}

// money adds the loss in money, where the loss is success given away.
func (r *nextReport) money(valuePerPick float64) {
	if valuePerPick <= 0 || !r.Known || r.Question != string(propose.Best) && r.Question != string(propose.Rank) {
		return
	}
	mean, high := r.Loss*valuePerPick, r.LossHigh*valuePerPick
	r.LossMoney, r.LossMoney95 = &mean, &high
}

func (r *nextReport) print(env *environment, c *nextCommand) error {
	if c.JSON {
		return json.NewEncoder(env.stdout).Encode(r)
	}
	fmt.Fprintln(env.stdout, r.Sentence)
	if r.LossMoney != nil {
		fmt.Fprintf(env.stdout, "In money that is %.4g a pick, at most %.4g with 95 %% probability.\n", *r.LossMoney, *r.LossMoney95)
	}
	if r.Why != "" {
		fmt.Fprintln(env.stdout, r.Why)
	}
	if len(r.Proposed) == 0 {
		return nil
	}
	fmt.Fprintln(env.stdout)
	if r.Stored > 0 {
		fmt.Fprintf(env.stdout, "%s added to the plan.\n", counted(r.Stored, "run"))
	}
	if c.Out != "" {
		fmt.Fprintf(env.stdout, "%s written to %s.\n", counted(len(r.Proposed), "run"), c.Out)
		return nil
	}
	w := tabwriter.NewWriter(env.stdout, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(w, "order\ttilt°\tazimuth°\troll°\t strategy")
	for _, p := range r.Proposed {
		fmt.Fprintf(w, "%d\t%.1f\t%.1f\t%.1f\t %s\n", p.Order, p.TiltDeg, p.AzimuthDeg, p.RollDeg, p.Strategy)
	}
	if err := w.Flush(); err != nil {
		return err
	}
	fmt.Fprintln(env.stdout)
	for _, p := range r.Proposed {
		fmt.Fprintf(env.stdout, "%d. %s\n", p.Order, p.Why)
	}
	return nil
}
