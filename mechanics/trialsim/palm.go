package trialsim

import (
	"math"

	"holdfast/mechanics/hand"
	"holdfast/mechanics/motion"
	"holdfast/orient"
)

// palm is what carries the fingers: where the robot says, or on springs behind it. On springs it has the mass of all that the
// wrist carries; what fingers push passes to it at once, their own inertia only as part of that mass.
type palm struct {
	wrist           *Wrist
	at              int // of its velocities in v; negative: it does not give
	place           orient.Vec3
	turn            orient.Rotation
	velocity, spin  orient.Vec3 // during the step, as far as it is prescribed
	before, spun    orient.Vec3 // in the step before
	flange          Flange
	next            Flange
	h               float64
	linear, angular [3]orient.Vec3 // inverse of the inertia with springs and dampers taken implicitly
	radius          float64
}

// gyration (m) is the radius at which the carried mass is taken to turn with the palm.
const gyration = 0.06

func (p *palm) prepare(h *Hand, at int) int {
	p.wrist, p.at, p.radius = &h.Wrist, -1, h.PalmRadius
	if p.wrist.Rigid() {
		return at
	}
	p.at = at
	return at + 6
}

func (p *palm) begin(at Flange) {
	p.place, p.turn, p.flange, p.h = at.Place, at.Turn, at, 0
	p.velocity, p.spin, p.before, p.spun = orient.Vec3{}, orient.Vec3{}, orient.Vec3{}, orient.Vec3{}
}

// aim sets how the palm moves in a step of h seconds at whose end the flange is at next.
func (p *palm) aim(next Flange, h float64, v []float64) {
	p.before, p.spun = p.velocity, p.spin
	p.next, p.h = next, h
	velocity := sub(next.Place, p.flange.Place).Scale(1 / h)
	spin := spinBetween(p.flange.Turn, next.Turn, h)
	if p.at < 0 {
		p.velocity, p.spin = velocity, spin
		return
	}
	w := p.wrist
	damping := w.Damping
	if damping == 0 {
		damping = 0.7
	}
	m := p.turn.Matrix()
	inertia := w.Mass * gyration * gyration
	// Offsets of the palm from where the flange will be; the spring pulls them back.
	off := sub(p.place, next.Place)
	turn := spinBetween(next.Turn, p.turn, 1)
	p.linear, p.angular = [3]orient.Vec3{}, [3]orient.Vec3{}
	var free, turning orient.Vec3
	for k := range 3 {
		axis := orient.Vec3{m[0][k], m[1][k], m[2][k]}
		c := 2 * damping * math.Sqrt(w.Stiffness[k]*w.Mass)
		a := w.Mass + h*c + h*h*w.Stiffness[k]
		free = free.Add(axis.Scale((w.Mass*axis.Dot(p.velocity) + h*(c*axis.Dot(velocity)-w.Stiffness[k]*axis.Dot(off))) / a))
		d := 2 * damping * math.Sqrt(w.Turning[k]*inertia)
		b := inertia + h*d + h*h*w.Turning[k]
		turning = turning.Add(axis.Scale((inertia*axis.Dot(p.spin) + h*(d*axis.Dot(spin)-w.Turning[k]*axis.Dot(turn))) / b))
		for i := range 3 {
			for j := range 3 {
				p.linear[i][j] += axis[i] * axis[j] / a
				p.angular[i][j] += axis[i] * axis[j] / b
			}
		}
	}
	copy(v[p.at:p.at+3], free[:])
	copy(v[p.at+3:p.at+6], turning[:])
}

// carry sets the fingers' bases to the palm.
func (p *palm) carry(fingers []finger) {
	rate := 0.0
	if p.h > 0 {
		rate = 1 / p.h
	}
	turn := turnOf(p.turn)
	acceleration, spinRate := vec(sub(p.velocity, p.before).Scale(rate)), vec(sub(p.spin, p.spun).Scale(rate))
	velocity, spin := vec(p.velocity), vec(p.spin)
	for i := range fingers {
		f := &fingers[i]
		arm := turn.Apply(vec(f.root))
		b := &f.state.Base
		before := b.Velocity
		b.Turn = compose(turn, &f.turn)
		b.Position = vec(p.place).Add(arm)
		b.Velocity, b.Spin = velocity.Add(spin.Cross(arm)), spin
		b.SpinRate = spinRate
		if p.at < 0 && p.h > 0 {
			b.Acceleration = b.Velocity.Sub(before).Scale(rate)
		} else {
			b.Acceleration = acceleration.Add(spinRate.Cross(arm))
		}
	}
}

// move carries the palm to the end of the step.
func (p *palm) move(h float64, v []float64) {
	p.flange = p.next
	if p.at < 0 {
		p.place, p.turn = p.next.Place, p.next.Turn
		return
	}
	copy(p.velocity[:], v[p.at:p.at+3])
	copy(p.spin[:], v[p.at+3:p.at+6])
	p.place = p.place.Add(p.velocity.Scale(h))
	if speed := p.spin.Norm(); speed > 0 {
		p.turn, _ = orient.AboutAxis(p.spin, speed*h).Mul(p.turn).Normalized()
	}
}

// side writes what impulses at a point do to a palm on springs; b and j have room for 18 numbers.
func (p *palm) side(s *motion.Side, point orient.Vec3, frame *[3]orient.Vec3, sign float64) {
	s.At, s.N = p.at, 6
	arm := sub(point, p.place)
	for i, d := range frame {
		d = d.Scale(sign)
		turn := arm.Cross(d)
		for k := range 3 {
			s.J[6*i+k], s.J[6*i+3+k] = d[k], turn[k]
			s.B[3*k+i], s.B[3*(k+3)+i] = p.linear[k].Dot(d), p.angular[k].Dot(turn)
		}
	}
}

// velocityAt is the prescribed velocity of the palm's matter at a point.
func (p *palm) velocityAt(point orient.Vec3) orient.Vec3 {
	return p.velocity.Add(p.spin.Cross(sub(point, p.place)))
}

// base is the prescribed velocity of a finger's mount at a point.
func base(f *finger, at hand.Vec) orient.Vec3 {
	b := &f.state.Base
	v := b.Velocity.Add(b.Spin.Cross(at.Sub(b.Position)))
	return orient.Vec3{v.X, v.Y, v.Z}
}
