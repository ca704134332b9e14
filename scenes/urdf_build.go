package scenes

import (
	"math"

	"holdfast/mechanics/hand"
	"holdfast/orient"
)

// What a limit without a stiffness of its own is taken to have: common practice, no source.
const (
	usualStop      = 5.0   // N·m/rad
	usualSlideStop = 100e3 // N/m
)

// fromURDF makes a finger of each chain of joints that leaves the palm. What hangs on fixed joints becomes part of the link that
// it is fixed to.
func (b *handBuilder) fromURDF(f *urdfFile, at spot) {
	before := len(b.loader.errors.Faults)
	name := beside(at.src.file, f.File)
	text, ok := b.loader.open(name, mostURDF, at.in("file"))
	if !ok {
		return
	}
	u := b.loader.readURDF(name, text)
	if u == nil {
		return
	}
	palm := u.root(f.Palm, at)
	if palm == nil {
		return
	}
	springs := map[string]int{}
	for i := range f.Joints {
		j := &f.Joints[i]
		if _, twice := springs[j.Joint]; twice {
			at.in("joints").nth(i).in("joint").fault("%s has an entry before", quoted(j.Joint))
		}
		springs[j.Joint] = i
	}
	w := walker{builder: b, file: f, at: at, springs: springs, used: map[string]bool{}}
	// The frame of the palm's link as seen from the palm's frame.
	turn := rotation(f.Turn, f.Rotation, at.in("palm_quaternion")).Inverse()
	link := frame{turn: turnOf(turn)}
	link.at = link.turn.Apply(vec(f.Origin).Scale(-1))
	var fingers []builtFinger
	for _, j := range leaving(palm, link) {
		fingers = append(fingers, w.finger(j))
	}
	if len(fingers) == 0 {
		at.fault("no joint that moves leaves the palm %s", quoted(palm.name))
	}
	sound := len(b.loader.errors.Faults) == before
	for i := range f.Joints {
		if j := f.Joints[i].Joint; !w.used[j] && sound {
			at.in("joints").nth(i).in("joint").fault("%s is no joint of a finger that moves", quoted(j))
		}
	}
	if len(b.loader.errors.Faults) > before {
		return
	}
	for _, finger := range fingers {
		b.take(finger)
	}
}

// root finds the palm.
func (u *urdf) root(name string, at spot) *urdfLink {
	if name != "" {
		for _, k := range u.links {
			if k.name == name {
				return k
			}
		}
		at.in("palm").fault("%s has no link %s", u.src.file, quoted(name))
		return nil
	}
	var roots []*urdfLink
	for _, k := range u.links {
		if k.parent == nil {
			roots = append(roots, k)
		}
	}
	switch len(roots) {
	case 0:
		spot{src: u.src}.fault("no link is the root: its joints run in a ring")
		return nil
	case 1:
		return roots[0]
	}
	roots[1].at.fault("is a second root beside %s; one joint must lead to it, or palm must say which is meant", quoted(roots[0].name))
	return nil
}

// met is a joint that moves, with where its parent link's frame is in the frame that one looks from.
type met struct {
	joint  *urdfJoint
	parent frame
}

// leaving lists the joints that move something away from a link and all that is fixed to it. A tree has no rings, so it ends.
func leaving(k *urdfLink, at frame) (joints []met) {
	for _, j := range k.children {
		if j.kind == "fixed" {
			joints = append(joints, leaving(j.child, at.then(j.origin))...)
			continue
		}
		joints = append(joints, met{j, at})
	}
	return joints
}

type walker struct {
	builder *handBuilder
	file    *urdfFile
	at      spot
	springs map[string]int
	used    map[string]bool
}

// finger follows joints to a tip. The finger's frame is that of its first joint.
func (w *walker) finger(first met) (f builtFinger) {
	base := first.parent.then(first.joint.origin)
	f.Name, f.entry = first.joint.child.name, first.joint.child.name
	f.Root = orient.Vec3{base.at.X, base.at.Y, base.at.Z}
	x, y, z := base.turn.X, base.turn.Y, base.turn.Z
	f.Turn = orient.FromMatrix([3][3]float64{{x.X, y.X, z.X}, {x.Y, y.Y, z.Y}, {x.Z, y.Z, z.Z}})
	var joints []hand.Joint
	// The child link's frame in the finger's while all joints are at 0: only its turn matters, as joints tell their places one
	// from the other.
	turned := hand.Unturned
	origin := hand.Vec{}
	for at := first; ; {
		j := at.joint
		w.used[j.name] = true
		one := hand.Joint{Slides: j.kind == "prismatic", Origin: origin, Axis: turned.Apply(j.axis), Damping: j.damping}
		w.spring(&one, j)
		own := frame{turn: turned}
		one.Link = mergedLink(j.child, own)
		joints = append(joints, one)
		f.names, f.slides = append(f.names, j.name), append(f.slides, one.Slides)
		next := leaving(j.child, own)
		if len(next) == 0 {
			break
		}
		if len(next) > 1 {
			next[1].joint.at.fault("branches off where joint %s goes on; a finger is one chain", quoted(next[0].joint.name))
			break
		}
		if len(joints) == mostJoints {
			next[0].joint.at.fault("is one joint too many; a finger can have %d", mostJoints)
			break
		}
		at = next[0]
		here := at.parent.then(at.joint.origin)
		origin, turned = here.at, here.turn
	}
	chain, err := hand.NewChain(joints)
	if err != nil {
		first.joint.at.fault("the finger that begins here: %v", err)
		return f
	}
	f.Chain = chain
	return f
}

