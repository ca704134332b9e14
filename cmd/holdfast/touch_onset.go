package main

import (
	"encoding/json"
	"fmt"
	"path/filepath"
	"strings"
	"text/tabwriter"

	"holdfast/readings"
	"holdfast/signals/detect"
)

type touchOnsetCommand struct {
	File    string  `arg:"" optional:"" help:"CSV file with the columns time_s and value, in even steps, or a WAV file; nothing touches at its start."`
	Labels  string  `placeholder:"FILE" help:"Instead of a file: CSV with the columns file, event (yes or no), from_s, to_s; says how well touches are told."`
	Allowed float64 `name:"false-alarms-per-hour" required:"" help:"False alarms that are allowed in an hour without touch."`
	Shift   float64 `default:"1" help:"Change to find soonest, in standard deviations of the noise."`
	Quiet   float64 `name:"quiet-s" default:"1" help:"How long nothing touches at the start."`
	By      string  `name:"detector" default:"cusum" enum:"cusum,glr,energy" help:"What looks for touches: cusum (a change of --shift soonest), glr (one of any size) or energy (what swings both ways, as a knock that rings)."`
	Window  float64 `name:"window-s" default:"0" help:"Window of the energy detector; 0: 0.01."`
	HoldOff float64 `name:"hold-off-s" default:"0.1" help:"How long after an alarm no other is told."`
	Channel int     `default:"1" help:"Channel of a WAV file, counted from 1."`
	JSON    bool    `name:"json" help:"Print the result as JSON."`
}

type onsetReport struct {
	Readings  int         `json:"readings"`
	Rate      float64     `json:"rate_Hz"`
	Noise     float64     `json:"noise_sd"`
	Carry     float64     `json:"carry_over"`
	Heavy     bool        `json:"noise_strays_far"`
	Threshold float64     `json:"threshold_sd"`
	RunLength float64     `json:"readings_between_false_alarms"`
	Delay     float64     `json:"mean_delay_s"`
	Onsets    []onsetTold `json:"onsets"`
}

type onsetTold struct {
	Began  float64 `json:"began_s"`
	Told   float64 `json:"told_s"`
	Rising bool    `json:"rising"`
	Score  float64 `json:"score_sd"`
}

// Run looks for onsets in a record.
func (c *touchOnsetCommand) Run(env *environment) error {
	if err := oneOf(c.File, c.Labels); err != nil {
		return err
	}
	settings := detect.OnsetSettings{FalseAlarmsPerHour: c.Allowed, Shift: c.Shift, Quiet: c.Quiet, HoldOff: c.HoldOff, Detector: detect.Detector(c.By), Window: c.Window}
	if c.Labels != "" {
		return judgeRecords(env, c.Labels, c.Channel, c.Allowed, c.JSON, func(time, value []float64, r *detect.JudgedRecord) error {
			o, err := detect.FindOnsets(time, value, settings)
			if err != nil {
				return err
			}
			r.From, r.Peak, r.After = time[0]+c.Quiet, o.Peak, c.HoldOff
			for _, a := range o.Alarms {
				r.Alarms = append(r.Alarms, a.Time)
			}
			return nil
		})
	}
	time, value, err := readSignal(c.File, c.Channel)
	if err != nil {
		return badInput(err)
	}
	o, err := detect.FindOnsets(time, value, settings)
	if err != nil {
		return badInput(fmt.Errorf("%s: %w", filepath.Base(c.File), err))
	}
	r := onsetReport{len(time), o.Rate, o.SD, o.Carry, o.Heavy, o.Threshold, o.RunLength, o.Delay, []onsetTold{}}
	for _, a := range o.Alarms {
		r.Onsets = append(r.Onsets, onsetTold{a.Began, a.Time, a.Up, a.Score})
	}
	if c.JSON {
		return json.NewEncoder(env.stdout).Encode(r)
	}
	unit := "standard deviations"
	if c.By == "energy" {
		unit = "variances in a window"
	}
	fmt.Fprintf(env.stdout, "%d readings at %.4g Hz, noise %.4g, threshold %.3f %s for %g false alarms an hour, mean delay %.4g s\n", r.Readings, r.Rate, r.Noise, r.Threshold, unit, c.Allowed, r.Delay)
	w := tabwriter.NewWriter(env.stdout, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "began_s\ttold_s\tway\tscore")
	for _, a := range r.Onsets {
		way := "falling"
		if a.Rising {
			way = "rising"
		}
		fmt.Fprintf(w, "%.4f\t%.4f\t%s\t%.2f\n", a.Began, a.Told, way, a.Score)
	}
	if err := w.Flush(); err != nil {
		return err
	}
	if r.Heavy {
		fmt.Fprintln(env.stdout, "The noise strays further than normal noise does; false alarms will be more than allowed.")
	}
	fmt.Fprintln(env.stdout, "A detection informs; it is no safety function.")
	return nil
}

// readSignal reads a record as its name says: sound, or a table.
func readSignal(path string, channel int) (time, value []float64, err error) {
	if !strings.EqualFold(filepath.Ext(path), ".wav") {
		t, err := readTable(path, []readings.Column{{Name: "time_s", Meaning: "time of the reading"}, {Name: "value", Meaning: "the reading"}})
		if err != nil {
			return nil, nil, err
		}
		return t.Numbers["time_s"], t.Numbers["value"], nil
	}
	if channel < 1 {
		return nil, nil, fmt.Errorf("--channel counts from 1, not %d", channel)
	}
	value, rate, err := readClip(path, channel)
	if err != nil {
		return nil, nil, err
	}
	time = make([]float64, len(value))
	for i := range time {
		time[i] = float64(i) / float64(rate)
	}
	return time, value, nil
}
