package main

import (
	"encoding/json"
	"fmt"
	"io"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"text/tabwriter"
	"time"

	"holdfast/signals/touch"
)

type touchTrainCommand struct {
	Clips      string    `required:"" placeholder:"DIR" help:"Folder of WAV files."`
	Labels     string    `required:"" placeholder:"LABELS.csv" help:"CSV file with the columns file, zone, position_mm, session and specimen: a row for each clip."`
	Out        string    `required:"" placeholder:"MODEL" help:"File to write the model to."`
	Target     string    `default:"both" enum:"both,zone,mm" help:"What to learn: zone, mm, or both as far as every clip is labelled."`
	Features   []string  `default:"log-mel" placeholder:"NAME,…" help:"auto: whichever of a few sets tells held-out clips best; or of log-mel, cepstra, shape, flux, decay, resonances, log-spectrum, octave-energies, octave-decays, loudness."`
	Silence    string    `placeholder:"FILE.wav" help:"Recording of silence with the same equipment, whose noise is taken off every clip."`
	Align      bool      `help:"Begin at the onset in each clip instead of at its start."`
	Channel    int       `default:"1" help:"Channel of the WAV files, counted from 1."`
	Method     string    `default:"auto" enum:"auto,discriminant,logistic,neighbours,svm,svm-linear" help:"How zones are learnt; auto: whichever tells held-out clips best."`
	Folds      int       `default:"5" help:"Parts that are held out in turn, at most."`
	UnsureRate float64   `default:"0.02" help:"Share of ordinary clips that may be called unlike what was trained on."`
	Noise      []float64 `name:"noise-db" placeholder:"DB,…" help:"Also tell held-out clips under noise: so many decibels below each clip, as 40,20,10,0. Noise is that of --silence, white without it."`
	Level      float64   `default:"0.90" help:"Level of the intervals."`
	Seed       uint64    `default:"1" help:"Seed of splits and intervals."`
	JSON       bool      `name:"json" help:"Print the result as JSON."`
}

// touchTrainReport is what touch train tells.
type touchTrainReport struct {
	Model    string          `json:"model"`
	RateHz   int             `json:"rate_hz"`
	Features int             `json:"features"`
	Zones    []string        `json:"zone_names"`
	Evidence *touch.Evidence `json:"evidence"`
	Limit    float64         `json:"unlike_beyond"`
	Rate     float64         `json:"unsure_rate"`
	Level    float64         `json:"level"`
	Warnings []string        `json:"warnings"`
}

// Run trains, tests and writes a model.
func (c *touchTrainCommand) Run(env *environment) error {
	switch {
	case c.Channel < 1:
		return usageError{fmt.Errorf("--channel %d: channels are counted from 1", c.Channel)}
	case c.Folds < 2 || c.Folds > 100:
		return usageError{fmt.Errorf("--folds %d is not possible: choose 2 to 100", c.Folds)}
	case !(c.UnsureRate > 0 && c.UnsureRate < 1):
		return usageError{fmt.Errorf("--unsure-rate %g is not understood: write a number between 0 and 1", c.UnsureRate)}
	case !(c.Level > 0 && c.Level < 1):
		return usageError{fmt.Errorf("--level %g is not understood: write a number between 0 and 1", c.Level)}
	}
	l, err := readLabels(c.Labels)
	if err != nil {
		return badInput(err)
	}
	zones, positions, err := l.targets(filepath.Base(c.Labels), c.Target)
	if err != nil {
		return badInput(err)
	}
	if len(c.Features) > 1 && slices.Contains(c.Features, "auto") {
		return usageError{fmt.Errorf("--features auto chooses among sets of its own: leave out %s", strings.Join(slices.DeleteFunc(slices.Clone(c.Features), func(f string) bool { return f == "auto" }), ", "))}
	}
	recipe, err := c.recipe(l.file[0])
	if err != nil {
		return badInput(err)
	}
	workers := runtime.GOMAXPROCS(0)
	x, lengths, err := clipFeatures(env, recipe, c.Clips, l.file, c.Channel, workers)
	if err != nil {
		return badInput(err)
	}
	d := touch.Labelled{X: x, Session: l.session, Specimen: l.specimen, Varied: l.varied, OwnSNRDB: l.snrDB}
	if zones {
		d.Zones = touch.ZonesAlong(l.zone, l.positionMm)
		for _, z := range l.zone {
			d.Zone = append(d.Zone, slices.Index(d.Zones, z))
		}
	}
	if positions {
		d.PositionMm = l.positionMm
	}
	plan := touch.Plan{Methods: c.methods(), Folds: c.Folds, Rate: c.UnsureRate, Level: c.Level, Seed: c.Seed, Workers: workers}
	if c.choosesFeatures() {
		plan.FeatureSets = touch.CandidateSets
	}
	if plan.Noise, err = c.noise(l.file); err != nil {
		return badInput(err)
	}
	plan.Step = progress(env)
	model, evidence, err := touch.Train(env.ctx, recipe, d, plan)
	if err != nil {
		return badInput(err)
	}
	model.SetSamples(lengths)
	extractor, err := touch.NewExtractor(model.Recipe)
	if err != nil {
		return err
	}
	if err := writeFile(c.Out, model.Write); err != nil {
		return err
	}
	r := touchTrainReport{
		Model: c.Out, RateHz: recipe.RateHz, Features: extractor.Count(), Zones: d.Zones, Evidence: evidence, Limit: model.Novelty.Limit, Rate: c.UnsureRate, Level: c.Level,
		Warnings: trainWarnings(evidence, c.UnsureRate),
	}
	if r.Zones == nil {
		r.Zones = []string{}
	}
	for _, w := range r.Warnings {
		fmt.Fprintln(env.stderr, "note:", w)
	}
	if c.JSON {
		return json.NewEncoder(env.stdout).Encode(r)
	}
	return r.print(env.stdout)
}

