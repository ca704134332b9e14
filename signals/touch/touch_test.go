package touch

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
)

// taps invents clips of decaying tones each strongest at a place of its own: three specimens with two sessions each.
func taps(t testing.TB, each int, recipe Recipe) (Labelled, [][]float64) {
	t.Helper()
	e, err := NewExtractor(recipe)
	if err != nil {
		t.Fatal(err)
	}
	r := rand.New(rand.NewPCG(2, 8))
	d := Labelled{X: NewMatrix(3*2*4*each, e.Count()), Zones: []string{"root", "middle", "pad", "tip"}}
	var clips [][]float64
	for specimen := range 3 {
		tune := 1 + 0.01*float64(specimen)
		for session := range 2 {
			for zone := range 4 {
				for range each {
					place := 15*float64(zone) + 5*r.Float64()
					clip := make([]float64, recipe.Samples()+50)
					for i := range clip {
						s := float64(i) / float64(recipe.RateHz)
						for m := 1; m <= 4; m++ {
							clip[i] += math.Exp(-math.Pow((place-16*float64(m-1))/18, 2)) * math.Exp(-60*float64(m)*s) * math.Sin(2*math.Pi*400*tune*float64(m*m)*s)
						}
						clip[i] += 0.02 * r.NormFloat64()
					}
					if err := e.Extract(d.X.Row(len(clips)), clip); err != nil {
						t.Fatal(err)
					}
					clips = append(clips, clip)
					d.Zone = append(d.Zone, zone)
					d.PositionMm = append(d.PositionMm, place)
					d.Session = append(d.Session, fmt.Sprintf("%d-%d", specimen, session))
					d.Specimen = append(d.Specimen, fmt.Sprint(specimen))
				}
			}
		}
	}
	return d, clips
}

func smallRecipe() Recipe {
	r := DefaultRecipe(16000)
	r.Bands, r.Frames, r.Cepstra = 16, 4, 8
	return r
}

func TestFeaturesByName(t *testing.T) {
	r := smallRecipe()
	r.Features = Features
	e, err := NewExtractor(r)
	if err != nil {
		t.Fatal(err)
	}
	clip := make([]float64, r.Samples())
	for i := range clip {
		s := float64(i) / 16000
		clip[i] = math.Exp(-s/0.004) * math.Sin(2*math.Pi*2000*s)
	}
	x, louder := make([]float64, e.Count()), make([]float64, e.Count())
	if err := e.Clone().Extract(x, clip); err != nil {
		t.Fatal(err)
	}
	for i := range clip {
		clip[i] *= 8
	}
	if err := e.Extract(louder, clip); err != nil {
		t.Fatal(err)
	}
	last := e.Count() - 1
	for i := range x[:last] {
		near(t, "features do not hear loudness", louder[i], x[i], 1e-9)
	}
	near(t, "but for the one that does", louder[last]-x[last], 20*math.Log10(8), 1e-6)
	at := r.Bands*r.Frames + r.Cepstra*r.Frames
	near(t, "centroid, kHz", x[at], 2, 0.25)
	near(t, "decay, ms", math.Exp(x[at+4]), 4, 0.2)
	near(t, "strongest resonance, kHz", x[at+5], 2, 0.02)
	if err := e.Extract(x, []float64{1, math.NaN()}); err == nil {
		t.Error("a sample that is not a number is taken")
	}
	if err := e.Extract(x, nil); err != nil || !finite(x) {
		t.Errorf("silence: %v %v", err, x)
	}
}

func TestExtractDoesNotAllocate(t *testing.T) {
	e, err := NewExtractor(DefaultRecipe(48000))
	if err != nil {
		t.Fatal(err)
	}
	if e.Count() != 320 || e.recipe.Samples() != 2304 {
		t.Errorf("%d features of %d samples", e.Count(), e.recipe.Samples())
	}
	x, clip := make([]float64, 320), make([]float64, 2400)
	for i := range clip {
		clip[i] = math.Sin(float64(i * i))
	}
	if got := testing.AllocsPerRun(5, func() { _ = e.Extract(x, clip) }); got != 0 {
		t.Errorf("%g allocations", got)
	}
}

func TestRecipesAreChecked(t *testing.T) {
	for _, change := range []func(*Recipe){
		func(r *Recipe) { r.RateHz = 0 }, func(r *Recipe) { r.Frame = 8 }, func(r *Recipe) { r.Hop = r.Frame + 1 }, func(r *Recipe) { r.Features = nil },
		func(r *Recipe) { r.Features = []string{"pitch"} }, func(r *Recipe) { r.Features = []string{Flux, Flux} }, func(r *Recipe) { r.Cepstra = 99 },
		func(r *Recipe) { r.Floor = []float64{1} }, func(r *Recipe) { r.HighHz = 9000 }, func(r *Recipe) { r.Scale = "bark" }, func(r *Recipe) { r.Floor = make([]float64, 129); r.Floor[3] = -1 },
	} {
		r := smallRecipe()
		change(&r)
		if _, err := NewExtractor(r); err == nil {
			t.Errorf("%+v is taken", r)
		}
	}
}

