package main

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"text/tabwriter"

	"holdfast/handtest"
)

type handsheetCommand struct {
	Hands []string `arg:"" name:"name=dir" help:"Hands, each with the folder of its tests: KIND.csv or KIND-something.csv."`
	Level float64  `default:"0.95" help:"Level of the intervals."`
	JSON  bool     `name:"json" help:"Print the table as JSON."`
}

// Run lays the tests of hands side by side.
func (c *handsheetCommand) Run(env *environment) error {
	var hands []handtest.Hand
	for _, arg := range c.Hands {
		name, dir, ok := strings.Cut(arg, "=")
		if !ok || name == "" || dir == "" {
			return badInput(fmt.Errorf("%q: give each hand as NAME=DIR", arg))
		}
		h, err := readHand(name, dir, c.Level)
		if err != nil {
			return badInput(err)
		}
		hands = append(hands, h)
	}
	s, err := handtest.NewSheet(hands)
	if err != nil {
		return badInput(err)
	}
	if c.JSON {
		return json.NewEncoder(env.stdout).Encode(s)
	}
	w := tabwriter.NewWriter(env.stdout, 0, 0, 2, ' ', 0)
	fmt.Fprintf(w, "test\tfigure\tof\tunit\t%s\n", strings.Join(s.Hands, "\t"))
	for _, test := range s.Tests {
		if len(test.Rows) == 0 {
			fmt.Fprintf(w, "%s\t–\t–\t–%s\n", test.Kind, strings.Repeat("\t–", len(s.Hands)))
		}
		for _, r := range test.Rows {
			of := strings.TrimSpace(r.Variant + " " + r.Group)
			fmt.Fprintf(w, "%s\t%s\t%s\t%s", test.Kind, r.Name, dash(of), dash(r.Unit))
			for _, f := range r.Cells {
				if f == nil {
					fmt.Fprint(w, "\t–")
				} else {
					fmt.Fprintf(w, "\t%s (%s to %s)", short(&f.Value), short(f.Low), short(f.High))
				}
			}
			fmt.Fprintln(w)
		}
	}
	if err := w.Flush(); err != nil {
		return err
	}
	fmt.Fprintf(env.stdout, "Intervals of %g %%; --json says what each figure rests on. Testing a hand can pinch and strike: cut motion and air before reaching in.\nLocal codes, the risk assessment and licensed practice come first. No figure makes a safety function.\n", 100*c.Level)
	return nil
}

func readHand(name, dir string, level float64) (handtest.Hand, error) {
	h := handtest.Hand{Name: name}
	entries, err := os.ReadDir(dir) // sorted by name
	if err != nil {
		return h, fileError(dir, err)
	}
	for _, e := range entries {
		if e.IsDir() || filepath.Ext(e.Name()) != ".csv" {
			continue
		}
		kind, variant, err := handtest.FileKind(e.Name())
		if err != nil {
			return h, fmt.Errorf("hand %s: %w", name, err)
		}
		table, err := readTable(filepath.Join(dir, e.Name()), kind.Columns)
		if err != nil {
			return h, fmt.Errorf("hand %s: %w", name, err)
		}
		r, err := kind.Compute(table, handtest.Settings{Level: level, Terms: 1, Limit: math.NaN()})
		if err != nil {
			return h, fmt.Errorf("hand %s: %s: %w", name, e.Name(), err)
		}
		h.Records = append(h.Records, handtest.HandRecord{Variant: variant, Report: r})
	}
	if len(h.Records) == 0 {
		return h, fmt.Errorf("hand %s: %s holds no CSV file of a test", name, dir)
	}
	return h, nil
}
