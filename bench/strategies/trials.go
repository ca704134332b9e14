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

const seed = 21

// positionErrors are standard deviations (mm) along x and along y.
var positionErrors = []float64{0, 10, 20}

var items = []string{"biscuit", "eclair", "roll", "croissant", "cream-puff", "egg"}

var hands = []string{"jaws-two", "rigid-three", "tendon-five", "air-four"}

// way is a strategy with where it is tried and from which directions: tilts within bounds, azimuths give or take a spread. The
// heading is that of the opening against the azimuth, degrees, with what a hand needs for itself; give or take 10.
type way struct {
	strategy, setting string
	least, most       float64
	azimuth, around   float64
	heading           float64
	own               map[string]float64
}

// Fingers close across the item's shorter side or along the wall; scooping and over the edge, two of four air fingers stand
// below, and one finger on top of the others that have an odd one. So would whoever sets the hand up.
var ways = []way{
	{strategy: "free", setting: "table", most: 20, around: 180, heading: 90},
	{strategy: "surface-guided", setting: "table", most: 20, around: 180, heading: 90},
	{strategy: "wall-guided", setting: "wall", most: 20, around: 180, heading: 90, own: map[string]float64{"air-four": 45}},
	{strategy: "scoop", setting: "wall", least: 50, most: 75, around: 15, heading: 180, own: map[string]float64{"rigid-three": 0, "air-four": 225}},
	{strategy: "edge-pull", setting: "edge", least: 70, most: 90, azimuth: 180, around: 15, heading: 180, own: map[string]float64{"air-four": 45}},
}

// orientation is the n-th of a way. Directed headings are told against the azimuth, others against the item.
func (w *way) orientation(hand string, n int) orient.Rotation {
	r := numeric.Stream(seed, "direction of "+w.strategy, n)
	low, high := math.Cos(w.most*picks.Degree), math.Cos(w.least*picks.Degree)
	tilt := math.Acos(low + (high-low)*r.Float64())
	azimuth := w.azimuth + w.around*(2*r.Float64()-1)
	heading := w.heading
	if own, ok := w.own[hand]; ok {
		heading = own
	}
	if w.around < 180 {
		heading += w.azimuth
	}
	return orient.FromDirectionHeading(tilt, azimuth*picks.Degree, (heading+10*(2*r.Float64()-1))*picks.Degree)
}

func try(ctx context.Context, item, hand string, w *way, mm float64, n, workers int) (*picks.Tried, error) {
	s, err := picks.Scene(domain.Condition{Hand: domain.ID(hand), Item: domain.ID(item), Setting: domain.ID(w.setting), Strategy: domain.StrategyKind(w.strategy)}, mm)
	if err != nil {
		return nil, err
	}
	return picks.Try(ctx, s, n, workers, func(k int) trialsim.Attempt {
		return trialsim.Attempt{Orientation: w.orientation(hand, k), Closing: 1, Seed: seed, Number: k}
	})
}
