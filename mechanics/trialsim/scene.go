package trialsim

import (
	"fmt"
	"math"

	"holdfast/mechanics/motion"
	"holdfast/mechanics/shape"
	"holdfast/orient"
)

// PlacementError is how far items really lie from where they are believed to be: standard deviations.
type PlacementError struct {
	X, Y  float64 // m
	Angle float64 // rad, of the hand against what was asked, about a random axis
}

// Scene is what does not change between trials. It can be shared by many [Stage] values.
type Scene struct {
	Name     string
	Hand     Hand
	Item     Item
	Setting  Setting
	Strategy Strategy
	Gravity  float64 // m/s², downwards
	Closing  float64 // 0…1, the closing command of a trial that names none
	Error    PlacementError
}

// Check says what of the scene can not be simulated. The strategy is checked by itself: a stage needs none.
func (s *Scene) Check() error {
	if err := s.Hand.Check(); err != nil {
		return err
	}
	if err := s.Item.Check(); err != nil {
		return err
	}
	if err := s.Setting.Check(); err != nil {
		return err
	}
	if !(s.Gravity >= 0) || math.IsInf(s.Gravity, 0) {
		return fmt.Errorf("gravity is %g m/s²; it must be a number, 0 or more", s.Gravity)
	}
	if !(s.Closing >= 0 && s.Closing <= 1) {
		return fmt.Errorf("the closing command is %g; it must lie between 0 and 1", s.Closing)
	}
	if e := s.Error; !(e.X >= 0) || !(e.Y >= 0) || !(e.Angle >= 0) || math.IsInf(e.X+e.Y+e.Angle, 0) {
		return fmt.Errorf("the errors of placement are %g m, %g m and %g rad; none may be negative", e.X, e.Y, e.Angle)
	}
	return nil
}

// Flange is what the robot is told: where its flange is to be and how far the hand is to close.
type Flange struct {
	Place   orient.Vec3 // m, of the palm's origin while the wrist does not give
	Turn    orient.Rotation
	Command float64 // 0…1
}

// Path is a motion that asks nothing of what is felt.
type Path interface {
	// At returns where the flange is at t seconds.
	At(t float64) Flange
}

// Sample is one item of the family, as it really is and lies.
type Sample struct {
	Solid     shape.Solid
	Mass      float64 // kg
	Friction  float64 // multiplies that of the hand's skin
	Stiffness float64 // N/m; 0: hard
	Place     orient.Vec3
	Turn      orient.Rotation
}

// Average returns the item of mean size with its centre of mass at a place in a turn. The item must have passed [Item.Check].
func (it *Item) Average(place orient.Vec3, turn orient.Rotation) Sample {
	solid, _ := it.filled()
	return Sample{Solid: solid, Mass: it.Mass, Friction: it.Friction, Stiffness: it.Stiffness, Place: place, Turn: turn}
}

// inSeries is a surface behind which the thing itself yields with a stiffness (N/m; 0: does not yield).
func inSeries(s motion.Surface, stiffness float64) motion.Surface {
	if stiffness > 0 {
		share := stiffness / (stiffness + s.Stiffness)
		s.Stiffness *= share
		s.Damping *= share
		s.Shear *= share
	}
	return s
}