func TestNoiseFloorTakesNoiseOff(t *testing.T) {
	r := smallRecipe()
	random := rand.New(rand.NewPCG(5, 5))
	silence := make([]float64, 16000)
	for i := range silence {
		silence[i] = 0.1 * random.NormFloat64()
	}
	floor, err := NoiseFloor(r, silence)
	if err != nil {
		t.Fatal(err)
	}
	r.Floor = floor
	e, err := NewExtractor(r)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "noise power", e.noisePower(), 0.01, 0.0004)
	if _, err := NoiseFloor(r, silence[:300]); err == nil {
		t.Error("300 samples make a floor")
	}
}

func TestEveryMethodTellsZones(t *testing.T) {
	d, _ := taps(t, 6, smallRecipe())
	folds, err := GroupFolds(d.Specimen, 5, 1)
	if err != nil {
		t.Fatal(err)
	}
	if len(folds) != 3 {
		t.Errorf("%d folds of 3 specimens", len(folds))
	}
	for _, m := range Candidates {
		told, err := CrossValidate(m, d.X, d.Zone, 4, folds, 2)
		if err != nil {
			t.Fatal(err)
		}
		if a := Confuse(d.Zone, told, 4).Accuracy(); a < 0.9 {
			t.Errorf("%v: accuracy %.3f", m, a)
		}
		again, err := CrossValidate(m, d.X, d.Zone, 4, folds, 1)
		if err != nil || !slices.Equal(told, again) {
			t.Errorf("%v: another number of workers tells otherwise (%v)", m, err)
		}
		p, err := Fit(m, d.X, d.Zone, 4, true)
		if err != nil {
			t.Fatal(err)
		}
		sum := 0.0
		for _, v := range p.Probabilities(d.X.Row(0)) {
			sum += v
		}
		near(t, "probabilities add up", sum, 1, 1e-12)
	}
}

func TestTrainAndKeep(t *testing.T) {
	recipe := smallRecipe()
	d, clips := taps(t, 6, recipe)
	plan := DefaultPlan()
	plan.Methods = []Method{Candidates[0], Candidates[5]}
	m, e, err := Train(recipe, d, plan)
	if err != nil {
		t.Fatal(err)
	}
	z, p := e.Zones, e.Positions
	if e.HeldOut != "specimen" || e.Groups != 3 || z.Grouped.Accuracy.Mean < 0.9 || z.Random.Accuracy.Mean < z.Grouped.Accuracy.Mean-0.02 || z.Guess.Accuracy.Mean > 0.3 || len(z.Chosen) != 3 {
		t.Errorf("%+v %+v", e, z)
	}
	if p.Grouped.Mean > 3 || p.Random.Mean > p.Grouped.Mean+0.1 || p.Guess.Mean < 10 || p.Grouped.Low > p.Grouped.Mean || p.Grouped.High < p.Grouped.Mean {
		t.Errorf("%+v", p)
	}
	var file bytes.Buffer
	if err := m.Write(&file); err != nil {
		t.Fatal(err)
	}
	read, err := ReadModel(bytes.NewReader(file.Bytes()))
	if err != nil {
		t.Fatal(err)
	}
	within, unsure := 0, 0
	for i := range d.X.Rows {
		a, b := m.Tell(d.X.Row(i)), read.Tell(d.X.Row(i))
		if a != b {
			t.Fatalf("read back it tells %+v instead of %+v", b, a)
		}
		if a.LowMm <= d.PositionMm[i] && d.PositionMm[i] <= a.HighMm {
			within++
		}
		if a.Unsure {
			unsure++
		}
	}
	if within < d.X.Rows*85/100 || unsure > d.X.Rows/20 {
		t.Errorf("%d of %d positions lie within, %d clips are called unlike", within, d.X.Rows, unsure)
	}
	// A hiss is none of the taps.
	r := rand.New(rand.NewPCG(1, 1))
	ext, err := NewExtractor(recipe)
	if err != nil {
		t.Fatal(err)
	}
	x := make([]float64, ext.Count())
	for i := range clips[0] {
		clips[0][i] = r.NormFloat64()
	}
	if err := ext.Extract(x, clips[0]); err != nil {
		t.Fatal(err)
	}
	if told := m.Tell(x); !told.Unsure {
		t.Errorf("a hiss is %+v", told)
	}
}

// What inner folds share must not change what is fitted in the end.
func TestNestedTellsAsPlainValidation(t *testing.T) {
	d, _ := taps(t, 5, smallRecipe())
	folds, err := GroupFolds(d.Session, 3, 1)
	if err != nil {
		t.Fatal(err)
	}
	for _, m := range []Method{Candidates[0], Candidates[4], Candidates[5]} {
		plain, err := CrossValidate(m, d.X, d.Zone, 4, folds, 2)
		if err != nil {
			t.Fatal(err)
		}
		for _, methods := range [][]Method{{m}, {m, m}} {
			told, chosen, err := Nested(methods, d.X, d.Zone, 4, folds, ByGroup(d.Session, 3, 2), 2)
			if err != nil || !slices.Equal(told, plain) || slices.Max(chosen) != 0 {
				t.Errorf("%v, %d times: tells otherwise, chosen %v, %v", m, len(methods), chosen, err)
			}
		}
	}
}

