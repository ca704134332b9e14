package touch

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"
)

// drawn gives probabilities that are too sure by a temperature, with zones drawn by what they should have been.
func drawn(n, zones int, temperature float64) (p [][]float64, zone []int) {
	r := rand.New(rand.NewPCG(3, 5))
	for range n {
		row, right := make([]float64, zones), make([]float64, zones)
		for k := range row {
			right[k] = math.Exp(2 * r.NormFloat64())
		}
		softened(right, right, 1)
		softened(row, right, temperature)
		u, k := r.Float64(), 0
		for k < zones-1 && u > right[k] {
			u -= right[k]
			k++
		}
		p, zone = append(p, row), append(zone, k)
	}
	return p, zone
}

func TestTheTemperatureIsFound(t *testing.T) {
	for _, want := range []float64{1, 2, 5, 20} {
		p, zone := drawn(8000, 5, want)
		if got := FitTemperature(p, zone); math.Abs(got/want-1) > 0.05 {
			t.Errorf("%.3f, drawn with %g", got, want)
		}
	}
	if p, zone := drawn(8000, 5, 0.5); FitTemperature(p, zone) != 1 {
		t.Error("probabilities that are not sure enough were made softer or harder")
	}
	always := [][]float64{{1, 0}, {1, 0}}
	if got := FitTemperature(always, []int{1, 1}); got != softest {
		t.Errorf("always wrong: %g", got)
	}
	if FitTemperature(nil, nil) != 1 {
		t.Error("nothing to fit to")
	}
}

// Softening keeps the order of zones and the sum of 1, and makes the likeliest less likely.
func TestSoftening(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := rapid.SliceOfN(rapid.Float64Range(0, 1), 2, 8).Draw(t, "p")
		sum := 0.0
		for _, v := range p {
			sum += v
		}
		if sum == 0 {
			p[0], sum = 1, 1
		}
		soft := make([]float64, len(p))
		for k := range p {
			p[k] /= sum
			soft[k] = p[k]
		}
		Soften(soft, rapid.Float64Range(1, softest).Draw(t, "temperature"))
		sum = 0
		for k, v := range soft {
			sum += v
			for j := range soft {
				if p[k] > p[j] && v < soft[j] {
					t.Fatalf("%v became %v", p, soft)
				}
			}
		}
		if math.Abs(sum-1) > 1e-12 || soft[largest(p)] > p[largest(p)]+1e-12 {
			t.Fatalf("%v became %v", p, soft)
		}
	})
}

// A trained model states what held-out clips showed, tells the same zones as before, and says so after it was written and read.
func TestATrainedModelIsNotSurerThanItIsRight(t *testing.T) {
	recipe := smallRecipe()
	d, _ := taps(t, 6, recipe)
	r := rand.New(rand.NewPCG(1, 1))
	for i := range d.X.Rows { // one label in five says nothing
		if r.IntN(5) == 0 {
			d.Zone[i] = r.IntN(len(d.Zones))
		}
	}
	plan := DefaultPlan()
	plan.Methods = []Method{{Kind: Discriminant, Shrinkage: LedoitWolf}}
	m, e, err := Train(t.Context(), recipe, d, plan)
	if err != nil {
		t.Fatal(err)
	}
	z := e.Zones
	if m.Temperature != z.Temperature || !(z.Temperature > 1) || !(z.StatedBefore > z.Stated) {
		t.Fatalf("temperature %g and %g, stated %.3f before and %.3f after", m.Temperature, z.Temperature, z.StatedBefore, z.Stated)
	}
	if before, after := z.StatedBefore-z.Grouped.Accuracy.Mean, z.Stated-z.Grouped.Accuracy.Mean; math.Abs(after) > 0.5*before {
		t.Errorf("right %.3f, stated %.3f before and %.3f after", z.Grouped.Accuracy.Mean, z.StatedBefore, z.Stated)
	}
	for i := range d.X.Rows {
		told := m.Tell(d.X.Row(i))
		hard := m.Zone.Probabilities(d.X.Row(i))
		if told.Zone != m.Zones[m.Zone.Tell(d.X.Row(i))] || told.Probability > hard[largest(hard)]+1e-12 {
			t.Fatalf("%+v of %v", told, hard)
		}
	}
}
