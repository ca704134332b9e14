package scenes

import (
	"math"
	"strconv"

	"holdfast/mechanics/hand"
	"holdfast/mechanics/motion"
	"holdfast/mechanics/trialsim"
	"holdfast/orient"
)

// builtFinger is a finger with what cords and chambers need to know of it.
type builtFinger struct {
	trialsim.Finger
	entry  string   // name of its entry in the file
	names  []string // of its joints
	slides []bool
	first  int   // of its joints among all
	bends  *bend // nil: not made of segments
}

// bend is what a finger of segments is: the rod it was cut from and its measured moment (N·m/Pa; 0: not measured).
type bend struct {
	rod    hand.Rod
	count  int
	moment float64
}

// handBuilder makes a hand out of its file.
type handBuilder struct {
	loader  *loader
	fingers []builtFinger
	joints  int
}

func (l *loader) hand(f *handFile, at spot) (h trialsim.Hand) {
	b := &handBuilder{loader: l}
	h.Name, h.Note, h.RollFold = f.Name, f.Note, 1
	if f.URDF != nil {
		b.fromURDF(f.URDF, at.in("urdf"))
	}
	for i := range f.Fingers {
		b.finger(&f.Fingers[i], at.in("fingers").nth(i), i)
	}
	b.name(at)
	for i := range b.fingers {
		h.Fingers = append(h.Fingers, b.fingers[i].Finger)
	}
	motors := map[string]int{}
	for i, m := range f.Motors {
		name := m.Name
		if name == "" {
			name = "motor-" + strconv.Itoa(i+1)
		}
		if _, twice := motors[name]; twice {
			at.in("motors").nth(i).in("name").fault("a motor before has the name %s already", quoted(name))
		}
		motors[name] = i
		h.Motors = append(h.Motors, trialsim.Motor{Travel: milli(m.Travel), Stiffness: kilo(m.Stiffness), MostForce: m.MostForce, Inertia: milli(m.Inertia), Friction: m.Friction})
	}
	for i := range f.Cords {
		h.Cords = append(h.Cords, b.cord(&f.Cords[i], at.in("cords").nth(i), motors)...)
	}
	for i := range f.Chambers {
		if c, ok := b.chamber(&f.Chambers[i], at.in("chambers").nth(i)); ok {
			h.Chambers = append(h.Chambers, c)
		}
	}
	if w := f.Wrist; w != nil {
		h.Wrist = trialsim.Wrist{Damping: w.Damping, Mass: milli(w.Mass), Turning: w.Turning}
		for k := range 3 {
			h.Wrist.Stiffness[k] = kilo(w.Stiffness[k])
		}
	}
	h.PalmRadius = milli(f.Palm.Radius)
	h.Skin, h.SkinModulus, h.SkinThickness = surface(&f.Skin.surfaceFile), kilo(f.Skin.Modulus), milli(f.Skin.Thickness)
	if f.Symmetry != nil {
		h.RollFold, h.Mirror = f.Symmetry.Fold, f.Symmetry.Mirror
	}
	l.check(at, func() error { return h.Check() })
	return h
}

// surface fills in the shear stiffness of skin that keeps its volume: 2(1 − ν)/(2 − ν) of the normal one with ν = 1/2 (Mindlin;
// see contact.TangentialRatio).
func surface(f *surfaceFile) motion.Surface {
	s := motion.Surface{Friction: f.Friction, Stiffness: kilo(f.Stiffness), Damping: kilo(f.Damping)}
	s.Shear = s.Stiffness * 2 / 3
	if f.Shear != nil {
		s.Shear = kilo(*f.Shear)
	}
	return s
}

// rotation reads a turn, given either way.
func rotation(turns []turnFile, quaternion *[4]float64, at spot) orient.Rotation {
	if q := quaternion; q != nil {
		r := orient.Rotation{W: q[0], X: q[1], Y: q[2], Z: q[3]}
		n := r.Norm()
		if !(math.Abs(n-1) <= 1e-3) {
			at.fault("has the length %.6g; a unit quaternion has the length 1", n)
			return orient.Identity
		}
		if math.Abs(n-1) > 1e-15 {
			r, _ = r.Normalized()
		}
		return r
	}
	r := orient.Identity
	for _, t := range turns {
		by := radians(t.By)
		switch t.About {
		case "x":
			r = orient.RotX(by).Mul(r)
		case "y":
			r = orient.RotY(by).Mul(r)
		case "z":
			r = orient.RotZ(by).Mul(r)
		}
	}
	return r
}