func TestFoldsHoldGroupsTogether(t *testing.T) {
	groups := strings.Split("a b c d e f g a b c d a a a b", " ")
	folds, err := GroupFolds(groups, 3, 4)
	if err != nil {
		t.Fatal(err)
	}
	of, count := map[string]int{}, 0
	for f, list := range folds {
		for _, i := range list {
			if was, ok := of[groups[i]]; ok && was != f {
				t.Errorf("group %s stands in folds %d and %d", groups[i], was, f)
			}
			of[groups[i]] = f
			count++
		}
	}
	if count != len(groups) {
		t.Errorf("%d of %d clips are held out", count, len(groups))
	}
	if _, err := GroupFolds([]string{"a", "a"}, 3, 1); err == nil || !strings.Contains(err.Error(), `"a"`) {
		t.Errorf("one group is split: %v", err)
	}
}

func TestImpossibleFits(t *testing.T) {
	x, zone := NewMatrix(6, 3), []int{0, 0, 0, 1, 1, 1}
	for name, c := range map[string]struct {
		m     Method
		zones int
	}{
		"singular": {Method{Kind: Discriminant}, 2}, "missing zone": {Method{Kind: Discriminant, Shrinkage: LedoitWolf}, 3}, "one zone": {Method{Kind: Discriminant}, 1},
		"no penalty": {Method{Kind: Logistic}, 2}, "too many neighbours": {Method{Kind: NearestClips, K: 7}, 2}, "no C": {Method{Kind: SupportVectors}, 2}, "unknown": {Method{Kind: "oracle"}, 2},
	} {
		if _, err := Fit(c.m, x, zone, c.zones, false); err == nil {
			t.Errorf("%s: fitted", name)
		}
	}
}

// modelSeeds are small models of every kind, as files.
func modelSeeds(t testing.TB) [][]byte {
	recipe := smallRecipe()
	recipe.Bands, recipe.Frames, recipe.Cepstra, recipe.Features = 4, 1, 2, []string{Shape, Cepstra}
	d, _ := taps(t, 1, recipe)
	var files [][]byte
	for _, m := range []Method{{Kind: Discriminant, Components: 3}, {Kind: NearestClips, K: 1}, {Kind: SupportVectors, C: 1, Gamma: 0.1}} {
		plan := DefaultPlan()
		plan.Methods = []Method{m}
		model, _, err := Train(recipe, d, plan)
		if err != nil {
			t.Fatal(err)
		}
		var b bytes.Buffer
		if err := model.Write(&b); err != nil {
			t.Fatal(err)
		}
		files = append(files, b.Bytes())
	}
	return files
}

func TestDamagedModels(t *testing.T) {
	good := modelSeeds(t)[0]
	for name, c := range map[string]struct{ old, new, want string }{
		"other":      {`"format":"holdfast touch model"`, `"format":"map"`, "no touch model"},
		"later":      {`"version":1`, `"version":2`, "version 2"},
		"cut":        {`"level"`, `"level":`, "no JSON"},
		"no zones":   {`"zones":["root","middle","pad","tip"]`, `"zones":[]`, "zones"},
		"bad recipe": {`"hop_samples":64`, `"hop_samples":0`, "recipe"},
		"no limit":   {`"limit":`, `"was":`, "novelty"},
	} {
		raw := strings.Replace(string(good), c.old, c.new, 1)
		if raw == string(good) {
			t.Fatalf("%s: nothing replaced", name)
		}
		if _, err := ReadModel(strings.NewReader(raw)); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", name, err, c.want)
		}
	}
}

func FuzzReadModel(f *testing.F) {
	for _, s := range modelSeeds(f) {
		f.Add(s)
	}
	f.Add([]byte(`{"format":"holdfast touch model","version":1}`))
	f.Fuzz(func(t *testing.T, raw []byte) {
		m, err := ReadModel(bytes.NewReader(raw))
		if err != nil {
			return
		}
		e, err := NewExtractor(m.Recipe)
		if err != nil {
			t.Fatal(err)
		}
		x := make([]float64, e.Count())
		if err := e.Extract(x, []float64{0, 1, -1, 0.5}); err != nil {
			t.Fatal(err)
		}
		m.Tell(x)
	})
}

func TestModelIsPlainJSON(t *testing.T) {
	var parts map[string]json.RawMessage
	if err := json.Unmarshal(modelSeeds(t)[0], &parts); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"format", "version", "recipe", "zones", "zone", "novelty"} {
		if parts[name] == nil {
			t.Errorf("no field %s", name)
		}
	}
}

func BenchmarkExtract(b *testing.B) {
	e, err := NewExtractor(DefaultRecipe(48000))
	if err != nil {
		b.Fatal(err)
	}
	x, clip := make([]float64, e.Count()), make([]float64, 2400)
	for i := range clip {
		clip[i] = math.Sin(float64(i * i))
	}
	for b.Loop() {
		_ = e.Extract(x, clip)
	}
}
