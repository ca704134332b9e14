package main

import (
	"math"
	"math/rand/v2"

	"holdfast/bench/truths"
	"holdfast/orient"
	"holdfast/statistics/decide"
	"holdfast/statistics/successmap"
)

// scene is a truth with what choices in it are worth.
type scene struct {
	truth truths.Truth
	value []float64 // candidate: true success on the line of the region centred there, the mean over its core
	best  float64   // the best of these: a choice can do no better
}

// blurTurns is the size of the sample that averages over the line's error. The same turns serve every orientation.
const blurTurns = 800

func newScene(t truths.Truth, candidates orient.Covering) *scene {
	rng := rand.New(rand.NewPCG(7, 7))
	turns := make([]orient.Rotation, blurTurns)
	for i := range turns {
		// A small turn with independent normal components; its mean square is three times theirs.
		sd := blur / math.Sqrt(3)
		v := orient.Vec3{rng.NormFloat64() * sd, rng.NormFloat64() * sd, rng.NormFloat64() * sd}
		turns[i] = orient.AboutAxis(v, v.Norm())
	}
	points := candidates.Points
	blurred := make([]float64, len(points))
	for i, r := range points {
		for _, turn := range turns {
			blurred[i] += t.At(r.Mul(turn)) / blurTurns
		}
	}
	over := func(members []int) float64 {
		sum := 0.0
		for _, i := range members {
			sum += blurred[i]
		}
		return sum / float64(len(members))
	}
	options := decide.Options{Spacing: candidates.CoveringRadius, MinRadius: radius}
	s := &scene{truth: t}
	for _, core := range decide.Cores(len(points), func(i, j int) float64 { return points[i].AngleTo(points[j]) }, options) {
		s.value = append(s.value, over(core))
		s.best = math.Max(s.best, s.value[len(s.value)-1])
	}
	return s
}

// newTrials starts a record whose outcomes the seed decides.
func newTrials(t truths.Truth, seed uint64) *trialLog {
	rng := rand.New(rand.NewPCG(seed, 0x6164617074))
	return &trialLog{truth: t, next: rng.Float64, at: map[orient.Rotation]int{}, obs: []successmap.Observation{}}
}
