package trialsim

import (
	"fmt"
	"math"

	"holdfast/orient"
)

// robot carries a plan out: it knows the plan, the time, and what the wrist feels.
type robot struct {
	plan    *Plan
	leg     int
	begun   float64 // s, when the leg began
	from    Flange  // at its beginning
	now     Flange
	gone    float64     // m along the leg's direction
	felt    orient.Vec3 // N, smoothed
	stopped string      // why it gave up
	ended   []string    // how each leg ended
	goal    Flange      // of the leg, if it moves the palm to a place
	touch   *Touch      // the first; nil: none yet
	first   Touch
}

// settings of the robot's own: common practice, no source.
const (
	smoothing   = 0.005 // s, of the force that is felt
	rampSeconds = 0.1   // to come to speed
	keepGain    = 0.004 // m/s a newton, of a force that is kept
	keepSpeed   = 0.03  // m/s at most
	complyGain  = 0.02  // m/s a newton, of giving way
	touched     = 0.2   // N that count as contact
	usualSpeed  = 0.25  // m/s of a phase that names none
)

func (r *robot) begin(plan *Plan) {
	*r = robot{plan: plan, from: plan.Start, now: plan.Start, ended: r.ended[:0]}
	r.aim()
}

// aim sets where the leg that begins now will end, if it ends at a place.
func (r *robot) aim() {
	if l := r.phase(); l != nil {
		switch l.Do {
		case Move:
			r.goal = l.Goal
		case Adjust:
			r.goal = r.adjusted(l)
		}
	}
}

// done says that all legs are through or the robot has given up.
func (r *robot) done() bool { return r.stopped != "" || r.leg >= len(r.plan.Legs) }

// phase is what the robot is at.
func (r *robot) phase() *Leg {
	if r.leg < len(r.plan.Legs) {
		return &r.plan.Legs[r.leg]
	}
	return nil
}

// seconds is how long a leg takes that only time ends.
func (r *robot) seconds(l *Leg) float64 {
	speed := l.Speed
	if speed == 0 {
		speed = usualSpeed
	}
	switch l.Do {
	case Move, Adjust:
		// A blend is fastest in the middle, at 15/8 of its mean speed.
		way := math.Max(sub(r.goal.Place, r.from.Place).Norm(), spinBetween(r.from.Turn, r.goal.Turn, 1).Norm()*gyration)
		return math.Max(1.875*way/speed, math.Max(l.Seconds, 0.02))
	case Lift:
		return math.Max(1.875*l.Distance/speed, l.Seconds)
	case Press, Slide:
		return l.Distance/speed + rampSeconds
	}
	return l.Seconds
}

// next is where the flange is to be h seconds after t, given the force (N, world) that the hand feels now.
func (r *robot) next(t, h float64, felt orient.Vec3) Flange {
	r.felt = r.felt.Add(sub(felt, r.felt).Scale(1 - math.Exp(-h/smoothing)))
	for !r.done() {
		l := r.phase()
		if size := r.felt.Norm(); l.MostForce > 0 && size > l.MostForce {
			r.stopped = fmt.Sprintf("the hand felt more than %g N in phase %d (%s)", l.MostForce, r.leg+1, l.label())
			return r.now
		}
		why := r.over(l, t)
		if why == "" {
			break
		}
		r.ended = append(r.ended, why)
		r.leg++
		r.begun, r.from, r.gone = t, r.now, 0
		r.aim()
	}
	if !r.done() {
		r.carry(r.phase(), t+h, h)
	}
	return r.now
}

// over says why the leg has ended; empty: it has not.
func (r *robot) over(l *Leg, t float64) string {
	along := l.Along
	if l.Do == Move {
		along = sub(r.goal.Place, r.from.Place)
		if size := along.Norm(); size > 0 {
			along = along.Scale(1 / size)
		}
	}
	push := -r.felt.Dot(along)
	if l.Do == Close {
		push = r.felt.Norm()
	}
	switch {
	case l.UntilForce > 0 && push >= l.UntilForce:
		return "force"
	case l.UntilTouch && r.touch != nil:
		return "touch"
	case l.UntilContact && r.felt.Norm() >= touched:
		return "contact"
	case (l.Do == Press || l.Do == Slide) && r.gone >= l.Distance && l.Distance > 0:
		return "distance"
	case t-r.begun >= r.seconds(l)+1e-9 && !(l.Do == Press || l.Do == Slide):
		return "time"
	case t-r.begun >= 20:
		return "time"
	}
	return ""
}

// carry moves the flange on to time t, h seconds on.
func (r *robot) carry(l *Leg, t, h float64) {
	u := 1.0
	if s := r.seconds(l); s > 0 {
		u = blend((t - r.begun) / s)
	}
	if l.Command >= 0 {
		r.now.Command = r.from.Command + (l.Command-r.from.Command)*u
	}
	switch l.Do {
	case Move, Adjust:
		r.now.Place = r.from.Place.Add(sub(r.goal.Place, r.from.Place).Scale(u))
		r.now.Turn = between(r.from.Turn, r.goal.Turn, u)
	case Lift:
		r.now.Place = r.from.Place.Add(l.Along.Scale(l.Distance * u))
	case Press, Slide:
		speed := l.Speed
		if speed == 0 {
			speed = usualSpeed
		}
		way := h * speed * math.Min(1, (t-r.begun)/rampSeconds)
		r.gone += way
		r.now.Place = r.now.Place.Add(l.Along.Scale(way))
	case Shake:
		// It swells and fades, so that it begins and ends at rest.
		s := t - r.begun
		window := blend(s*l.Hertz/1) * blend((l.Seconds-s)*l.Hertz/1)
		r.now.Place = r.from.Place.Add(l.Along.Scale(l.Distance * window * math.Sin(2*math.Pi*l.Hertz*s)))
	case Comply:
		speed := r.felt.Scale(complyGain)
		if size := speed.Norm(); size > keepSpeed {
			speed = speed.Scale(keepSpeed / size)
		}
		r.now.Place = r.now.Place.Add(speed.Scale(h))
	}
	if l.KeepForce > 0 {
		speed := keepGain * (l.KeepForce + r.felt.Dot(l.Keep))
		r.now.Place = r.now.Place.Add(l.Keep.Scale(h * math.Max(-keepSpeed, math.Min(keepSpeed, speed))))
	}
}

// blend goes from 0 to 1 with no speed and no acceleration at both ends.
func blend(u float64) float64 {
	if u <= 0 {
		return 0
	}
	if u >= 1 {
		return 1
	}
	return u * u * u * (10 - 15*u + 6*u*u)
}
