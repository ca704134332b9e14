package unknowns

import (
	"errors"
	"slices"

	"holdfast/mechanics/hand"
	"holdfast/mechanics/trialsim"
)

// Quantity is a quantity of a scene that bench trials can tell.
type Quantity struct {
	Name        string // its unit stands in it, where it has one
	Words       string // what it is, in plain words
	Logarithmic bool   // differences count as ratios
	// usual is a wide range for a first guess; common practice, no source.
	usual func(s *trialsim.Scene) (low, high float64)
	set   func(s *trialsim.Scene, value float64) error
	// reshapes says that the free hand closes otherwise, so plans must be made anew.
	reshapes bool
}

// PositionErrorName is the name of the error with which items lie elsewhere than believed.
const PositionErrorName = "position-error-mm"

// all lists the quantities; the first three are usually fitted together.
var all = []Quantity{
	{
		Name: "friction", Words: "friction coefficient of the hand's skin",
		usual: func(s *trialsim.Scene) (float64, float64) { return s.Hand.Skin.Friction / 2, s.Hand.Skin.Friction * 2 },
		set:   func(s *trialsim.Scene, v float64) error { s.Hand.Skin.Friction = v; return nil },
	},
	{
		Name: "joint-stiffness", Words: "stiffness of all joints, as a multiple of the scene's", Logarithmic: true, reshapes: true,
		usual: func(*trialsim.Scene) (float64, float64) { return 0.5, 2 },
		set:   stiffenJoints,
	},
	{
		Name: PositionErrorName, Words: "standard deviation, along x and along y, of where the item lies", Logarithmic: true,
		usual: func(*trialsim.Scene) (float64, float64) { return 0.5, 15 },
		set: func(s *trialsim.Scene, v float64) error {
			s.Error.X, s.Error.Y = v/1e3, v/1e3
			return nil
		},
	},
	{
		Name: "skin-stiffness-N-per-mm", Words: "stiffness of the hand's skin", Logarithmic: true,
		usual: func(s *trialsim.Scene) (float64, float64) {
			return s.Hand.Skin.Stiffness / 4e3, s.Hand.Skin.Stiffness * 4 / 1e3
		},
		set: func(s *trialsim.Scene, v float64) error {
			skin := &s.Hand.Skin
			if !(skin.Stiffness > 0) {
				return errors.New("the scene's skin is rigid, so its stiffness cannot be fitted; give it one")
			}
			// Damping and shear go along, so that the skin stays one material.
			share := v * 1e3 / skin.Stiffness
			skin.Stiffness, skin.Damping, skin.Shear = v*1e3, skin.Damping*share, skin.Shear*share
			return nil
		},
	},
}

const usuallyFitted = 3

// All returns the quantities in their order.
func All() []Quantity { return slices.Clone(all) }

// Usual returns those that are fitted unless others are asked for.
func Usual() []Quantity { return slices.Clone(all[:usuallyFitted]) }

// Range returns a wide range for a first guess of the quantity in the scene, in its own unit. Where low is not above 0 the
// scene gives none.
func (q *Quantity) Range(s *trialsim.Scene) (low, high float64) { return q.usual(s) }

// Settable says why the scene cannot have the quantity at a value; nil when it can.
func (q *Quantity) Settable(s *trialsim.Scene, value float64) error {
	other := *s
	return q.set(&other, value)
}

// stiffenJoints multiplies the springs of all joints; stops stay as they are.
func stiffenJoints(s *trialsim.Scene, factor float64) error {
	s.Hand.Fingers = slices.Clone(s.Hand.Fingers)
	for i := range s.Hand.Fingers {
		chain := s.Hand.Fingers[i].Chain
		joints := make([]hand.Joint, chain.Joints())
		for j := range joints {
			joints[j] = chain.Joint(j)
			joints[j].Stiffness *= factor
		}
		var err error
		if s.Hand.Fingers[i].Chain, err = hand.NewChain(joints); err != nil {
			return err
		}
	}
	return nil
}
