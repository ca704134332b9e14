package trialsim

import (
	"fmt"
	"math"
	"testing"

	"holdfast/mechanics/contact"
	"holdfast/mechanics/motion"
	"holdfast/mechanics/shape"
	"holdfast/orient"
)

// thrown is what a ball felt that met a support without gravity: the largest force (N) and squash (m), and how long they touched (s).
type thrown struct{ force, squash, lasts float64 }

// throw lets a ball of a mass (kg) meet the surface at a speed (m/s).
func throw(t *testing.T, mass, speed float64, on motion.Surface) (r thrown) {
	t.Helper()
	const h, radius = 1e-5, 0.02
	on.Shear = 1
	g := sure(t, &Scene{Hand: plate(t, 0.01, stiff(0.5)), Setting: Setting{Support: on},
		Item: Item{Shape: shape.Ellipsoid{Semi: orient.Vec3{radius, radius, radius}}, Mass: mass, Friction: 1, Rest: orient.Identity}})
	far := pathFunc(func(float64) Flange { return Flange{Place: orient.Vec3{1, 1, 1}, Turn: facingDown} })
	g.Start(far, orient.Vec3{0, 0, radius}, orient.Identity)
	g.Item.Velocity = orient.Vec3{0, 0, -speed}
	for range int(0.2 / h) {
		g.Step(far, h)
		load := 0.0
		for i := range g.pairs {
			load += g.pairs[i].load
		}
		r.force, r.squash = math.Max(r.force, load), math.Max(r.squash, radius-g.Item.Position[2])
		if load > 0 {
			r.lasts += h
		} else if r.lasts > 0 {
			break
		}
	}
	return r
}

func nearly(t *testing.T, what string, got, want float64) {
	t.Helper()
	if !(math.Abs(got-want) <= 0.005*want) {
		t.Errorf("%s: %.6g, want %.6g within 0.5 %%", what, got, want)
	}
}

// A damper beside the spring, at a share z of the critical one, leaves of v√(km) and v√(m/k) what the list says (I3; computed);
// at half the critical one the largest force is the damper's first, 2z.
func TestImpactOnADampedSpring(t *testing.T) {
	const mass, stiffness, speed = 0.5, 1000.0, 0.1
	force, squash := speed*math.Sqrt(stiffness*mass), speed*math.Sqrt(mass/stiffness)
	for _, c := range []struct{ z, force, squash float64 }{
		{0.1, 0.880144, 0.862600}, {0.2, 0.820919, 0.756135}, {0.3, 0.813403, 0.671547}, {0.5, 1, 0.546293},
	} {
		r := throw(t, mass, speed, motion.Surface{Stiffness: stiffness, Damping: 2 * c.z * math.Sqrt(stiffness*mass)})
		nearly(t, fmt.Sprintf("z %g: force", c.z), r.force/force, c.force)
		nearly(t, fmt.Sprintf("z %g: squash", c.z), r.squash/squash, c.squash)
	}
}

// Touches are springs of one stiffness here, not those of round bodies (F ∝ d^3/2, H. Hertz; K. L. Johnson, Contact Mechanics,
// 1985, ch. 11, from memory). Against such an impact (I5: 3.457124 N, 10.64206 ms for 4/3 MPa, 10 mm, 50 g and 0.2 m/s) a spring
// that gives as far has 4/5 of the force, for the energy is F·d/2 and not 2/5·F·d, and lasts π/2.943275 of the time.
func TestSpringAgainstARoundBodysImpact(t *testing.T) {
	const mass, speed, force, lasts = 0.050, 0.2, 3.457124, 10.64206e-3
	squash := contact.HertzImpact(0.010, 4e6/3, mass, speed).Squash
	r := throw(t, mass, speed, motion.Surface{Stiffness: mass * speed * speed / (squash * squash)})
	nearly(t, "squash", r.squash, squash)
	nearly(t, "force", r.force, 0.8*force)
	nearly(t, "time", r.lasts, math.Pi/2.943275*lasts)
}
