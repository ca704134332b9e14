package main

import (
	"fmt"
	"math"
	"strconv"

	"holdfast/bench/truths"
	"holdfast/numeric"
	"holdfast/orient"
	"holdfast/statistics/successmap"
)

// world is an invented bench on which everything that the terms name has an effect. None of the effects is a function
// that either side fits with: bumps on orientations, a threshold in the closing command, a tilted hill in the offset.
type world struct {
	seed     uint64
	common   truths.Truth
	strategy map[string]truths.Truth
	shift    map[string]float64 // of every level of strategy, hand and block, by "factor level"
	closing  [2]float64         // where success rises, and how fast
	hill     [4]float64         // centre, width along and across its axis, in half ranges
	constant float64            // makes success as likely as not
}

// row is one trial, or one that is only asked for.
type row struct {
	r                     orient.Rotation
	closing, x, y         float64
	strategy, hand, block string
	p                     float64 // the truth
	held                  int
}

var strategies = []string{"from above", "scoop", "slide"}

const (
	hands, blocks = 4, 10
	halfRange     = 0.01 // m, of offsets
)

func invent(seed uint64) *world {
	rng := numeric.Stream(seed, "invented bench")
	w := &world{seed: seed, common: truths.Invent(seed, 1, math.Pi/2), strategy: map[string]truths.Truth{}, shift: map[string]float64{}}
	for i, s := range strategies {
		w.strategy[s] = truths.Invent(1000*seed+uint64(i), 1, math.Pi/2)
		w.shift["strategy "+s] = 0.6 * rng.NormFloat64()
	}
	for i := range hands {
		w.shift["hand "+handName(i)] = 0.3 * rng.NormFloat64()
	}
	for i := range blocks {
		w.shift["block "+strconv.Itoa(i+1)] = 0.3 * rng.NormFloat64()
	}
	w.closing = [2]float64{0.3 + 0.4*rng.Float64(), 5 + 7*rng.Float64()}
	w.hill = [4]float64{0.4 * rng.NormFloat64(), 0.4 * rng.NormFloat64(), 0.6 + 0.3*rng.Float64(), 0.4 + 0.3*rng.Float64()}
	rows := w.rows(4000, "balance")
	low, high := -20.0, 20.0
	for range 60 {
		w.constant = (low + high) / 2
		mean := 0.0
		for i := range rows {
			mean += w.chance(&rows[i]) / float64(len(rows))
		}
		if mean < 0.5 {
			low = w.constant
		} else {
			high = w.constant
		}
	}
	return w
}

func handName(i int) string { return fmt.Sprintf("hand %d", i+1) }

func (w *world) chance(t *row) float64 {
	f := w.constant + logit(w.common.At(t.r)) + 0.4*logit(w.strategy[t.strategy].At(t.r))
	f += w.shift["strategy "+t.strategy] + w.shift["hand "+t.hand] + w.shift["block "+t.block]
	f += 1.3 * math.Tanh(w.closing[1]*(t.closing-w.closing[0]))
	u, v := t.x/halfRange-w.hill[0], t.y/halfRange-w.hill[1]
	along, across := (u+v)/w.hill[2], (u-v)/w.hill[3]
	return 1 / (1 + math.Exp(-f-2.5*math.Exp(-(along*along+across*across)/4)))
}

func logit(p float64) float64 { return math.Log(p / (1 - p)) }

// rows draws n rows over everything, with their outcomes.
func (w *world) rows(n int, what string) []row {
	rng := numeric.Stream(w.seed, what)
	rows := make([]row, n)
	for i := range rows {
		t := &rows[i]
		t.r = orient.RandomWithin(math.Pi/2, rng)
		t.closing, t.x, t.y = rng.Float64(), halfRange*(2*rng.Float64()-1), halfRange*(2*rng.Float64()-1)
		t.strategy, t.hand, t.block = strategies[rng.IntN(len(strategies))], handName(rng.IntN(hands)), strconv.Itoa(1+rng.IntN(blocks))
		t.p = w.chance(t)
		if rng.Float64() < t.p {
			t.held = 1
		}
	}
	return rows
}

// scores compares predictions with the truth. Both sides give mean and standard deviation of the log-odds; the chance is
// the expectation of the logistic function under them, for both alike.
type scores struct {
	excess   float64 // expected log loss above the truth's entropy, nats a trial
	coverage float64 // share of rows whose 90 % interval holds the truth
	width    float64 // mean width of the intervals
}

// z95 bounds a central 90 % interval.
const z95 = 1.6448536269514722

func score(rows []row, predicted [][2]float64) (s scores, err error) {
	if len(predicted) != len(rows) {
		return s, fmt.Errorf("%d predictions of %d rows", len(predicted), len(rows))
	}
	n := float64(len(rows))
	for i, t := range rows {
		mean, sd := predicted[i][0], predicted[i][1]
		p := successmap.ExpectedProbability(mean, sd)
		s.excess += (t.p*math.Log(t.p/p) + (1-t.p)*math.Log((1-t.p)/(1-p))) / n
		low, high := 1/(1+math.Exp(z95*sd-mean)), 1/(1+math.Exp(-z95*sd-mean))
		if low <= t.p && t.p <= high {
			s.coverage += 1 / n
		}
		s.width += (high - low) / n
	}
	return s, nil
}
