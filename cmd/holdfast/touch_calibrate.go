package main

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"path/filepath"
	"text/tabwriter"

	"holdfast/readings"
	flex "holdfast/signals/calibrate"
)

type touchCalibrateCommand struct {
	File        string    `arg:"" help:"CSV file with the columns reference and signal; cycle and direction (rising, falling) for hysteresis, temperature_C to take it out."`
	Curve       string    `default:"polynomial" enum:"polynomial,monotone" help:"A polynomial, or a curve that never turns back, for sensors that level off."`
	Degree      int       `default:"1" help:"Degree of the polynomial, 1 to 12."`
	Level       float64   `default:"0.95" help:"Level of the intervals."`
	Read        []float64 `help:"Signals to read backwards, with commas between."`
	Temperature float64   `name:"temperature-C" default:"20" help:"Temperature of the signals to read backwards."`
	JSON        bool      `name:"json" help:"Print the result as JSON."`
}

// calibrateColumns are those of a calibration.
var calibrateColumns = []readings.Column{
	{Name: "reference", Meaning: "curvature or angle that was set"}, {Name: "signal", Meaning: "what the sensor read"},
	{Name: "cycle", Meaning: "run over the range", Optional: true}, {Name: "direction", Meaning: "side the reference was reached from", Text: true, Words: []string{"rising", "falling"}, Optional: true},
	{Name: "temperature_C", Meaning: "temperature of the sensor", Optional: true},
}

type sensorReport struct {
	Readings     int          `json:"readings"`
	Level        float64      `json:"level"`
	Curve        string       `json:"curve"`
	Degree       int          `json:"degree,omitempty"`
	Coefficients []float64    `json:"coefficients,omitempty"`
	Points       [][2]float64 `json:"points,omitempty"` // reference and signal, which the monotone curve goes through
	SD           *float64     `json:"residual_sd,omitempty"`
	R2           float64      `json:"r_squared"`
	Shift        *float64     `json:"signal_per_C,omitempty"`
	ShiftLow     *float64     `json:"signal_per_C_low,omitempty"`
	ShiftHigh    *float64     `json:"signal_per_C_high,omitempty"`
	Sheet        *sensorSheet `json:"sheet,omitempty"`
	Read         []sensorRead `json:"read"`
	Notes        []string     `json:"notes"`
}

// sensorSheet are shares of the full-scale output.
type sensorSheet struct {
	FullScale     float64      `json:"full_scale"`
	Hysteresis    *float64     `json:"hysteresis,omitempty"`
	HysteresisAt  *float64     `json:"hysteresis_at,omitempty"`
	Repeatability *float64     `json:"repeatability,omitempty"`
	Linearity     []sensorLine `json:"linearity"`
}

type sensorLine struct {
	Line      string  `json:"line"`
	Offset    float64 `json:"offset"`
	Slope     float64 `json:"slope"`
	Deviation float64 `json:"linearity"`
	Combined  float64 `json:"combined_accuracy"`
}

type sensorRead struct {
	Signal    float64  `json:"signal"`
	Reference float64  `json:"reference"`
	Low       *float64 `json:"low,omitempty"`
	High      *float64 `json:"high,omitempty"`
}

// Run fits the sensor's curve and states its sheet's figures.
func (c *touchCalibrateCommand) Run(env *environment) error {
	if !(c.Level > 0 && c.Level < 1) {
		return usageError{fmt.Errorf("--level must lie between 0 and 1, not %g", c.Level)}
	}
	t, err := readTable(c.File, calibrateColumns)
	if err != nil {
		return badInput(err)
	}
	name := filepath.Base(c.File)
	r := sensorReport{Readings: t.Rows, Level: c.Level, Curve: c.Curve, Read: []sensorRead{}, Notes: []string{}}
	back, err := c.fit(t, &r)
	if err != nil {
		return badInput(fmt.Errorf("%s: %w", name, err))
	}
	if t.Numbers["cycle"] != nil && t.Texts["direction"] != nil {
		if r.Sheet, err = sheetOf(t); err != nil {
			r.Notes = append(r.Notes, "No sheet figures: "+err.Error()+".")
		}
	} else {
		r.Notes = append(r.Notes, "Without the columns cycle and direction hysteresis and repeatability are not known.")
	}
	for _, v := range c.Read {
		inv, err := back(v)
		if err != nil {
			return badInput(fmt.Errorf("reading %g backwards: %w", v, err))
		}
		r.Read = append(r.Read, sensorRead{v, inv.Value, finite(inv.Low), finite(inv.High)})
	}
	if c.JSON {
		return json.NewEncoder(env.stdout).Encode(r)
	}
	return r.print(env.stdout)
}

