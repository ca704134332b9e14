package hand

import (
	"fmt"
	"math"
)

// Cord is one tendon, or all tendons behind one differential seen as one: what it draws in as joints turn.
type Cord struct {
	Arms       []float64 // m/rad, one a joint: pulling turns a joint with a positive arm towards positive angles
	Compliance float64   // m/N, stretch; 0 does not stretch
	Motor      int       // which motor draws it
	Gain       float64   // m drawn per m of motor travel; 0 stands for 1
	// Closing and Opening are the levers (m/rad) with which the motor-side tension really turns the joints while the cord
	// slips one way or the other; nil stands for Arms, without friction. [Cord.Rubbing] fills them in.
	Closing, Opening []float64
}

// Way says which way cords slip, which decides what friction takes or gives.
type Way int

const (
	// Smooth leaves friction out.
	Smooth Way = iota
	// Closing is the motor drawing in: tension is lost on the way to the fingertip.
	Closing
	// Opening is the motor letting go, or fingers forced open: the far end of the cord is the tighter one.
	Opening
)

// Rubbing returns the cord with friction: curves (rad, one a joint) are what it passes between the joint before and this
// one, this joint's own included, from the motor outwards. Levers become the arms times [TensionAlong].
func (c Cord) Rubbing(curves []float64, friction float64) (Cord, error) {
	if len(curves) != len(c.Arms) {
		return Cord{}, fmt.Errorf("%d curves for a cord over %d joints", len(curves), len(c.Arms))
	}
	if !(friction >= 0) || math.IsInf(friction, 0) {
		return Cord{}, fmt.Errorf("friction coefficient is %g; it must be 0 or more", friction)
	}
	for i, v := range curves {
		if !(v >= 0) || math.IsInf(v, 0) {
			return Cord{}, fmt.Errorf("curve at joint %d is %g rad; it must be 0 or more", i+1, v)
		}
	}
	c.Closing, c.Opening = make([]float64, len(curves)), make([]float64, len(curves))
	TensionAlong(c.Closing, curves, friction, true)
	TensionAlong(c.Opening, curves, friction, false)
	for i, a := range c.Arms {
		c.Closing[i] *= a
		c.Opening[i] *= a
	}
	return c, nil
}

// levers returns what turns the joints one way.
func (c *Cord) levers(way Way) []float64 {
	switch {
	case way == Closing && c.Closing != nil:
		return c.Closing
	case way == Opening && c.Opening != nil:
		return c.Opening
	}
	return c.Arms
}

// Transmission takes motor travel to joint torques through cords that can pull but not push. Several cords on one motor
// with stretch each are fingers behind equalising springs; a finger that meets something then stops while the others go
// on against their springs. Behind a differential ([Split]) they go on at equal force.
type Transmission struct {
	arms       []float64    // cords × joints
	levers     [3][]float64 // by Way, cords × joints
	compliance []float64
	motor      []int
	gain       []float64
	joints     int
	motors     int
}

// NewTransmission checks the cords; motors are those that cords name, from 0. An error names the cord, counted from 1.
func NewTransmission(cords []Cord) (*Transmission, error) {
	if len(cords) == 0 {
		return nil, fmt.Errorf("a transmission needs at least one cord")
	}
	t := &Transmission{joints: len(cords[0].Arms)}
	for i, c := range cords {
		if len(c.Arms) != t.joints || t.joints == 0 {
			return nil, fmt.Errorf("cord %d: %d moment arms where the first cord has %d; give one a joint, 0 where it passes by", i+1, len(c.Arms), t.joints)
		}
		moves := false
		for j, a := range c.Arms {
			if math.IsNaN(a) || math.IsInf(a, 0) {
				return nil, fmt.Errorf("cord %d: moment arm at joint %d is %g", i+1, j+1, a)
			}
			moves = moves || a != 0
		}
		if !moves {
			return nil, fmt.Errorf("cord %d has no moment arm at any joint", i+1)
		}
		if !(c.Compliance >= 0) || math.IsInf(c.Compliance, 0) {
			return nil, fmt.Errorf("cord %d: compliance is %g m/N; it must be 0 or more", i+1, c.Compliance)
		}
		if c.Motor < 0 || c.Motor >= len(cords) {
			return nil, fmt.Errorf("cord %d: motor %d; motors are numbered from 0 and no more than cords", i+1, c.Motor)
		}
		if c.Gain == 0 {
			c.Gain = 1
		}
		if !(c.Gain > 0) || math.IsInf(c.Gain, 0) {
			return nil, fmt.Errorf("cord %d: gain is %g; it must be above 0", i+1, c.Gain)
		}
		t.arms = append(t.arms, c.Arms...)
		for way := range t.levers {
			levers := c.levers(Way(way))
			if len(levers) != t.joints {
				return nil, fmt.Errorf("cord %d: %d levers for %d joints", i+1, len(levers), t.joints)
			}
			t.levers[way] = append(t.levers[way], levers...)
		}
		t.compliance = append(t.compliance, c.Compliance)
		t.motor = append(t.motor, c.Motor)
		t.gain = append(t.gain, c.Gain)
		t.motors = max(t.motors, c.Motor+1)
	}
	return t, nil
}

