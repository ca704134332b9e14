package main

import (
	"math"
	"math/rand/v2"

	"holdfast/bench/truths"
	"holdfast/orient"
	"holdfast/statistics/successmap"
)

// scene is a truth with what choices in it are worth.
type scene struct {
	truth truths.Truth
	value []float64 // candidate: true success on the line, averaged over the region around it
	best  float64   // the same for the best of candidates and a fine covering
}

// turnsPerRegion is the size of the sample that averages over a region and the line's error. The same turns serve every
// centre, so differences between centres err much less than either.
const turnsPerRegion = 1500

func newScene(t truths.Truth, candidates, fine []orient.Rotation) *scene {
	rng := rand.New(rand.NewPCG(7, 7))
	turns := make([]orient.Rotation, turnsPerRegion)
	for i := range turns {
		// Even over the ball of rotations: the density of the angle is ∝ sin²(ω/2).
		angle := 0.0
		for {
			angle = radius * math.Cbrt(rng.Float64())
			if s := math.Sin(angle/2) / (angle / 2); rng.Float64() < s*s {
				break
			}
		}
		sd := blur / math.Sqrt(3)
		v := orient.Vec3{rng.NormFloat64() * sd, rng.NormFloat64() * sd, rng.NormFloat64() * sd}
		turns[i] = orient.RandomTurn(angle, rng).Mul(orient.AboutAxis(v, v.Norm()))
	}
	s := &scene{truth: t}
	over := func(centre orient.Rotation) float64 {
		sum, n := 0.0, 0
		for _, turn := range turns {
			r := centre.Mul(turn)
			// Tilt beyond the limit is not tried and belongs to no region; 1 − cos(tilt) = 2(x² + y²).
			if 2*(r.X*r.X+r.Y*r.Y) > 1-math.Cos(tiltMax)+1e-9 {
				continue
			}
			sum += t.At(r)
			n++
		}
		return sum / float64(n)
	}
	for _, c := range candidates {
		s.value = append(s.value, over(c))
		s.best = math.Max(s.best, s.value[len(s.value)-1])
	}
	for _, c := range fine {
		s.best = math.Max(s.best, over(c))
	}
	return s
}

// newTrials starts a record whose outcomes the seed decides.
func newTrials(t truths.Truth, seed uint64) *trialLog {
	rng := rand.New(rand.NewPCG(seed, 0x6164617074))
	return &trialLog{truth: t, next: rng.Float64, at: map[orient.Rotation]int{}, obs: []successmap.Observation{}}
}
