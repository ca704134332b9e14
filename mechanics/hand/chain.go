package hand

import (
	"fmt"
	"math"
)

// Link is one rigid part of a finger: a capsule with mass. Points are in the link's frame, which sits at the link's joint,
// goes along where that slides, and is parallel to the base's frame while every joint angle is zero.
type Link struct {
	From, To Vec     // m, ends of the capsule's middle line
	Radius   float64 // m
	Mass     float64 // kg; a link without mass is allowed before one with mass, as in a joint with two axes
	Centre   Vec     // m, centre of mass
	Inertia  Inertia // about the centre of mass
}

// SolidCapsule returns the link whose mass fills its capsule evenly: a cylinder with two half balls.
func SolidCapsule(from, to Vec, radius, mass float64) Link {
	l := Link{From: from, To: to, Radius: radius, Mass: mass, Centre: from.Add(to).Scale(0.5)}
	axis := to.Sub(from)
	length := axis.Norm()
	if length > 0 {
		axis = axis.Scale(1 / length)
	}
	r2 := radius * radius
	cylinder, balls := mass, 0.0
	if radius > 0 {
		balls = mass * (4. / 3 * radius) / (length + 4./3*radius)
		cylinder = mass - balls
	}
	// The centre of a half ball lies 3/8 of its radius outside its flat; its own moment about a diameter of the flat is
	// that of the whole ball.
	along := cylinder*r2/2 + balls*r2*0.4
	across := cylinder*(r2/4+length*length/12) + balls*(0.4*r2+length*length/4+0.375*length*radius)
	d := along - across
	l.Inertia = Inertia{
		across + d*axis.X*axis.X, across + d*axis.Y*axis.Y, across + d*axis.Z*axis.Z,
		d * axis.X * axis.Y, d * axis.X * axis.Z, d * axis.Y * axis.Z,
	}
	return l
}

// Stops are the ends of a joint's travel. They are springs that take hold over a short ramp, not hard walls: the stops of
// a compliant hand are rubber or touching skin, a stiff spring can be taken implicitly by the time step like any other,
// and its torque has a continuous slope. The zero value has no stops. Units are those of a joint that turns; for one that
// slides read m for rad and N for N m, as everywhere in this package.
type Stops struct {
	Lower, Upper float64 // rad, where the stops begin to act; both zero: no stops
	Stiffness    float64 // N m/rad beyond the ramp
	Ramp         float64 // rad over which the stiffness comes in; 0 stands for 0.02, for a joint that slides for 0.2 mm
}

const (
	defaultRamp      = 0.02 // rad
	defaultSlideRamp = 2e-4 // m
)

// none says that nothing ends the joint's travel.
func (s *Stops) none() bool { return s.Lower == 0 && s.Upper == 0 }

// overrun returns torque (N m, ≥ 0) and stiffness of a stop pressed in by x (rad).
func (s *Stops) overrun(x float64) (torque, stiffness float64) {
	if x < s.Ramp {
		k := s.Stiffness * x / s.Ramp
		return k * x / 2, k
	}
	return s.Stiffness * (x - s.Ramp/2), s.Stiffness
}

// energy is what a stop pressed in by x (rad) has stored, J.
func (s *Stops) energy(x float64) float64 {
	if x <= 0 {
		return 0
	}
	if x < s.Ramp {
		return s.Stiffness * x * x * x / (6 * s.Ramp)
	}
	y := x - s.Ramp
	return s.Stiffness * (s.Ramp*s.Ramp/6 + s.Ramp*y/2 + y*y/2)
}

// Joint is an elastic joint together with the link that it carries. It turns about its axis, or slides along it; then its
// coordinate is in m, and what multiplies it to a torque gives a force: N/m, N s/m, kg.
type Joint struct {
	Slides    bool    // along the axis, as a jaw on its rail or a fingertip on a spring does
	Origin    Vec     // m, in the frame of the link before, of the base for the first joint; for one that slides where it is at 0
	Axis      Vec     // direction, in the link's frame; a positive angle turns right-handed about it
	Rest      float64 // rad (m), where the spring is slack
	Stiffness float64 // N m/rad (N/m)
	Damping   float64 // N m s/rad (N s/m)
	Armature  float64 // kg m² (kg), of what moves with this joint alone, as a pulley on its shaft
	Stops     Stops
	Link      Link
}

// Chain is a finger: joints in series from a base whose motion is prescribed. It does not change after [NewChain]; what
// changes lies in a [State], so that many workers can share one chain.
type Chain struct {
	joints []part
	// All joints turn about this coordinate axis; 0: not so.
	plane  byte
	levels []level
}

// part is a joint with what the recursions want to know of it beforehand.
type part struct {
	Joint
	// The axis is a coordinate axis ('x', 'y', 'z'), times sign: then a turn mixes two columns only. 0 and 1 for none.
	coordinate byte
	sign       float64
	// The inertia is across·1 + excess·along·alongᵀ, as of every body of revolution: then it turns as one vector does.
	round          bool
	along          Vec
	across, excess float64
}

