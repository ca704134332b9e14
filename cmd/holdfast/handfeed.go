package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"text/tabwriter"

	"holdfast/domain"
	"holdfast/examples"
	"holdfast/handtest"
	"holdfast/mechanics/benchfit"
	"holdfast/mechanics/trialsim"
	"holdfast/scenes"
	"holdfast/store/sqlite"
)

// handtestGroup is the tests of a hand and what is made of them.
type handtestGroup struct {
	Record handtestCommand `cmd:"" default:"withargs" help:"Turn the rows of one test into its figures; the word record can be left out."`
	Feed   handfeedCommand `cmd:"" help:"Bring a hand's description to its bench records: air finger, tendon and joints, with limits, and what stays unknown."`
}

type handfeedCommand struct {
	Description string   `arg:"" optional:"" name:"HAND.yaml" help:"The hand's description, see docs/scenes.md. With --lab it may be left out for hands that come with the program."`
	Bending     []string `placeholder:"FILE" help:"Free bending against pressure (CSV of the test bending); may be given again, as all of these."`
	Blocking    []string `placeholder:"FILE" help:"Blocked tip force against pressure (blocking)."`
	Tendon      []string `placeholder:"FILE" help:"A tendon's travel, tension and bending while it is drawn and let back (tendon)."`
	Stiffness   []string `placeholder:"FILE" help:"Pushes of the tip: force and deflection along closing or sideways (stiffness)."`
	Finger      string   `placeholder:"NAME" help:"The described finger that was measured; the first when left out."`
	Level       float64  `default:"0.95" help:"Level of the limits."`
	Out         string   `placeholder:"NEW.yaml" help:"File to write the fitted hand to; without it only the table is printed."`
	JSON        bool     `name:"json" help:"Print the result, with its curves, as JSON."`
	Lab         string   `placeholder:"DIR" help:"Take the hand's standing bench records from this lab, in place of files."`
	Hand        string   `placeholder:"ID" help:"With --lab: the hand."`
}

// Run fits, writes the new description whole or not at all, and prints what changed.
func (c *handfeedCommand) Run(env *environment) error {
	files := len(c.Bending) + len(c.Blocking) + len(c.Tendon) + len(c.Stiffness)
	switch {
	case !(c.Level > 0 && c.Level < 1):
		return usageError{fmt.Errorf("--level is %g; it must lie between 0 and 1", c.Level)}
	case c.Lab == "" && c.Description == "":
		return usageError{errors.New("name the hand's description: handtest feed HAND.yaml, with the files of its tests")}
	case c.Lab == "" && files == 0:
		return usageError{errors.New("give files of the tests (--bending, --blocking, --tendon, --stiffness), or --lab and --hand")}
	case c.Lab != "" && (c.Hand == "" || files > 0):
		return usageError{errors.New("--lab needs --hand, and takes its records in place of files")}
	case c.Out != "" && c.Description != "" && sameFile(c.Out, c.Description):
		return usageError{errors.New("--out names the description itself; name another file, so that the described numbers stay")}
	}
	described, err := c.described()
	if err != nil {
		return badInput(err)
	}
	finger, err := fingerNamed(described, c.Finger)
	if err != nil {
		return badInput(err)
	}
	var r *benchfit.Result
	if c.Lab != "" {
		r, err = c.fromLab(env, described, finger)
	} else {
		r, err = c.fromFiles(env, described, finger)
	}
	if err != nil {
		return badInput(err)
	}
	if c.Out != "" {
		text := scenes.WriteHand(r.Hand, r.Remarks()...)
		if err := writeFile(c.Out, func(w io.Writer) error { _, err := w.Write(text); return err }); err != nil {
			return err
		}
	}
	if c.JSON {
		return json.NewEncoder(env.stdout).Encode(feedReportOf(r))
	}
	return printFeed(env.stdout, r)
}

func sameFile(a, b string) bool {
	x, errX := os.Stat(a)
	y, errY := os.Stat(b)
	return errX == nil && errY == nil && os.SameFile(x, y)
}

func (c *handfeedCommand) described() (*trialsim.Hand, error) {
	if c.Description == "" {
		files, err := fs.Sub(examples.Scenes(), "hands")
		if err != nil {
			return nil, err
		}
		name := c.Hand + ".yaml"
		if _, err := fs.Stat(files, name); !fs.ValidPath(name) || err != nil {
			return nil, fmt.Errorf("no description of %s comes with the program; name its file: handtest feed HAND.yaml --lab %s --hand %s", c.Hand, c.Lab, c.Hand)
		}
		return scenes.ReadHand(files, name)
	}
	return readFromRoot(c.Description, scenes.ReadHand)
}

// fingerNamed returns the place of a finger; an empty name is the first.
func fingerNamed(h *trialsim.Hand, name string) (int, error) {
	if name == "" {
		return 0, nil
	}
	var names []string
	for i, f := range h.Fingers {
		if f.Name == name {
			return i, nil
		}
		names = append(names, f.Name)
	}
	return 0, fmt.Errorf("--finger %s: %s has no such finger; it has %s", name, h.Name, strings.Join(names, ", "))
}

