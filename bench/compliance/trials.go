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
	seed   = 20
	step   = 2e-3 // s
	degree = math.Pi / 180
)

// positionErrors are standard deviations (mm) along x and along y.
var positionErrors = []float64{0, 4, 8, 12}

var items = []string{"roll", "croissant", "eclair", "cream-puff", "egg"}

var hands = []struct {
	name  string
	gives bool
}{{"jaws-two", false}, {"rigid-three", false}, {"tendon-five", true}, {"air-four", true}}

// strategy is what is tried where, from which directions.
type strategy struct {
	name, setting string
	directed      bool
	least, most   float64 // tilt, degrees
	azimuth       float64 // degrees, give or take 15, of directed ones
}

var strategies = []strategy{
	{name: "free", setting: "table", most: 20},
	{name: "surface-guided", setting: "table", most: 20},
	{name: "wall-guided", setting: "wall", directed: true, least: 25, most: 60},
	{name: "scoop", setting: "table", directed: true, least: 25, most: 60},
	{name: "edge-pull", setting: "edge", directed: true, least: 70, most: 90, azimuth: 180},
}

func (s *strategy) errors() []float64 {
	if s.directed {
		return []float64{0, 8}
	}
	return positionErrors
}

func (s *strategy) told() string {
	switch {
	case !s.directed:
		return "leaning up to 20° any way, fingers across the item; held, with 90 % intervals, by standard deviation of position"
	case s.azimuth == 180:
		return "70 to 90° back from beyond the edge"
	}
	return "leaning 25 to 60° towards +x, where the item is pushed"
}

// orientation is the n-th of a strategy, the same for all hands and items. Fingers close across the item's shorter side, give
// or take 20°; directed ones stand along their way, a lone finger on top.
func (s *strategy) orientation(n int) orient.Rotation {
	r := numeric.Stream(seed, "direction of "+s.name, n)
	low, high := math.Cos(s.most*degree), math.Cos(s.least*degree)
	tilt := math.Acos(low + (high-low)*r.Float64())
	azimuth, heading := 2*math.Pi*r.Float64(), 90*degree
	if s.directed {
		azimuth, heading = s.azimuth*degree+15*degree*(2*r.Float64()-1), (s.azimuth+180)*degree
	}
	return orient.FromDirectionHeading(tilt, azimuth, heading+20*degree*(2*r.Float64()-1))
}

// hold tells which of n trials are held.
func hold(ctx context.Context, item, hand string, s strategy, mm float64, n, workers int) ([]bool, error) {
	files := os.DirFS("examples/scenes")
	scene := &trialsim.Scene{Gravity: 9.81, Closing: 1, Error: trialsim.PlacementError{X: mm / 1e3, Y: mm / 1e3}}
	h, err := scenes.ReadHand(files, "hands/"+hand+".yaml")
	if err != nil {
		return nil, err
	}
	it, err := scenes.ReadItem(files, "items/"+item+".yaml")
	if err != nil {
		return nil, err
	}
	setting, err := scenes.ReadSetting(files, "settings/"+s.setting+".yaml")
	if err != nil {
		return nil, err
	}
	way, err := scenes.ReadStrategy(files, "strategies/"+s.name+".yaml")
	if err != nil {
		return nil, err
	}
	scene.Hand, scene.Item, scene.Setting, scene.Strategy = *h, *it, *setting, *way
	var phases []trialsim.Phase
	for _, p := range way.Phases {
		switch p.Do {
		case trialsim.Hold:
			p.Seconds = 0.3
		case trialsim.Shake:
			continue
		}
		phases = append(phases, p)
	}
	scene.Strategy.Phases = phases
	var held []bool
	b := trialsim.Batch{Scene: scene, Step: step, Workers: workers, Count: n, Attempt: func(k int) trialsim.Attempt {
		return trialsim.Attempt{Orientation: s.orientation(k), Closing: 1, Seed: seed, Number: k}
	}}
	err = b.Run(ctx, func(d *trialsim.Done) error {
		held = append(held, d.Result.Outcome == trialsim.Held)
		return nil
	})
	return held, err
}
