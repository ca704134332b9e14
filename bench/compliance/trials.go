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
	low := math.Cos(s.most * degree)
	tilt := math.Acos(low + (1-low)*r.Float64())
	azimuth, heading := 2*math.Pi*r.Float64(), 90*degree
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
	setting, err := scenes.ReadSetting(files, "settings/table.yaml")
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
