package hand

import (
	"fmt"
	"math"
)

// Rod is a straight elastic finger of even section along z, to be cut into rigid segments. Stiffness in a direction that is
// zero means that it does not give there.
type Rod struct {
	Length float64 // m
	BendX  float64 // N m², resists bending about x
	BendY  float64 // N m², resists bending about y
	Twist  float64 // N m², resists torsion about z
	Mass   float64 // kg, spread evenly
	Radius float64 // m, of the capsules
	Loss   float64 // s, damping over stiffness of every joint
}

// Segments cuts the rod into n parts with an elastic joint in the middle of each, so that the links between are whole and
// the first and last half as long. Joints in the middle make the chain converge with the square of n; joints at the
// starts of the parts would only converge with n (DESIGN.md, eq. 5). A part that gives in several directions gets as many
// joints in one place, perSegment in all: the two bendings, then twist. Which bending comes first alternates from part to
// part, because the inner axis turns with the outer one: what this does sideways then cancels from one part to the next
// and falls with the square of n too. The last link carries the tip at its To.
func (r Rod) Segments(n int) (joints []Joint, perSegment int, err error) {
	if n < 1 || n > 1000 {
		return nil, 0, fmt.Errorf("%d segments; 1 to 1000 make sense", n)
	}
	for _, v := range [...]struct {
		name  string
		value float64
		zero  bool
	}{{"length", r.Length, false}, {"mass", r.Mass, false}, {"bending stiffness about x", r.BendX, true}, {"bending stiffness about y", r.BendY, true},
		{"torsional stiffness", r.Twist, true}, {"radius", r.Radius, true}, {"damping", r.Loss, true}} {
		if !(v.value >= 0) || math.IsInf(v.value, 0) || !v.zero && v.value == 0 {
			return nil, 0, fmt.Errorf("the rod's %s is %g", v.name, v.value)
		}
	}
	part := r.Length / float64(n)
	for i := range n {
		origin, length := Vec{Z: part}, part
		if i == 0 {
			origin.Z = part / 2
		}
		if i == n-1 {
			length = part / 2
		}
		first := len(joints)
		gives := [...]struct {
			axis    Vec
			bending float64
		}{{Vec{X: 1}, r.BendX}, {Vec{Y: 1}, r.BendY}, {Vec{Z: 1}, r.Twist}}
		if i%2 == 1 {
			gives[0], gives[1] = gives[1], gives[0]
		}
		for _, d := range gives {
			if d.bending == 0 {
				continue
			}
			k := d.bending / part
			joints = append(joints, Joint{Origin: origin, Axis: d.axis, Stiffness: k, Damping: r.Loss * k, Link: Link{Radius: r.Radius}})
			origin = Vec{}
		}
		perSegment = len(joints) - first
		if perSegment == 0 {
			return nil, 0, fmt.Errorf("the rod gives in no direction; set a stiffness")
		}
		joints[len(joints)-1].Link = slenderLink(length, r.Radius, r.Mass*length/r.Length)
	}
	return joints, perSegment, nil
}

// slenderLink is a link along z whose mass is spread over its length, as a slice of a cylinder; its capsule is as long.
func slenderLink(length, radius, mass float64) Link {
	across := mass * (length*length/12 + radius*radius/4)
	return Link{
		To: Vec{Z: length}, Radius: radius, Mass: mass, Centre: Vec{Z: length / 2},
		Inertia: Inertia{XX: across, YY: across, ZZ: mass * radius * radius / 2},
	}
}
