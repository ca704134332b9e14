package trialsim

import (
	"errors"
	"math"

	"holdfast/mechanics/grasp"
	"holdfast/orient"
)

// Holding is what the contacts can bear with which a hand holds an item: what mechanics/grasp says of them as point contacts with
// true friction cones, with moments about the item's centre of mass.
type Holding struct {
	Contacts int
	// Closure says that forces within friction resist every small wrench. Margin is the largest-ball wrench margin with the sum
	// of the normal forces bounded, torques over Length (m), the mean distance of the contacts from the centre of mass.
	Closure                  bool
	MarginLower, MarginUpper float64
	Length                   float64
	// Payload is how much more force (N) along +x, −x, +y, −y, +z, −z of the setting the item stands on top of its weight
	// before something slips, when no contact pushes harder than it does. Zero: its weight is already more.
	Payload [6]float64
	// Squeeze is the sum (N) of the sizes of the contact forces' internal part, which only presses the item together.
	Squeeze float64
	// Use is the largest share of its friction that a contact uses, Reserve the smallest further shear (N) that makes one
	// slip. Tightest and Loosest are their places among the contacts.
	Use, Reserve      float64
	Tightest, Loosest int
}

// ErrNothingHeld is told when there are no contacts to look at.
var ErrNothingHeld = errors.New("nothing of the hand touches the item")

// Hold says what the contacts of a held item can bear; mass in kg, gravity in m/s².
func (r *Result) Hold(gravity float64) (Holding, error) {
	if len(r.Contacts) == 0 {
		return Holding{}, ErrNothingHeld
	}
	h := Holding{Contacts: len(r.Contacts)}
	contacts := make([]grasp.Contact, len(r.Contacts))
	forces, loads := make([]grasp.Force, len(r.Contacts)), make([]float64, len(r.Contacts))
	for i, c := range r.Contacts {
		h.Length += sub(c.Point, r.Centre).Norm() / float64(len(r.Contacts))
		contacts[i] = grasp.NewContact(c.Point, c.Normal, grasp.Hard, c.Friction, 0)
		k := &contacts[i]
		forces[i] = grasp.Force{Shear1: c.Force.Dot(k.Tangent1), Shear2: c.Force.Dot(k.Tangent2), Normal: c.Force.Dot(k.Inward)}
		loads[i] = math.Max(forces[i].Normal, 0)
	}
	g, err := grasp.New(contacts, r.Centre, h.Length)
	if err != nil {
		return h, err
	}
	closure, _, err := g.Closure(grasp.Cones)
	if err != nil {
		return h, err
	}
	h.Closure = closure
	margin, err := g.Margin(grasp.Total, grasp.Cones, grasp.DefaultEffort)
	if err != nil {
		return h, err
	}
	h.MarginLower, h.MarginUpper = margin.Lower, margin.Upper
	weight := grasp.Wrench{Force: orient.Vec3{0, 0, -r.Mass * gravity}}
	for k := range h.Payload {
		var push grasp.Wrench
		push.Force[k/2] = 1 - 2*float64(k%2)
		hold, err := g.Payload(push, weight, loads, grasp.Cones)
		if errors.Is(err, grasp.ErrCannotCarry) {
			continue
		}
		if err != nil {
			return h, err
		}
		h.Payload[k] = hold.Factor
	}
	if _, internal, err := g.Decompose(forces); err == nil {
		for _, f := range internal {
			h.Squeeze += math.Sqrt(f.Normal*f.Normal + f.Shear1*f.Shear1 + f.Shear2*f.Shear2)
		}
	}
	slip := g.Slip(forces)
	h.Use, h.Reserve, h.Tightest, h.Loosest = slip.Use, slip.Reserve, slip.Contact, slip.Loosest
	return h, nil
}
