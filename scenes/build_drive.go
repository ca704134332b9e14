package scenes

import (
	"math"
	"strings"

	"holdfast/mechanics/hand"
	"holdfast/mechanics/trialsim"
)

// named lists the fingers that a cord or chamber names, all if it names none.
func (b *handBuilder) named(names []string, at spot) (fingers []*builtFinger) {
	if names == nil {
		for i := range b.fingers {
			fingers = append(fingers, &b.fingers[i])
		}
		return fingers
	}
	for i, name := range names {
		found := false
		for k := range b.fingers {
			if f := &b.fingers[k]; f.Name == name || f.entry == name {
				found = true
				fingers = append(fingers, f)
			}
		}
		if !found && len(b.fingers) > 0 {
			var known []string
			for k := range b.fingers {
				known = append(known, b.fingers[k].Name)
			}
			at.nth(i).fault("no finger has the name %s; there are %s", quoted(name), strings.Join(known, ", "))
		}
	}
	return fingers
}

func (b *handBuilder) cord(f *cordFile, at spot, motors map[string]int) []trialsim.Cord {
	before := len(b.loader.errors.Faults)
	c := trialsim.Cord{Gain: f.Gain, Stiffness: kilo(f.Stiffness), Pushes: f.Pushes, Friction: f.Friction, Arms: make([]float64, b.joints)}
	switch m, ok := motors[f.Motor]; {
	case ok:
		c.Motor = m
	case f.Motor != "":
		at.in("motor").fault("no motor has the name %s", quoted(f.Motor))
	case len(motors) != 1:
		at.fault("needs motor: the hand has %d, so it does not go without saying which draws this cord", len(motors))
	}
	used, wraps, rubs := make([]bool, b.joints), make([]float64, b.joints), false
	for i := range f.Over {
		o, at := &f.Over[i], at.in("over").nth(i)
		for _, finger := range b.named(o.Fingers, at.in("fingers")) {
			n := finger.Chain.Joints()
			for _, list := range []struct {
				field  string
				values []float64
			}{{"arms_mm", o.Arms}, {"per_mm", o.Slides}, {"wraps_deg", o.Wraps}} {
				if list.values != nil && len(list.values) != n {
					at.in(list.field).fault("has %d numbers; %s has %d joints: give one for each", len(list.values), finger.Name, n)
					return nil
				}
			}
			if o.Arms == nil && o.Slides == nil {
				at.fault("needs arms_mm, or per_mm for joints that slide")
				return nil
			}
			for k := range n {
				arm, per := valueAt(o.Arms, k), valueAt(o.Slides, k)
				if !b.lay(&c, finger, k, arm, per, used, at) {
					return nil
				}
				wraps[finger.first+k] = radians(valueAt(o.Wraps, k))
			}
			rubs = rubs || o.Wraps != nil
		}
	}
	for i := range f.Joints {
		j, at := &f.Joints[i], at.in("by_joint").nth(i)
		finger, k := b.findJoint(j.Joint, at.in("joint"))
		if finger == nil {
			continue
		}
		if !b.lay(&c, finger, k, j.Arm, j.Slide, used, at) {
			return nil
		}
		wraps[finger.first+k] = radians(j.Wrap)
		rubs = rubs || j.Wrap != 0
	}
	moves := false
	for _, a := range c.Arms {
		moves = moves || a != 0
	}
	if !moves && len(b.fingers) > 0 && len(b.loader.errors.Faults) == before {
		at.fault("moves no joint; give it over or by_joint")
	}
	if !moves {
		return nil
	}
	if rubs {
		c.Wraps = wraps
	}
	if !f.OneEach {
		return []trialsim.Cord{c}
	}
	var each []trialsim.Cord
	for i := range b.fingers {
		finger := &b.fingers[i]
		from, to := finger.first, finger.first+finger.Chain.Joints()
		own := c
		own.Arms = make([]float64, b.joints)
		copy(own.Arms[from:to], c.Arms[from:to])
		if rubs {
			own.Wraps = make([]float64, b.joints)
			copy(own.Wraps[from:to], c.Wraps[from:to])
		}
		for _, a := range own.Arms {
			if a != 0 {
				each = append(each, own)
				break
			}
		}
	}
	return each
}

