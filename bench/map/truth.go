package main

import (
	"math"
	"math/rand/v2"

	"holdfast/orient"
)

// truth is an invented success probability over orientations: the logistic function of a sum of bumps in the angle of
// rotation, so it is smooth on the rotations, straight down included. With a fold of n each bump is repeated at the n
// rolls at which such a hand looks the same.
type truth struct {
	base  float64
	bumps []bump
	fold  int
}

type bump struct {
	centre         orient.Rotation
	height, narrow float64
}

// inventTruth makes the truth of a seed: six to nine bumps between broad (about 50°) and narrow (about 23°), every
// third a dip, centres evenly over approaches from above.
func inventTruth(seed uint64, fold int) truth {
	rng := rand.New(rand.NewPCG(seed, 0x62656e6368))
	t := truth{base: -3 + rng.Float64(), fold: fold}
	for i := range 6 + rng.IntN(4) {
		b := bump{
			centre: orient.FromApproach(orient.Approach{
				Tilt: math.Acos(1 - rng.Float64()), Azimuth: 2 * math.Pi * rng.Float64(), Roll: 2 * math.Pi * rng.Float64(),
			}),
			height: 3 + 2.5*rng.Float64(),
			narrow: 1.5 * math.Pow(4, rng.Float64()),
		}
		if i%3 == 2 {
			b.height = -2 - 1.5*rng.Float64()
		}
		t.bumps = append(t.bumps, b)
	}
	return t
}

// at returns the probability of success at r.
func (t truth) at(r orient.Rotation) float64 {
	f := t.base
	for _, b := range t.bumps {
		for k := range t.fold {
			image := b.centre.Mul(orient.RotZ(2 * math.Pi * float64(k) / float64(t.fold)))
			f += b.height * math.Exp(b.narrow*(math.Cos(r.AngleTo(image))-1))
		}
	}
	return 1 / (1 + math.Exp(-f))
}

// trial is one invented attempt.
type trial struct {
	r    orient.Rotation
	held bool
}

// attempt draws n trials at orientations spread evenly over approaches with tilt up to 90°.
func (t truth) attempt(n int, seed uint64) []trial {
	rng := rand.New(rand.NewPCG(seed, 0x617474656d7074))
	trials := make([]trial, n)
	for i := range trials {
		r := orient.FromApproach(orient.Approach{
			Tilt: math.Acos(1 - rng.Float64()), Azimuth: 2 * math.Pi * rng.Float64(), Roll: 2 * math.Pi * rng.Float64(),
		})
		trials[i] = trial{r, rng.Float64() < t.at(r)}
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

func (t truth) score(rs []orient.Rotation, rows []prediction) scores {
	var s scores
	for i, r := range rs {
		p, q := t.at(r), math.Min(math.Max(rows[i].p, 1e-9), 1-1e-9)
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
