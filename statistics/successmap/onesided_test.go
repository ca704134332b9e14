package successmap

import (
	"context"
	"testing"

	"holdfast/numeric"
	"holdfast/orient"
)

// Fifty trials within 25° of straight down that all held (or all failed) must not promise anything at a tilt of 80°.
func TestOneOutcomeStaysUnsureWhereNothingWasTried(t *testing.T) {
	rng := numeric.Stream(5, "one outcome")
	for _, held := range []float64{0, 1} {
		var obs []Observation
		for range 50 {
			obs = append(obs, Observation{R: orient.RandomWithin(0.44, rng), Held: held, Trials: 1})
		}
		for _, sym := range []orient.Symmetry{{}, {HandFold: 3}} {
			m, err := Fit(context.Background(), obs, Options{Symmetry: sym})
			if err != nil {
				t.Fatal(err)
			}
			far := mustPredict(m, []orient.Rotation{orient.FromApproach(orient.Approach{Tilt: 1.4, Azimuth: 2, Roll: 1})})[0]
			near := mustPredict(m, []orient.Rotation{orient.Identity})[0]
			if far.High-far.Low < 0.3 {
				t.Errorf("held %g, fold %d: far away %.2f to %.2f", held, sym.HandFold, far.Low, far.High)
			}
			if near.High-near.Low > far.High-far.Low || (near.P > 0.7) != (held == 1) {
				t.Errorf("held %g, fold %d: near %+v, far %+v", held, sym.HandFold, near, far)
			}
			if len(m.Summary().Warnings) == 0 {
				t.Error("no sentence says that all trials ended alike")
			}
		}
	}
}