// recipe makes the recipe from the flags and the first clip's sampling rate.
func (c *touchTrainCommand) recipe(first string) (touch.Recipe, error) {
	_, rate, err := readClip(filepath.Join(c.Clips, first), c.Channel)
	if err != nil {
		return touch.Recipe{}, err
	}
	recipe := touch.DefaultRecipe(rate)
	recipe.Features, recipe.Align = c.Features, c.Align
	if c.choosesFeatures() {
		recipe.Features = touch.AllOf(touch.CandidateSets)
	}
	if c.Silence == "" {
		return recipe, nil
	}
	silence, silentRate, err := readClip(c.Silence, c.Channel)
	if err != nil {
		return recipe, err
	}
	if silentRate != rate {
		return recipe, fmt.Errorf("%s is sampled at %d Hz, and the clips at %d Hz; record silence with the same equipment", filepath.Base(c.Silence), silentRate, rate)
	}
	if recipe.Floor, err = touch.NoiseFloor(recipe, silence); err != nil {
		return recipe, fmt.Errorf("%s: %w", filepath.Base(c.Silence), err)
	}
	return recipe, nil
}

func (c *touchTrainCommand) choosesFeatures() bool { return slices.Equal(c.Features, []string{"auto"}) }

// noise says what is to be laid over held-out clips.
func (c *touchTrainCommand) noise(files []string) (touch.Noise, error) {
	n := touch.Noise{RatiosDB: c.Noise, Clip: func(i int) ([]float64, error) {
		clip, _, err := readClip(filepath.Join(c.Clips, files[i]), c.Channel)
		return clip, err
	}}
	var err error
	if c.Silence != "" && len(c.Noise) > 0 {
		n.Silence, _, err = readClip(c.Silence, c.Channel)
	}
	return n, err
}

func (c *touchTrainCommand) methods() []touch.Method {
	if c.Method == "auto" {
		return touch.Candidates
	}
	return slices.DeleteFunc(slices.Clone(touch.Candidates), func(m touch.Method) bool { return m.Kind != c.Method })
}

// toldEvery is how often a training says how far it is.
const toldEvery = 2 * time.Second

// progress tells how far a training is on stderr, once it has taken a while, and ends it when the program is asked to stop.
func progress(env *environment) func(what string, done, of int) error {
	last := time.Now()
	return func(what string, done, of int) error {
		if now := time.Now(); now.Sub(last) >= toldEvery {
			fmt.Fprintf(env.stderr, "%d of %d steps done; %s\n", done, of, what)
			last = now
		}
		return env.ctx.Err()
	}
}

func trainWarnings(e *touch.Evidence, rate float64) []string {
	list := []string{}
	if e.HeldOut == "session" {
		list = append(list, "There is one specimen only, so nothing shows how the model does on another finger; record a second one.")
	}
	if e.Groups < 10 {
		list = append(list, fmt.Sprintf("Only %s can be held out: the intervals are too narrow rather than too wide.", counted(e.Groups, e.HeldOut)))
	}
	if float64(e.Clips)*rate < 5 {
		list = append(list, fmt.Sprintf("%s hardly show what one in %.0f is; the limit for \"unlike\" is coarse.", counted(e.Clips, "clip"), 1/rate))
	}
	return list
}

