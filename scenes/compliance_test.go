package scenes

import (
	"math"
	"testing"

	"holdfast/domain"
	"holdfast/numeric"
	"holdfast/orient"
)

// Fingers that give hold what lies off more often than rigid jaws of the same opening, force and friction: with shares of 0.85
// and 0.45 a difference of at most a tenth over 40 picks would be as unlikely as one in a thousand (the figures are those of
// bench/compliance; the draws are always the same).
func TestGivingHelpsWhenItemsLieOff(t *testing.T) {
	const n = 40
	// Leaning up to 20° any way.
	anyhow := func(k int) orient.Rotation {
		r := numeric.Stream(41, "direction", k)
		tilt := math.Acos(1 - (1-math.Cos(20*math.Pi/180))*r.Float64())
		return orient.FromApproach(orient.Approach{Tilt: tilt, Azimuth: 2 * math.Pi * r.Float64(), Roll: 2 * math.Pi * r.Float64()})
	}
	held := func(hand domain.ID) int {
		return heldOf(t, domain.Condition{Hand: hand, Item: "cream-puff", Setting: "table", Strategy: domain.StrategyFree}, 8e-3, n, 41, anyhow)
	}
	jaws, tendon := held("jaws-two"), held("tendon-five")
	t.Logf("of %d cream puffs the jaws hold %d, the tendon fingers %d", n, jaws, tendon)
	if tendon-jaws <= n/10 {
		t.Errorf("of %d cream puffs the jaws hold %d and the tendon fingers %d", n, jaws, tendon)
	}
}
