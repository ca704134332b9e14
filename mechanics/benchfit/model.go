// Package benchfit brings a described hand's numbers to what a bench measured on one of its fingers: free bending and blocked
// force against pressure, a tendon's travel and tension against bending, force against deflection of the tip.
//
// What is fitted are factors on the description: the chambers' moment, the joints' stiffness against closing and sideways, the
// tendon's arms; and the tendon's friction and stretch. All fingers get the factors of the one that was measured. What the
// readings do not tell stays as described and is named.
package benchfit

import (
	"fmt"
	"math"
	"strings"

	"holdfast/mechanics/hand"
	"holdfast/mechanics/trialsim"
)

// Kind is what a curve shows.
type Kind string

// The curves that can be fitted: y over x, in SI units.
const (
	FreeBending  Kind = "free bending"            // rad over Pa
	Guided       Kind = "blocked force, guided"   // N over Pa
	TipHeld      Kind = "blocked force, tip held" // N over Pa
	Travel       Kind = "tendon travel"           // m over rad
	Tension      Kind = "tendon tension"          // N over rad
	PushClosing  Kind = "push along closing"      // N over m, at the tip, the tendon slack
	PushSideways Kind = "push sideways"           // N over m, at the tip
)

// Tendon says that the curve is a tendon's: it goes both ways, through the origin.
func (k Kind) Tendon() bool { return k == Travel || k == Tension }

// Curve is what a bench measured.
type Curve struct {
	Kind Kind
	From string // where the readings came from, for people; empty: not told
	X, Y []float64
	// Opening marks readings of a tendon that were taken while it went back, and pushes away from the palm's middle; nil: none was.
	Opening []bool

	bowed []float64 // of pushes: force of the deflected chain over that of small deflections
	// zero is what the bench's zero is off by: of travel (m) and pushes (N) added to y, of tension (rad) the angle at which the springs
	// would be slack. loose is that angle for the stretch of a travel.
	zero, loose float64
}

// label names the curve in errors.
func (c *Curve) label() string {
	if c.From == "" {
		return string(c.Kind)
	}
	return c.From + ", " + string(c.Kind)
}

// head is the label at the beginning of a sentence: names of files stand as they are.
func (c *Curve) head() string {
	if c.From == "" {
		return strings.ToUpper(string(c.Kind[:1])) + string(c.Kind[1:])
	}
	return c.label()
}

func (c *Curve) opening(i int) bool { return c.Opening != nil && c.Opening[i] }

// BothWays says that some readings were taken opening and some not.
func (c *Curve) BothWays() bool {
	closing, opening := c.ways()
	return closing && opening
}

// ways says whether readings were taken while the tendon was drawn, and while it went back.
func (c *Curve) ways() (closing, opening bool) {
	for i := range c.X {
		closing, opening = closing || !c.opening(i), opening || c.opening(i)
	}
	return closing, opening
}

// factors are on the description's values; friction is a coefficient, stretch is m/N.
type factors struct{ moment, closing, sideways, arms, friction, stretch float64 }

// bends says what a joint's turning does to the finger.
type bends int

const (
	neither  bends = iota // it slides or twists
	closes                // towards or away from the palm's middle
	sideways              // about the axis square to that
)

// bendsOf reads it off the joint's axis in the finger's frame: about y is closing, about x sideways.
func bendsOf(j hand.Joint) bends {
	switch {
	case j.Slides:
		return neither
	case math.Abs(j.Axis.Y) > math.Sqrt2/2:
		return closes
	case math.Abs(j.Axis.X) > math.Sqrt2/2:
		return sideways
	}
	return neither
}

// finger is what the curves' models need of a finger; one entry a joint.
type finger struct {
	name      string
	chain     *hand.Chain
	bends     []bends
	stiffness []float64    // N m/rad (N/m)
	reach     [][2]float64 // m/rad (m/m), along x and y, of the tip
	torque    []float64    // N m/Pa, towards closing
	arms      []float64    // m, towards closing
	wraps     []float64    // rad
	length    float64      // m, root to tip
	shared    bool         // its cord runs over other fingers too
	sheathed  bool         // the description names no curve of its cord
	unfilled  bool         // a chamber that opens it, or bends it aside, is taken to be without pressure
}

// sheath (rad) is the curve that friction is put on where a description has none: half a turn before the finger.
const sheath = math.Pi

// view takes from a hand what concerns a finger, and where the factors start: at the description.
func view(h *trialsim.Hand, at int) (f finger, start factors, err error) {
	start = factors{moment: 1, closing: 1, sideways: 1, arms: 1}
	if at < 0 || at >= len(h.Fingers) {
		return f, start, fmt.Errorf("finger %d is asked for; %s has %d", at+1, h.Name, len(h.Fingers))
	}
	first := 0
	for i := range at {
		first += h.Fingers[i].Chain.Joints()
	}
	f.name = h.Fingers[at].Name
	chain := h.Fingers[at].Chain
	f.chain = chain
	n := chain.Joints()
	state := upright(chain)
	_, tip, _ := state.Capsule(n - 1)
	f.length = tip.Z
	f.arms, f.wraps, f.torque = make([]float64, n), make([]float64, n), make([]float64, n)
	for j := range n {
		joint := chain.Joint(j)
		moved := state.Lever(j, tip)
		f.bends = append(f.bends, bendsOf(joint))
		f.stiffness, f.reach = append(f.stiffness, joint.Stiffness), append(f.reach, [2]float64{moved.X, moved.Y})
	}
	for i := range h.Chambers {
		f.fill(h.Chambers[i].Torque[first:], chain)
	}
	for i := range h.Cords {
		c := &h.Cords[i]
		if !f.lay(c, chain, first) {
			continue
		}
		if rubs(c.Wraps) {
			start.friction = c.Friction
		}
		f.shared = fingersOf(h, c) > 1
		if !f.shared && c.Stiffness > 0 {
			start.stretch = 1 / c.Stiffness
		}
		break
	}
	if !rubs(f.wraps) {
		for j, a := range f.arms {
			if a != 0 {
				f.wraps[j], f.sheathed = sheath, true
				break
			}
		}
	}
	return f, start, nil
}