// spring sets what resists a joint: the file's entry for it, or that for every joint.
func (w *walker) spring(one *hand.Joint, j *urdfJoint) {
	damping := one.Damping
	entry, at := w.file.EveryJoint, w.at.in("every_joint")
	if i, ok := w.springs[j.name]; ok {
		entry, at = &w.file.Joints[i].springFile, w.at.in("joints").nth(i)
	}
	if entry != nil {
		own := *entry
		if at.path == w.at.in("every_joint").path {
			// It speaks to joints of both kinds; each takes what suits it.
			if one.Slides {
				own.Stiffness, own.Damping, own.Rest, own.Armature = 0, 0, 0, 0
			} else {
				own.SlideStiffness, own.SlideDamping, own.SlideRest, own.SlideArmature = 0, 0, 0, 0
			}
		}
		own.fill(one, at)
	}
	if one.Damping == 0 {
		one.Damping = damping
	}
	if j.limited && one.Stops == (hand.Stops{}) {
		one.Stops = hand.Stops{Lower: j.lower, Upper: j.upper, Stiffness: usualStop}
		if one.Slides {
			one.Stops.Stiffness = usualSlideStop
		}
		if s := w.file.Stop; s != 0 && !one.Slides {
			one.Stops.Stiffness = s
		}
		if s := w.file.SlideStop; s != 0 && one.Slides {
			one.Stops.Stiffness = kilo(s)
		}
	}
}

// mergedLink is a link with all that is fixed to it, seen in a frame: one mass, and one capsule between the ends that lie
// farthest apart, as thick as the thickest.
func mergedLink(k *urdfLink, at frame) (l hand.Link) {
	type lump struct {
		mass    float64
		centre  hand.Vec
		inertia hand.Inertia
	}
	var lumps []lump
	var capsules []capsule
	var gather func(k *urdfLink, at frame)
	gather = func(k *urdfLink, at frame) {
		if k.mass > 0 {
			lumps = append(lumps, lump{k.mass, at.point(k.centre), turnedInertia(k.inertia, &at.turn)})
		}
		for _, c := range k.capsules {
			capsules = append(capsules, capsule{at.point(c.from), at.point(c.to), c.radius})
		}
		for _, j := range k.children {
			if j.kind == "fixed" {
				gather(j.child, at.then(j.origin))
			}
		}
	}
	gather(k, at)
	for _, m := range lumps {
		l.Mass += m.mass
		l.Centre = l.Centre.Add(m.centre.Scale(m.mass))
	}
	if l.Mass > 0 {
		l.Centre = l.Centre.Scale(1 / l.Mass)
	}
	for _, m := range lumps {
		d := m.centre.Sub(l.Centre)
		square := d.Dot(d)
		l.Inertia.XX += m.inertia.XX + m.mass*(square-d.X*d.X)
		l.Inertia.YY += m.inertia.YY + m.mass*(square-d.Y*d.Y)
		l.Inertia.ZZ += m.inertia.ZZ + m.mass*(square-d.Z*d.Z)
		l.Inertia.XY += m.inertia.XY - m.mass*d.X*d.Y
		l.Inertia.XZ += m.inertia.XZ - m.mass*d.X*d.Z
		l.Inertia.YZ += m.inertia.YZ - m.mass*d.Y*d.Z
	}
	switch len(capsules) {
	case 0:
	case 1:
		l.From, l.To, l.Radius = capsules[0].from, capsules[0].to, capsules[0].radius
	default:
		var ends []hand.Vec
		for _, c := range capsules {
			ends = append(ends, c.from, c.to)
			l.Radius = math.Max(l.Radius, c.radius)
		}
		far := -1.0
		for i, a := range ends {
			for _, b := range ends[i:] {
				if d := b.Sub(a).Norm(); d > far {
					far, l.From, l.To = d, a, b
				}
			}
		}
	}
	return l
}

func turnOf(r orient.Rotation) hand.Turn {
	m := r.Matrix()
	return hand.Turn{X: hand.Vec{X: m[0][0], Y: m[1][0], Z: m[2][0]}, Y: hand.Vec{X: m[0][1], Y: m[1][1], Z: m[2][1]}, Z: hand.Vec{X: m[0][2], Y: m[1][2], Z: m[2][2]}}
}
