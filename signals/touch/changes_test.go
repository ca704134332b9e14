package touch

import (
	"errors"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"
)

// relabel gives clips a level by turns, within each zone, session and specimen.
func relabel(d Labelled, levels ...string) []string {
	seen, list := map[string]int{}, make([]string, len(d.Zone))
	for i := range list {
		key := fmt.Sprint(d.Zone[i], d.Session[i], d.Specimen[i])
		list[i] = levels[seen[key]%len(levels)]
		seen[key]++
	}
	return list
}

func TestANewObjectIsToldWorse(t *testing.T) {
	recipe := smallRecipe()
	d, clips := taps(t, 6, recipe)
	object := relabel(d, "roll", "steel")
	e, err := NewExtractor(recipe)
	if err != nil {
		t.Fatal(err)
	}
	for i, clip := range clips {
		if object[i] == "steel" { // a hard object rings itself, by chance with a tone that rolls bring out elsewhere
			m := float64(4 - d.Zone[i])
			for k := range clip {
				s := float64(k) / float64(recipe.RateHz)
				clip[k] += 3 * math.Exp(-80*s) * math.Sin(2*math.Pi*400*m*m*s)
			}
			if err := e.Extract(d.X.Row(i), clip); err != nil {
				t.Fatal(err)
			}
		}
	}
	d.Varied = []Varied{{"object", object}, {"order", relabel(d, "a", "b", "c")}, {"finger", d.Specimen}, {"day", make([]string, len(object))}}
	plan := DefaultPlan()
	plan.Methods = []Method{{Kind: Discriminant, Shrinkage: LedoitWolf}}
	_, evidence, err := Train(t.Context(), recipe, d, plan)
	if err != nil {
		t.Fatal(err)
	}
	if len(evidence.Changes) != 2+3+3 {
		t.Fatalf("%d changes, want two objects, three orders, three fingers", len(evidence.Changes))
	}
	right := 0.0
	for _, c := range evidence.Changes {
		switch c.What {
		case "finger":
			if c.Why == "" || c.Heard != nil || c.Clips != 0 {
				t.Errorf("%+v: a finger is what is held out, so nothing can be compared", c)
			}
			continue
		case "object":
			if c.Unheard.Mean > c.Heard.Mean-0.1 || c.UnheardMm.Mean < 1.5*c.HeardMm.Mean {
				t.Errorf("%s: %.2f right when heard and %.2f when not, errors %.2f and %.2f mm", c.Level, c.Heard.Mean, c.Unheard.Mean, c.HeardMm.Mean, c.UnheardMm.Mean)
			}
			right += c.Heard.Mean * float64(c.Clips)
		case "order":
			if math.Abs(c.Unheard.Mean-c.Heard.Mean) > 0.1 {
				t.Errorf("%s: %.2f right when heard and %.2f when not, though it changes nothing", c.Level, c.Heard.Mean, c.Unheard.Mean)
			}
		}
	}
	if got, want := right, evidence.Zones.Grouped.Accuracy.Mean*float64(d.X.Rows); math.Abs(got-want) > 1e-9 {
		t.Errorf("%g clips are told right by object, %g in all", got, want)
	}
}

func TestNoiseIsLaidOverAsAsked(t *testing.T) {
	recipe := smallRecipe()
	_, clips := taps(t, 1, recipe)
	clip := clips[0]
	for _, silence := range [][]float64{nil, {0.1, -0.2, 0.05, 0.3, -0.1}} {
		for _, ratio := range []float64{40, 0, -10} {
			noisy := underNoise(clip, silence, ratio, len(clip), 1, 0)
			signal, noise := 0.0, 0.0
			for i, v := range clip {
				signal += v * v
				noise += (noisy[i] - v) * (noisy[i] - v)
			}
			if got := 10 * math.Log10(signal/noise); math.Abs(got-ratio) > 1e-9 {
				t.Errorf("%g dB are asked for and %g dB laid over", ratio, got)
			}
		}
	}
}

