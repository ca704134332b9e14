package workflow

import (
	"math"
	"strings"
	"testing"

	"holdfast/domain"
	"holdfast/statistics/additive"
)

// What is kept out of maps is kept out of the model, blocks that are not numbered are not given, and a condition narrows.
func TestVariedTrials(t *testing.T) {
	trial := func(outcome domain.Outcome, strategy string, block int, reference bool) domain.CountedTrial {
		return domain.CountedTrial{Trial: domain.Trial{Hand: "h", Item: "i", Setting: "s", Strategy: domain.StrategyKind(strategy), Block: block, Reference: reference, Outcome: outcome}, Counted: outcome}
	}
	trials := []domain.CountedTrial{
		trial(domain.OutcomeHeld, "free", 1, false), trial(domain.OutcomeVoid, "free", 1, false), trial(domain.OutcomeHeld, "free", 1, true),
		trial("dropped", "pinch", 0, false), trial("slipped", "free", 2, false),
	}
	d, conditions := varied(trials, domain.Condition{})
	if len(d.Held) != 3 || len(conditions) != 2 {
		t.Errorf("%d trials of %d conditions", len(d.Held), len(conditions))
	}
	if got := strings.Join(d.Levels[additive.Block], ","); got != "1,,2" {
		t.Errorf("blocks %s", got)
	}
	if d, _ := varied(trials, domain.Condition{Strategy: "pinch"}); len(d.Held) != 1 {
		t.Errorf("%d trials of one strategy", len(d.Held))
	}
}

// Conditions that look the same from other sides share what both have, said in a sentence; items that differ offer their size
// and mass.
func TestFactorsOfDifferentThings(t *testing.T) {
	roll := domain.Item{ID: "roll", Size: [3]float64{0.09, 0.09, 0.06}, Mass: 0.06, Turning: domain.Turning{Axial: true, Mirror: true}}
	eclair := domain.Item{ID: "eclair", Size: [3]float64{0.13, 0.04, 0.04}, Mass: 0.07, Turning: domain.Turning{Fold: 2, Mirror: true}}
	table := domain.Setting{ID: "table", Turning: domain.Turning{Axial: true, Mirror: true}}
	all := things{
		map[domain.ID]domain.Hand{"two": {ID: "two", RollFold: 2, Mirror: true}, "four": {ID: "four", RollFold: 4, Mirror: true}},
		map[domain.ID]domain.Item{"roll": roll, "eclair": eclair}, map[domain.ID]domain.Setting{"table": table},
	}
	one := domain.Condition{Hand: "four", Item: "roll", Setting: "table"}
	other := domain.Condition{Hand: "two", Item: "eclair", Setting: "table"}
	for _, c := range []struct {
		conditions []domain.Condition
		want       string
		differ     bool
	}{
		{[]domain.Condition{one, one}, "hand 4-fold with mirror plane, surroundings axial+mirror", false},
		{[]domain.Condition{one, other}, "hand 2-fold with mirror plane, surroundings 2+mirror", true},
		{[]domain.Condition{other, one, other}, "hand 2-fold with mirror plane, surroundings 2+mirror", true},
	} {
		sym, differ, err := all.symmetryOfAll(c.conditions)
		if err != nil || sym.String() != c.want || differ != c.differ {
			t.Errorf("%v: %v, differ %t, %v", c.conditions, sym, differ, err)
		}
	}
	if !all.itemsDiffer() {
		t.Error("a roll and an éclair count as alike")
	}
	twin := roll
	twin.ID = "twin"
	if (things{items: map[domain.ID]domain.Item{"roll": roll, "twin": twin}}).itemsDiffer() {
		t.Error("two items of one size and mass offer what can not be told")
	}
	d := &additive.Data{Numbers: map[string][]float64{}, Levels: map[string][]string{additive.Item: {"eclair", "roll"}}}
	addFeatures(d, all.items)
	if size := math.Exp(d.Numbers[additive.ItemSize][0]); math.Abs(size-math.Cbrt(0.13*0.04*0.04)) > 1e-15 {
		t.Errorf("an éclair of %.6f m", size)
	}
	if mass := math.Exp(d.Numbers[additive.ItemMass][1]); math.Abs(mass-0.06) > 1e-15 {
		t.Errorf("a roll of %.6f kg", mass)
	}
}