func (c *handfeedCommand) fromFiles(env *environment, h *trialsim.Hand, finger int) (*benchfit.Result, error) {
	var curves []benchfit.Curve
	for _, test := range []struct {
		name  string
		files []string
	}{{"bending", c.Bending}, {"blocking", c.Blocking}, {"tendon", c.Tendon}, {"stiffness", c.Stiffness}} {
		kind, _ := handtest.Find(test.name)
		for _, file := range test.files {
			table, err := readTable(file, kind.Columns)
			if err != nil {
				return nil, err
			}
			found, err := benchfit.CurvesOf(test.name, table)
			if err != nil {
				return nil, fmt.Errorf("%s: %w", filepath.Base(file), err)
			}
			if len(found) == 0 {
				return nil, fmt.Errorf("%s, column direction: holds no push along closing, opening or sideways", filepath.Base(file))
			}
			for i := range found {
				found[i].From = filepath.Base(file)
			}
			curves = append(curves, found...)
		}
	}
	return benchfit.Fit(env.ctx, h, finger, curves, c.Level)
}

func (c *handfeedCommand) fromLab(env *environment, h *trialsim.Hand, finger int) (*benchfit.Result, error) {
	store, err := sqlite.OpenReadOnly(c.Lab, sqlite.Options{Clock: systemClock{}})
	if err != nil {
		return nil, err
	}
	defer store.Close()
	feed, err := newWorkflow(store, labName(c.Lab)).FeedHand(env.ctx, domain.ID(c.Hand), h, finger, c.Level)
	return feed.Result, err
}

func printFeed(out io.Writer, r *benchfit.Result) error {
	fmt.Fprintf(out, "%s, by finger %s; limits of %g %%\n", r.Hand.Name, dash(r.Finger), 100*r.Level)
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "number\tunit\tdescribed\tmeasured\tfrom\tto\tin the new hand")
	for _, q := range r.Quantities {
		placed := "yes"
		if !q.Placed {
			placed = "no"
		}
		fmt.Fprintf(w, "%s\t%s\t%s\t%s\t%s\t%s\t%s\n", q.Name, dash(q.Unit), short(finite(q.Described)), short(&q.Fitted), short(finite(q.Low)), short(finite(q.High)), placed)
	}
	fmt.Fprintln(w, "\nreadings\tof\tnumber\tmisfit before\tafter\tunit\t")
	for i := range r.Curves {
		s := &r.Curves[i]
		_, unit, _, per := s.Kind.Edge()
		was, now := s.Misfit()
		was, now = per*was, per*now
		fmt.Fprintf(w, "%s\t%s\t%d\t%s\t%s\t%s\t\n", s.From, s.Kind, len(s.X), short(&was), short(&now), unit)
	}
	if err := w.Flush(); err != nil {
		return err
	}
	fmt.Fprintln(out, "Misfit is the root of the mean square between readings and prediction.")
	for _, u := range r.Unknowns {
		fmt.Fprintf(out, "Stays as described: %s; %s.\n", u.Name, u.Why)
	}
	for _, n := range r.Notes {
		fmt.Fprintln(out, n)
	}
	_, err := fmt.Fprintln(out, "A simulated hand is no proof of a real one: try what it predicts at reduced speed and force first.")
	return err
}

// feedReport is what the feed command tells as JSON; curves are in the units that stand in their names.
type feedReport struct {
	Hand       string             `json:"hand"`
	Finger     string             `json:"finger"`
	Level      float64            `json:"level"`
	Quantities []feedQuantity     `json:"quantities"`
	Unknowns   []benchfit.Unknown `json:"unknowns"`
	Curves     []feedCurve        `json:"curves"`
	Notes      []string           `json:"notes"`
}

type feedQuantity struct {
	Name      string   `json:"name"`
	Unit      string   `json:"unit"`
	Described *float64 `json:"described,omitempty"`
	Measured  float64  `json:"measured"`
	Low       *float64 `json:"low,omitempty"`
	High      *float64 `json:"high,omitempty"`
	Placed    bool     `json:"placed"`
}

type feedCurve struct {
	Kind          benchfit.Kind `json:"kind"`
	From          string        `json:"from"`
	X             string        `json:"x"`
	Y             string        `json:"y"`
	XS            []float64     `json:"xs"`
	Measured      []float64     `json:"measured"`
	Described     []float64     `json:"described"`
	Fitted        []float64     `json:"fitted"`
	MisfitBefore  float64       `json:"misfit_before"`
	MisfitAfter   float64       `json:"misfit_after"`
	OpeningMarked []bool        `json:"opening,omitempty"`
}

func feedReportOf(r *benchfit.Result) feedReport {
	out := feedReport{Hand: r.Hand.Name, Finger: r.Finger, Level: r.Level, Unknowns: r.Unknowns, Notes: r.Notes}
	for _, q := range r.Quantities {
		out.Quantities = append(out.Quantities, feedQuantity{q.Name, q.Unit, finite(q.Described), q.Fitted, finite(q.Low), finite(q.High), q.Placed})
	}
	for i := range r.Curves {
		s := &r.Curves[i]
		x, y, perX, perY := s.Kind.Edge()
		was, now := s.Misfit()
		out.Curves = append(out.Curves, feedCurve{s.Kind, s.From, x, y, times(s.X, perX), times(s.Y, perY), times(s.Described, perY), times(s.Fitted, perY), perY * was, perY * now, s.Opening})
	}
	return out
}

func times(list []float64, by float64) []float64 {
	out := make([]float64, len(list))
	for i, v := range list {
		out[i] = by * v
	}
	return out
}