func (r *touchTrainReport) print(w io.Writer) error {
	e := r.Evidence
	fmt.Fprintf(w, "%s of %d Hz, %s each; %s held out whole, in %s.\n", counted(e.Clips, "clip"), r.RateHz, counted(r.Features, "feature"), counted(e.Groups, e.HeldOut), counted(e.Folds, "part"))
	printFeatures(w, e.Features)
	if z := e.Zones; z != nil {
		fmt.Fprintf(w, "\nZones: %s\n", z.Method)
		t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
		fmt.Fprintf(t, "\tright\t%.3g %% interval\tmacro F1\tkappa\tMCC\n", 100*r.Level)
		for _, row := range []struct {
			name string
			s    touch.ZoneScore
		}{{"held out by " + e.HeldOut, z.Grouped}, {"split by clip (flatters)", z.Random}, {"a guess", z.Guess}} {
			a := row.s.Accuracy
			fmt.Fprintf(t, "%s\t%.3f\t%.3f to %.3f\t%.3f\t%.3f\t%.3f\n", row.name, a.Mean, a.Low, a.High, row.s.MacroF1, row.s.Kappa, row.s.MCC)
		}
		if err := t.Flush(); err != nil {
			return err
		}
		fmt.Fprintln(w, "\nHeld out, touched (rows) against told (columns):")
		t = tabwriter.NewWriter(w, 0, 0, 2, ' ', tabwriter.AlignRight)
		fmt.Fprintf(t, "\t%s\t\n", strings.Join(r.Zones, "\t"))
		for i, row := range z.Confusion {
			fmt.Fprintf(t, "%s\t", r.Zones[i])
			for _, n := range row {
				fmt.Fprintf(t, "%d\t", n)
			}
			fmt.Fprintln(t)
		}
		if err := t.Flush(); err != nil {
			return err
		}
	}
	if z := e.Zones; z != nil && z.Temperature > 0 {
		fmt.Fprintf(w, "Held out, the likeliest zone was stated with %.1f %% on average where %.1f %% were right; softened by a temperature of %.3g it is %.1f %%.\n", 100*z.StatedBefore, 100*z.Grouped.Accuracy.Mean, z.Temperature, 100*z.Stated)
	}
	if p := e.Positions; p != nil {
		fmt.Fprintln(w, "\nPositions: Gaussian process")
		t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
		fmt.Fprintf(t, "\tmean error, mm\t%.3g %% interval\n", 100*r.Level)
		for _, row := range []struct {
			name string
			s    touch.Interval
		}{{"held out by " + e.HeldOut, p.Grouped}, {"split by clip (flatters)", p.Random}, {"a guess", p.Guess}} {
			fmt.Fprintf(t, "%s\t%.2f\t%.2f to %.2f\n", row.name, row.s.Mean, row.s.Low, row.s.High)
		}
		if err := t.Flush(); err != nil {
			return err
		}
		fmt.Fprintf(w, "Held out, nine of ten errors are below %.2f mm, bias %+.2f mm; the process's own intervals held %.1f %%, so they are widened by %.2f.\n", p.Quantile, p.BiasMm, 100*p.Covered, p.Spread)
	}
	if err := printChanges(w, e.Changes); err != nil {
		return err
	}
	if err := printNoise(w, e); err != nil {
		return err
	}
	fmt.Fprintf(w, "\nClips unlike all of these are told as unsure: beyond %.2f standard deviations, %.3g %% of ordinary ones.\nWritten to %s. No safety function: do not let it stop a machine for a person's sake.\n", r.Limit, 100*r.Rate, r.Model)
	return nil
}

// printFeatures tells which features validation chose.
func printFeatures(w io.Writer, f *touch.FeatureEvidence) {
	if f == nil {
		return
	}
	agree := 0
	var others []string
	for _, set := range f.ByFold {
		if slices.Equal(set, f.Model) {
			agree++
		} else {
			others = append(others, strings.Join(set, ","))
		}
	}
	fmt.Fprintf(w, "Features chosen by held-out clips: %s; by %d of %s without the clips they are asked about", strings.Join(f.Model, ","), agree, counted(len(f.ByFold), "part"))
	if len(others) > 0 {
		fmt.Fprintf(w, ", by the others %s", strings.Join(others, "; "))
	}
	fmt.Fprintln(w, ".")
}

// printChanges tells what a new object, pressure or day costs.
func printChanges(w io.Writer, changes []touch.Change) error {
	if len(changes) == 0 {
		return nil
	}
	fmt.Fprintln(w, "\nWhen something is new (the same clips, held out, told by models that heard such clips and by models that never did):")
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, "\tclips\tright: heard\tnever heard\tmean error, mm: heard\tnever heard")
	for _, c := range changes {
		if c.Why != "" {
			fmt.Fprintf(t, "%s %s\t%d\t%s\n", c.What, c.Level, c.Clips, c.Why)
			continue
		}
		fmt.Fprintf(t, "%s %s\t%d\t%s\t%s\t%s\t%s\n", c.What, c.Level, c.Clips, share(c.Heard), share(c.Unheard), share(c.HeardMm), share(c.UnheardMm))
	}
	return t.Flush()
}

func printNoise(w io.Writer, e *touch.Evidence) error {
	if len(e.UnderNoise) == 0 {
		return nil
	}
	fmt.Fprintf(w, "\nHeld-out clips under noise, %d of them:\n", e.UnderNoise[0].Clips)
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, "signal over noise, dB\tright\tmean error, mm\tcalled unlike")
	for _, s := range e.UnderNoise {
		fmt.Fprintf(t, "%g\t%s\t%s\t%s\n", s.RatioDB, share(s.Right), share(s.OffMm), share(&s.Unsure))
	}
	if err := t.Flush(); err != nil {
		return err
	}
	if own := e.OwnSNR; own != nil {
		fmt.Fprintf(w, "The clips themselves are %.3g dB above the noise that they were recorded with (median of %s).\n", own.MedianDB, counted(own.Clips, "clip"))
	}
	return nil
}

// share writes a figure with its interval; nothing where there is none.
func share(i *touch.Interval) string {
	if i == nil {
		return ""
	}
	return fmt.Sprintf("%.3g (%.3g to %.3g)", i.Mean, i.Low, i.High)
}
