package main

import (
	"context"
	"math"

	"holdfast/bench/picks"
	"holdfast/domain"
	"holdfast/mechanics/trialsim"
	"holdfast/numeric"
	"holdfast/orient"
)

const seed = 20

// positionErrors are standard deviations (mm) along x and along y.
var positionErrors = []float64{0, 4, 8, 12}

var items = []string{"roll", "croissant", "eclair", "cream-puff", "egg"}

var hands = []struct {
	name  string
	gives bool
}{{"jaws-two", false}, {"rigid-three", false}, {"tendon-five", true}, {"air-four", true}}

// strategy is what is tried from tilts up to a bound, in every azimuth, on the table.
type strategy struct {
	name string
	most float64 // degrees
}

var strategies = []strategy{{"free", 20}, {"surface-guided", 20}}

const told = "leaning up to 20° any way, fingers across the item; held, with 90 % intervals, by standard deviation of position"

// orientation is the n-th of a strategy, the same for all hands and items. Fingers close across the item's shorter side, give
// or take 20°.
func (s *strategy) orientation(n int) orient.Rotation {
	r := numeric.Stream(seed, "direction of "+s.name, n)
	low := math.Cos(s.most * picks.Degree)
	tilt := math.Acos(low + (1-low)*r.Float64())
	azimuth, heading := 2*math.Pi*r.Float64(), 90*picks.Degree
	return orient.FromDirectionHeading(tilt, azimuth, heading+20*picks.Degree*(2*r.Float64()-1))
}

// try makes n trials of a hand on an item by a strategy.
func try(ctx context.Context, item, hand string, s strategy, mm float64, n, workers int) (*picks.Tried, error) {
	scene, err := picks.Scene(domain.Condition{Hand: domain.ID(hand), Item: domain.ID(item), Setting: "table", Strategy: domain.StrategyKind(s.name)}, mm)
	if err != nil {
		return nil, err
	}
	return picks.Try(ctx, scene, n, workers, func(k int) trialsim.Attempt {
		return trialsim.Attempt{Orientation: s.orientation(k), Closing: 1, Seed: seed, Number: k}
	})
}
