package workflow

import (
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
