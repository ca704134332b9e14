package touch

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"
)

func TestASetsColumnsAreWhatItsRecipeExtracts(t *testing.T) {
	r := smallRecipe()
	r.Features = AllOf(CandidateSets)
	d, _ := taps(t, 1, r)
	seen, err := views(r, d.X, CandidateSets)
	if err != nil {
		t.Fatal(err)
	}
	for s, set := range CandidateSets {
		own := r
		own.Features = set
		alone, _ := taps(t, 1, own)
		if !reflect.DeepEqual(seen[s], alone.X) {
			t.Errorf("%v: columns are others than by its own recipe", set)
		}
	}
	if _, err := views(r, d.X, [][]string{{Loudness}}); err == nil || !strings.Contains(err.Error(), Loudness) {
		t.Errorf("a set that was not extracted: %v", err)
	}
}

func TestOneSetIsAsNoChoice(t *testing.T) {
	r := smallRecipe()
	r.Features = []string{OctaveEnergies, OctaveDecays}
	d, _ := taps(t, 3, r)
	plan := DefaultPlan()
	plan.Methods = []Method{Candidates[0], Candidates[1]}
	plain, _, err := Train(t.Context(), r, d, plan)
	if err != nil {
		t.Fatal(err)
	}
	r.Features = AllOf(CandidateSets)
	d, _ = taps(t, 3, r)
	plan.FeatureSets = CandidateSets[4:]
	one, evidence, err := Train(t.Context(), r, d, plan)
	if err != nil {
		t.Fatal(err)
	}
	var a, b bytes.Buffer
	if err := errors.Join(plain.Write(&a), one.Write(&b)); err != nil || a.String() != b.String() {
		t.Errorf("with one set to choose from another model is learnt (%v)", err)
	}
	if f := evidence.Features; !slices.Equal(f.Model, CandidateSets[4]) || len(f.ByFold) != 3 {
		t.Errorf("%+v", f)
	}
}

// blind are sets of the taps' features of which one alone says where the finger was touched.
func blind(t *testing.T) (Recipe, Labelled, [][]string) {
	t.Helper()
	r := smallRecipe()
	r.Features = []string{Flux, OctaveEnergies, Loudness}
	d, _ := taps(t, 3, r)
	random := rand.New(rand.NewPCG(6, 2))
	for i := range d.X.Rows { // flux and loudness become noise
		d.X.Row(i)[0], d.X.Row(i)[d.X.Cols-1] = random.NormFloat64(), random.NormFloat64()
	}
	return r, d, [][]string{{Flux}, {OctaveEnergies}, {Loudness}}
}

func TestValidationFindsTheFeaturesThatTell(t *testing.T) {
	r, d, sets := blind(t)
	for name, change := range map[string]func(d *Labelled){
		"zone": func(*Labelled) {}, "mm": func(d *Labelled) { d.Zone, d.Zones = nil, nil },
	} {
		d := d
		change(&d)
		var files [2]string
		for run, workers := range []int{1, 3} {
			plan := DefaultPlan()
			plan.Methods, plan.FeatureSets, plan.Workers = []Method{Candidates[0], Candidates[5]}, sets, workers
			done, of := 0, 0
			var told []string
			plan.Step = func(what string, d, o int) error {
				if d != done {
					t.Errorf("%s: after %d steps come %d", name, done, d)
				}
				done, of, told = d+1, o, append(told, what)
				return nil
			}
			m, e, err := Train(t.Context(), r, d, plan)
			if err != nil {
				t.Fatal(err)
			}
			if done != of {
				t.Errorf("%s: %d steps of %d:\n%s", name, done, of, strings.Join(told, "\n"))
			}
			want := []string{OctaveEnergies}
			if f := e.Features; f.By != name || !slices.Equal(f.Model, want) || !slices.Equal(m.Recipe.Features, want) || len(f.ByFold) != 3 || slices.ContainsFunc(f.ByFold, func(s []string) bool { return !slices.Equal(s, want) }) {
				t.Errorf("%s: %+v", name, f)
			}
			var file bytes.Buffer
			if err := m.Write(&file); err != nil {
				t.Fatal(err)
			}
			files[run] = file.String()
			if _, err := ReadModel(&file); err != nil {
				t.Error(err)
			}
		}
		if files[0] != files[1] {
			t.Errorf("%s: another number of workers learns another model", name)
		}
	}
}

// Sets that hold nothing but noise: the best of many seems to tell something, and the nested figure says that it does not.
func TestChoosingFeaturesFlattersNothing(t *testing.T) {
	const clips, zones, sets = 96, 2, 40
	random := rand.New(rand.NewPCG(11, 3))
	zone, group := make([]int, clips), make([]string, clips)
	for i := range zone {
		zone[i], group[i] = random.IntN(zones), fmt.Sprint(i%8)
	}
	seen := make([]Matrix, sets)
	for s := range seen {
		seen[s] = NewMatrix(clips, 2)
		for k := range seen[s].Data {
			seen[s].Data[k] = random.NormFloat64()
		}
	}
	folds, err := GroupFolds(group, 4, 1)
	if err != nil {
		t.Fatal(err)
	}
	methods := []Method{{Kind: Discriminant}}
	told, chosen, err := nested(t.Context(), methods, seen, zone, zones, folds, ByGroup(group, 4, 2), 2, &steps{})
	if err != nil || len(chosen) != 4 {
		t.Fatal(chosen, err)
	}
	best, _, err := chooseAmong(t.Context(), methods, seen, zone, zones, folds, 2, func(int) error { return nil })
	if err != nil {
		t.Fatal(err)
	}
	again, err := CrossValidate(t.Context(), methods[0], seen[best.set], zone, zones, folds, 2)
	if err != nil {
		t.Fatal(err)
	}
	flattered, honest := Confuse(zone, again, zones).Accuracy(), Confuse(zone, told, zones).Accuracy()
	// Three standard deviations of a guess of 96 clips are 0.153.
	if flattered < 0.6 || honest > 0.5+0.153 || flattered < honest+0.05 {
		t.Errorf("the best of %d sets of noise tells %.3f, nested %.3f", sets, flattered, honest)
	}
}

func TestChoosingFeaturesStops(t *testing.T) {
	r, d, sets := blind(t)
	d.Zone = nil
	plan := DefaultPlan()
	plan.FeatureSets = sets
	ctx, cancel := context.WithCancel(t.Context())
	plan.Step = func(what string, done, of int) error {
		if done == 4 {
			cancel()
		}
		return nil
	}
	if _, _, err := Train(ctx, r, d, plan); !errors.Is(err, context.Canceled) {
		t.Errorf("stopped, it says %v", err)
	}
}
