package trialsim

import (
	"errors"
	"fmt"
	"math"

	"holdfast/mechanics/hand"
	"holdfast/mechanics/motion"
	"holdfast/mechanics/shape"
	"holdfast/orient"
)

// Finger is a chain and how it stands on the palm.
type Finger struct {
	Chain *hand.Chain
	Turn  orient.Rotation // of the chain's base in the palm's frame
	Root  orient.Vec3     // m, in the palm's frame
	Arms  []float64       // m, the cable's moment arm at each joint
}

// Motor pulls one cable that runs over all joints of all fingers, so its tension is the same at all of them: an ideal
// differential. It pulls through a stiffness, and never pushes.
type Motor struct {
	Stiffness float64 // N/m
	MostForce float64 // N
}

// Hand is what grips.
type Hand struct {
	Fingers    []Finger
	Motor      Motor
	PalmRadius float64 // m, of the flat round palm
}

// Item is the thing to pick: a solid ellipsoid.
type Item struct {
	Shape shape.Ellipsoid
	Mass  float64 // kg
}

// Scene is what does not change between trials. It can be shared by many [Stage] values.
type Scene struct {
	Hand    Hand
	Item    Item
	Skin    motion.Surface // fingers and palm against item and each other
	Support motion.Surface // item against the support, fingers against the support
	Gravity float64        // m/s², downwards
}

// mostJoints bounds a finger's joints: the small matrices lie in arrays of that size.
const mostJoints = 12

// Check says what of the scene can not be simulated.
func (s *Scene) Check() error {
	if len(s.Hand.Fingers) == 0 {
		return errors.New("the hand has no fingers")
	}
	for i, f := range s.Hand.Fingers {
		if f.Chain == nil {
			return fmt.Errorf("finger %d has no chain", i+1)
		}
		if n := f.Chain.Joints(); n > mostJoints || len(f.Arms) != n {
			return fmt.Errorf("finger %d has %d joints and %d moment arms; it needs as many of both, at most %d", i+1, n, len(f.Arms), mostJoints)
		}
	}
	if !(s.Item.Mass > 0) || math.IsInf(s.Item.Mass, 0) {
		return fmt.Errorf("the item weighs %g kg; it must weigh something", s.Item.Mass)
	}
	for _, e := range s.Item.Shape.Semi {
		if !(e > 0) || math.IsInf(e, 0) {
			return fmt.Errorf("the item's semi-axes are %v m; all must be positive", s.Item.Shape.Semi)
		}
	}
	if m := s.Hand.Motor; !(m.Stiffness > 0) || !(m.MostForce >= 0) {
		return fmt.Errorf("the motor pulls through %g N/m with at most %g N; the first must be positive, the second not negative", m.Stiffness, m.MostForce)
	}
	for _, f := range []struct {
		name string
		motion.Surface
	}{{"skin", s.Skin}, {"support", s.Support}} {
		if !(f.Friction >= 0) || !(f.Stiffness > 0) || !(f.Damping >= 0) || !(f.Shear > 0) || math.IsInf(f.Friction+f.Stiffness+f.Damping+f.Shear, 0) {
			return fmt.Errorf("the %s has friction %g, stiffness %g N/m, damping %g N·s/m and shear stiffness %g N/m; stiffnesses must be positive, the others not negative", f.name, f.Friction, f.Stiffness, f.Damping, f.Shear)
		}
	}
	if !(s.Gravity >= 0) || math.IsInf(s.Gravity, 0) {
		return fmt.Errorf("gravity is %g m/s²; it must be a number, 0 or more", s.Gravity)
	}
	return nil
}

// Path is where the palm is told to be and how much cable the motor winds up, by time.
type Path interface {
	// At returns the palm's origin (m), its turn, and the cable wound up (m) at t seconds.
	At(t float64) (place orient.Vec3, turn orient.Rotation, pull float64)
}
