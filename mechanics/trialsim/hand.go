package trialsim

import (
	"fmt"
	"math"

	"holdfast/mechanics/hand"
	"holdfast/mechanics/motion"
	"holdfast/orient"
)

// Finger is a chain and how it stands on the palm.
type Finger struct {
	Name  string
	Chain *hand.Chain
	Turn  orient.Rotation // of the chain's base in the palm's frame
	Root  orient.Vec3     // m, in the palm's frame
}

// Motor draws cords. A motor with one cord and no friction pulls through its stiffness and the cord's in series. Any other moves a
// slide with inertia, as a gear does, so that a finger that stops takes nothing from the springs of the others.
type Motor struct {
	Travel    float64 // m at a closing command of 1
	Stiffness float64 // N/m, of what keeps it where it is told to be
	MostForce float64 // N
	Inertia   float64 // kg, of rotor and gear as the cords feel it; needed with several cords or friction
	// Friction (N) of the gear: what the motor loses of its force, and what has to be overcome from outside to drive it back.
	Friction float64
}

// Cord is a tendon over joints of one or many fingers. One cord over all fingers has one tension, as behind an ideal
// differential; a cord for each finger with stretch is a finger behind an equalising spring.
type Cord struct {
	Motor     int
	Arms      []float64 // m/rad (a number without unit for joints that slide), one for each joint of all fingers in their order
	Gain      float64   // m drawn per m of motor travel; 0 stands for 1
	Stiffness float64   // N/m of its stretch; 0: does not stretch
	Pushes    bool      // a rod: it pushes as well
	// Wraps (rad, one a joint) are the curves around which the cord rubs on its way to the joint, Friction their coefficient.
	// Both empty: none. What friction takes follows the way the cord slips, with a short way in between.
	Wraps    []float64
	Friction float64
}

// Chamber is what one air line fills: torque on joints in proportion to its pressure.
type Chamber struct {
	Pressure         float64   // Pa above the surroundings at a closing command of 1
	Torque           []float64 // N·m/Pa, one for each joint of all fingers in their order
	Filling, Venting float64   // s, time constants
}

// Wrist is what gives between robot and palm, in the palm's frame. The zero value is rigid.
type Wrist struct {
	Stiffness orient.Vec3 // N/m along x, y, z
	Turning   orient.Vec3 // N·m/rad about x, y, z
	Damping   float64     // share of the critical one; 0 stands for 0.7
	Mass      float64     // kg, of all that it carries: palm, motors and fingers
}

// Rigid says that the wrist does not give.
func (w *Wrist) Rigid() bool { return w.Stiffness == orient.Vec3{} && w.Turning == orient.Vec3{} }

// Hand is what grips.
type Hand struct {
	Name       string
	Fingers    []Finger
	Motors     []Motor
	Cords      []Cord
	Chambers   []Chamber
	Wrist      Wrist
	PalmRadius float64 // m, of the flat round palm
	// Skin is how fingers and palm touch: friction against a clean dry item, stiffness and damping of a touch.
	Skin motion.Surface
	// SkinModulus (Pa) is E/(1 − ν²) of the skin, for the pressure under it; 0: not known.
	SkinModulus float64
	// SkinThickness (m) is that of the skin on what is hard below it; 0: so thick that what is below does not matter.
	SkinThickness float64
	// RollFold and Mirror are the hand's symmetry about the palm's axis, 1 and false for none.
	RollFold int
	Mirror   bool
	// Note says what the hand is, in a sentence.
	Note string
}

// Joints returns how many joints all fingers have together.
func (h *Hand) Joints() int {
	n := 0
	for i := range h.Fingers {
		if c := h.Fingers[i].Chain; c != nil {
			n += c.Joints()
		}
	}
	return n
}

// mostJoints bounds a finger's joints: the small matrices lie in arrays of that size.
const mostJoints = 12