func valueAt(list []float64, i int) float64 {
	if i < len(list) {
		return list[i]
	}
	return 0
}

// lay takes a cord over joint k of a finger.
func (b *handBuilder) lay(c *trialsim.Cord, f *builtFinger, k int, arm, per float64, used []bool, at spot) bool {
	name := f.Name + "/" + f.names[k]
	switch {
	case f.slides[k] && arm != 0:
		at.fault("%s slides; it has per_mm, and no arm", name)
		return false
	case !f.slides[k] && per != 0:
		at.fault("%s turns; it has arms_mm, and nothing per mm", name)
		return false
	case used[f.first+k] && (arm != 0 || per != 0):
		at.fault("the cord runs over %s already", name)
		return false
	}
	if arm != 0 || per != 0 {
		used[f.first+k] = true
		c.Arms[f.first+k] = milli(arm) + per
	}
	return true
}

// findJoint finds a joint by its name, or by its finger's and its own.
func (b *handBuilder) findJoint(name string, at spot) (*builtFinger, int) {
	var found []string
	var finger *builtFinger
	joint := 0
	for i := range b.fingers {
		f := &b.fingers[i]
		for k, own := range f.names {
			if own == name || f.Name+"/"+own == name {
				finger, joint = f, k
				found = append(found, f.Name+"/"+own)
			}
		}
	}
	switch {
	case len(found) == 0 && len(b.fingers) > 0:
		at.fault("no joint has the name %s; joints are named as finger/joint", quoted(name))
	case len(found) > 1:
		at.fault("%d joints have the name %s: write %s, or another of them", len(found), quoted(name), found[0])
		return nil, 0
	}
	return finger, joint
}

func (b *handBuilder) chamber(f *chamberFile, at spot) (c trialsim.Chamber, ok bool) {
	c = trialsim.Chamber{Pressure: kilo(f.Pressure), Filling: f.Filling, Venting: f.Venting, Torque: make([]float64, b.joints)}
	ok = true
	for _, finger := range b.named(f.Fingers, at.in("fingers")) {
		torque := c.Torque[finger.first : finger.first+finger.Chain.Joints()]
		if f.Torques != nil {
			if len(f.Torques) != len(torque) {
				at.in("torques_Nmm_per_kPa").fault("has %d numbers; %s has %d joints: give one for each", len(f.Torques), finger.Name, len(torque))
				return c, false
			}
			for k, t := range f.Torques {
				torque[k] = micro(t)
				if finger.slides[k] {
					torque[k] = milli(t) // N/kPa to N/Pa
				}
			}
			continue
		}
		if finger.bends == nil {
			at.fault("bends %s, which is no finger of segments; give torques_Nmm_per_kPa for its joints", finger.Name)
			return c, false
		}
		bent := finger.bends
		moment := bent.moment
		if f.Moment != 0 {
			moment = micro(f.Moment)
		}
		if moment == 0 {
			at.fault("needs moment_Nmm_per_kPa: %s was not measured", finger.Name)
			return c, false
		}
		towards := 180.0
		if f.Towards != nil {
			towards = *f.Towards
		}
		pressed, err := hand.NewPressureFinger(bent.rod, []hand.Chamber{{MomentPerPressure: moment, Towards: radians(towards)}}, bent.count)
		if err != nil {
			at.fault("%v", err)
			return c, false
		}
		pressed.Drive(torque, []float64{1})
		for k, t := range torque {
			// What is left of a right angle's rounding would wake directions that are not driven.
			if math.Abs(t) < 1e-12*moment {
				torque[k] = 0
			}
		}
	}
	return c, ok
}