// Cords returns how many cords there are, Motors how many motors, Joints how many joints.
func (t *Transmission) Cords() int { return len(t.compliance) }

// Motors returns how many motors draw the cords.
func (t *Transmission) Motors() int { return t.motors }

// Joints returns how many joints the cords run over.
func (t *Transmission) Joints() int { return t.joints }

// Drawn writes how much cord (m) the joint angles q take in, one figure a cord, counted from zero angles.
func (t *Transmission) Drawn(dst, q []float64) {
	for i := range t.compliance {
		sum := 0.0
		for j, a := range t.arms[i*t.joints : (i+1)*t.joints] {
			sum += a * q[j]
		}
		dst[i] = sum
	}
}

// Torque adds to torque (N m, one a joint) what tensions at the motor (N, one a cord) do while cords slip the given way.
// For Smooth it is the transpose of [Transmission.Drawn], by virtual work. An unknown way counts as Smooth.
func (t *Transmission) Torque(torque, tension []float64, way Way) {
	levers := t.turning(way)
	for i := range t.compliance {
		for j, a := range levers[i*t.joints : (i+1)*t.joints] {
			torque[j] += a * tension[i]
		}
	}
}

func (t *Transmission) turning(way Way) []float64 {
	if way < Smooth || way > Opening {
		way = Smooth
	}
	return t.levers[way]
}

// Tension writes the tensions (N) at joint angles q for motor travels (m); none where a cord is slack. Cords must
// stretch: one that does not has whatever tension its joints ask for, and gives NaN here.
func (t *Transmission) Tension(dst, travel, q []float64) {
	t.Drawn(dst, q)
	for i, c := range t.compliance {
		stretch := t.gain[i]*travel[t.motor[i]] - dst[i]
		switch {
		case c == 0:
			dst[i] = math.NaN()
		case stretch > 0:
			dst[i] = stretch / c
		default:
			dst[i] = 0
		}
	}
}

// Pull writes the force (N) that each motor has to bring up for the tensions.
func (t *Transmission) Pull(dst, tension []float64) {
	clear(dst[:t.motors])
	for i, m := range t.motor {
		dst[m] += t.gain[i] * tension[i]
	}
}

// Meeting are the gaps that joint motion can close: to an item, to stops. One row a gap.
type Meeting struct {
	Closing    [][]float64 // m/rad: how much of the gap a turning joint takes
	Gap        []float64   // m at zero joint angles; in rad for a stop whose row is in rad/rad
	Compliance []float64   // m/N of what is met; 0 is rigid
}

// Posture is a hand at rest.
type Posture struct {
	Q       []float64 // rad
	Tension []float64 // N, one a cord
	Force   []float64 // N, one a gap; 0 where it is open
	Travel  []float64 // m, one a motor: what was reached, below the command where the motor stalled
}

