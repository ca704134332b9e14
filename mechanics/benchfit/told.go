package benchfit

// told says which parameters the curves tell, and why not of the others.
type told struct {
	on  [parameters]bool
	why [parameters]string
}

func (t told) any() bool {
	for _, on := range t.on {
		if on {
			return true
		}
	}
	return false
}

// told finds what the curves of a finger tell.
func (f *finger) told(curves []Curve) (t told) {
	has := map[Kind]bool{}
	var drawn, back, travelBack bool
	for i := range curves {
		c := &curves[i]
		has[c.Kind] = true
		closing, opening := c.ways()
		switch c.Kind {
		case Tension:
			drawn, back = drawn || closing, back || opening
		case Travel:
			travelBack = travelBack || opening
		}
	}
	blocked := has[Guided] || has[TipHeld]
	t.on[pMoment] = has[FreeBending] || blocked
	t.on[pClosing] = has[FreeBending] && blocked || has[Tension] || has[PushClosing]
	t.on[pSideways] = has[PushSideways]
	t.on[pArms] = has[Travel]
	t.on[pFriction] = drawn && back
	t.on[pStretch] = t.on[pFriction] && travelBack
	t.why = [parameters]string{
		pMoment:   "it needs free bending or blocked force",
		pClosing:  "it needs free bending and blocked force, a tendon's record, or a push along closing",
		pSideways: "it needs a push sideways",
		pArms:     "it needs a tendon's record",
		pFriction: "it needs a tendon's tension both closing and opening",
		pStretch:  "it needs a tendon's travel and tension both closing and opening",
	}
	if has[Tension] {
		t.why[pArms] = "the tension alone tells stiffness over arms; the stiffness above is right only if the described arms are. Read the travel too"
	}
	switch {
	case has[FreeBending] && !t.on[pClosing]:
		t.why[pClosing] = "free bending alone tells moment over stiffness; the moment above is right only if the described stiffness is. Measure the blocked force too"
	case blocked && !t.on[pClosing]:
		t.why[pClosing] = "the blocked force alone tells the moment; measure the free bending too"
	}
	return t
}

// unknowns names what the finger has and the readings do not tell.
func (r *Result) unknowns(f *finger, t told) {
	add := func(k int, there bool, name string) {
		if there && !t.on[k] {
			r.Unknowns = append(r.Unknowns, Unknown{name, t.why[k]})
		}
	}
	count := map[bends]int{}
	for j, k := range f.stiffness {
		if k > 0 {
			count[f.bends[j]]++
		}
	}
	cord := largest(f.arms) > 0
	add(pMoment, largest(f.torque) > 0, "moment per pressure")
	add(pClosing, count[closes] > 0, "stiffness against closing")
	add(pSideways, count[sideways] > 0, "stiffness sideways")
	add(pArms, cord, "tendon travel per angle")
	add(pFriction, cord, "friction of the tendon")
	add(pStretch, cord, "stretch of the finger's tendon")
	for _, q := range r.Quantities {
		if !q.Placed && f.shared {
			r.Unknowns = append(r.Unknowns, Unknown{"stretch of the whole cord", "it runs over other fingers too, and only this finger's part was on the bench; the described cord keeps its stiffness"})
		} else if !q.Placed {
			r.Unknowns = append(r.Unknowns, Unknown{q.Name, "its limits include none at all; the described cord keeps its stiffness"})
		}
	}
	if count[closes] > 1 {
		shares := "its share of stiffness"
		if cord {
			shares += " and of the tendon's arms"
		}
		r.Unknowns = append(r.Unknowns, Unknown{"shares of the joints", "every test adds up what all joints do; each keeps " + shares})
	}
}
