package trialsim

import (
	"math"

	"holdfast/mechanics/hand"
	"holdfast/mechanics/motion"
)

// drive is what closes the hand: motors with their cords, and chambers. Each cord is one row of the solver. A motor of several
// cords, or one that rubs, is one more velocity with a row that holds it where it is told to be and one for the friction of its gear.
type drive struct {
	rows     []motion.Row
	motors   []slide
	cords    []cord
	pressure []float64 // Pa, one a chamber
	torque   []float64 // N·m of the chambers, one a joint of all fingers; nil: no chambers
	command  float64
}

// slide is a motor that draws several cords or has friction.
type slide struct {
	at            int // of its speed in v; negative: the motor has one cord, no friction and no slide
	travel, speed float64
	servo, rub    int // rows
	one           [2]float64
}

// cord is a tendon in motion.
type cord struct {
	row     int
	levers  []float64 // what its tension turns the joints with, one a joint of all fingers
	fingers []int     // over which it runs, in the order of the row's sides
	// slip goes from −1 (paying out) to 1 (drawing in): friction turns round within a short way.
	slip   float64
	behind []float64 // rad, the curves up to each joint
}

// turnaround (m) is the way of the cord within which its friction turns round.
const turnaround = 2e-4

func (d *drive) prepare(h *Hand, at int) int {
	d.motors = make([]slide, len(h.Motors))
	for i := range h.Motors {
		m := &d.motors[i]
		m.at = -1
		if !h.slides(i) {
			continue
		}
		m.at = at
		at++
		m.one = [2]float64{1, 1 / h.Motors[i].Inertia}
		m.servo = len(d.rows)
		d.rows = append(d.rows, motion.Row{Sides: []motion.Side{{At: m.at, N: 1, J: m.one[:1], B: m.one[1:]}}})
		m.rub = -1
		if h.Motors[i].Friction > 0 {
			m.rub = len(d.rows)
			d.rows = append(d.rows, motion.Row{Sides: []motion.Side{{At: m.at, N: 1, J: m.one[:1], B: m.one[1:]}}})
		}
	}
	d.pressure = make([]float64, len(h.Chambers))
	if len(h.Chambers) > 0 {
		d.torque = make([]float64, h.Joints())
	}
	return at
}

// connect lays the cords over the fingers' velocities.
func (d *drive) connect(h *Hand, fingers []finger) {
	for i := range h.Cords {
		c := &h.Cords[i]
		m := cord{row: len(d.rows), levers: append([]float64(nil), c.Arms...)}
		if c.Friction > 0 && len(c.Wraps) > 0 {
			m.behind = make([]float64, len(c.Wraps))
			// Each finger has its own branch of the cord.
			for k := range fingers {
				sum := 0.0
				for j := fingers[k].first; j < fingers[k].first+fingers[k].n; j++ {
					sum += c.Wraps[j]
					m.behind[j] = sum
				}
			}
		}
		var sides []motion.Side
		for k := range fingers {
			f := &fingers[k]
			arms := c.Arms[f.first : f.first+f.n]
			if used(arms) {
				m.fingers = append(m.fingers, k)
				sides = append(sides, motion.Side{At: f.at, N: f.n, J: arms, B: make([]float64, f.n)})
			}
		}
		if s := &d.motors[c.Motor]; s.at >= 0 {
			gain := gainOf(c)
			sides = append(sides, motion.Side{At: s.at, N: 1, J: []float64{-gain}, B: []float64{-gain / h.Motors[c.Motor].Inertia}})
		}
		d.rows = append(d.rows, motion.Row{Sides: sides})
		d.cords = append(d.cords, m)
	}
}

func used(arms []float64) bool {
	for _, a := range arms {
		if a != 0 {
			return true
		}
	}
	return false
}

func gainOf(c *Cord) float64 {
	if c.Gain == 0 {
		return 1
	}
	return c.Gain
}

