package grasp

import (
	"fmt"
	"math"

	"holdfast/orient"
)

// Kind says which forces a contact passes on besides its normal force.
type Kind uint8

// The kinds of contact.
const (
	Frictionless Kind = iota // the normal force alone
	Hard                     // and shear, within the friction cone
	Soft                     // and a torque about the normal, within an ellipsoid with the shear
)

// String names the kind.
func (k Kind) String() string {
	switch k {
	case Frictionless:
		return "frictionless"
	case Hard:
		return "hard finger"
	case Soft:
		return "soft finger"
	}
	return fmt.Sprintf("Kind(%d)", uint8(k))
}

// Contact is one place where a finger, or the surroundings, touches the item. Tangent1, Tangent2 and Inward are unit
// vectors and form a right-handed frame.
type Contact struct {
	At                 orient.Vec3 // m
	Inward             orient.Vec3 // the normal, into the item
	Tangent1, Tangent2 orient.Vec3
	Kind               Kind
	Friction           float64 // μ, of Hard and Soft
	Torsion            float64 // γ in m, of Soft: the torque about the normal that a normal force of 1 N holds against spin
}

// Force is what passes through a contact, in the contact's own frame.
type Force struct {
	Shear1, Shear2 float64 // N, along Tangent1 and Tangent2
	Normal         float64 // N, along Inward
	Torsion        float64 // N m, about Inward
}

// NewContact completes a contact by a tangent frame made from its normal (of any length): T. Duff et al., "Building an
// orthonormal basis, revisited", J. Computer Graphics Techniques 6(1), 2017, from memory. The frame is orthonormal to
// rounding for every normal and turns steadily with it, but for a jump where the normal crosses the plane z = 0. No
// result for true cones depends on it.
func NewContact(at, inward orient.Vec3, kind Kind, friction, torsion float64) Contact {
	c := Contact{At: at, Inward: inward, Kind: kind, Friction: friction, Torsion: torsion}
	if n := inward.Norm(); n > 0 {
		c.Inward = inward.Scale(1 / n)
	}
	x, y, z := c.Inward[0], c.Inward[1], c.Inward[2]
	sign := math.Copysign(1, z)
	a := -1 / (sign + z)
	b := x * y * a
	c.Tangent1 = orient.Vec3{1 + sign*x*x*a, sign * b, -sign * x}
	c.Tangent2 = orient.Vec3{b, sign + y*y*a, -y}
	return c
}

// frameTolerance is how far from orthonormal a contact's frame may be; measured frames come with rounding.
const frameTolerance = 1e-6

// Validate says what is wrong with a contact.
func (c Contact) Validate() error {
	for _, v := range [][3]float64{c.At, c.Inward, c.Tangent1, c.Tangent2} {
		for _, x := range v {
			if math.IsNaN(x) || math.IsInf(x, 0) {
				return fmt.Errorf("position, normal and tangents must be finite numbers")
			}
		}
	}
	if math.Abs(c.Inward.Norm()-1) > frameTolerance {
		return fmt.Errorf("the normal has length %.3g, it must be 1: scale it, or use NewContact", c.Inward.Norm())
	}
	if c.Tangent1.Cross(c.Tangent2).Add(c.Inward.Scale(-1)).Norm() > frameTolerance ||
		math.Abs(c.Tangent1.Norm()-1) > frameTolerance || math.Abs(c.Tangent2.Norm()-1) > frameTolerance {
		return fmt.Errorf("tangents and normal must form a right-handed frame of unit vectors: use NewContact")
	}
	if c.Kind > Soft {
		return fmt.Errorf("contact kind %d does not exist", c.Kind)
	}
	if c.Kind != Frictionless && !(c.Friction >= 0 && !math.IsInf(c.Friction, 0)) {
		return fmt.Errorf("friction is %g, it must be 0 or more and finite", c.Friction)
	}
	if c.Kind == Soft && !(c.Torsion >= 0 && !math.IsInf(c.Torsion, 0)) {
		return fmt.Errorf("the torsion length is %g m, it must be 0 or more and finite", c.Torsion)
	}
	return nil
}

// wrenches writes the wrench of a unit of each force component about the origin, torque over length: shear along both
// tangents, normal force, torsion.
func (c *Contact) wrenches(origin orient.Vec3, length float64) (w [4][6]float64) {
	arm := c.At.Add(origin.Scale(-1))
	for k, along := range [3]orient.Vec3{c.Tangent1, c.Tangent2, c.Inward} {
		torque := arm.Cross(along).Scale(1 / length)
		w[k] = [6]float64{along[0], along[1], along[2], torque[0], torque[1], torque[2]}
	}
	spin := c.Inward.Scale(1 / length)
	w[3] = [6]float64{3: spin[0], 4: spin[1], 5: spin[2]}
	return w
}

// Use returns how much of the contact's friction a force uses: 1 is slip, 0 a purely normal force, and infinity a
// force that friction cannot give at all. For a soft finger it is the root of (shear/μN)² + (torque/γN)² (the ellipse
// of N. Xydas, I. Kao, IJRR 18 (1999) 941; abstract read).
func (c *Contact) Use(f Force) float64 {
	var shear, torsion float64
	switch {
	case math.IsNaN(f.Normal):
		return math.NaN()
	case c.Kind == Frictionless || c.Friction == 0:
		shear = share(math.Hypot(f.Shear1, f.Shear2), 0)
	default:
		shear = share(math.Hypot(f.Shear1, f.Shear2), c.Friction*f.Normal)
	}
	if c.Kind == Soft {
		torsion = share(math.Abs(f.Torsion), c.Torsion*f.Normal)
	} else {
		torsion = share(math.Abs(f.Torsion), 0)
	}
	return math.Hypot(shear, torsion)
}

func share(of, limit float64) float64 {
	switch {
	case of == 0:
		return 0
	case limit <= 0:
		return math.Inf(1)
	}
	return of / limit
}

// Reserve returns the further shear (N) in the worst direction that makes the contact slip while normal force and
// torsion stay as they are; negative when the force lies outside the limit by that much already. A frictionless contact
// has none.
func (c *Contact) Reserve(f Force) float64 {
	if c.Kind == Frictionless {
		return -math.Hypot(f.Shear1, f.Shear2)
	}
	left := 1.0
	if c.Kind == Soft {
		t := share(math.Abs(f.Torsion), c.Torsion*f.Normal)
		left = math.Sqrt(math.Max(0, 1-t*t))
	}
	return c.Friction*math.Max(0, f.Normal)*left - math.Hypot(f.Shear1, f.Shear2)
}