func TestMoreNoiseIsToldWorse(t *testing.T) {
	recipe := smallRecipe()
	d, clips := taps(t, 5, recipe)
	plan := DefaultPlan()
	plan.Methods = []Method{{Kind: Discriminant, Shrinkage: LedoitWolf}}
	plan.Noise = Noise{RatiosDB: []float64{200, 20, 0, -40}, Clip: func(i int) ([]float64, error) { return clips[i], nil }}
	d.OwnSNRDB = []float64{30, math.NaN(), 20}
	_, evidence, err := Train(t.Context(), recipe, d, plan)
	if err != nil {
		t.Fatal(err)
	}
	scores := evidence.UnderNoise
	if own := evidence.OwnSNR; own == nil || *own != (OwnSNR{25, 2}) {
		t.Errorf("the clips' own noise is %+v, not the middle of 20 and 30 dB", own)
	}
	// Noise of 200 dB below changes nothing: the figures are those of training.
	if got, want := scores[0].Right.Mean, evidence.Zones.Grouped.Accuracy.Mean; got != want {
		t.Errorf("%g right under hardly any noise, %g without", got, want)
	}
	if got, want := scores[0].OffMm.Mean, evidence.Positions.Grouped.Mean; math.Abs(got-want) > 1e-6 {
		t.Errorf("%g mm off under hardly any noise, %g without", got, want)
	}
	last := scores[len(scores)-1]
	if last.Right.Mean > 0.45 || last.Unsure.Mean < 0.9 {
		t.Errorf("under 40 dB more noise than signal %.2f are told right and %.2f called unlike; a guess is right in 0.25", last.Right.Mean, last.Unsure.Mean)
	}
	if !slices.IsSortedFunc(scores, func(a, b NoiseScore) int { return int(100 * (b.Right.Mean - a.Right.Mean)) }) {
		t.Errorf("more noise is told better: %v", scores)
	}
	plan.Workers = 1
	_, again, err := Train(t.Context(), recipe, d, plan)
	if err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(again.UnderNoise, scores) {
		t.Error("one worker tells otherwise than two")
	}
	torn := errors.New("the file is torn")
	for want, noise := range map[string]Noise{
		"clip 4 of 120: the file is torn": {RatiosDB: []float64{0}, Clip: func(i int) ([]float64, error) {
			if i == 3 {
				return nil, torn
			}
			return clips[i], nil
		}},
		"NaN dB":    {RatiosDB: []float64{math.NaN()}, Clip: plan.Noise.Clip},
		"not given": {RatiosDB: []float64{0}},
	} {
		plan.Noise = noise
		if _, _, err := Train(t.Context(), recipe, d, plan); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v does not say %q", err, want)
		}
	}
}

// Where all groups agree, drawing them anew leaves no width; the exact interval of so many clips does: 0.9 of 20 out of 20 is
// 1 − 0.95-quantile, 0.05^(1/20) = 0.86089.
func TestSharesKeepAWidth(t *testing.T) {
	hits, groups := make([]float64, 20), make([]string, 20)
	for i := range hits {
		hits[i], groups[i] = 1, fmt.Sprint(i%2)
	}
	i := shareInterval(hits, groups, DefaultPlan())
	if i.Mean != 1 || i.High != 1 || math.Abs(i.Low-math.Pow(0.05, 1.0/20)) > 1e-9 {
		t.Errorf("%+v", i)
	}
	// One group is always right and the other never: no finger says what the next will do.
	for k := range hits {
		hits[k] = float64(k % 2)
	}
	if i = shareInterval(hits, groups, DefaultPlan()); i.Low != 0 || i.High != 1 {
		t.Errorf("%+v", i)
	}
}

func TestZonesStandAlongTheFinger(t *testing.T) {
	nan := math.NaN()
	got := ZonesAlong([]string{"tip", "root", "side", "tip", "back", "pad"}, []float64{80, 10, nan, 70, nan, 45})
	if want := []string{"root", "pad", "tip", "back", "side"}; !slices.Equal(got, want) {
		t.Errorf("%v, want %v", got, want)
	}
}

// Steps are told in turn before they begin, the last one too, and an error ends the work where it comes.
func TestWhatAChangeCostsIsToldAsAStep(t *testing.T) {
	recipe := smallRecipe()
	d, _ := taps(t, 3, recipe)
	d.Varied = []Varied{{"object", relabel(d, "roll", "steel")}}
	plan := DefaultPlan()
	plan.Methods = []Method{{Kind: Discriminant, Shrinkage: LedoitWolf}}
	var told []string
	before := -1
	plan.Step = func(what string, done, of int) error {
		if done <= before || done >= of {
			t.Errorf("%q is step %d of %d, after %d", what, done, of, before)
		}
		before = done
		if told = append(told, what); done == of-1 && what != "asking what a change costs: object steel" {
			t.Errorf("the last step is %q", what)
		}
		return nil
	}
	if _, _, err := Train(t.Context(), recipe, d, plan); err != nil {
		t.Fatal(err)
	}
	stop := errors.New("stop")
	plan.Step = func(what string, _, _ int) error {
		if what == told[len(told)-1] {
			return stop
		}
		return nil
	}
	if _, _, err := Train(t.Context(), recipe, d, plan); !errors.Is(err, stop) {
		t.Errorf("the last step did not end the work: %v", err)
	}
}
