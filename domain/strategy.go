package domain

// StrategyKind names a motion program.
type StrategyKind string

// The strategies: free touches nothing but the item; the others use the surroundings.
const (
	StrategyFree    StrategyKind = "free"
	StrategySurface StrategyKind = "surface-guided"
	StrategyWall    StrategyKind = "wall-guided"
	StrategyEdge    StrategyKind = "edge-pull"
	StrategyScoop   StrategyKind = "scoop"
)

// Step is one phase of a strategy: what moves, and the condition that ends it.
type Step struct {
	Do    string `json:"do"`    // what the robot or the person does
	Until string `json:"until"` // the condition that ends the step: position, force, contact or time
}

// Strategy is a motion program with its steps in order.
type Strategy struct {
	Kind  StrategyKind `json:"kind"`
	Steps []Step       `json:"steps"`
}

// StrategyKinds lists the strategies in the order in which pages show them.
var StrategyKinds = []StrategyKind{StrategyFree, StrategySurface, StrategyWall, StrategyEdge, StrategyScoop}

// DefaultStrategy returns the steps that a kind starts with; a study may reword them. An unknown kind has no steps.
func DefaultStrategy(kind StrategyKind) Strategy {
	lift := []Step{
		{"lift straight up", "80 mm above the support"},
		{"hold still", "2 s have passed"},
	}
	steps := map[StrategyKind][]Step{
		StrategyFree: {
			{"move the open hand along the approach direction", "the palm is at grasp depth over the item, nothing touched"},
			{"close to the closing command", "the command is reached or 1 s has passed"},
		},
		StrategySurface: {
			{"move the open hand along the approach direction", "the finger tips touch the support lightly"},
			{"press the tips onto the support", "the stated contact force is reached"},
			{"close while the tips slide along the support", "the command is reached or 1 s has passed"},
		},
		StrategyWall: {
			{"move the open hand beside the item, on the side away from the wall", "the tips touch the support lightly"},
			{"push the item to the wall", "the push force rises: the item rests on the wall"},
			{"close against wall and support", "the command is reached or 1 s has passed"},
		},
		StrategyEdge: {
			{"lower the hand onto the item", "light contact from above"},
			{"pull the item towards the edge", "a third of it stands out over the edge"},
			{"turn under the edge and close around the part that stands out", "the command is reached or 1 s has passed"},
		},
		StrategyScoop: {
			{"bring one finger flat to the support in front of the item", "the finger touches the support"},
			{"slide the finger under the item while the others hold it back", "the item rests on the finger"},
			{"close the others over it", "the command is reached or 1 s has passed"},
		},
	}[kind]
	if steps == nil {
		return Strategy{Kind: kind}
	}
	return Strategy{Kind: kind, Steps: append(steps, lift...)}
}

func (s Strategy) check(c *checks, field string) {
	if DefaultStrategy(s.Kind).Steps == nil {
		c.fail(field+".kind", s.Kind, "must be free, surface-guided, wall-guided, edge-pull or scoop")
	}
	if len(s.Steps) > 20 {
		c.fail(field+".steps", len(s.Steps), "must have at most 20 steps")
	}
}
