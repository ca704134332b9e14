package successmap

import (
	"math"
	"math/rand/v2"

	"holdfast/orient"
)

// truth is an invented success probability: a logistic sum of bumps in the angle of rotation, hence smooth on the
// rotations. With fold > 1 every bump is repeated at all rolls under which such a hand looks the same.
type truth struct {
	base  float64
	bumps []bump
	fold  int
}

type bump struct {
	centre         orient.Rotation
	height, narrow float64
}

func inventTruth(seed uint64, fold int) truth {
	rng := rand.New(rand.NewPCG(seed, 0x7275746873))
	t := truth{base: -2.2 - 0.8*rng.Float64(), fold: fold}
	for i := range 7 {
		height := 3 + 2.5*rng.Float64()
		if i%3 == 2 {
			height = -2 - 1.5*rng.Float64()
		}
		t.bumps = append(t.bumps, bump{
			centre: orient.FromApproach(orient.Approach{Tilt: math.Acos(1 - rng.Float64()), Azimuth: 2 * math.Pi * rng.Float64(), Roll: 2 * math.Pi * rng.Float64()}),
			height: height, narrow: math.Exp(math.Log(1.5) + rng.Float64()*math.Log(4)),
		})
	}
	return t
}

func (t truth) logOdds(r orient.Rotation) float64 {
	f := t.base
	for _, b := range t.bumps {
		for k := range t.fold {
			c := math.Cos(r.AngleTo(b.centre.Mul(orient.RotZ(2 * math.Pi * float64(k) / float64(t.fold)))))
			f += b.height * math.Exp(b.narrow*(c-1))
		}
	}
	return f
}

// approaches draws orientations evenly with tilt up to 90°.
func approaches(n int, rng *rand.Rand) []orient.Rotation {
	rs := make([]orient.Rotation, n)
	for i := range rs {
		rs[i] = orient.FromApproach(orient.Approach{Tilt: math.Acos(1 - rng.Float64()), Azimuth: 2 * math.Pi * rng.Float64(), Roll: 2 * math.Pi * rng.Float64()})
	}
	return rs
}

func (t truth) trials(n int, seed uint64) []Observation {
	rng := rand.New(rand.NewPCG(seed, 0x747269616c73))
	obs := make([]Observation, n)
	for i, r := range approaches(n, rng) {
		obs[i] = Observation{R: r, Trials: 1}
		if rng.Float64() < expit(t.logOdds(r)) {
			obs[i].Held = 1
		}
	}
	return obs
}

// score compares a map with the truth on a fresh sample of orientations.
func (t truth) score(m *Map, n int) (excess, coverage float64) {
	rs := approaches(n, rand.New(rand.NewPCG(99, 99)))
	est := make([]Estimate, n)
	m.Predict(est, rs)
	for i, r := range rs {
		f := t.logOdds(r)
		p := expit(f)
		q := est[i].P
		excess += p*math.Log(p/q) + (1-p)*math.Log((1-p)/(1-q))
		if est[i].Low <= p && p <= est[i].High {
			coverage++
		}
	}
	return excess / float64(n), coverage / float64(n)
}
