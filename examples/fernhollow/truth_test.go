package fernhollow

import (
	"math"
	"testing"

	"holdfast/domain"
	"holdfast/numeric"
	"holdfast/orient"
)

// meanSuccess averages the truth over orientations up to 60° of tilt.
func meanSuccess(t *testing.T, hand, item, setting domain.ID, kind domain.StrategyKind) float64 {
	t.Helper()
	c := catalogue()
	rng := numeric.Stream(11, "orientations")
	const n = 1000
	sum := 0.0
	for range n {
		r := orient.RandomWithin(60*deg, rng)
		a := picked{hand: c.hands[hand], item: c.items[item], setting: c.settings[setting], strategy: kind, rotation: r, closing: 0.8}
		sum += 1 / (1 + math.Exp(-a.logOdds()))
	}
	return sum / n
}

func TestSurfaceGuidedBeatsFreeForFlatItems(t *testing.T) {
	free := meanSuccess(t, "trefoil", "eclair", "open-table", domain.StrategyFree)
	guided := meanSuccess(t, "trefoil", "eclair", "open-table", domain.StrategySurface)
	t.Logf("éclair: free %.3f, surface-guided %.3f", free, guided)
	if guided < free+0.2 {
		t.Errorf("free %.3f, surface-guided %.3f: the truth must favour the surface for a flat item", free, guided)
	}
	free = meanSuccess(t, "trefoil", "roll", "open-table", domain.StrategyFree)
	guided = meanSuccess(t, "trefoil", "roll", "open-table", domain.StrategySurface)
	t.Logf("roll: free %.3f, surface-guided %.3f", free, guided)
	if math.Abs(guided-free) > 0.15 {
		t.Errorf("free %.3f, surface-guided %.3f: a tall item must not need the surface much", free, guided)
	}
}

func TestTruthHasTheScenesSymmetry(t *testing.T) {
	c := catalogue()
	rng := numeric.Stream(7, "test")
	for _, item := range []domain.ID{"roll", "croissant", "eclair", "cream-puff", "egg"} {
		a := picked{hand: c.hands["trefoil"], item: c.items[item], setting: c.settings["open-table"], strategy: domain.StrategyFree, closing: 0.8}
		sym := a.symmetry()
		for range 20 {
			a.rotation = orient.Random(rng)
			want := a.logOdds()
			for _, image := range sym.Images(a.rotation) {
				a.rotation = image
				if got := a.logOdds(); math.Abs(got-want) > 1e-9 {
					t.Fatalf("%s: equivalent orientations have log-odds %g and %g", item, want, got)
				}
			}
		}
	}
}