// Close returns where springs at the joints, cords and what the fingers meet come to rest when motors travel as
// commanded (m) but bring up no more than limit (N, one a motor; nil or infinite for no limit). Joints have rest angles
// and stiffnesses above 0. Moment arms and rows of gaps are taken as constant, so the answer is exact for pulleys and
// first-order for items. It solves, with B the rows of cords and (negative) of gaps and B′ the same with the levers of the
// way that cords slip (DESIGN.md, eq. 11):
//
//	K(q − rest) = B′ᵀλ,   λ ≥ 0,   slack or gap + compliance·λ ≥ 0,   one of each pair zero
//
// Friction so strong that hand and item could jam may leave it without an answer, which is an error.
func (t *Transmission) Close(way Way, rest, stiffness, travel, limit []float64, met Meeting) (Posture, error) {
	n, cords, gaps := t.joints, t.Cords(), len(met.Gap)
	if err := t.checkClose(rest, stiffness, travel, limit, met); err != nil {
		return Posture{}, err
	}
	var limited []int
	for m := range limit {
		if !math.IsInf(limit[m], 1) {
			limited = append(limited, m)
		}
	}
	size := cords + gaps + len(limited)
	matrix, offset := make([]float64, size*size), make([]float64, size)
	rows, turning := make([][]float64, cords+gaps), make([][]float64, cords+gaps)
	for i := range rows {
		rows[i] = make([]float64, n)
		turning[i] = rows[i]
		if i < cords {
			copy(rows[i], t.arms[i*n:(i+1)*n])
			turning[i] = t.turning(way)[i*n : (i+1)*n]
			offset[i] = -t.gain[i] * travel[t.motor[i]]
			matrix[i*size+i] = t.compliance[i]
		} else {
			for j, v := range met.Closing[i-cords] {
				rows[i][j] = -v
			}
			offset[i] = met.Gap[i-cords]
			matrix[i*size+i] = met.Compliance[i-cords]
		}
		for j, v := range rows[i] {
			offset[i] += v * rest[j]
		}
	}
	for i, a := range rows {
		for k, b := range turning {
			for j := range n {
				matrix[i*size+k] += a[j] * b[j] / stiffness[j]
			}
		}
	}
	for l, m := range limited {
		at := cords + gaps + l
		offset[at] = limit[m]
		for i := range cords {
			if t.motor[i] == m { // a motor that stalls yields travel
				matrix[i*size+at], matrix[at*size+i] = t.gain[i], -t.gain[i]
			}
		}
	}
	z, err := complementarity(matrix, offset)
	if err != nil {
		return Posture{}, err
	}
	p := Posture{
		Q: append([]float64(nil), rest...), Tension: z[:cords:cords], Force: z[cords : cords+gaps : cords+gaps],
		Travel: append([]float64(nil), travel...),
	}
	for i, row := range turning {
		for j, v := range row {
			p.Q[j] += v * z[i] / stiffness[j]
		}
	}
	for l, m := range limited {
		p.Travel[m] -= z[cords+gaps+l]
	}
	return p, nil
}

func (t *Transmission) checkClose(rest, stiffness, travel, limit []float64, met Meeting) error {
	n := t.joints
	if len(rest) != n || len(stiffness) != n {
		return fmt.Errorf("%d rest angles and %d stiffnesses for %d joints", len(rest), len(stiffness), n)
	}
	for j, k := range stiffness {
		if !(k > 0) || math.IsInf(k, 0) {
			return fmt.Errorf("joint %d: stiffness is %g; a joint that only cords move needs a spring above 0", j+1, k)
		}
	}
	if len(travel) != t.motors || limit != nil && len(limit) != t.motors {
		return fmt.Errorf("%d travels and %d force limits for %d motors", len(travel), len(limit), t.motors)
	}
	for m := range limit {
		if !(limit[m] >= 0) {
			return fmt.Errorf("motor %d: force limit is %g N; it must be 0 or more", m+1, limit[m])
		}
	}
	if len(met.Closing) != len(met.Gap) || len(met.Compliance) != len(met.Gap) {
		return fmt.Errorf("%d rows and %d compliances for %d gaps", len(met.Closing), len(met.Compliance), len(met.Gap))
	}
	for i := range met.Gap {
		if len(met.Closing[i]) != n || !(met.Compliance[i] >= 0) {
			return fmt.Errorf("gap %d: %d columns for %d joints, compliance %g m/N", i+1, len(met.Closing[i]), n, met.Compliance[i])
		}
		for j, v := range met.Closing[i] {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				return fmt.Errorf("gap %d: joint %d closes it by %g m/rad; that must be a number", i+1, j+1, v)
			}
		}
	}
	return nil
}

// Motor is what limits a tendon hand: how hard it pulls, and what it takes to push it back.
type Motor struct {
	Limit    float64 // N, at the cord, while it drives
	Backward float64 // N of cord tension that turns it back while it holds; infinite when it cannot be driven back
}

// Held returns how far a holding motor has been pushed back (m) when the fingers are forced open against it: it keeps its
// travel while the cord pulls less than Backward, and then gives way at that force. stiffness (N/m) is of the cord and
// the hand seen from the motor, opening (m) how far the fingers have drawn the cord out beyond travel.
func (m Motor) Held(opening, stiffness float64) (givenWay, tension float64) {
	tension = math.Max(0, stiffness*opening)
	if tension <= m.Backward {
		return 0, tension
	}
	return opening - m.Backward/stiffness, m.Backward
}
