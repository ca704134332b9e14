package motion

import (
	"math"

	"holdfast/orient"
)

// Surface says how two things push back where they touch.
type Surface struct {
	Friction  float64 // Coulomb's coefficient
	Stiffness float64 // N/m of a touch along the normal; 0: rigid
	Damping   float64 // N·s/m along the normal; only with a stiffness
	// Shear is the stiffness (N/m) along the surface before it slips; 0: rigid. Mindlin's ratio to the normal one is
	// contact.TangentialRatio.
	Shear float64
	// Restitution is the share of the speed of approach that a rigid touch gives back (Newton); a compliant one gives
	// back what its damping leaves.
	Restitution float64
}

// Touch is a point at which a body meets something that does not move, with what it remembers from step to step.
type Touch struct {
	Feature int // of the body: a corner's or a ball's number
	Ground  int // what it touches
	Point   orient.Vec3
	Normal  orient.Vec3 // unit, towards the body
	Gap     float64     // m; negative: pressed in

	Stretch orient.Vec3 // m of the shear spring, along the surface
	Impulse orient.Vec3 // N·s of the last step, in the world
	Sliding bool
}

// resting is the speed of approach (m/s) below which nothing bounces: otherwise a ball that comes to rest bounces for ever.
const resting = 0.01

// laws fills a contact's laws for a step of h seconds; approach is the relative velocity along the normal at its start,
// before gravity has acted.
func (s *Surface) laws(c *Contact, h float64, t *Touch, t1, t2 orient.Vec3, approach float64) {
	c.Friction = s.Friction
	if s.Stiffness > 0 {
		c.Normal = Spring(h, s.Stiffness, s.Damping, t.Gap)
		if t.Gap > 0 {
			// Nothing pulls or brakes before they touch: the spring begins where the gap ends.
			c.Normal = Spring(h, s.Stiffness, 0, t.Gap)
		}
	} else {
		c.Normal = Compliance{Bias: math.Max(t.Gap, 0) / h}
		if approach < -resting && t.Gap <= -approach*h {
			c.Normal.Bias = s.Restitution * approach
		}
		if t.Gap < 0 {
			// What is pressed in by the solver's rounding is let out slowly, without adding speed that shows.
			c.Normal.Bias += math.Max(t.Gap/h*0.1, -resting)
		}
	}
	c.Shear, c.Bias2 = Compliance{}, 0
	if s.Shear > 0 {
		c.Shear = Spring(h, s.Shear, 0, t.Stretch.Dot(t1))
		c.Bias2 = Spring(h, s.Shear, 0, t.Stretch.Dot(t2)).Bias
	}
}

// remember takes over what the step did: a spring that sticks is stretched on, one that slides keeps the friction's force.
func (s *Surface) remember(t *Touch, c *Contact, h float64, normal, t1, t2 orient.Vec3) {
	t.Impulse = normal.Scale(c.Impulse[0]).Add(t1.Scale(c.Impulse[1])).Add(t2.Scale(c.Impulse[2]))
	held := math.Hypot(c.Impulse[1], c.Impulse[2])
	t.Sliding = c.Impulse[0] > 0 && held >= c.Friction*c.Impulse[0]*(1-1e-9)
	if s.Shear > 0 {
		// −h·k·x⁺ is the impulse, so the stretch at the end follows from it, stuck or sliding.
		t.Stretch = t1.Scale(c.Impulse[1]).Add(t2.Scale(c.Impulse[2])).Scale(-1 / (h * s.Shear))
	}
}
