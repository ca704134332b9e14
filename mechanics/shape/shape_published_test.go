package shape

import (
	"math"
	"testing"

	"holdfast/orient"
)

// Signed distances found by scipy 1.10.1's general minimiser over the surface (BFGS, then Nelder–Mead, the best of forty
// starts); computed, in mm.
func TestEllipsoidAgainstAGeneralMinimiser(t *testing.T) {
	const mm = 1e-3
	for _, c := range []struct {
		semi, p orient.Vec3
		want    float64
	}{
		{orient.Vec3{35, 30, 28}, orient.Vec3{50, 20, 10}, 20.7668972},
		{orient.Vec3{35, 30, 28}, orient.Vec3{10, 5, -8}, -16.9443199},
		{orient.Vec3{60, 20, 10}, orient.Vec3{30, 0, 0}, -8.6189161},
		{orient.Vec3{60, 20, 10}, orient.Vec3{0, 25, 30}, 25.3672935},
		{orient.Vec3{22, 22, 28}, orient.Vec3{3, -40, 15}, 20.1812252},
		{orient.Vec3{64, 18, 15}, orient.Vec3{-70, 30, -2}, 25.4493832},
	} {
		if n := (Ellipsoid{c.semi.Scale(mm)}).Point(c.p.Scale(mm)); !(math.Abs(n.Distance/mm-c.want) < 1e-6) {
			t.Errorf("%v from %v: %.7f mm, want %.7f", c.p, c.semi, n.Distance/mm, c.want)
		}
	}
}