// finger builds a finger, or all that one entry repeats.
func (b *handBuilder) finger(f *fingerFile, at spot, entry int) {
	var built builtFinger
	var joints []hand.Joint
	if f.Segments != nil {
		joints = built.segments(f.Segments, at.in("segments"))
	} else {
		before := hand.Vec{}
		for i := range f.Joints {
			j := joint(&f.Joints[i], before, at.in("joints").nth(i))
			before = j.Link.To
			joints = append(joints, j)
			built.names = append(built.names, f.Joints[i].Name)
			built.slides = append(built.slides, j.Slides)
		}
	}
	for i := range built.names {
		if built.names[i] == "" {
			built.names[i] = strconv.Itoa(i + 1)
		}
		for k := range i {
			if built.names[k] == built.names[i] {
				at.in("joints").nth(i).in("name").fault("a joint of this finger before has the name %s already", quoted(built.names[i]))
			}
		}
	}
	if len(joints) == 0 {
		return
	}
	if len(joints) > mostJoints {
		at.fault("has %d joints; a finger can have %d", len(joints), mostJoints)
		return
	}
	chain, err := hand.NewChain(joints)
	if err != nil {
		at.fault("%v", err)
		return
	}
	built.Chain = chain
	built.entry = f.Name
	turn := rotation(f.Turn, f.Rotation, at.in("quaternion"))
	if f.Around == nil {
		if f.Root != nil {
			built.Root = metres(*f.Root)
		}
		built.Name, built.Turn = f.Name, turn
		if built.Name == "" {
			built.Name = "finger-" + strconv.Itoa(entry+1)
		}
		b.take(built)
		return
	}
	a := f.Around
	name := f.Name
	if name == "" {
		name = "finger"
	}
	for i := range a.Count {
		phi := radians(a.Start) + 2*math.Pi*float64(i)/float64(a.Count)
		built.Name = name + "-" + strconv.Itoa(i+1)
		built.Root = orient.Vec3{milli(a.Radius) * math.Cos(phi), milli(a.Radius) * math.Sin(phi), milli(a.Height)}
		built.Turn = orient.RotZ(phi).Mul(orient.RotY(radians(a.Splay))).Mul(turn)
		b.take(built)
	}
}

// mostJoints is how many joints of a finger can be simulated.
const mostJoints = 12

func (b *handBuilder) take(f builtFinger) {
	f.first = b.joints
	b.joints += f.Chain.Joints()
	b.fingers = append(b.fingers, f)
}

// name sees that no two fingers have one name.
func (b *handBuilder) name(at spot) {
	seen := map[string]bool{}
	for i := range b.fingers {
		if n := b.fingers[i].Name; seen[n] {
			at.in("fingers").fault("two fingers have the name %s", quoted(n))
		} else {
			seen[n] = true
		}
	}
}

func joint(f *jointFile, before hand.Vec, at spot) hand.Joint {
	j := hand.Joint{Slides: f.Slides, Origin: before, Axis: hand.Vec{Y: -1}}
	if f.Origin != nil {
		j.Origin = vec(*f.Origin)
	}
	switch {
	case f.Axis != nil:
		a := *f.Axis
		j.Axis = hand.Vec{X: a[0], Y: a[1], Z: a[2]}
		if !(j.Axis.Norm() > 0) {
			at.in("axis").fault("has no direction; one of the numbers must not be 0")
			j.Axis = hand.Vec{Z: 1}
		}
	case f.Slides:
		at.fault("slides and needs an axis")
	}
	f.springFile.fill(&j, at)
	j.Link = link(&f.Link, at.in("link"))
	return j
}

