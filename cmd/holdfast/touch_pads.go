package main

import (
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"text/tabwriter"

	"holdfast/readings"
	"holdfast/signals/pads"
)

type touchPadsCommand struct {
	Calibration string  `required:"" placeholder:"FILE.csv" help:"Presses of one pad at a time, and the idle array: pressed_pad (from 1; 0: none), force_N, pad_1, pad_2 …"`
	Places      string  `required:"" placeholder:"FILE.csv" help:"Where the pads lie: pad, x_mm, y_mm."`
	Record      string  `arg:"" optional:"" help:"CSV file with the columns time_s, pad_1, pad_2 …; without it only the calibration is told."`
	Chance      float64 `default:"0.001" help:"Chance of a contact in a frame in which nothing touches."`
	Out         string  `placeholder:"FILE.csv" help:"File to write the contacts of every frame to; by default none."`
	JSON        bool    `name:"json" help:"Print the result as JSON, the forces of all pads in every frame with it."`
}

// Run calibrates the array and tells what it felt.
func (c *touchPadsCommand) Run(env *environment) error {
	if !(c.Chance > 0 && c.Chance < 1) {
		return usageError{fmt.Errorf("--chance must lie between 0 and 1, not %g", c.Chance)}
	}
	array, err := c.array()
	if err != nil {
		return err
	}
	record := &readings.Series{}
	if c.Record != "" {
		if record, err = readSensors(c.Record, pads.ReadRecord); err != nil {
			return badInput(err)
		}
	}
	r, err := pads.Watch(env.ctx, array, record, c.Chance)
	if err != nil {
		return badInput(fmt.Errorf("%s: %w", filepath.Base(c.Record), err))
	}
	if c.Out != "" {
		if err := writeWhole(c.Out, r.WriteContacts); err != nil {
			return err
		}
	}
	if c.JSON {
		return json.NewEncoder(env.stdout).Encode(r)
	}
	return printPads(env.stdout, r)
}

func (c *touchPadsCommand) array() (*pads.Array, error) {
	presses, err := readSensors(c.Calibration, pads.ReadPresses)
	if err != nil {
		return nil, badInput(err)
	}
	places, err := readSensors(c.Places, pads.ReadPlaces)
	if err != nil {
		return nil, badInput(err)
	}
	calibration, err := pads.Calibrate(presses)
	if err != nil {
		return nil, badInput(fmt.Errorf("%s: %w", filepath.Base(c.Calibration), err))
	}
	array, err := pads.NewArray(calibration, places)
	if err != nil {
		return nil, badInput(fmt.Errorf("%s: %w", filepath.Base(c.Places), err))
	}
	return array, nil
}

// readSensors reads a file by a reader of its kind; its name goes before every fault.
func readSensors[T any](path string, read func(io.Reader) (T, error)) (out T, err error) {
	f, err := os.Open(path)
	if err != nil {
		return out, fileError(path, err)
	}
	defer f.Close()
	if out, err = read(f); err != nil {
		return out, fmt.Errorf("%s: %w", filepath.Base(path), err)
	}
	return out, nil
}

// writeWhole writes a file only once all of it is known.
func writeWhole(path string, write func(io.Writer) error) error {
	var b strings.Builder
	if err := write(&b); err != nil {
		return err
	}
	if err := os.WriteFile(path, []byte(b.String()), 0o666); err != nil {
		return inputError{fileError(path, err)}
	}
	return nil
}

func printPads(out io.Writer, r *pads.PadReport) error {
	fmt.Fprintln(out, r.Sentence)
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "pad\tx mm\ty mm\tstate\tgain per N\tnoise N\tup to N")
	for _, p := range r.Pads {
		gain, noise := "–", "–"
		if p.Readable {
			gain, noise = fmt.Sprintf("%.4g", p.Gain), fmt.Sprintf("%.3g", p.NoiseN)
		}
		fmt.Fprintf(w, "%d\t%.4g\t%.4g\t%s\t%s\t%s\t%.3g\n", p.Pad, p.XMM, p.YMM, p.State, gain, noise, p.MostN)
	}
	if len(r.Contacts) > 0 {
		fmt.Fprintln(w, "\ncontact\tfrom s\tto s\thardest at s\tforce N\tx mm\ty mm\tpads\tbeside a pad that can not be read")
		for _, c := range r.Contacts {
			h := &c.Hardest
			blind := ""
			if c.Blind {
				blind = "yes"
			}
			fmt.Fprintf(w, "%d\t%.4g\t%.4g\t%.4g\t%.3f ± %.3f\t%s\t%s\t%s\t%s\n", c.Contact, c.From, c.To, c.At, h.Force, h.ForceError, middleOf(h, h.XMM, h.XErrorMM), middleOf(h, h.YMM, h.YErrorMM), strings.Trim(fmt.Sprint(h.Pads), "[]"), blind)
		}
	}
	if err := w.Flush(); err != nil {
		return err
	}
	for _, text := range r.Warnings {
		fmt.Fprintln(out, text)
	}
	return nil
}

// middleOf tells a contact's centre. One on a single pad lies somewhere on it: noise alone would give it no error.
func middleOf(c *pads.PadContact, mm, errorMM float64) string {
	if len(c.Pads) < 2 {
		return fmt.Sprintf("%.2f, one pad", mm)
	}
	return fmt.Sprintf("%.2f ± %.2f", mm, errorMM)
}
