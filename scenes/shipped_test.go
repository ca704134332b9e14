package scenes

import (
	"math"
	"testing"

	"holdfast/mechanics/trialsim"
	"holdfast/orient"
)

// Every shipped scene can be tried from somewhere: leaning towards the wall or along x, back over the edge, or straight down.
func TestShippedScenesCanBeTried(t *testing.T) {
	eachShipped(t, func(name, format string, _ []byte) {
		if format != "scene" {
			return
		}
		s, err := ReadScene(shipped, name)
		if err != nil {
			t.Error(err)
			return
		}
		if _, err := trialsim.NewBench(&s.Scene, 0); err != nil {
			t.Errorf("%s: %v", name, err)
			return
		}
		p := trialsim.NewPlanner(&s.Scene)
		possible := 0
		var why error
		for _, tilt := range []float64{0, 20, 40, 60, 80} {
			for _, azimuth := range []float64{0, 180} {
				for _, roll := range []float64{0, 45, 90} {
					q := orient.FromApproach(orient.Approach{Tilt: radians(tilt), Azimuth: radians(azimuth), Roll: radians(roll)})
					if _, err := p.Plan(q, s.Closing, 0, 0); err != nil {
						why = err
						continue
					}
					possible++
				}
			}
		}
		if possible < 3 {
			t.Errorf("%s: %d of 30 orientations can be tried; the last can not, because %v", name, possible, why)
		}
	})
}

// Straight from above, at the closing command of that scene, all four hands pick the easiest of the goods, lying where it is believed to be. The rigid ones press
// harder than the soft ones.
func TestShippedHandsPickARoll(t *testing.T) {
	peak := map[string]float64{}
	for _, name := range hands {
		h, err := ReadHand(shipped, "hands/"+name+".yaml")
		if err != nil {
			t.Fatal(err)
		}
		s, err := ReadScene(shipped, "roll-on-table.yaml")
		if err != nil {
			t.Fatal(err)
		}
		s.Hand, s.Error = *h, trialsim.PlacementError{}
		b, err := trialsim.NewBench(&s.Scene, 0)
		if err != nil {
			t.Fatal(err)
		}
		q := orient.FromApproach(orient.Approach{Roll: math.Pi / 2})
		for k := range 2 {
			r, err := b.Run(trialsim.Attempt{Orientation: q, Closing: s.Closing, Seed: 7, Number: k}, nil)
			if err != nil {
				t.Fatal(err)
			}
			if r.Outcome != trialsim.Held {
				t.Errorf("%s: %s: %s", name, r.Outcome, r.Reason)
			}
			peak[name] = math.Max(peak[name], r.PeakForce)
		}
	}
	t.Logf("largest contact forces: %v", peak)
	if !(peak["air-four"] < peak["rigid-three"] && peak["air-four"] < peak["jaws-two"]) {
		t.Errorf("largest contact forces %v N: the air fingers press no less than the rigid ones", peak)
	}
}