func (d *drive) begin(command float64) {
	for i := range d.rows {
		d.rows[i].Impulse = 0
	}
	for i := range d.motors {
		d.motors[i].travel, d.motors[i].speed = 0, 0
	}
	for i := range d.cords {
		d.cords[i].slip = 0
	}
	clear(d.pressure)
	clear(d.torque)
	d.command = command
}

// fill brings the chambers on and works out what they turn the joints with.
func (d *drive) fill(h *Hand, command, step float64) {
	clear(d.torque)
	for i := range h.Chambers {
		c := &h.Chambers[i]
		want, constant := command*c.Pressure, c.Filling
		if want < d.pressure[i] {
			constant = c.Venting
		}
		d.pressure[i] = hand.Fill(d.pressure[i], want, constant, step)
		for j, t := range c.Torque {
			d.torque[j] += t * d.pressure[i]
		}
	}
}

// torqueOn is what the chambers turn the finger's joints with.
func (d *drive) torqueOn(f *finger) []float64 {
	if d.torque == nil {
		return nil
	}
	return d.torque[f.first : f.first+f.n]
}

// pull sets the rows of motors and cords for a step; the fingers must be prepared.
func (d *drive) pull(h *Hand, fingers []finger, command, step float64, v []float64) {
	for i := range d.motors {
		s, m := &d.motors[i], &h.Motors[i]
		if s.at < 0 {
			continue
		}
		v[s.at] = s.speed
		damping := 2 * math.Sqrt(m.Stiffness*m.Inertia)
		target, rate := command*m.Travel, (command-d.command)*m.Travel/step
		row := &d.rows[s.servo]
		soft := 1 / (step*m.Stiffness + damping)
		row.Law = motion.Compliance{Softness: soft / step, Bias: (m.Stiffness*(s.travel-target) - damping*rate) * soft}
		row.Low, row.High = -step*m.MostForce, step*m.MostForce
		if s.rub >= 0 {
			d.rows[s.rub].Low, d.rows[s.rub].High = -step*m.Friction, step*m.Friction
		}
	}
	d.command = command
	for i := range d.cords {
		c, k := &h.Cords[i], &d.cords[i]
		row, m, s := &d.rows[k.row], &h.Motors[c.Motor], &d.motors[c.Motor]
		if k.behind != nil {
			for j, w := range k.behind {
				k.levers[j] = c.Arms[j] * math.Exp(-c.Friction*w*k.slip)
			}
		}
		wound := 0.0
		for n, at := range k.fingers {
			f, side := &fingers[at], &row.Sides[n]
			for j, q := range f.state.Q {
				wound += side.J[j] * q
			}
			copy(side.B, k.levers[f.first:f.first+f.n])
			f.solveOne(side.B)
		}
		gain := gainOf(c)
		soft, drawn, most := 0.0, s.travel, math.Inf(1)
		if c.Stiffness > 0 {
			soft = 1 / c.Stiffness
		}
		if s.at < 0 {
			// The motor's own give, seen through the gain.
			soft += gain * gain / m.Stiffness
			drawn, most = command*m.Travel, step*m.MostForce/gain
		}
		row.Law = motion.Compliance{Softness: soft / (step * step), Bias: (wound - gain*drawn) / step}
		row.Low, row.High = 0, most
		if c.Pushes {
			row.Low = -most
		}
	}
}

// finish takes over the motors' speeds and the way that cords have slipped.
func (d *drive) finish(step float64, v []float64) {
	for i := range d.motors {
		if s := &d.motors[i]; s.at >= 0 {
			s.speed = v[s.at]
			s.travel += step * s.speed
		}
	}
	for i := range d.cords {
		k := &d.cords[i]
		if k.behind == nil {
			continue
		}
		speed := 0.0
		row := &d.rows[k.row]
		for n := range k.fingers {
			side := &row.Sides[n]
			for j, a := range side.J {
				speed += a * v[side.At+j]
			}
		}
		k.slip = min(1, max(-1, k.slip+step*speed/turnaround))
	}
}
