package main

import (
	"math"
	"math/rand/v2"

	"holdfast/bench/truths"
	"holdfast/orient"
)

// inventTruth makes the truth of a seed over approaches from above.
func inventTruth(seed uint64, fold int) truths.Truth { return truths.Invent(seed, fold, math.Pi/2) }

// trial is one invented attempt.
type trial struct {
	r    orient.Rotation
	held bool
}

// attempt draws n trials of a truth at orientations spread evenly over approaches with tilt up to 90°.
func attempt(t truths.Truth, n int, seed uint64) []trial {
	rng := rand.New(rand.NewPCG(seed, 0x617474656d7074))
	trials := make([]trial, n)
	for i := range trials {
		r := orient.FromApproach(orient.Approach{
			Tilt: math.Acos(1 - rng.Float64()), Azimuth: 2 * math.Pi * rng.Float64(), Roll: 2 * math.Pi * rng.Float64(),
		})
		trials[i] = trial{r, rng.Float64() < t.At(r)}
	}
	return trials
}

// grid returns directions spread evenly by a golden-angle spiral over tilts up to 90°, each with the headings given.
func grid(directions, headings int) []orient.Rotation {
	rs := make([]orient.Rotation, 0, directions*headings)
	golden := math.Pi * (1 + math.Sqrt(5))
	for i := range directions {
		tilt := math.Acos(1 - (float64(i)+0.5)/float64(directions))
		azimuth := golden * (float64(i) + 0.5)
		for j := range headings {
			rs = append(rs, orient.FromDirectionHeading(tilt, azimuth, 2*math.Pi*float64(j)/float64(headings)))
		}
	}
	return rs
}

// scores compares predictions with the truth over a grid.
type scores struct {
	excess   float64 // expected log loss above the truth's entropy, nats
	rmse     float64 // of the probability
	coverage float64 // share of the grid where the 90 % interval holds the truth
	width    float64 // mean width of the interval
}

func score(t truths.Truth, rs []orient.Rotation, rows []prediction) scores {
	var s scores
	for i, r := range rs {
		p, q := t.At(r), math.Min(math.Max(rows[i].p, 1e-9), 1-1e-9)
		s.excess += p*math.Log(p/q) + (1-p)*math.Log((1-p)/(1-q))
		s.rmse += (p - q) * (p - q)
		if rows[i].low <= p && p <= rows[i].high {
			s.coverage++
		}
		s.width += rows[i].high - rows[i].low
	}
	n := float64(len(rs))
	return scores{s.excess / n, math.Sqrt(s.rmse / n), s.coverage / n, s.width / n}
}
