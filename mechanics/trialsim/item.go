package trialsim

import (
	"fmt"
	"math"

	"holdfast/mechanics/shape"
	"holdfast/orient"
)

// Item is a family of things to pick: no two have the same size. A planner is told only what stands here, never which of them
// lies there.
type Item struct {
	Name  string
	Shape shape.Solid     // of mean size
	Rest  orient.Rotation // how it lies in the setting: its own frame to the setting's
	Mass  float64         // kg, mean
	// Centre (m) is where the centre of mass lies in the shape's own frame, and Gyration (m) are the radii of gyration about it along
	// that frame's axes, both of the mean size; zero: evenly filled. A planner does not know of them: it sees the shape.
	Centre, Gyration orient.Vec3
	// Spreads are standard deviations as shares of the mean. Size spreads all lengths of one item alike.
	SizeSpread, MassSpread, FrictionSpread, StiffnessSpread float64
	// Heading (rad) is the standard deviation of its turn about the vertical.
	Heading float64
	// Friction multiplies that of the hand's skin: 1 for a clean dry surface, less for icing or flour.
	Friction float64
	// Stiffness (N/m) is how the item itself yields under a finger, in series with what touches it; 0: hard.
	Stiffness float64
	// Rolling (m) is its coefficient of rolling resistance on what stands: a torque of at most Rolling times the normal force. Half
	// the width of the flat that it bears on is a bound; 0: it rolls for ever.
	Rolling float64
	// Modulus (Pa) is E/(1 − ν²) of its flesh, for the pressure under a finger; 0: hard.
	Modulus float64
	// DamagePressure (Pa) and DamageForce (N, of one contact) are what it stands; 0: not known, nothing is said.
	DamagePressure, DamageForce float64
}

// Check says what of the item can not be simulated.
func (it *Item) Check() error {
	if it.Shape == nil {
		return fmt.Errorf("the item has no shape")
	}
	if !(it.Mass > 0) || math.IsInf(it.Mass, 0) {
		return fmt.Errorf("the item weighs %g kg; it must weigh something", it.Mass)
	}
	for _, v := range []struct {
		name  string
		value float64
	}{{"size", it.SizeSpread}, {"mass", it.MassSpread}, {"friction", it.FrictionSpread}, {"stiffness", it.StiffnessSpread}} {
		if !(v.value >= 0 && v.value <= 0.5) {
			return fmt.Errorf("the item's %s spreads by %g of its mean; 0 to 0.5 make sense", v.name, v.value)
		}
	}
	for _, v := range []struct {
		name  string
		value float64
	}{{"heading", it.Heading}, {"friction", it.Friction}, {"stiffness", it.Stiffness}, {"rolling resistance", it.Rolling}, {"modulus", it.Modulus},
		{"pressure that damages it", it.DamagePressure}, {"force that damages it", it.DamageForce}} {
		if !(v.value >= 0) || math.IsInf(v.value, 0) {
			return fmt.Errorf("the item's %s is %g; it must be a number, 0 or more", v.name, v.value)
		}
	}
	if math.Abs(it.Rest.Norm()-1) > 1e-6 {
		return fmt.Errorf("the item's rest is no rotation: its quaternion has the norm %g", it.Rest.Norm())
	}
	_, err := it.filled()
	return err
}

// filled is the solid of mean size with its filling.
func (it *Item) filled() (shape.Solid, error) {
	if it.Centre == (orient.Vec3{}) && it.Gyration == (orient.Vec3{}) {
		return it.Shape, nil
	}
	return shape.NewWeighted(it.Shape, it.Centre, it.Gyration)
}
