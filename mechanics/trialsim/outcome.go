package trialsim

import (
	"fmt"
	"math"

	"holdfast/orient"
)

// log watches a trial for what decides its outcome.
type log struct {
	over bool

	start, upright orient.Vec3 // the item's place at the beginning, and which of its own directions was up
	lifting        bool
	base           float64 // m, the item's height when the lift began
	rise           float64 // m, the highest above it since
	asked          float64 // m, how high the lift goes
	lifted         bool    // at the end of the lift
	lost           float64 // s, when it was lost; 0: not
	toppled        bool
	away           float64 // m, how far it was moved along the support before the lift, slides not counted
	touched        bool    // by the hand, ever
	blocked        string  // what else the hand met first
	slid           string  // which contact slid last before the loss
	damage         string
	peak, pressure float64
	grip           float64
	grips          int
	contacts       []Contact
	centre         orient.Vec3
	unheld         float64 // s, how long nothing of the hand has touched it
	lastLift       int
	standing       bool
}

func (l *log) begin(b *Bench) {
	it := &b.Stage.items[0]
	contacts := l.contacts[:0]
	*l = log{start: it.Position, contacts: contacts, lastLift: -1}
	l.upright = it.Turn.Inverse().Apply(orient.Vec3{0, 0, 1})
	for i := range b.robot.plan.Legs {
		if b.robot.plan.Legs[i].Do == Lift {
			l.lastLift = i
		}
	}
}

// lossTime (s) is how long nothing of the hand may touch the item before it counts as lost while it is lifted or held.
const lossTime = 0.08

// toppleAngle is the lean (rad) from which an item counts as toppled, or as rolled over where it is round: common practice, no source.
const toppleAngle = math.Pi / 4

func (l *log) step(b *Bench) {
	g := b.Stage
	h := b.step
	it := &g.items[0]
	gripped, standing := false, false
	slid := ""
	for i := range g.pairs {
		p := &g.pairs[i]
		if p.load <= 0 {
			continue
		}
		switch {
		case p.to == Part{Kind: Thing}:
			l.press(b, p)
			if p.from.ofHand() {
				gripped = true
				if p.sliding {
					slid = b.name(p.from)
				}
			} else if p.from.still() {
				standing = true
			}
		case p.from.still() && p.to.ofHand() && !l.touched && l.blocked == "":
			l.blocked = fmt.Sprintf("%s met the %s first, at %.2f s", b.name(p.to), b.name(p.from), g.Time)
		}
	}
	l.touched = l.touched || gripped
	if gripped {
		l.unheld = 0
		if slid != "" {
			l.slid = fmt.Sprintf("%s slid along it at %.2f s", slid, g.Time)
		}
	} else {
		l.unheld += h
	}
	up := it.Turn.Apply(l.upright)
	if up[2] < math.Cos(toppleAngle) && !l.lifting {
		l.toppled = true
	}
	leg := b.robot.leg
	if b.robot.done() {
		leg = len(b.robot.plan.Legs)
	}
	if !l.lifting {
		if phase := b.robot.phase(); phase != nil && phase.Do == Slide {
			l.start = it.Position
		}
		l.away = math.Hypot(it.Position[0]-l.start[0], it.Position[1]-l.start[1])
		if leg == l.lastLift {
			l.lifting, l.base, l.asked = true, it.Position[2], b.robot.plan.Legs[leg].Distance
		}
		if it.Position[2] < -0.1 {
			l.over = true
			l.lost = g.Time
		}
		return
	}
	rise := it.Position[2] - l.base
	if gripped {
		l.rise = math.Max(l.rise, rise)
	}
	l.standing = standing
	if leg > l.lastLift && !l.lifted && l.lost == 0 {
		if rise > 0.5*l.asked && gripped && !standing {
			l.lifted = true
		} else {
			l.lost, l.over = g.Time, true
		}
	}
	if l.lost == 0 && l.unheld > lossTime && (l.lifted || l.rise > 2*near) {
		l.lost, l.over = g.Time, true
	}
	if l.lifted && standing && l.lost == 0 {
		l.lost, l.over = g.Time, true
	}
	if phase := b.robot.phase(); phase != nil && l.lifted && phase.Do == Hold {
		if begun := b.robot.begun + phase.Seconds - g.Time; begun <= 0.1 {
			l.grip += g.Grip
			l.grips++
			if begun <= 1.5*h {
				l.keep(g)
			}
		}
	}
}

// keep takes down the contacts of hand and item as they are.
func (l *log) keep(g *Stage) {
	l.contacts, l.centre = l.contacts[:0], g.Item.Position
	for i := range g.pairs {
		p := &g.pairs[i]
		if p.load > 0 && p.from.ofHand() && p.to == (Part{Kind: Thing}) {
			l.contacts = append(l.contacts, p.contact())
		}
	}
}

func (p *pair) contact() Contact {
	return Contact{From: p.from, To: p.to, Point: p.point, Normal: p.normal, Force: p.force, Friction: p.surface.Friction, Sliding: p.sliding}
}

