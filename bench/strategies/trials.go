package main

import (
	"context"
	"math"
	"os"

	"holdfast/mechanics/trialsim"
	"holdfast/numeric"
	"holdfast/orient"
	"holdfast/scenes"
)

const (
	seed   = 21
	step   = 2e-3 // s
	degree = math.Pi / 180
)

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
	low, high := math.Cos(w.most*degree), math.Cos(w.least*degree)
	tilt := math.Acos(low + (high-low)*r.Float64())
	azimuth := w.azimuth + w.around*(2*r.Float64()-1)
	heading := w.heading
	if own, ok := w.own[hand]; ok {
		heading = own
	}
	if w.around < 180 {
		heading += w.azimuth
	}
	return orient.FromDirectionHeading(tilt, azimuth*degree, (heading+10*(2*r.Float64()-1))*degree)
}

// scene puts a scene together; the hold is shortened to 0.3 s and nothing is shaken.
func scene(item, hand string, w *way, mm float64) (*trialsim.Scene, error) {
	files := os.DirFS("examples/scenes")
	h, err := scenes.ReadHand(files, "hands/"+hand+".yaml")
	if err != nil {
		return nil, err
	}
	it, err := scenes.ReadItem(files, "items/"+item+".yaml")
	if err != nil {
		return nil, err
	}
	setting, err := scenes.ReadSetting(files, "settings/"+w.setting+".yaml")
	if err != nil {
		return nil, err
	}
	strategy, err := scenes.ReadStrategy(files, "strategies/"+w.strategy+".yaml")
	if err != nil {
		return nil, err
	}
	var phases []trialsim.Phase
	for _, p := range strategy.Phases {
		switch p.Do {
		case trialsim.Hold:
			p.Seconds = 0.3
		case trialsim.Shake:
			continue
		}
		phases = append(phases, p)
	}
	strategy.Phases = phases
	return &trialsim.Scene{Hand: *h, Item: *it, Setting: *setting, Strategy: *strategy, Gravity: 9.81, Closing: 1,
		Error: trialsim.PlacementError{X: mm / 1e3, Y: mm / 1e3}}, nil
}

// tried is what came of the trials of a cell, in their order.
type tried struct {
	held []bool
	void int // of those not held: the planner saw no way
}

func try(ctx context.Context, item, hand string, w *way, mm float64, n, workers int) (t tried, err error) {
	s, err := scene(item, hand, w, mm)
	if err != nil {
		return t, err
	}
	b := trialsim.Batch{Scene: s, Step: step, Workers: workers, Count: n, Attempt: func(k int) trialsim.Attempt {
		return trialsim.Attempt{Orientation: w.orientation(hand, k), Closing: 1, Seed: seed, Number: k}
	}}
	err = b.Run(ctx, func(d *trialsim.Done) error {
		t.held = append(t.held, d.Result.Outcome == trialsim.Held)
		if d.Result.Outcome == trialsim.Void {
			t.void++
		}
		return nil
	})
	return t, err
}
