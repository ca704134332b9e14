package guide_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"holdfast/numeric"
	"holdfast/statistics/guide"
)

// made are examples from a known truth: finger 0 asks for +x, finger 1 for −x by twice as much, later touches for less; y is
// noise alone.
func made(r *rand.Rand, n int, noise float64) (list []guide.Example) {
	for range n {
		e := guide.Example{Finger: r.IntN(2), Link: r.IntN(3), Command: r.Float64()}
		e.Move = guide.Move{truth(e), 0, 0, 0}
		for k := range 2 {
			e.Move[k] += noise * r.NormFloat64()
		}
		list = append(list, e)
	}
	return list
}

func truth(e guide.Example) float64 {
	x := 0.01 * (1.2 - 0.8*e.Command)
	if e.Finger == 1 {
		x *= -2
	}
	return x + 0.001*float64(e.Link)
}

func TestRuleFindsWhatIsThere(t *testing.T) {
	r := numeric.Stream(1, "guide test")
	rule, err := guide.Learn(made(r, 3000, 0.004), 1)
	if err != nil {
		t.Fatal(err)
	}
	for finger := range 2 {
		for link := range 3 {
			for _, command := range []float64{0.1, 0.5, 0.9} {
				m, ok := rule.For(finger, link, command)
				want := truth(guide.Example{Finger: finger, Link: link, Command: command})
				if !ok || math.Abs(m[guide.MoveX]-want) > 0.0008 || math.Abs(m[guide.MoveY]) > 0.0004 {
					t.Errorf("finger %d, link %d at %g: %v, want %g along x", finger, link, command, m, want)
				}
			}
		}
	}
	// What is left is the noise: √2 · 4 mm.
	if math.Abs(rule.After-0.004*math.Sqrt2) > 2e-4 || rule.Explained < 0.5 {
		t.Errorf("after %g m, explained %g", rule.After, rule.Explained)
	}
	// Nothing is foreseen from beyond what was seen.
	end, _ := rule.For(0, 0, 1)
	if m, _ := rule.For(0, 0, 30); m != end {
		t.Errorf("at a command of 30: %v, at 1 %v", m, end)
	}
	if _, ok := rule.For(7, 0, 0.5); ok {
		t.Error("a finger that was never touched has an entry")
	}
	// A link that was never touched first gets its finger's move.
	if m, ok := rule.For(0, 9, 0.5); !ok || m[guide.MoveX] < 0.005 {
		t.Errorf("unseen link: %v %v", m, ok)
	}
}

// On the average over many small sets, drawing means in leaves less error in what comes later than the means themselves do;
// and where there is nothing to learn, the rule says next to nothing.
func TestDrawnInBeatsPlainMeans(t *testing.T) {
	r := numeric.Stream(2, "guide test")
	drawn, plain, idle := 0.0, 0.0, 0.0
	for range 200 {
		var list []guide.Example
		shift := map[[2]int]float64{}
		for finger := range 4 {
			for link := range 3 {
				shift[[2]int{finger, link}] = 0.002 * r.NormFloat64()
			}
		}
		sums, counts := map[[2]int]float64{}, map[[2]int]float64{}
		for range 90 {
			e := guide.Example{Finger: r.IntN(4), Link: r.IntN(3), Command: 0.5}
			k := [2]int{e.Finger, e.Link}
			e.Move[guide.MoveX], e.Move[guide.MoveY] = shift[k]+0.008*r.NormFloat64(), 0.008*r.NormFloat64()
			sums[k] += e.Move[guide.MoveX]
			counts[k]++
			list = append(list, e)
		}
		rule, err := guide.Learn(list, 1)
		if err != nil {
			t.Fatal(err)
		}
		for k, want := range shift {
			if counts[k] < 5 {
				continue
			}
			m, _ := rule.For(k[0], k[1], 0.5)
			drawn += (m[guide.MoveX] - want) * (m[guide.MoveX] - want)
			plain += (sums[k]/counts[k] - want) * (sums[k]/counts[k] - want)
			idle += m[guide.MoveY] * m[guide.MoveY] / (0.008 * 0.008 / counts[k])
		}
	}
	if !(drawn < 0.7*plain) {
		t.Errorf("squared errors %g drawn in, %g plain", drawn, plain)
	}
	if mean := idle / 2400; mean > 0.15 {
		t.Errorf("where there is nothing to learn the moves have %g of the variance of plain means", mean)
	}
}

func TestOrderChangesNothingAndSeedOnlyTheFolds(t *testing.T) {
	r := numeric.Stream(3, "guide test")
	list := made(r, 200, 0.004)
	a, err := guide.Learn(list, 1)
	if err != nil {
		t.Fatal(err)
	}
	b, err := guide.Learn(list, 2)
	if err != nil {
		t.Fatal(err)
	}
	for i := range a.Advice {
		if a.Advice[i] != b.Advice[i] {
			t.Errorf("entry %d: %+v and %+v", i, a.Advice[i], b.Advice[i])
		}
	}
	if a.After == b.After {
		t.Error("other folds give the very same error")
	}
}

func TestTooLittleIsRefused(t *testing.T) {
	for _, list := range [][]guide.Example{nil, make([]guide.Example, 19), append(make([]guide.Example, 30), guide.Example{Command: math.NaN()}), append(make([]guide.Example, 30), guide.Example{Finger: -2})} {
		if _, err := guide.Learn(list, 1); err == nil {
			t.Errorf("%d examples gave a rule", len(list))
		}
	}
}
