package main

import (
	"encoding/json"
	"fmt"
	"path/filepath"
	"text/tabwriter"

	"holdfast/signals/detect"
)

type touchSlipCommand struct {
	File    string  `arg:"" optional:"" help:"Record of an accelerometer or a pressure sensor in a fingertip: CSV with the columns time_s and value, in even steps, or a WAV file; the item is held still at its start."`
	Labels  string  `placeholder:"FILE" help:"Instead of a file: CSV with the columns file, event (yes or no), from_s, to_s; says how well slips are told."`
	Allowed float64 `name:"false-alarms-per-hour" required:"" help:"False alarms that are allowed in an hour of holding."`
	Shift   float64 `default:"2" help:"Rise of a window's score to find soonest, in standard deviations."`
	Low     float64 `name:"low-hz" default:"40" help:"Lowest tone that slipping is heard by; below, the arm sways."`
	High    float64 `name:"high-hz" default:"400" help:"Highest tone; 0.45 of the rate where the record has less."`
	Window  float64 `name:"window-s" default:"0.01" help:"How long power is taken over."`
	Least   float64 `name:"least-s" default:"0.03" help:"How long a slip lasts at least; a knock is shorter."`
	Ring    float64 `name:"ring-s" default:"0.01" help:"In what time a knock that rings out falls to a tenth of its power, or sooner."`
	Quiet   float64 `name:"quiet-s" default:"0.5" help:"How long the item is held still at the start."`
	HoldOff float64 `name:"hold-off-s" default:"0.1" help:"How long a calm ends a slip."`
	Channel int     `default:"1" help:"Channel of a WAV file, counted from 1."`
	JSON    bool    `name:"json" help:"Print the result as JSON."`
}

type slipReport struct {
	Readings  int        `json:"readings"`
	Rate      float64    `json:"rate_Hz"`
	Windows   float64    `json:"windows_per_s"`
	Freedom   float64    `json:"degrees_of_freedom"`
	Carry     float64    `json:"carry_over"`
	Heavy     bool       `json:"noise_strays_far"`
	Threshold float64    `json:"threshold_sd"`
	RunLength float64    `json:"windows_between_false_alarms"`
	Bursts    int        `json:"bursts_passed_over"`
	Slips     []slipTold `json:"slips"`
}

type slipTold struct {
	Began   float64 `json:"began_s"`
	Told    float64 `json:"told_s"`
	Ended   float64 `json:"ended_s"`
	Loudest float64 `json:"loudest_dB"`
	Score   float64 `json:"score_sd"`
}

// Run looks for slips in a record, or says how well they are told in labelled ones.
func (c *touchSlipCommand) Run(env *environment) error {
	if err := oneOf(c.File, c.Labels); err != nil {
		return err
	}
	settings := detect.SlipSettings{
		FalseAlarmsPerHour: c.Allowed, Shift: c.Shift, LowHz: c.Low, HighHz: c.High, Window: c.Window, Least: c.Least, Ring: c.Ring, Quiet: c.Quiet, HoldOff: c.HoldOff,
	}
	if c.Labels != "" {
		return judgeRecords(env, c.Labels, c.Channel, c.Allowed, c.JSON, func(time, value []float64, r *detect.JudgedRecord) error {
			s, err := detect.FindSlips(time, value, settings)
			if err != nil {
				return err
			}
			r.From, r.Peak, r.After = time[0]+c.Quiet, s.Peak, c.HoldOff
			for _, f := range s.Found {
				r.Alarms = append(r.Alarms, f.Time)
			}
			return nil
		})
	}
	time, value, err := readSignal(c.File, c.Channel)
	if err != nil {
		return badInput(err)
	}
	s, err := detect.FindSlips(time, value, settings)
	if err != nil {
		return badInput(fmt.Errorf("%s: %w", filepath.Base(c.File), err))
	}
	r := slipReport{len(time), s.Rate, s.Windows, s.Freedom, s.Carry, s.Heavy, s.Threshold, s.RunLength, s.Bursts, []slipTold{}}
	for _, f := range s.Found {
		r.Slips = append(r.Slips, slipTold{f.Began, f.Time, f.Ended, f.Loudest, f.Score})
	}
	if c.JSON {
		return json.NewEncoder(env.stdout).Encode(r)
	}
	fmt.Fprintf(env.stdout, "%d readings at %.4g Hz, threshold %.3f standard deviations for %g false alarms an hour\n", r.Readings, r.Rate, r.Threshold, c.Allowed)
	w := tabwriter.NewWriter(env.stdout, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "began_s\ttold_s\tended_s\tloudest_dB\tscore")
	for _, f := range r.Slips {
		fmt.Fprintf(w, "%.3f\t%.3f\t%.3f\t%.1f\t%.2f\n", f.Began, f.Told, f.Ended, f.Loudest, f.Score)
	}
	if err := w.Flush(); err != nil {
		return err
	}
	fmt.Fprintf(env.stdout, "%d loud windows outside of slips were passed over as knocks.\n", r.Bursts)
	if r.Heavy {
		fmt.Fprintln(env.stdout, "The start is not as quiet as noise is; false alarms will be more than allowed.")
	}
	fmt.Fprintln(env.stdout, "Vibration alone does not tell an item that slips from a hand that rubs over something else. A detection informs; it is no safety function.")
	return nil
}
