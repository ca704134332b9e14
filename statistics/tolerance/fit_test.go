package tolerance

import (
	"math"
	"testing"

	"holdfast/numeric"
	"holdfast/orient"
)

// bench invents trials of two strategies whose success falls with tilt and with the offset, and knows their truth.
type bench struct{ guided, width float64 }

func (b bench) logOdds(p Pose, strategy string) float64 {
	f := -0.5 + 4.5*math.Exp(3*(math.Cos(p.R.Approach().Tilt)-1)) - 2*(p.X*p.X+p.Y*p.Y)/(b.width*b.width)
	if strategy == "guided" {
		f += b.guided
	}
	return f
}

func (b bench) trials(n int, seed uint64, spread float64) []Trial {
	rng := numeric.Stream(seed, "bench of tolerances")
	list := make([]Trial, n)
	for i := range list {
		strategy := []string{"free", "guided"}[rng.IntN(2)]
		t := Trial{Pose: Pose{orient.RandomWithin(math.Pi/2, rng), spread * rng.NormFloat64(), spread * rng.NormFloat64()}, Closing: 0.6, Levels: map[string]string{"strategy": strategy}}
		t.Held = rng.Float64() < expit(b.logOdds(t.Pose, strategy))
		list[i] = t
	}
	return list
}

// What is called sure must be true: on seeded truths, success at the frontier reaches the target, and the frontier is not
// so cautious that it says nothing.
func TestSureErrorsAreTolerated(t *testing.T) {
	b := bench{guided: 0.5, width: 0.008}
	condition := Condition{Closing: 0.6, Levels: map[string]string{"strategy": "guided"}}
	nominal := []orient.Rotation{orient.Identity}
	const target, truths = 0.8, 4
	claimed := 0
	for seed := range uint64(truths) {
		trials := b.trials(900, seed+20, 0.006)
		f, err := Fit(t.Context(), trials, orient.Symmetry{}, 0)
		if err != nil {
			t.Fatal(err)
		}
		var tried []Pose
		for i := range trials {
			if condition.Matches(&trials[i]) {
				tried = append(tried, trials[i].Pose)
			}
		}
		q := Question{Nominal: nominal, Tried: NewTried(tried, orient.Symmetry{}), Target: target, Seed: seed, Draws: 200, Stated: Isotropic(0.002, 0.09)}
		s, err := Measure(t.Context(), f.At(condition), q)
		if err != nil {
			t.Fatal(err)
		}
		truth, err := Measure(t.Context(), sure(func(p Pose) float64 { return b.logOdds(p, "guided") }), s.Question())
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range s.Frontier(5) {
			// A frontier of five points at 95 % each may miss a little; far off it must never be.
			if v := truth.At(p.Position, p.Angle); v.P < target-0.02 {
				t.Errorf("seed %d: %.4f m and %.3f rad are called sure, where success is %.3f", seed, p.Position, p.Angle, v.P)
			}
		}
		if l := s.LargestPosition(0.09); l.Largest > 0.001 {
			claimed++
		}
	}
	if claimed < truths {
		t.Errorf("only %d of %d truths got any tolerance, though all stand 3 mm", claimed, truths)
	}
}

func TestBestLiesAtThePeak(t *testing.T) {
	b := bench{guided: 0.5, width: 0.008}
	f, err := Fit(t.Context(), b.trials(900, 3, 0.004), orient.Symmetry{}, 0)
	if err != nil {
		t.Fatal(err)
	}
	var candidates []orient.Rotation
	rng := numeric.Stream(1, "candidates")
	for range 120 {
		candidates = append(candidates, orient.RandomWithin(math.Pi/2, rng))
	}
	best, err := Best(t.Context(), f.At(Condition{Closing: 0.6, Levels: map[string]string{"strategy": "free"}}), candidates, Isotropic(0.002, 0.1), 1)
	if err != nil {
		t.Fatal(err)
	}
	if tilt := best.Approach().Tilt; tilt > 0.45 {
		t.Errorf("the best of 120 orientations has a tilt of %.2f rad, though success peaks straight down", tilt)
	}
	if _, err := Best(t.Context(), f.At(Condition{}), nil, Errors{}, 1); err == nil {
		t.Error("no candidate, no error")
	}
	if _, err := Fit(t.Context(), nil, orient.Symmetry{}, 0); err == nil {
		t.Error("no trial, no error")
	}
}
