package trialsim

import (
	"math"
	"testing"

	"holdfast/mechanics/hand"
	"holdfast/mechanics/motion"
	"holdfast/mechanics/shape"
	"holdfast/orient"
)

// rails are n plates on rails around the palm's axis, closed by one motor through a rod each, so that all press alike: with the
// force (N) each.
func rails(t *testing.T, n int, friction, force float64) Hand {
	t.Helper()
	h := Hand{PalmRadius: 0.03, Skin: motion.Surface{Friction: friction, Stiffness: 20000, Damping: 20, Shear: 15000},
		Motors: []Motor{{Travel: 0.06, Stiffness: 20000, MostForce: float64(n) * force, Inertia: 0.5}}}
	for i := range n {
		side := orient.RotZ(2 * math.Pi * float64(i) / float64(n))
		chain, err := hand.NewChain([]hand.Joint{{Slides: true, Axis: hand.Vec{X: -1}, Damping: 5, Armature: 0.05,
			Link: hand.SolidCapsule(hand.Vec{Z: 0.02}, hand.Vec{Z: 0.08}, 0.006, 0.05)}})
		if err != nil {
			t.Fatal(err)
		}
		h.Fingers = append(h.Fingers, Finger{Chain: chain, Turn: side, Root: side.Apply(orient.Vec3{0.05, 0, 0})})
		arms := make([]float64, n)
		arms[i] = 1
		h.Cords = append(h.Cords, Cord{Arms: arms, Pushes: true, Stiffness: 50000})
	}
	return h
}

// Fingers around a ball's equator lift it when each presses with more than W/(nμ), and lose it below (G20; statics): 1 and
// 0.666667 of the weight for two and three fingers with μ = 0.5, 0.625 for four with μ = 0.4. Asked to 5 %.
func TestSqueezeThatLiftsABall(t *testing.T) {
	for _, c := range []struct {
		fingers        int
		friction, want float64
	}{{2, 0.5, 1}, {3, 0.5, 0.666667}, {4, 0.4, 0.625}} {
		for _, share := range []float64{0.95, 1.05} {
			const weight, radius = 3.0, 0.02
			squeeze := share * c.want * weight
			s := &Scene{Hand: rails(t, c.fingers, c.friction, squeeze), Gravity: 9.81,
				Item:    Item{Shape: shape.Ellipsoid{Semi: orient.Vec3{radius, radius, radius}}, Mass: weight / 9.81, Friction: 1, Rest: orient.Identity},
				Setting: Setting{Support: stiff(0.5)}}
			g := sure(t, s)
			path := pathFunc(func(t float64) Flange {
				return Flange{Place: orient.Vec3{0, 0, 0.09 + 0.05*blend((t-1)/2)}, Turn: facingDown, Command: blend(t / 0.8)}
			})
			g.Start(path, orient.Vec3{0, 0, radius}, orient.Identity)
			for g.Time < 1 {
				g.Step(path, 1e-3)
			}
			if want := float64(c.fingers) * squeeze; math.Abs(g.Grip-want) > 0.005*want {
				t.Errorf("%d fingers: they press with %.3f N together, want %.3f", c.fingers, g.Grip, want)
			}
			for g.Time < 4 {
				g.Step(path, 1e-3)
			}
			if lifted := g.Item.Position[2] > 0.06; lifted != (share > 1) {
				t.Errorf("%d fingers, %g of the squeeze: the ball is at %.1f mm", c.fingers, share, g.Item.Position[2]*1e3)
			}
		}
	}
}
