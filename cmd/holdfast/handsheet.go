package main

import (
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"text/tabwriter"

	"holdfast/domain"
	"holdfast/handtest"
	"holdfast/store/sqlite"
)

type handsheetCommand struct {
	Hands []string `arg:"" name:"hand" help:"Hands: NAME=DIR with the folder of its tests (KIND.csv or KIND-something.csv), or with --lab their IDs."`
	Lab   string   `placeholder:"DIR" help:"Take the hands' bench records from this lab."`
	handtestSettings
	JSON bool `name:"json" help:"Print the table as JSON."`
}

// Run lays the tests of hands side by side.
func (c *handsheetCommand) Run(env *environment) error {
	var s *handtest.Sheet
	var err error
	if c.Lab != "" {
		s, err = c.fromLab(env)
	} else {
		s, err = c.fromFolders()
	}
	if err != nil {
		return badInput(err)
	}
	if c.JSON {
		return json.NewEncoder(env.stdout).Encode(s)
	}
	return printHandsheet(env.stdout, s, c.Level)
}

func (c *handsheetCommand) fromFolders() (*handtest.Sheet, error) {
	var hands []handtest.Hand
	for _, arg := range c.Hands {
		name, dir, ok := strings.Cut(arg, "=")
		if !ok || name == "" || dir == "" {
			return nil, fmt.Errorf("%q: give each hand as NAME=DIR, or --lab with IDs", arg)
		}
		h, err := readHand(name, dir, c.settings())
		if err != nil {
			return nil, err
		}
		hands = append(hands, h)
	}
	return handtest.NewSheet(hands)
}

func (c *handsheetCommand) fromLab(env *environment) (*handtest.Sheet, error) {
	store, err := sqlite.OpenReadOnly(c.Lab, sqlite.Options{Clock: systemClock{}})
	if err != nil {
		return nil, err
	}
	defer store.Close()
	var ids []domain.ID
	for _, id := range c.Hands {
		ids = append(ids, domain.ID(id))
	}
	b, err := newWorkflow(store, labName(c.Lab)).HandSheet(env.ctx, ids, c.Level)
	return b.Sheet, err
}

func printHandsheet(out io.Writer, s *handtest.Sheet, level float64) error {
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	fmt.Fprintf(w, "test\tfigure\tof\tunit\t%s\n", strings.Join(s.Hands, "\t"))
	for _, test := range s.Tests {
		if len(test.Rows) == 0 {
			fmt.Fprintf(w, "%s\t–\t–\t–%s\n", test.Kind, strings.Repeat("\t–", len(s.Hands)))
		}
		for _, r := range test.Rows {
			fmt.Fprintf(w, "%s\t%s\t%s\t%s", test.Kind, r.Name, dash(r.Of()), dash(r.Unit))
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
	fmt.Fprintf(out, "Intervals of %g %%. What the figures rest on:\n", 100*level)
	for _, b := range s.Bases() {
		fmt.Fprintf(out, "  %s, %s: %s\n", b.Kind, b.Hand, b.Text)
	}
	for _, test := range s.Tests {
		for _, n := range test.Notes {
			fmt.Fprintf(out, "  %s, %s: %s\n", strings.TrimSpace(test.Kind+" "+n.Variant), n.Hand, n.Text)
		}
	}
	for _, caution := range handtest.SheetCautions() {
		fmt.Fprintln(out, caution)
	}
	return nil
}

func readHand(name, dir string, s handtest.Settings) (handtest.Hand, error) {
	h := handtest.Hand{Name: name}
	entries, err := os.ReadDir(dir) // sorted by name
	if err != nil {
		return h, fileError(dir, err)
	}
	for _, e := range entries {
		if e.IsDir() || !strings.EqualFold(filepath.Ext(e.Name()), ".csv") {
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
		r, err := kind.Compute(table, s)
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