// Check says what of the hand can not be simulated.
func (h *Hand) Check() error {
	if len(h.Fingers) == 0 {
		return fmt.Errorf("the hand has no fingers")
	}
	for i, f := range h.Fingers {
		if f.Chain == nil {
			return fmt.Errorf("finger %d has no chain", i+1)
		}
		if n := f.Chain.Joints(); n > mostJoints {
			return fmt.Errorf("finger %d has %d joints; at most %d can be simulated", i+1, n, mostJoints)
		}
	}
	if !(h.SkinModulus >= 0) || !(h.SkinThickness >= 0) || math.IsInf(h.SkinModulus+h.SkinThickness, 0) {
		return fmt.Errorf("the skin has a modulus of %g Pa and a thickness of %g m; both must be numbers, 0 or more", h.SkinModulus, h.SkinThickness)
	}
	joints := h.Joints()
	for i, m := range h.Motors {
		if !(m.Stiffness > 0) || !(m.MostForce >= 0) || !(m.Travel >= 0) || !(m.Inertia >= 0) || !(m.Friction >= 0) || math.IsInf(m.Stiffness+m.MostForce+m.Travel+m.Inertia+m.Friction, 0) {
			return fmt.Errorf("motor %d pulls through %g N/m with at most %g N over %g m; the first must be positive, the others not negative", i+1, m.Stiffness, m.MostForce, m.Travel)
		}
		if n := h.cordsOf(i); m.Inertia == 0 && h.slides(i) {
			return fmt.Errorf("motor %d draws %d cords with a friction of %g N and needs an inertia", i+1, n, m.Friction)
		}
	}
	for i, c := range h.Cords {
		switch {
		case c.Motor < 0 || c.Motor >= len(h.Motors):
			return fmt.Errorf("cord %d hangs on motor %d; there are %d", i+1, c.Motor+1, len(h.Motors))
		case len(c.Arms) != joints:
			return fmt.Errorf("cord %d has %d moment arms; the fingers have %d joints together", i+1, len(c.Arms), joints)
		case len(c.Wraps) != 0 && len(c.Wraps) != joints:
			return fmt.Errorf("cord %d rubs over %d curves; give one for each of the %d joints", i+1, len(c.Wraps), joints)
		case !(c.Stiffness >= 0) || !(c.Gain >= 0) || !(c.Friction >= 0) || math.IsInf(c.Stiffness+c.Gain+c.Friction, 0):
			return fmt.Errorf("cord %d has stiffness %g N/m, gain %g and friction %g; none may be negative", i+1, c.Stiffness, c.Gain, c.Friction)
		}
		if !finite(c.Arms...) || !finite(c.Wraps...) {
			return fmt.Errorf("cord %d has a moment arm or a curve that is no number", i+1)
		}
	}
	for i, c := range h.Chambers {
		if len(c.Torque) != joints || !finite(c.Torque...) {
			return fmt.Errorf("chamber %d has %d torques; the fingers have %d joints together", i+1, len(c.Torque), joints)
		}
		if !(c.Pressure >= 0) || !(c.Filling >= 0) || !(c.Venting >= 0) || math.IsInf(c.Pressure+c.Filling+c.Venting, 0) {
			return fmt.Errorf("chamber %d is filled to %g Pa within %g s and vented within %g s; none may be negative", i+1, c.Pressure, c.Filling, c.Venting)
		}
	}
	if w := &h.Wrist; !w.Rigid() {
		for k := range 3 {
			if !(w.Stiffness[k] > 0) || !(w.Turning[k] > 0) {
				return fmt.Errorf("a wrist that gives needs a stiffness in all directions: it has %v N/m and %v N·m/rad", w.Stiffness, w.Turning)
			}
		}
		if !(w.Mass > 0) || !(w.Damping >= 0) {
			return fmt.Errorf("the wrist carries %g kg with a damping of %g; the first must be positive", w.Mass, w.Damping)
		}
	}
	if !(h.PalmRadius > 0) || math.IsInf(h.PalmRadius, 0) {
		return fmt.Errorf("the palm's radius is %g m; it must be positive", h.PalmRadius)
	}
	return checkSurface("skin", &h.Skin)
}

// slides says that a motor is a body of its own: cords share it, or its gear rubs.
func (h *Hand) slides(motor int) bool { return h.cordsOf(motor) > 1 || h.Motors[motor].Friction > 0 }

func (h *Hand) cordsOf(motor int) int {
	n := 0
	for _, c := range h.Cords {
		if c.Motor == motor {
			n++
		}
	}
	return n
}

func finite(list ...float64) bool {
	for _, x := range list {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return false
		}
	}
	return true
}

func checkSurface(name string, f *motion.Surface) error {
	if !(f.Friction >= 0) || !(f.Stiffness > 0) || !(f.Damping >= 0) || !(f.Shear > 0) || math.IsInf(f.Friction+f.Stiffness+f.Damping+f.Shear, 0) {
		return fmt.Errorf("the %s has friction %g, stiffness %g N/m, damping %g N·s/m and shear stiffness %g N/m; stiffnesses must be positive, the others not negative", name, f.Friction, f.Stiffness, f.Damping, f.Shear)
	}
	return nil
}
