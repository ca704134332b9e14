package handset

import (
	"fmt"
	"math"

	"holdfast/numeric"
)

// Invented makes up a catalogue from a seed, for tests and measurements: hands that suit items of some size and softness,
// most pairs tested, money in the range of a packing line.
func Invented(items, hands int, seed uint64) Question {
	r := numeric.Stream(seed, "an invented catalogue", items, hands)
	q := Question{Confidence: 0.9, MaxHands: hands}
	type place struct{ size, soft float64 }
	suits := make([]place, hands)
	for h := range hands {
		suits[h] = place{r.Float64(), r.Float64()}
		q.Hands = append(q.Hands, Hand{Name: fmt.Sprintf("hand %d", h+1), Cost: 2 + 8*r.Float64(), Change: 1 + 3*r.Float64()})
	}
	for i := range items {
		is := place{r.Float64(), r.Float64()}
		q.Items = append(q.Items, Item{Name: fmt.Sprintf("item %d", i+1), Target: 0.8 + 0.15*r.Float64(), Person: 1 + r.Float64()})
		row := make([]Pair, hands)
		slope := 2 + 8*r.Float64()
		for h := range hands {
			d := math.Hypot(is.size-suits[h].size, is.soft-suits[h].soft)
			p := 0.995 * math.Exp(-math.Pow(d/0.5, 4))
			row[h] = Pair{Intercept: -1, Slope: slope * (0.9 + 0.2*r.Float64())}
			if r.Float64() < 0.8 {
				row[h].Trials = 20 + r.IntN(200)
				for range row[h].Trials {
					if r.Float64() < p {
						row[h].Held++
					}
				}
			}
		}
		q.Pairs = append(q.Pairs, row)
	}
	return q
}
