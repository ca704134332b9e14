package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"path/filepath"
	"text/tabwriter"

	"holdfast/readings"
	"holdfast/signals/detect"
)

// judgedLevel is that of the limits in a judgement.
const judgedLevel = 0.95

// oneOf sees that a record or labels were named.
func oneOf(file, labels string) error {
	if (file == "") == (labels == "") {
		return usageError{errors.New("name either a record or --labels FILE")}
	}
	return nil
}

type judgementReport struct {
	Records     int       `json:"records"`
	With        int       `json:"records_with_event"`
	Events      int       `json:"events"`
	Found       int       `json:"found"`
	Low         float64   `json:"found_share_low"`
	High        float64   `json:"found_share_high"`
	Delay       *float64  `json:"median_delay_s,omitempty"`
	Late        *float64  `json:"longest_delay_s,omitempty"`
	FalseAlarms int       `json:"false_alarms"`
	Hours       float64   `json:"hours_without_event"`
	Allowed     float64   `json:"false_alarms_allowed_per_hour"`
	RateLow     float64   `json:"false_alarms_per_hour_low"`
	RateHigh    float64   `json:"false_alarms_per_hour_high"`
	Area        *areaTold `json:"area,omitempty"`
	Curve       []rocTold `json:"curve,omitempty"`
}

type areaTold struct {
	AUC  float64 `json:"auc"`
	Low  float64 `json:"low"`
	High float64 `json:"high"`
}

type rocTold struct {
	Threshold *float64 `json:"threshold_sd"`
	False     float64  `json:"false_positive"`
	True      float64  `json:"true_positive"`
}

// printCurve writes a few points of a receiver operating characteristic: the best threshold at each share of false positives.
func printCurve(w io.Writer, curve []detect.ROCPoint) error {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, "false positives up to\ttold of those with an event\tthreshold")
	for _, most := range []float64{0, 0.05, 0.1, 0.2, 0.5} {
		best := detect.ROCPoint{Threshold: math.Inf(1)}
		for _, p := range curve {
			if p.FalsePositive <= most && p.TruePositive > best.TruePositive {
				best = p
			}
		}
		fmt.Fprintf(t, "%g %%\t%.1f %%\t%.3g\n", 100*most, 100*best.TruePositive, best.Threshold)
	}
	return t.Flush()
}

// judgeRecords runs a detector over labelled records, whose files lie beside the labels, and says how well it did.
func judgeRecords(env *environment, labels string, channel int, allowed float64, asJSON bool, run func(time, value []float64, r *detect.JudgedRecord) error) error {
	t, err := readTable(labels, []readings.Column{
		{Name: "file", Meaning: "a record", Text: true}, {Name: "event", Meaning: "whether something happened", Text: true, Words: []string{"yes", "no"}},
		{Name: "from_s", Meaning: "when it began; 0 where nothing happened", Natural: true}, {Name: "to_s", Meaning: "when it ended; 0 where nothing happened", Natural: true},
	})
	if err != nil {
		return badInput(err)
	}
	at := map[string]int{}
	var list []detect.JudgedRecord
	var names []string
	for i, name := range t.Texts["file"] {
		k, known := at[name]
		if !known {
			k = len(list)
			at[name] = k
			list, names = append(list, detect.JudgedRecord{}), append(names, name)
		}
		if t.Texts["event"][i] == "yes" {
			list[k].Events = append(list[k].Events, [2]float64{t.Numbers["from_s"][i], t.Numbers["to_s"][i]})
		}
	}
	for k, name := range names {
		if err := env.ctx.Err(); err != nil {
			return err
		}
		time, value, err := readSignal(filepath.Join(filepath.Dir(labels), name), channel)
		if err == nil {
			err = run(time, value, &list[k])
		}
		if err != nil {
			return badInput(fmt.Errorf("%s: %w", name, err))
		}
		list[k].To = time[len(time)-1]
		if _, err := detect.Judge(list[k:k+1], judgedLevel); err != nil {
			return badInput(fmt.Errorf("%s, %s: %w", filepath.Base(labels), name, err))
		}
	}
	j, err := detect.Judge(list, judgedLevel)
	if err != nil {
		return badInput(err)
	}
	r := judgementReport{
		Records: j.Records, With: j.With, Events: j.Events, Found: j.Found, Low: j.Low, High: j.High, FalseAlarms: j.FalseAlarms, Hours: j.Hours, Allowed: allowed,
		RateLow: j.RateLow, RateHigh: j.RateHigh,
	}
	if n := len(j.Delays); n > 0 {
		delay := j.MedianDelay()
		r.Delay, r.Late = &delay, &j.Delays[n-1]
	}
	if j.Area != nil {
		r.Area = &areaTold{j.Area.AUC, j.Area.Low, j.Area.High}
		for _, p := range j.Curve {
			told := rocTold{False: p.FalsePositive, True: p.TruePositive}
			if !math.IsInf(p.Threshold, 0) {
				told.Threshold = &p.Threshold
			}
			r.Curve = append(r.Curve, told)
		}
	}
	if asJSON {
		return json.NewEncoder(env.stdout).Encode(r)
	}
	fmt.Fprintf(env.stdout, "%d records, %d of them with an event. Limits hold with %.0f %%.\n", r.Records, r.With, 100*judgedLevel)
	fmt.Fprintf(env.stdout, "Found: %d of %d events, a share from %.3f to %.3f.\n", r.Found, r.Events, r.Low, r.High)
	if r.Delay != nil {
		fmt.Fprintf(env.stdout, "Delay from an event's start to its alarm: %.0f ms in the middle, %.0f ms at most.\n", 1000**r.Delay, 1000**r.Late)
	}
	fmt.Fprintf(env.stdout, "False alarms: %d in %.3g hours without event, %.3g to %.3g an hour; %g were allowed.\n", r.FalseAlarms, r.Hours, r.RateLow, r.RateHigh, allowed)
	if r.Area != nil {
		fmt.Fprintf(env.stdout, "Records with an event score higher than those without in %.1f %% of pairs, %.1f to %.1f %% (area under the receiver operating characteristic).\n", 100*r.Area.AUC, 100*r.Area.Low, 100*r.Area.High)
		if err := printCurve(env.stdout, j.Curve); err != nil {
			return err
		}
	} else {
		fmt.Fprintln(env.stdout, "For a receiver operating characteristic, records with and without an event are needed.")
	}
	fmt.Fprintln(env.stdout, "These records only: other hands, items and rooms sound otherwise. A detection informs; it is no safety function.")
	return nil
}
