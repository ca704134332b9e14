// Package truths invents success probabilities over orientations for the programs that measure the bars. A truth is
// known exactly, so an estimate or a choice can be held against it.
package truths

import (
	"math"
	"math/rand/v2"

	"holdfast/orient"
)

// Truth is an invented success probability over orientations: the logistic function of a sum of bumps in the angle of
// rotation, so it is smooth on the rotations, straight down included. With a fold of n each bump is repeated at the n
// rolls at which such a hand looks the same.
type Truth struct {
	base  float64
	bumps []bump
}

type bump struct {
	centre         orient.Rotation
	height, narrow float64
}

// Invent makes the truth of a seed: six to nine bumps between broad (about 50°) and narrow (about 23°), every third a
// dip, centres even over the approaches with tilt up to maxTilt (rad).
func Invent(seed uint64, fold int, maxTilt float64) Truth {
	rng := rand.New(rand.NewPCG(seed, 0x62656e6368))
	t := Truth{base: -3 + rng.Float64()}
	depth := 1 - math.Cos(maxTilt)
	for i := range 6 + rng.IntN(4) {
		b := bump{
			centre: orient.FromApproach(orient.Approach{
				Tilt: math.Acos(1 - depth*rng.Float64()), Azimuth: 2 * math.Pi * rng.Float64(), Roll: 2 * math.Pi * rng.Float64(),
			}),
			height: 3 + 2.5*rng.Float64(),
			narrow: 1.5 * math.Pow(4, rng.Float64()),
		}
		if i%3 == 2 {
			b.height = -2 - 1.5*rng.Float64()
		}
		for k := range fold {
			image := b
			image.centre = b.centre.Mul(orient.RotZ(2 * math.Pi * float64(k) / float64(fold)))
			t.bumps = append(t.bumps, image)
		}
	}
	return t
}

// At returns the probability of success at r.
func (t Truth) At(r orient.Rotation) float64 {
	f := t.base
	for _, b := range t.bumps {
		// The cosine of the angle between two rotations is 2⟨q, q′⟩² − 1.
		q := r.W*b.centre.W + r.X*b.centre.X + r.Y*b.centre.Y + r.Z*b.centre.Z
		f += b.height * math.Exp(b.narrow*(2*q*q-2))
	}
	return 1 / (1 + math.Exp(-f))
}
