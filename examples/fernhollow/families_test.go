package fernhollow

import (
	"math"
	"testing"

	"holdfast/domain"
	"holdfast/numeric"
	"holdfast/orient"
	"holdfast/statistics/family"
	"holdfast/statistics/successmap"
)

// Each item of the bakery in turn is the new one, with few or many trials of its own, and borrows from the four others.
func TestLeavingOneItemOutBorrowingHelps(t *testing.T) {
	c := catalogue()
	hand := *c.hands["trefoil"]
	hand.RollFold = 3
	names := []domain.ID{"roll", "croissant", "eclair", "cream-puff", "egg"}
	symmetry := orient.Symmetry{HandFold: hand.RollFold} // what all items share
	at := func(item domain.ID, r orient.Rotation) float64 {
		a := picked{hand: &hand, item: c.items[item], setting: c.settings["open-table"], strategy: domain.StrategySurface, rotation: r, closing: 0.8}
		return 1 / (1 + math.Exp(-a.logOdds()))
	}
	const tilt = 60 * deg
	rng := numeric.Stream(12, "grid")
	grid := make([]orient.Rotation, 400)
	for i := range grid {
		grid[i] = orient.RandomWithin(tilt, rng)
	}
	excess := func(item domain.ID, est []family.Estimate) (sum float64) {
		for i, r := range grid {
			p, q := at(item, r), est[i].P
			sum += (p*math.Log(p/q) + (1-p)*math.Log((1-p)/(1-q))) / float64(len(grid))
		}
		return sum
	}
	for own, least := range map[int]float64{20: 0.005, 300: -0.002} {
		gain := 0.0
		for k, fresh := range names {
			var items []family.Item
			for i, name := range names {
				it := c.items[name]
				size := math.Cbrt(it.Size[0] * it.Size[1] * it.Size[2])
				one := family.Item{Name: string(name), Features: family.Features{Shape: string(it.Shape), Size: size, Mass: it.Mass, Stiffness: it.Stiffness, Friction: it.Friction}}
				n := 150
				if i == k {
					n = own
				}
				rng := numeric.Stream(21, "leave one out", k, i)
				for range n {
					o := successmap.Observation{R: orient.RandomWithin(tilt, rng), Trials: 1}
					if rng.Float64() < at(name, o.R) {
						o.Held = 1
					}
					one.Observations = append(one.Observations, o)
				}
				items = append(items, one)
			}
			f, err := family.Fit(t.Context(), items, family.Options{Symmetry: symmetry, TiltMax: tilt})
			if err != nil {
				t.Fatal(err)
			}
			b, err := f.Borrow(t.Context(), string(fresh))
			if err != nil {
				t.Fatal(err)
			}
			est := make([]family.Estimate, len(grid))
			if err := b.Predict(est, grid); err != nil {
				t.Fatal(err)
			}
			borrowed := excess(fresh, est)
			b.Alone(est, grid)
			alone := excess(fresh, est)
			t.Logf("%s with %d trials: excess log loss %.4f borrowed, %.4f alone. %s", fresh, own, borrowed, alone, b.Sentence)
			gain += (alone - borrowed) / float64(len(names))
		}
		t.Logf("mean gain with %d trials: %+.4f", own, gain)
		if gain < least {
			t.Errorf("with %d own trials borrowing gains %+.4f of log loss a trial, want at least %+.3f", own, gain, least)
		}
	}
}
