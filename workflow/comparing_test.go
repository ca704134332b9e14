package workflow

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"holdfast/domain"
	"holdfast/statistics/compare"
)

// made gives trials of a level: held of all of them, in one plot and block, paired by number.
func made(level string, plot, block, held, all int) []unitTrial {
	list := make([]unitTrial, all)
	for i := range list {
		list[i] = unitTrial{level: level, held: i < held, plot: plot, block: block, stratum: stratum{block: block}, pair: pair{cell: i, replicate: block + 1}}
	}
	return list
}

func join(lists ...[]unitTrial) (all []unitTrial) {
	for _, l := range lists {
		all = append(all, l...)
	}
	return all
}

// What a factor's levels share decides what counts as one observation.
func TestUnitFollowsHowTrialsWereRun(t *testing.T) {
	inBlocks := join(made("a", 1, 1, 8, 10), made("b", 1, 1, 5, 10), made("a", 1, 2, 9, 10), made("b", 1, 2, 4, 10))
	perPlot := join(made("a", 1, 1, 8, 10), made("b", 2, 2, 5, 10), made("a", 3, 3, 9, 10), made("b", 4, 4, 4, 10))
	once := join(made("a", 1, 1, 8, 10), made("b", 2, 2, 5, 10))
	free := join(made("a", 0, 0, 8, 10), made("b", 0, 0, 5, 10))
	for _, c := range []struct {
		name    string
		trials  []unitTrial
		asked   Unit
		want    Unit
		units   string
		warning string
	}{
		{"Blocks", inBlocks, UnitAsRun, UnitBlocks, "2 blocks", ""},
		{"WholePlots", perPlot, UnitAsRun, UnitPlots, "2 and 2 whole plots", ""},
		{"SetUpOnce", once, UnitAsRun, UnitTrials, "10 and 10 trials", "set up once only"},
		{"Independent", free, UnitAsRun, UnitTrials, "10 and 10 trials", ""},
		{"BlocksLeftOutByChoice", inBlocks, UnitTrials, UnitTrials, "20 and 20 trials", "left out of account by choice"},
		{"Pairs", inBlocks, UnitPairs, UnitPairs, "20 pairs", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			r, err := comparePair(c.trials, "hand", "a", "b", c.asked)
			if err != nil {
				t.Fatal(err)
			}
			if r.unit != c.want || !strings.Contains(r.units, c.units) || r.why == "" {
				t.Errorf("unit %q (%s), %s", r.unit, r.units, r.why)
			}
			if warnings := strings.Join(r.warnings, " "); !strings.Contains(warnings, c.warning) || c.warning == "" && warnings != "" {
				t.Errorf("warnings %q, want %q", warnings, c.warning)
			}
		})
	}
}

// The trap of split plots: one lucky mounting of each hand, many trials each. Trials as units would be sure, whole plots
// must not be.
func TestManyTrialsOfFewMountingsAreNotMany(t *testing.T) {
	trials := join(made("a", 1, 1, 95, 100), made("b", 2, 2, 60, 100), made("a", 3, 3, 55, 100), made("b", 4, 4, 58, 100))
	plots, err := comparePair(trials, "hand", "a", "b", UnitAsRun)
	if err != nil {
		t.Fatal(err)
	}
	naive, err := comparePair(trials, "hand", "a", "b", UnitTrials)
	if err != nil {
		t.Fatal(err)
	}
	if plots.unit != UnitPlots || plots.Low > 0 || plots.P.TwoSided < 0.3 {
		t.Errorf("by whole plots: %+v", plots.Measured)
	}
	if naive.Low < 0 || naive.P.TwoSided > 0.01 {
		t.Errorf("the trap is not set: by trials %+v", naive.Measured)
	}
}

func TestUnitsThatAreNotThereAreRefused(t *testing.T) {
	free := join(made("a", 0, 0, 8, 10), made("b", 0, 0, 5, 10))
	for i := range free {
		free[i].pair = pair{}
	}
	for _, unit := range []Unit{UnitPairs, UnitPlots} {
		if _, err := comparePair(free, "hand", "a", "b", unit); domain.KindOf(err) != domain.KindRefused && domain.KindOf(err) != domain.KindInvalid {
			t.Errorf("%s: %v", unit, err)
		}
	}
}

// Swapping A and B turns everything round, whatever the unit.
func TestSwappingMirrors(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var trials []unitTrial
		for block := range rapid.IntRange(2, 4).Draw(t, "blocks") {
			for _, level := range []string{"a", "b"} {
				n := rapid.IntRange(1, 8).Draw(t, "n")
				trials = append(trials, made(level, 1, block+1, rapid.IntRange(0, n).Draw(t, "held"), n)...)
			}
		}
		for _, unit := range []Unit{UnitAsRun, UnitPairs} {
			x, err := comparePair(trials, "strategy", "a", "b", unit)
			if err != nil {
				t.Fatal(err)
			}
			y, err := comparePair(trials, "strategy", "b", "a", unit)
			if err != nil {
				t.Fatal(err)
			}
			if math.Abs(x.Difference+y.Difference) > 1e-12 || math.Abs(x.Low+y.High) > 1e-9 || math.Abs(*x.Better+*y.Better-1) > 1e-6 || math.Abs(x.P.Greater-y.P.Less) > 1e-9 {
				t.Fatalf("%s: %+v and %+v", unit, x.Measured, y.Measured)
			}
			if x.Difference < x.Low-1e-12 || x.Difference > x.High+1e-12 {
				t.Fatalf("%s: the interval leaves out its estimate: %+v", unit, x.Measured)
			}
			n, err := x.noWorse(0.1)
			if err != nil || n.Shown != (x.Low > -0.1) || n.ShownEqual && !n.Shown {
				t.Fatalf("%+v, %v", n, err)
			}
		}
	})
}

func TestManyLevelsAreCorrectedForBeingMany(t *testing.T) {
	trials := join(made("a", 0, 0, 30, 40), made("b", 0, 0, 20, 40), made("c", 0, 0, 10, 40))
	rows := levelRows(trials)
	if len(rows) != 3 || rows[0].Name != "a" || rows[2].Name != "c" || rows[1].Held != 20 {
		t.Fatalf("%+v", rows)
	}
	pairs, err := comparePairs(trials, "hand", []string{"a", "b", "c"}, UnitAsRun)
	if err != nil || len(pairs) != 3 {
		t.Fatal(pairs, err)
	}
	raw := make([]float64, 3)
	for i, p := range pairs {
		raw[i] = p.P.TwoSided
		if p.Holm < p.P.TwoSided || p.Holm > 1 {
			t.Errorf("%s against %s: p %g became %g", p.A, p.B, p.P.TwoSided, p.Holm)
		}
	}
	for i, want := range compare.Holm(raw) {
		if pairs[i].Holm != want {
			t.Errorf("pair %d: %g, want %g", i, pairs[i].Holm, want)
		}
	}
}

func TestHeadingsAreAveragedDrawByDraw(t *testing.T) {
	got := overHeadings([][]float64{{0, 1, 0.5, 0.25, 1, 0}}, 3)
	for i, want := range []float64{0.5, 1.25 / 3} {
		if math.Abs(got[0][i]-want) > 1e-15 {
			t.Errorf("pixel %d: %g, want %g", i, got[0][i], want)
		}
	}
}