// fill adds a chamber's torques (N m/Pa, one a joint) if it closes the finger: a bench that reads closing leaves the others empty.
func (f *finger) fill(torque []float64, chain *hand.Chain) {
	towards, size := 0.0, 0.0
	for j, b := range f.bends {
		if b != neither {
			size += math.Abs(torque[j])
		}
		if b == closes {
			towards -= torque[j] * chain.Joint(j).Axis.Y
		}
	}
	if size == 0 {
		return
	}
	if !(towards > 1e-9*size) { // rounding of a chamber that bends it aside
		f.unfilled = true
		return
	}
	for j, b := range f.bends {
		if b != neither {
			f.torque[j] -= torque[j] * chain.Joint(j).Axis.Y
		}
	}
}

// lay takes a cord's arms and curves over the finger whose joints begin at first; false where it does not close it.
func (f *finger) lay(c *trialsim.Cord, chain *hand.Chain, first int) (used bool) {
	for j := range f.arms {
		if a := c.Arms[first+j]; a != 0 && f.bends[j] == closes {
			f.arms[j], used = -a*chain.Joint(j).Axis.Y, true
		}
	}
	if used && c.Wraps != nil {
		copy(f.wraps, c.Wraps[first:])
	}
	return used
}

// fingersOf counts the fingers that a cord moves.
func fingersOf(h *trialsim.Hand, c *trialsim.Cord) (n int) {
	first := 0
	for i := range h.Fingers {
		joints := h.Fingers[i].Chain.Joints()
		for _, a := range c.Arms[first : first+joints] {
			if a != 0 {
				n++
				break
			}
		}
		first += joints
	}
	return n
}

func rubs(wraps []float64) bool {
	for _, w := range wraps {
		if w != 0 {
			return true
		}
	}
	return false
}

// of is the factor on the stiffness of a joint.
func (p factors) of(b bends) float64 {
	switch b {
	case closes:
		return p.closing
	case sideways:
		return p.sideways
	}
	return 1
}

// compliance is the sum of 1/k over joints of a kind, rad/(N m), with the factors.
func (f *finger) compliance(p factors, b bends) (sum float64) {
	for j, k := range f.stiffness {
		if k > 0 && f.bends[j] == b {
			sum += 1 / (k * p.of(b))
		}
	}
	return sum
}

// turnPerForce sums what a tension of 1 N does: turn (rad) and travel without stretch (m).
func (f *finger) turnPerForce(p factors, opening bool) (turn, travel float64) {
	curve, sign := 0.0, -1.0
	if opening {
		sign = 1
	}
	for j, a := range f.arms {
		curve += f.wraps[j]
		if a == 0 || !(f.stiffness[j] > 0) {
			continue
		}
		// Around a curve the tension falls by exp(−µφ) when the tendon is drawn, and grows when it goes back.
		t := p.arms * a * math.Exp(sign*p.friction*curve) / (f.stiffness[j] * p.closing)
		turn, travel = turn+t, travel+t*p.arms*a
	}
	return turn, travel
}

// predict fills y with what the finger does at the places of a curve.
func (f *finger) predict(c *Curve, p factors, y []float64) {
	turn := 0.0 // rad/Pa, free
	base := 0.0 // N m/Pa at the root
	for j, t := range f.torque {
		if f.bends[j] == closes && f.stiffness[j] > 0 {
			turn += p.moment * t / (f.stiffness[j] * p.closing)
			if base == 0 {
				base = p.moment * t
			}
		}
	}
	pushed := [2]float64{} // m/N at the tip
	for j, k := range f.stiffness {
		if k > 0 {
			for axis := range 2 {
				pushed[axis] += f.reach[j][axis] * f.reach[j][axis] / (k * p.of(f.bends[j]))
			}
		}
	}
	var drawn, travelled [2]float64 // by way: while it closes, while it opens
	drawn[0], travelled[0] = f.turnPerForce(p, false)
	drawn[1], travelled[1] = f.turnPerForce(p, true)
	held := f.length * f.compliance(p, closes)
	for i, x := range c.X {
		way := 0
		if c.opening(i) {
			way = 1
		}
		switch c.Kind {
		case FreeBending:
			y[i] = turn * x
		case Guided:
			y[i] = hand.GuidedForce(base*x, f.length)
		case TipHeld:
			y[i] = heldLoad(turn*x) / held
		case Travel:
			y[i] = (x*travelled[way]+(x+c.loose)*p.stretch)/drawn[way] + c.zero
		case Tension:
			y[i] = (x + c.zero) / drawn[way]
		case PushClosing:
			y[i] = x / pushed[0]
		case PushSideways:
			y[i] = x / pushed[1]
		}
		if c.bowed != nil {
			y[i] = y[i]*c.bowed[i] + c.zero
		}
	}
}
