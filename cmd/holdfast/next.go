package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"path/filepath"
	"strings"
	"text/tabwriter"

	"holdfast/domain"
	"holdfast/orient"
	"holdfast/statistics/propose"
	"holdfast/tables"
)

type nextCommand struct {
	Lab    string `placeholder:"DIR" xor:"from" help:"Folder of a lab whose study is to be extended; no server may have it open, unless it is a dry run."`
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
