package trialsim

import (
	"math"
	"testing"

	"holdfast/mechanics/shape"
	"holdfast/orient"
)

// A ball that rolls at v is stopped by M_r = c_r·N after (1 + 2/5)·v²·R/(2 g c_r), in which the work of M_r takes up the energy
// of a rolling ball, and then lies still; without it the ball rolls on (statement of rolling resistance as in J. L. Meriam and L. G.
// Kraige, Engineering Mechanics: Statics, art. 6/8; moment of a ball 2/5·m·R²). Asked within 2 %.
func TestRollingResistanceStopsABall(t *testing.T) {
	far := pathFunc(func(float64) Flange { return Flange{Place: orient.Vec3{5, 5, 1}, Turn: facingDown} })
	for _, c := range []struct{ radius, mass, speed, coefficient float64 }{
		{0.03, 0.1, 0.2, 1e-3}, {0.03, 0.1, 0.2, 2e-3}, {0.02, 0.5, 0.3, 1e-3}, {0.03, 0.1, 0.2, 0},
	} {
		const h, seconds, rolling = 1e-3, 2.0, 1.4
		s := &Scene{Hand: plate(t, 0.01, stiff(0.5)), Gravity: 9.81, Setting: Setting{Support: stiff(0.5)},
			Item: Item{Shape: shape.Ellipsoid{Semi: orient.Vec3{c.radius, c.radius, c.radius}}, Mass: c.mass, Friction: 1, Rest: orient.Identity, Rolling: c.coefficient}}
		g := sure(t, s)
		sink := c.mass * s.Gravity / s.Setting.Support.Stiffness
		g.Start(far, orient.Vec3{0, 0, c.radius - sink}, orient.Identity)
		// Not along an axis: the two axes of the resistance must not show.
		way := orient.Vec3{0.8, 0.6, 0}
		g.Item.Velocity, g.Item.Spin = way.Scale(c.speed), orient.Vec3{-way[1], way[0], 0}.Scale(c.speed/c.radius)
		for g.Time < seconds {
			g.Step(far, h)
		}
		want, end := c.speed*seconds, c.speed
		if c.coefficient > 0 {
			want, end = rolling*c.speed*c.speed*c.radius/(2*s.Gravity*c.coefficient), 0
		}
		if gone := g.Item.Position.Dot(way); math.Abs(gone-want) > 0.02*want || math.Abs(g.Item.Velocity.Norm()-end) > 1e-3*c.speed {
			t.Errorf("R = %g m, c_r = %g m: rolled %.2f mm and goes on at %.3g mm/s; want %.2f mm and %.3g mm/s", c.radius, c.coefficient, gone*1e3, g.Item.Velocity.Norm()*1e3, want*1e3, end*1e3)
		}
		if aside := g.Item.Position.Dot(orient.Vec3{-way[1], way[0], 0}); math.Abs(aside) > 0.01*want {
			t.Errorf("R = %g m, c_r = %g m: rolled %.2f mm aside", c.radius, c.coefficient, aside*1e3)
		}
	}
}