// study fills in what follows from the joint, whose axis has unit length.
func (p *part) study() {
	p.sign = 1
	for _, c := range [...]struct {
		name byte
		axis Vec
	}{{'x', Vec{X: 1}}, {'y', Vec{Y: 1}}, {'z', Vec{Z: 1}}} {
		// The scalar product alone would round to 1 for an axis 1e-8 rad beside.
		if d := p.Axis.Dot(c.axis); p.Axis == c.axis.Scale(d) {
			p.coordinate, p.sign = c.name, d
		}
	}
	p.along = p.Link.To.Sub(p.Link.From)
	if l := p.along.Norm(); l > 0 {
		p.along = p.along.Scale(1 / l)
	} else {
		p.along = Vec{Z: 1}
	}
	i, u := &p.Link.Inertia, p.along
	p.excess = (3*u.Dot(i.apply(u)) - (i.XX + i.YY + i.ZZ)) / 2
	p.across = u.Dot(i.apply(u)) - p.excess
	rebuilt := Inertia{
		p.across + p.excess*u.X*u.X, p.across + p.excess*u.Y*u.Y, p.across + p.excess*u.Z*u.Z,
		p.excess * u.X * u.Y, p.excess * u.X * u.Z, p.excess * u.Y * u.Z,
	}
	worst := 0.0
	for _, d := range [...]float64{
		rebuilt.XX - i.XX, rebuilt.YY - i.YY, rebuilt.ZZ - i.ZZ, rebuilt.XY - i.XY, rebuilt.XZ - i.XZ, rebuilt.YZ - i.YZ,
	} {
		worst = math.Max(worst, math.Abs(d))
	}
	p.round = worst <= 1e-14*(i.XX+i.YY+i.ZZ)
}

// NewChain checks the joints and makes axes unit vectors. An error names the joint, counted from 1 at the base.
func NewChain(joints []Joint) (*Chain, error) {
	if len(joints) == 0 {
		return nil, fmt.Errorf("a finger needs at least one joint")
	}
	c := &Chain{joints: make([]part, len(joints))}
	for i := range joints {
		c.joints[i].Joint = joints[i]
	}
	outboard := 0.0
	for i := len(c.joints) - 1; i >= 0; i-- {
		j := &c.joints[i]
		outboard += j.Link.Mass
		if err := j.check(); err != nil {
			return nil, fmt.Errorf("joint %d: %w", i+1, err)
		}
		if outboard == 0 && j.Armature == 0 {
			return nil, fmt.Errorf("joint %d: neither it nor any link after it has mass, so nothing resists its acceleration; give the link a mass or the joint an armature", i+1)
		}
		j.Axis = j.Axis.Scale(1 / j.Axis.Norm())
		switch {
		case j.Stops.Ramp > 0:
		case j.Slides:
			j.Stops.Ramp = defaultSlideRamp
		default:
			j.Stops.Ramp = defaultRamp
		}
		j.study()
	}
	c.flatten()
	return c, nil
}

func (j *Joint) check() error {
	for _, v := range [...]struct {
		name  string
		value float64
	}{
		{"stiffness", j.Stiffness}, {"damping", j.Damping}, {"armature", j.Armature}, {"stop stiffness", j.Stops.Stiffness},
		{"stop ramp", j.Stops.Ramp}, {"link mass", j.Link.Mass}, {"link radius", j.Link.Radius},
	} {
		if !(v.value >= 0) || math.IsInf(v.value, 0) {
			return fmt.Errorf("%s is %g; it must be 0 or more", v.name, v.value)
		}
	}
	for _, v := range [...]struct {
		name  string
		value Vec
	}{{"origin", j.Origin}, {"axis", j.Axis}, {"link start", j.Link.From}, {"link end", j.Link.To}, {"link centre of mass", j.Link.Centre}} {
		if !v.value.finite() {
			return fmt.Errorf("%s %v is not finite", v.name, v.value)
		}
	}
	if n := j.Axis.Norm(); !(n > 0) || math.IsInf(n, 0) {
		return fmt.Errorf("axis has no direction")
	}
	if math.IsNaN(j.Rest) || math.IsInf(j.Rest, 0) {
		return fmt.Errorf("rest is %g; it must be a number", j.Rest)
	}
	if !(j.Stops.Lower <= j.Stops.Upper) {
		unit := "rad"
		if j.Slides {
			unit = "m"
		}
		return fmt.Errorf("lower stop %g %s lies above the upper one %g %s", j.Stops.Lower, unit, j.Stops.Upper, unit)
	}
	if !j.Stops.none() && !(j.Stops.Stiffness > 0) {
		return fmt.Errorf("stops need a stiffness above 0")
	}
	if !j.Link.Inertia.physical() {
		return fmt.Errorf("link inertia %+v is none that a body can have: a principal moment is negative or above the sum of the other two", j.Link.Inertia)
	}
	return nil
}

// Joints returns how many joints the chain has.
func (c *Chain) Joints() int { return len(c.joints) }

// Joint returns joint i, counted from 0 at the base, with its axis of unit length.
func (c *Chain) Joint(i int) Joint { return c.joints[i].Joint }

// elastic returns the torque of spring and stops of a joint at q and their stiffness −dτ/dq.
func (j *Joint) elastic(q float64) (torque, stiffness float64) {
	torque, stiffness = j.Stiffness*(j.Rest-q), j.Stiffness
	if j.Stops.none() {
		return torque, stiffness
	}
	if x := q - j.Stops.Upper; x > 0 {
		t, k := j.Stops.overrun(x)
		return torque - t, stiffness + k
	}
	if x := j.Stops.Lower - q; x > 0 {
		t, k := j.Stops.overrun(x)
		return torque + t, stiffness + k
	}
	return torque, stiffness
}

// energy is what spring and stops have stored at q, J.
func (j *Joint) energy(q float64) float64 {
	e := j.Stiffness * (q - j.Rest) * (q - j.Rest) / 2
	if j.Stops.none() {
		return e
	}
	return e + j.Stops.energy(q-j.Stops.Upper) + j.Stops.energy(j.Stops.Lower-q)
}