// fit fills in the curve and returns how signals are read backwards by it.
func (c *touchCalibrateCommand) fit(t *readings.Table, r *sensorReport) (back func(signal float64) (flex.Inverse, error), err error) {
	if c.Curve == "monotone" {
		m, err := flex.FitMonotone(t.Numbers["reference"], t.Numbers["signal"])
		if err != nil {
			return nil, err
		}
		r.SD, r.R2 = finite(m.SD), m.R2
		for i, x := range m.References {
			r.Points = append(r.Points, [2]float64{x, m.Signals[i]})
		}
		if t.Numbers["temperature_C"] != nil {
			r.Notes = append(r.Notes, "A monotone curve does not take temperature out; its part of the scatter stays in.")
		}
		if r.SD == nil {
			r.Notes = append(r.Notes, "Each reading is a level of its own, so there are no limits; take some references twice.")
		}
		return func(v float64) (flex.Inverse, error) { return m.Invert(v, c.Level) }, nil
	}
	p, err := flex.FitPolynomial(t.Numbers["reference"], t.Numbers["signal"], t.Numbers["temperature_C"], c.Degree)
	if err != nil {
		return nil, err
	}
	r.Degree, r.Coefficients, r.SD, r.R2 = c.Degree, p.Coefficients(), &p.SD, p.R2
	if p.Temperature {
		s, low, high := p.TemperatureShift(c.Level)
		r.Shift, r.ShiftLow, r.ShiftHigh = &s, &low, &high
	}
	return func(v float64) (flex.Inverse, error) { return p.Invert(v, c.Temperature, c.Level) }, nil
}

func sheetOf(t *readings.Table) (*sensorSheet, error) {
	var readings []flex.Reading
	for i := range t.Rows {
		readings = append(readings, flex.Reading{Cycle: int(t.Numbers["cycle"][i]), Rising: t.Texts["direction"][i] == "rising", Reference: t.Numbers["reference"][i], Signal: t.Numbers["signal"][i]})
	}
	c, err := flex.Characterise(readings)
	if err != nil {
		return nil, err
	}
	s := &sensorSheet{FullScale: c.FullScale, Hysteresis: finite(c.Hysteresis), HysteresisAt: finite(c.HysteresisAt), Repeatability: finite(c.Repeatability)}
	for _, l := range c.Linearity {
		s.Linearity = append(s.Linearity, sensorLine{string(l.Line), l.Offset, l.Slope, l.Deviation, l.Combined})
	}
	return s, nil
}

func (r *sensorReport) print(out io.Writer) error {
	kind := "monotone curve"
	if r.Degree > 0 {
		kind = fmt.Sprintf("polynomial of degree %d", r.Degree)
	}
	fmt.Fprintf(out, "%d readings, %s, scatter %s, R² %.6f\n", r.Readings, kind, short(r.SD), r.R2)
	for _, p := range r.Points {
		fmt.Fprintf(out, "  reference %.6g  signal %.6g\n", p[0], p[1])
	}
	for k, b := range r.Coefficients {
		fmt.Fprintf(out, "  reference^%d  %.9g\n", k, b)
	}
	if r.Shift != nil {
		fmt.Fprintf(out, "signal per °C  %s (%s to %s)\n", short(r.Shift), short(r.ShiftLow), short(r.ShiftHigh))
	}
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	if s := r.Sheet; s != nil {
		fmt.Fprintf(out, "full scale %.5g; shares of it:\n", s.FullScale)
		fmt.Fprintf(w, "hysteresis\t%s\nrepeatability\t%s\n", percent(s.Hysteresis), percent(s.Repeatability))
		for _, l := range s.Linearity {
			fmt.Fprintf(w, "linearity, %s line\t%s\tcombined accuracy\t%s\n", l.Line, percent(&l.Deviation), percent(&l.Combined))
		}
	}
	for _, v := range r.Read {
		fmt.Fprintf(w, "signal %.6g\treference %.6g\t%g %% limits\t%s to %s\n", v.Signal, v.Reference, 100*r.Level, short(v.Low), short(v.High))
	}
	if err := w.Flush(); err != nil {
		return err
	}
	for _, n := range r.Notes {
		fmt.Fprintln(out, n)
	}
	return nil
}

// percent writes a share in percent, a dash for none.
func percent(v *float64) string {
	if v == nil || math.IsNaN(*v) {
		return "–"
	}
	return fmt.Sprintf("%.3f %%", 100**v)
}
