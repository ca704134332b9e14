package touch

import (
	"bytes"
	"encoding/json"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"
)

func TestTrainAndKeep(t *testing.T) {
	recipe := smallRecipe()
	d, clips := taps(t, 6, recipe)
	plan := DefaultPlan()
	plan.Methods = []Method{Candidates[0], Candidates[5]}
	m, e, err := Train(t.Context(), recipe, d, plan)
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
		if !reflect.DeepEqual(a, b) {
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

// modelSeeds are small models of every kind, as files.
func modelSeeds(t testing.TB) [][]byte {
	recipe := smallRecipe()
	recipe.Bands, recipe.Frames, recipe.Cepstra, recipe.Features = 4, 1, 2, []string{Shape, Cepstra}
	d, _ := taps(t, 1, recipe)
	var files [][]byte
	for i, m := range []Method{{Kind: Discriminant, Components: 3}, {Kind: NearestClips, K: 1}, {Kind: SupportVectors, C: 1, Gamma: 0.1}} {
		if i == 2 {
			recipe.Features = []string{LogSpectrum, OctaveEnergies, OctaveDecays}
			d, _ = taps(t, 1, recipe)
		}
		plan := DefaultPlan()
		plan.Methods = []Method{m}
		model, _, err := Train(t.Context(), recipe, d, plan)
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
		"later":      {`"version":2`, `"version":4`, "version 4"},
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
	f.Add([]byte(`{"format":"holdfast touch model","version":2}`))
	f.Add([]byte(`{"format":"holdfast touch model","version":3}`))
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

func TestAFileSaysTheEarliestVersionThatReadsIt(t *testing.T) {
	for feature, want := range map[string]string{LogMel: `"version":2,`, LogSpectrum: `"version":3,`, OctaveEnergies: `"version":3,`, OctaveDecays: `"version":3,`} {
		recipe := smallRecipe()
		recipe.Features = []string{Shape, feature}
		d, _ := taps(t, 1, recipe)
		plan := DefaultPlan()
		plan.Methods = []Method{{Kind: Discriminant, Components: 3}}
		model, _, err := Train(t.Context(), recipe, d, plan)
		if err != nil {
			t.Fatal(err)
		}
		var file bytes.Buffer
		if err := model.Write(&file); err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(file.String(), want) {
			t.Errorf("%s: no %s in %.60s", feature, want, file.String())
		}
		read, err := ReadModel(&file)
		if err != nil {
			t.Fatal(err)
		}
		if a, b := model.Tell(d.X.Row(0)), read.Tell(d.X.Row(0)); !reflect.DeepEqual(a, b) {
			t.Errorf("%s: read back it tells %+v instead of %+v", feature, b, a)
		}
	}
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
