package fernhollow

import (
	"math"

	"holdfast/domain"
	"holdfast/orient"
)

// What borrows between items is measured on a truth that is known. It gives log-odds of success as a sum of smooth bumps over orientations that have
// the scene's symmetry, plus terms for strategy, closing, placement and wear.

// bump raises or lowers the log-odds around an orientation.
type bump struct {
	tilt, azimuth, roll float64 // degrees
	height              float64 // log-odds at its centre
	sharpness           float64 // κ of exp(κ(cos angle − 1))
}

// grasps says which ways of holding suit an item: across the short side for long goods, from above for round ones.
func grasps(item *domain.Item) []bump {
	long := item.Size[0] / item.Size[1]
	switch {
	case long > 2.5: // éclair: the opening must lie across y
		return []bump{{5, 0, 90, 4.6, 3.2}, {35, 90, 0, 2.0, 3.5}, {40, 0, 90, -1.6, 3}}
	case item.Shape == domain.ShapeCrescent:
		return []bump{{10, 90, 0, 4.6, 2.4}, {40, 90, 0, 1.8, 3}, {35, -90, 180, -2.2, 3}}
	case long > 1.2: // roll, egg
		return []bump{{0, 0, 90, 5.0, 1.8}, {30, 0, 90, 1.4, 3}, {45, 90, 20, -1.8, 3}}
	default:
		return []bump{{0, 0, 0, 3.6, 2.0}, {45, 0, 60, -1.4, 2.5}}
	}
}

// flatness is how little of the item stands above the support for fingers to close around, 0…1.
func flatness(item *domain.Item) float64 {
	return math.Min(1, math.Max(0, (0.055-item.Size[2])/0.025))
}

// strategyTerm knows that using the surroundings beats grasping free for flat items, and that each kind needs its own
// part of the surroundings.
func strategyTerm(kind domain.StrategyKind, item *domain.Item, setting *domain.Setting) float64 {
	flat := flatness(item)
	switch kind {
	case domain.StrategyFree:
		return 0.5 - 2.4*flat
	case domain.StrategySurface:
		return 0.2 + 0.9*flat
	case domain.StrategyWall:
		if setting.Wall {
			return 0.6 + 0.7*flat
		}
		return -3
	case domain.StrategyEdge:
		if setting.Edge {
			return 0.3 + 1.2*flat
		}
		return -3
	default: // scoop
		return -0.2 + 0.8*flat
	}
}

// picked holds what the truth needs to know of one trial.
type picked struct {
	hand     *domain.Hand
	item     *domain.Item
	setting  *domain.Setting
	strategy domain.StrategyKind
	rotation orient.Rotation
	closing  float64
	offset   [3]float64 // m
	wear     float64    // 0…1, share of the hand's demonstrated life used up
}

// symmetry returns the scene's symmetry.
func (a *picked) symmetry() orient.Symmetry {
	around := func(t domain.Turning) orient.Surroundings {
		return orient.Surroundings{Axial: t.Axial, Fold: t.Fold, Mirror: t.Mirror}
	}
	s, err := orient.Combine(a.hand.RollFold, a.hand.Mirror, around(a.item.Turning), around(a.setting.Turning))
	if err != nil { // the catalogue's folds are constants within bounds
		return orient.Symmetry{}
	}
	return s
}

// logOdds returns the log-odds of a hold.
func (a *picked) logOdds() float64 {
	sym := a.symmetry()
	const deg = math.Pi / 180
	f := -2.2 + strategyTerm(a.strategy, a.item, a.setting)
	for _, b := range grasps(a.item) {
		centre := orient.FromApproach(orient.Approach{Tilt: b.tilt * deg, Azimuth: b.azimuth * deg, Roll: b.roll * deg})
		f += b.height * math.Exp(b.sharpness*(math.Cos(sym.Distance(a.rotation, centre))-1))
	}
	// Too little closing slips, too much squeezes out.
	f -= 6 * math.Pow(a.closing-0.78, 2) / 0.1
	reach := a.hand.OpeningMax / 2
	off := math.Hypot(a.offset[0], a.offset[1]) / reach
	f -= 5 * off * off
	f -= 0.8 * a.wear
	if a.hand.Fingers > 3 {
		f += 0.3
	}
	return f
}