// press notes how hard a contact is on the item. The damage words are those of the first contact above a limit.
func (l *log) press(b *Bench, p *pair) {
	family := &b.scene.Item
	force := p.force.Norm()
	where := func() string { return fmt.Sprintf("%s at %.2f s", b.name(p.from), b.Stage.Time) }
	if p.from.Kind != Support && force > l.peak {
		l.peak = force
		if f := family.DamageForce; f > 0 && force > f && l.damage == "" {
			l.damage = fmt.Sprintf("%s pressed it with %.1f N; it stands %.1f N", where(), force, f)
		}
	}
	if !p.from.ofHand() || b.scene.Hand.SkinModulus == 0 {
		return
	}
	// Below, no curvature that a link can have makes the pressure a new peak.
	if q := b.Stage.pressureUnder(p); q > l.pressure {
		l.pressure = q
		if most := family.DamagePressure; most > 0 && q > most && l.damage == "" {
			l.damage = fmt.Sprintf("%s pressed it with %.0f kPa; it stands %.0f kPa", where(), q/1e3, most/1e3)
		}
	}
}

// pressureUnder is the largest pressure (Pa) under a contact of hand and item by Hertz, with the mean of the curvatures as
// that of a ball (K. L. Johnson, Contact Mechanics, 1985, ch. 4; from memory). A link is curved across it, and at its round ends
// along it as well: there a ball meets a ball and this is exact. Under a link's side the contact is an ellipse and its pressure
// never more than this: a tenth to a fifth less for fingers on goods, whichever way the item is curved. A skin that is thin against
// the contact presses as a bed of springs E/t each on its own, p = √(P·E/(π·r·t)) (Johnson, section 4.3; from memory): the larger
// of both counts.
func (g *Stage) pressureUnder(p *pair) float64 {
	modulus := g.scene.Hand.SkinModulus
	if e := g.scene.Item.Modulus; e > 0 {
		modulus = 1 / (1/modulus + 1/e)
	}
	it := &g.items[p.to.Index]
	k1, k2 := it.solid.Curvature(it.own(sub(p.point, it.Position)))
	sum := math.Max(k1, 0) + math.Max(k2, 0)
	if p.from.Kind == Link {
		f := &g.fingers[p.from.Index]
		sum += 1 / f.radius[p.from.Link]
		if p.feature == 0 && f.roundEnd(p.from.Link, p.point) {
			sum += 1 / f.radius[p.from.Link]
		}
	}
	sum = math.Min(sum, 2/1e-3) // what is sharper than a millimetre yields
	if sum <= 0 {
		return 0
	}
	r := 2 / sum
	pressure := math.Cbrt(6 * p.load * modulus * modulus / (math.Pi * math.Pi * math.Pi * r * r))
	if thick := g.scene.Hand.SkinThickness; thick > 0 {
		pressure = math.Max(pressure, math.Sqrt(p.load*g.scene.Hand.SkinModulus/(math.Pi*r*thick)))
	}
	return pressure
}

// name is what a part is called in sentences.
func (b *Bench) name(p Part) string {
	switch p.Kind {
	case Support:
		return "support"
	case Edge:
		return "edge"
	case Standing:
		return b.scene.Setting.Blocks[p.Index].Name
	case Palm:
		return "the palm"
	case Link:
		name := b.scene.Hand.Fingers[p.Index].Name
		if name == "" {
			name = fmt.Sprintf("finger %d", p.Index+1)
		}
		if p.Link == b.scene.Hand.Fingers[p.Index].Chain.Joints()-1 {
			return "the tip of " + name
		}
		return fmt.Sprintf("link %d of %s", p.Link+1, name)
	}
	if p.Index == 0 {
		return "the item"
	}
	return fmt.Sprintf("item %d beside it", p.Index)
}

// movedFar is how far (m) an item that was not lifted must have been moved to count as pushed out of reach.
const movedFar = 0.04

func (l *log) judge(b *Bench, r *Result) {
	r.PeakForce, r.PeakPressure = l.peak, l.pressure
	if l.grips > 0 {
		r.Grip = l.grip / float64(l.grips)
	}
	if l.lost == 0 {
		r.Contacts, r.Centre = append([]Contact(nil), l.contacts...), l.centre
	}
	slid := ""
	if l.slid != "" {
		slid = ": " + l.slid
	}
	switch {
	case b.robot.stopped != "":
		r.Outcome, r.Reason = Stopped, b.robot.stopped
	case l.damage != "":
		r.Outcome, r.Reason = Damaged, l.damage
	case l.lifted && l.lost == 0:
		r.Outcome = Held
		r.Reason = fmt.Sprintf("lifted %.0f mm and kept, with %.1f N of grip", l.rise*1e3, r.Grip)
	case l.lifted:
		r.Outcome, r.Reason = Dropped, fmt.Sprintf("lifted, then lost at %.2f s%s", l.lost, slid)
	case l.rise > 0.01 && l.touched:
		r.Outcome, r.Reason = Slipped, fmt.Sprintf("rose %.0f mm, then slipped out%s", l.rise*1e3, slid)
	case l.lost > 0 && !l.lifting:
		r.Outcome, r.Reason = Pushed, "fell off the support before it was lifted"
	case l.toppled:
		word := "toppled"
		if !b.Stage.items[0].flat {
			word = "rolled over"
		}
		r.Outcome, r.Reason = Pushed, word+" before it was lifted"
	case l.away > movedFar:
		r.Outcome, r.Reason = Pushed, fmt.Sprintf("moved %.0f mm away before it was lifted", l.away*1e3)
	case !l.touched && l.blocked != "":
		r.Outcome, r.Reason = Missed, "never touched: "+l.blocked
	case !l.touched:
		r.Outcome, r.Reason = Missed, "never touched"
	default:
		r.Outcome, r.Reason = Missed, "touched, but it stayed where it lay"+slid
	}
}
