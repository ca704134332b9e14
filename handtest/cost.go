package handtest

import (
	"fmt"
	"math"

	"holdfast/numeric"
	"holdfast/readings"
)

// costPart is what a pick costs in one respect, in money per pick; limits are NaN where none is known.
type costPart struct {
	name             string
	value, low, high float64
	basis            string
}

// cost adds up price over life, upkeep and energy. Rows of one hand have price, life and the price of energy in common and are readings
// of upkeep and energy.
func cost(t *readings.Table, _ Settings, r *Report) error {
	order, rows := t.Groups("hand")
	var bars []Series
	for place, hand := range order {
		parts, err := r.costParts(t, rows[hand])
		if err != nil {
			return err
		}
		whole := together(parts)
		r.add("cost", hand, "money per pick", whole.value, whole.low, whole.high, whole.basis)
		for _, p := range parts {
			r.add("of that "+p.name, hand, "money per pick", p.value, p.low, p.high, p.basis)
		}
		r.Labels = append(r.Labels, hand)
		for k, p := range append(parts, whole) {
			x := float64(place+1) + BarWidth*(float64(k)-float64(len(parts))/2)
			if place == 0 {
				bars = append(bars, Series{Name: p.name, X: "hand", Y: "money per pick", Draw: Bars})
			}
			bars[k].Points = append(bars[k].Points, [2]float64{x, p.value})
			if !math.IsNaN(p.low) && !math.IsNaN(p.high) {
				if len(r.Series) == 0 {
					r.Series = []Series{{Name: "interval", X: "hand", Y: "money per pick", Draw: Whiskers}}
				}
				r.Series[0].Points = append(r.Series[0].Points, [2]float64{x, p.low}, [2]float64{x, p.high})
			}
		}
	}
	r.Series = append(bars, r.Series...)
	what := "Labour, cleaning, downtime and damaged goods are"
	if t.Has("upkeep_per_pick") {
		what = "Downtime and damaged goods, and labour unless it is part of the upkeep, are"
	}
	r.note("%s not in these figures.", what)
	return nil
}

// costParts returns price, upkeep where it was told, and energy of the rows of one hand.
func (r *Report) costParts(t *readings.Table, rows []int) ([]costPart, error) {
	n, first := t.Numbers, rows[0]
	for _, column := range []string{"price", "life_picks", "life_low_picks", "life_high_picks", "energy_price_per_kWh"} {
		for _, i := range rows {
			if t.Has(column) && n[column][i] != n[column][first] {
				return nil, fmt.Errorf("row %d, column %s: must be the same in all rows of a hand (got %g after %g)", i+2, column, n[column][i], n[column][first])
			}
		}
	}
	price := costPart{"price", n["price"][first] / n["life_picks"][first], math.NaN(), math.NaN(), "price over life; no interval: the record has no limits of the life"}
	if t.Has("life_high_picks") {
		price.low = n["price"][first] / n["life_high_picks"][first]
	}
	if t.Has("life_low_picks") {
		price.high = n["price"][first] / n["life_low_picks"][first]
	}
	if price.low > price.value || price.high < price.value {
		return nil, fmt.Errorf("row %d: life_picks must lie between its limits", first+2)
	}
	if t.Has("life_low_picks") || t.Has("life_high_picks") {
		price.basis = "price over life; limits are those of the life as the record has them"
	}
	parts := []costPart{price}
	if t.Has("upkeep_per_pick") {
		parts = append(parts, r.costRead("upkeep", pick(n["upkeep_per_pick"], rows), 1))
	}
	return append(parts, r.costRead("energy", pick(n["energy_J_per_pick"], rows), n["energy_price_per_kWh"][first]/3.6e6)), nil
}

// costRead is the mean of readings times what one unit costs, with Student's limits; none of a single reading.
func (r *Report) costRead(name string, values []float64, each float64) costPart {
	mean, sd := moments(values)
	n := float64(len(values))
	if n < 2 {
		return costPart{name, mean * each, math.NaN(), math.NaN(), fmt.Sprintf("one reading of the %s: no interval; a row for each of several readings gives one", name)}
	}
	half := numeric.StudentQuantile((1+r.Level)/2, n-1) * sd / math.Sqrt(n)
	return costPart{name, mean * each, max(0, mean-half) * each, (mean + half) * each, fmt.Sprintf("mean of %d readings, Student's t, not below 0", len(values))}
}

// together is the sum of parts that are known independently. Its limits lie as far from it as the root of the sum of the squares of
// how far each part's lie (G. Y. Zou and A. Donner, "Construction of confidence limits about effect measures: a general approach",
// Statistics in Medicine 27, 2008; from memory). A part without limits counts as known; the price without one leaves the sum without.
func together(parts []costPart) costPart {
	whole := costPart{name: "all together", basis: "price over life, upkeep and energy as told; independent limits put together after Zou and Donner"}
	down, up := 0.0, 0.0
	for k, p := range parts {
		whole.value += p.value
		low, high := p.value-p.low, p.high-p.value
		if k > 0 && math.IsNaN(low) {
			low, high = 0, 0
			whole.basis += "; a single reading of the " + p.name + " counts as exact"
		}
		down, up = down+low*low, up+high*high
	}
	whole.low, whole.high = whole.value-math.Sqrt(down), whole.value+math.Sqrt(up)
	return whole
}