// fill sets what resists the joint.
func (f *springFile) fill(j *hand.Joint, at spot) {
	turns := map[string]bool{"stiffness_Nm_per_rad": f.Stiffness != 0, "damping_Nms_per_rad": f.Damping != 0, "rest_deg": f.Rest != 0, "armature_g_mm2": f.Armature != 0}
	slides := map[string]bool{"stiffness_N_per_mm": f.SlideStiffness != 0, "damping_Ns_per_mm": f.SlideDamping != 0, "rest_mm": f.SlideRest != 0, "armature_g": f.SlideArmature != 0}
	wrong, is := slides, "turns"
	if j.Slides {
		wrong, is = turns, "slides"
	}
	for _, name := range sortedKeys(wrong) {
		if wrong[name] {
			at.in(name).fault("does not suit a joint that %s", is)
		}
	}
	if j.Slides {
		j.Stiffness, j.Damping, j.Rest, j.Armature = kilo(f.SlideStiffness), kilo(f.SlideDamping), milli(f.SlideRest), milli(f.SlideArmature)
	} else {
		j.Stiffness, j.Damping, j.Rest, j.Armature = f.Stiffness, f.Damping, radians(f.Rest), nano(f.Armature)
	}
	s := f.Stops
	if s == nil {
		return
	}
	at = at.in("stops")
	if j.Slides != (s.SlideLower != nil && s.SlideUpper != nil && s.SlideStiffness != 0) || !j.Slides != (s.Lower != nil && s.Upper != nil && s.Stiffness != 0) {
		at.fault("a joint that turns has lower_deg, upper_deg and stiffness_Nm_per_rad, one that slides lower_mm, upper_mm and stiffness_N_per_mm; this one %s", is)
		return
	}
	if j.Slides {
		j.Stops = hand.Stops{Lower: milli(*s.SlideLower), Upper: milli(*s.SlideUpper), Stiffness: kilo(s.SlideStiffness), Ramp: milli(s.SlideRamp)}
	} else {
		j.Stops = hand.Stops{Lower: radians(*s.Lower), Upper: radians(*s.Upper), Stiffness: s.Stiffness, Ramp: radians(s.Ramp)}
	}
	if j.Stops.Lower > j.Stops.Upper {
		at.fault("the lower stop lies above the upper one")
		j.Stops = hand.Stops{}
	} else if j.Stops.Lower == 0 && j.Stops.Upper == 0 {
		at.fault("both stops are at 0, which would leave the joint no way at all; make it part of the link before")
	}
}

func link(f *linkFile, at spot) hand.Link {
	from, to := vec(f.From), hand.Vec{Z: milli(f.Length)}
	if f.To != nil {
		to = vec(*f.To)
	} else if f.Length > 0 {
		to = from.Add(to)
	} else {
		to = from
	}
	r, mass := milli(f.Radius), milli(f.Mass)
	if f.Density > 0 {
		mass = f.Density * math.Pi * r * r * (to.Sub(from).Norm() + 4.0/3*r)
	}
	l := hand.SolidCapsule(from, to, r, mass)
	if f.Centre != nil {
		l.Centre = vec(*f.Centre)
	}
	if i := f.Inertia; i != nil {
		l.Inertia = hand.Inertia{XX: nano(i.XX), YY: nano(i.YY), ZZ: nano(i.ZZ), XY: nano(i.XY), XZ: nano(i.XZ), YZ: nano(i.YZ)}
		if mass == 0 {
			at.in("inertia_g_mm2").fault("belongs to a link without mass; give it a mass")
		}
	}
	return l
}

// segments cuts an elastic finger into joints.
func (b *builtFinger) segments(f *segmentsFile, at spot) []hand.Joint {
	rod := hand.Rod{Length: milli(f.Length), BendX: micro(f.Sideways), BendY: micro(f.Closing), Twist: micro(f.Twist), Mass: milli(f.Mass), Radius: milli(f.Radius), Loss: f.Loss}
	moment := 0.0
	if m := f.Measured; m != nil {
		bench := hand.Guided
		if m.Bench == "tip-held" {
			bench = hand.TipHeld
		}
		var free, blocked []hand.Reading
		for _, r := range m.Free {
			free = append(free, hand.Reading{Pressure: kilo(r.Pressure), Value: radians(r.Angle)})
		}
		for _, r := range m.Blocked {
			blocked = append(blocked, hand.Reading{Pressure: kilo(r.Pressure), Value: r.Force})
		}
		c, err := hand.Calibrate(rod.Length, free, blocked, bench)
		if err != nil {
			at.in("measured").fault("%v", err)
			return nil
		}
		rod.BendY, moment = c.Bending, c.MomentPerPressure
	}
	joints, per, err := rod.Segments(f.Count)
	if err != nil {
		at.fault("%v", err)
		return nil
	}
	if len(joints) > mostJoints {
		at.in("count").fault("%d segments that each give in %d directions make %d joints; a finger can have %d", f.Count, per, len(joints), mostJoints)
		return nil
	}
	b.bends = &bend{rod, f.Count, moment}
	b.names, b.slides = make([]string, len(joints)), make([]bool, len(joints))
	return joints
}
