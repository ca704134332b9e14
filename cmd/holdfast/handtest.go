package main

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"text/tabwriter"

	"holdfast/handtest"
	"holdfast/readings"
)

type handtestCommand struct {
	Kind string `arg:"" enum:"closing,strength,grip,payload,touch,stiffness,bending,blocking,tendon,relaxation,repeatability,wear,life,cost" help:"Which test: ${enum}."`
	File string `arg:"" optional:"" help:"CSV file of the test's rows. Without it, the columns of the test are told."`
	handtestSettings
	Unit string `help:"Repeatability and wear: the unit of the values, unless the column's name carries it."`
	JSON bool   `name:"json" help:"Print the result, with the data of its plot, as JSON."`

	Lab      string `placeholder:"DIR" help:"Keep the record in this lab; no server may have it open."`
	Hand     string `placeholder:"ID" help:"With --lab: the hand that was tested."`
	Variant  string `help:"With --lab: what the test was about, such as a direction; tells records of one test apart."`
	Specimen string `help:"With --lab: which piece of the hand's kind."`
	Operator string `help:"With --lab: who measured."`
	Day      string `placeholder:"YYYY-MM-DD" help:"With --lab: when it was measured; today when left out."`
	Note     string `help:"With --lab: anything else to know."`
	DryRun   bool   `help:"With --lab: check everything and keep nothing."`
}

// handtestSettings are what tests need beside their tables.
type handtestSettings struct {
	Level float64  `default:"0.95" help:"Level of the intervals."`
	Ramp  float64  `name:"ramp-s" default:"0" help:"Relaxation: how long the deflection rose; 0 takes the time of the largest force."`
	Terms int      `default:"1" help:"Relaxation: exponential terms, 1 to 3."`
	Limit *float64 `help:"Wear: the value at which the hand is replaced."`
}

func (c *handtestSettings) settings() handtest.Settings {
	s := handtest.Settings{Level: c.Level, Ramp: c.Ramp, Terms: c.Terms, Limit: math.NaN()}
	if c.Limit != nil {
		s.Limit = *c.Limit
	}
	return s
}

// Run computes the figures of a test, and keeps the record when a lab is given.
func (c *handtestCommand) Run(env *environment) error {
	kind, _ := handtest.Find(c.Kind)
	if c.File == "" {
		if c.JSON {
			return json.NewEncoder(env.stdout).Encode(kind.Columns)
		}
		fmt.Fprintf(env.stdout, "%s needs CSV with the columns\n", kind.Title)
		w := tabwriter.NewWriter(env.stdout, 0, 0, 2, ' ', 0)
		for _, col := range kind.Columns {
			meaning := col.Meaning
			if len(col.Words) > 0 {
				meaning += ": " + strings.Join(col.Words, " or ")
			}
			if col.Optional {
				meaning += " (may be left out)"
			}
			fmt.Fprintf(w, "  %s\t%s\n", col.Name, meaning)
		}
		return w.Flush()
	}
	table, err := readTable(c.File, kind.Columns)
	if err != nil {
		return badInput(err)
	}
	s := c.settings()
	s.Unit = c.Unit
	r, err := kind.Compute(table, s)
	if err != nil {
		return badInput(fmt.Errorf("%s: %w", filepath.Base(c.File), err))
	}
	if c.Lab != "" {
		if err := c.keep(env); err != nil {
			return badInput(err)
		}
	}
	if c.JSON {
		return json.NewEncoder(env.stdout).Encode(r)
	}
	return printHandtest(env.stdout, r)
}

// readTable reads a file; its name goes before every fault.
func readTable(path string, columns []readings.Column) (*readings.Table, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, fileError(path, err)
	}
	defer f.Close()
	t, err := readings.Read(f, columns)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", filepath.Base(path), err)
	}
	return t, nil
}

func printHandtest(out io.Writer, r *handtest.Report) error {
	fmt.Fprintf(out, "%s: %d rows, intervals of %g %%\n", r.Title, r.Rows, 100*r.Level)
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "figure\tof\tvalue\tfrom\tto\tunit\trests on")
	for _, f := range r.Figures {
		fmt.Fprintf(w, "%s\t%s\t%s\t%s\t%s\t%s\t%s\n", f.Name, dash(f.Group), short(&f.Value), short(f.Low), short(f.High), dash(f.Unit), f.Basis)
	}
	if err := w.Flush(); err != nil {
		return err
	}
	for _, n := range r.Notes {
		fmt.Fprintln(out, n)
	}
	return nil
}

// short writes a number with four digits, or a dash for none.
func short(v *float64) string {
	if v == nil {
		return "–"
	}
	return strconv.FormatFloat(*v, 'g', 4, 64)
}

func dash(s string) string {
	if s == "" {
		return "–"
	}
	return s
}
