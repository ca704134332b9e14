package main

import (
	"encoding/json"
	"fmt"
	"path/filepath"
	"text/tabwriter"

	"holdfast/signals/strips"
)

type touchShapeCommand struct {
	Calibration string  `required:"" placeholder:"FILE.csv" help:"Readings of each strip at curvatures that were set: strip (from 1), curvature_per_m, signal."`
	Places      string  `required:"" placeholder:"FILE.csv" help:"Where the strips lie along the finger: strip (0: a rigid length), from_mm, to_mm."`
	Record      string  `arg:"" help:"CSV file with the columns time_s, strip_1, strip_2 …"`
	Curve       string  `default:"monotone" enum:"polynomial,monotone" help:"By which curve the strips are read backwards."`
	Degree      int     `default:"1" help:"Degree of the polynomial, 1 to 12."`
	Level       float64 `default:"0.95" help:"Level of the band."`
	Points      int     `default:"4" help:"Points told of each length of the finger, 1 to 50."`
	Out         string  `placeholder:"FILE.csv" help:"File to write every point of every frame to; by default none."`
	JSON        bool    `name:"json" help:"Print the result as JSON."`
}

// Run reads the strips and follows the finger.
func (c *touchShapeCommand) Run(env *environment) error {
	if !(c.Level > 0 && c.Level < 1) || c.Points < 1 || c.Points > 50 {
		return usageError{fmt.Errorf("--level is %g and --points %d; they must lie between 0 and 1, and from 1 to 50", c.Level, c.Points)}
	}
	calibrations, err := readSensors(c.Calibration, strips.ReadCalibrations)
	if err != nil {
		return badInput(err)
	}
	places, err := readSensors(c.Places, strips.ReadPlaces)
	if err != nil {
		return badInput(err)
	}
	record, err := readSensors(c.Record, strips.ReadRecord)
	if err != nil {
		return badInput(err)
	}
	finger, err := strips.NewFinger(calibrations, places, strips.Fitting{Monotone: c.Curve == "monotone", Degree: c.Degree})
	if err != nil {
		return badInput(fmt.Errorf("%s, %s: %w", filepath.Base(c.Calibration), filepath.Base(c.Places), err))
	}
	r, err := strips.Watch(env.ctx, finger, places, record, c.Level, c.Points)
	if err != nil {
		return badInput(fmt.Errorf("%s: %w", filepath.Base(c.Record), err))
	}
	if c.Out != "" {
		if err := writeWhole(c.Out, r.WriteShapes); err != nil {
			return err
		}
	}
	if c.JSON {
		return json.NewEncoder(env.stdout).Encode(r)
	}
	fmt.Fprintln(env.stdout, r.Sentence)
	w := tabwriter.NewWriter(env.stdout, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "time s\ttip x mm\ttip z mm\ttip turned °\tcurvatures 1/m")
	// A line for about every twentieth part of the record: all of it is in --out.
	for i := 0; i < len(r.Frames); i += max(1, len(r.Frames)/20) {
		f := &r.Frames[i]
		fmt.Fprintf(w, "%.4g\t%.2f ± %.2f\t%.2f ± %.2f\t%.1f ± %.1f\t%.3g\n", f.Time, f.TipMM[0], f.TipHalfMM[0], f.TipMM[1], f.TipHalfMM[1], f.TipDeg, f.TipHalfDeg, f.Curvatures)
	}
	if err := w.Flush(); err != nil {
		return err
	}
	for _, text := range r.Warnings {
		fmt.Fprintln(env.stdout, text)
	}
	return nil
}
