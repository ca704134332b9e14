package scenes

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"math"
	"strconv"
	"strings"

	"holdfast/mechanics/hand"
)

// The part of URDF that a hand's mechanics need (the format is described by the "urdf/XML" pages of the ROS project): links
// with inertia and collision shapes, joints that are revolute, continuous, prismatic or fixed. Looks are passed over. Lengths
// are in m, angles in rad, masses in kg there.

// mostURDF bounds such a file.
const mostURDF = 4 << 20

// element is a part of an XML text with its place.
type element struct {
	name       string
	attributes map[string]string
	children   []*element
	at         position
}

func (e *element) child(name string) *element {
	for _, c := range e.children {
		if c.name == name {
			return c
		}
	}
	return nil
}

// urdf is a file of that format as read: what links and joints say, in its own frames.
type urdf struct {
	src    *source
	links  []*urdfLink
	joints []*urdfJoint
}

type urdfLink struct {
	name     string
	at       spot
	mass     float64
	centre   hand.Vec
	inertia  hand.Inertia // about the centre, along the link's frame
	capsules []capsule
	parent   *urdfJoint
	children []*urdfJoint
}

type urdfJoint struct {
	name, kind    string
	at            spot
	origin        frame // of the child's frame in the parent's
	parent, child *urdfLink
	axis          hand.Vec
	lower, upper  float64
	limited       bool
	damping       float64
}

// capsule is a collision shape as a finger has it.
type capsule struct {
	from, to hand.Vec
	radius   float64
}

// frame is a place and a turn.
type frame struct {
	at   hand.Vec
	turn hand.Turn
}

var still = frame{turn: hand.Unturned}

func (f *frame) point(p hand.Vec) hand.Vec { return f.at.Add(f.turn.Apply(p)) }

// then is the frame that g describes, seen from where f is described.
func (f *frame) then(g frame) frame {
	return frame{f.point(g.at), hand.Turn{X: f.turn.Apply(g.turn.X), Y: f.turn.Apply(g.turn.Y), Z: f.turn.Apply(g.turn.Z)}}
}

// parseXML reads a text into its elements. It notes what is wrong and then returns nil.
func (s *source) parseXML(text []byte) *element {
	d := xml.NewDecoder(bytes.NewReader(text))
	var root *element
	var open []*element
	for {
		line, column := d.InputPos()
		token, err := d.Token()
		if errors.Is(err, io.EOF) && root != nil && len(open) == 0 {
			return root
		}
		if err != nil {
			s.at[""] = position{line, column}
			reason := err.Error()
			var e *xml.SyntaxError
			if errors.As(err, &e) {
				s.at[""] = position{e.Line, 1}
				reason = e.Msg
			}
			spot{src: s}.fault("is not XML that can be read: %s", reason)
			return nil
		}
		switch t := token.(type) {
		case xml.StartElement:
			e := &element{name: t.Name.Local, attributes: map[string]string{}, at: position{line, column}}
			if t.Name.Space != "" {
				e.name = t.Name.Space + ":" + e.name
			}
			for _, a := range t.Attr {
				e.attributes[a.Name.Local] = a.Value
			}
			if len(open) > mostDepth {
				s.at[""] = e.at
				spot{src: s}.fault("lies too deep in other parts")
				return nil
			}
			if len(open) > 0 {
				parent := open[len(open)-1]
				parent.children = append(parent.children, e)
			} else if root != nil {
				s.at[""] = e.at
				spot{src: s}.fault("has a second root element")
				return nil
			} else {
				root = e
			}
			open = append(open, e)
		case xml.EndElement:
			open = open[:len(open)-1]
		}
	}
}

// place notes where an element stands, and gives the spot for what is said of it.
func (s *source) place(e *element, path string) spot {
	s.at[path] = e.at
	return spot{s, path}
}

// numbers reads an attribute of a fixed count of numbers; not given: what stands in fallback.
func (s *source) numbers(e *element, at spot, attribute string, fallback ...float64) []float64 {
	text, given := e.attributes[attribute]
	if !given {
		return fallback
	}
	parts := strings.Fields(text)
	out := make([]float64, 0, len(fallback))
	for _, p := range parts {
		x, err := strconv.ParseFloat(p, 64)
		if err != nil || math.IsNaN(x) || !(math.Abs(x) <= mostNumber) {
			at.fault("%s is %s; it must be %s", attribute, quoted(text), countOf(len(fallback)))
			return fallback
		}
		out = append(out, x)
	}
	if len(out) != len(fallback) {
		at.fault("%s is %s; it must be %s", attribute, quoted(text), countOf(len(fallback)))
		return fallback
	}
	return out
}

func countOf(n int) string {
	if n == 1 {
		return "a number"
	}
	return strconv.Itoa(n) + " numbers"
}

// positive reads a number that must be above 0.
func (s *source) positive(e *element, at spot, attribute string) float64 {
	x := s.numbers(e, at, attribute, math.NaN())[0]
	if !(x > 0) {
		if _, given := e.attributes[attribute]; !given {
			at.fault("needs %s", attribute)
		} else if !math.IsNaN(x) {
			at.fault("%s is %g; it must be above 0", attribute, x)
		}
		return 1
	}
	return x
}

func vecOf(x []float64) hand.Vec { return hand.Vec{X: x[0], Y: x[1], Z: x[2]} }

// origin reads xyz and rpy: roll about x, then pitch about y, then yaw about z, all of them of the parent's axes.
func (s *source) origin(e *element, at spot) frame {
	o := e.child("origin")
	if o == nil {
		return still
	}
	at = s.place(o, at.in("origin").path)
	rpy := s.numbers(o, at, "rpy", 0, 0, 0)
	x := hand.TurnAbout(hand.Vec{X: 1}, rpy[0])
	y := hand.TurnAbout(hand.Vec{Y: 1}, rpy[1])
	z := hand.TurnAbout(hand.Vec{Z: 1}, rpy[2])
	turn := frame{turn: z}
	turn = turn.then(frame{turn: y})
	turn = turn.then(frame{turn: x})
	turn.at = vecOf(s.numbers(o, at, "xyz", 0, 0, 0))
	return turn
}

// readURDF reads the links and joints, tied together as a tree. Whatever is wrong is noted; then it returns nil.
func (l *loader) readURDF(name string, text []byte) *urdf {
	s := &source{file: name, at: map[string]position{}, errors: l.errors}
	before := len(l.errors.Faults)
	root := s.parseXML(text)
	if root == nil {
		return nil
	}
	whole := s.place(root, "")
	if root.name != "robot" {
		whole.fault("begins with <%s>; a URDF file begins with <robot>", root.name)
		return nil
	}
	u := &urdf{src: s}
	links := map[string]*urdfLink{}
	for _, e := range root.children {
		if strings.Contains(e.name, "xacro") {
			s.place(e, "").fault("holds <%s>; expand the macros first", e.name)
			return nil
		}
		if e.name != "link" {
			continue
		}
		k := l.readLink(s, e)
		if links[k.name] != nil {
			k.at.fault("a link before has the name %s already", quoted(k.name))
		}
		links[k.name] = k
		u.links = append(u.links, k)
	}
	seen := map[string]bool{}
	for _, e := range root.children {
		if e.name != "joint" {
			continue
		}
		j := s.readJoint(e, links)
		if seen[j.name] {
			j.at.fault("a joint before has the name %s already", quoted(j.name))
		}
		seen[j.name] = true
		if j.parent == nil || j.child == nil {
			continue
		}
		if j.child.parent != nil {
			j.at.fault("link %s hangs on joint %s already", quoted(j.child.name), quoted(j.child.parent.name))
			continue
		}
		j.child.parent = j
		j.parent.children = append(j.parent.children, j)
		u.joints = append(u.joints, j)
	}
	for _, k := range u.links {
		steps := 0
		for up := k; up.parent != nil && steps <= len(u.links); up = up.parent.parent {
			steps++
		}
		if steps > len(u.links) {
			k.at.fault("hangs on itself: its joints run in a ring")
			break
		}
	}
	if len(u.links) == 0 {
		whole.fault("has no links")
	}
	if len(l.errors.Faults) > before {
		return nil
	}
	return u
}

func (l *loader) readLink(s *source, e *element) *urdfLink {
	k := &urdfLink{name: e.attributes["name"]}
	k.at = s.place(e, "link "+k.name)
	if k.name == "" {
		k.at.fault("needs a name")
	}
	if in := e.child("inertial"); in != nil {
		at := s.place(in, k.at.in("inertial").path)
		o := s.origin(in, at)
		k.centre = o.at
		if m := in.child("mass"); m != nil {
			k.mass = s.numbers(m, s.place(m, at.in("mass").path), "value", 0)[0]
		}
		if t := in.child("inertia"); t != nil {
			at := s.place(t, at.in("inertia").path)
			get := func(name string) float64 { return s.numbers(t, at, name, 0)[0] }
			own := hand.Inertia{XX: get("ixx"), YY: get("iyy"), ZZ: get("izz"), XY: get("ixy"), XZ: get("ixz"), YZ: get("iyz")}
			k.inertia = turnedInertia(own, &o.turn)
		}
		if !(k.mass >= 0) {
			at.fault("the mass is %g kg; it must be 0 or more", k.mass)
		}
	}
	for _, c := range e.children {
		if c.name != "collision" {
			continue
		}
		at := s.place(c, k.at.in("collision").path)
		o := s.origin(c, at)
		g := c.child("geometry")
		if g == nil || len(g.children) == 0 {
			at.fault("needs a geometry with a box, cylinder, sphere or mesh")
			continue
		}
		body := g.children[0]
		at = s.place(body, at.in(body.name).path)
		switch body.name {
		case "sphere":
			k.capsules = append(k.capsules, capsule{o.at, o.at, s.positive(body, at, "radius")})
		case "cylinder":
			r, length := s.positive(body, at, "radius"), s.positive(body, at, "length")
			k.capsules = append(k.capsules, along(o, hand.Vec{Z: 1}, length, r))
		case "box":
			if size := s.numbers(body, at, "size", 0, 0, 0); !(size[0] > 0 && size[1] > 0 && size[2] > 0) {
				at.fault("size must be three numbers above 0")
			} else {
				k.capsules = append(k.capsules, boxed(o, vecOf(size)))
			}
		case "mesh":
			scale := s.numbers(body, at, "scale", 1, 1, 1)
			file := strings.TrimPrefix(body.attributes["filename"], "file://")
			if strings.Contains(file, "://") || strings.HasPrefix(file, "/") {
				at.fault("filename is %s; it must be a path from the folder of this file", quoted(file))
			} else if mesh, ok := l.mesh(file, 1, at); ok {
				k.capsules = append(k.capsules, meshed(o, &mesh, vecOf(scale)))
			}
		default:
			at.fault("is none of box, cylinder, sphere, mesh")
		}
	}
	return k
}

// turnedInertia is a tensor given in a frame, seen from outside: R·I·Rᵀ.
func turnedInertia(i hand.Inertia, t *hand.Turn) hand.Inertia {
	rows := [3]hand.Vec{{X: i.XX, Y: i.XY, Z: i.XZ}, {X: i.XY, Y: i.YY, Z: i.YZ}, {X: i.XZ, Y: i.YZ, Z: i.ZZ}}
	about := func(a, b hand.Vec) float64 {
		// a·(R·I·Rᵀ)·b
		x, y := t.Back(a), t.Back(b)
		return x.X*rows[0].Dot(y) + x.Y*rows[1].Dot(y) + x.Z*rows[2].Dot(y)
	}
	ex, ey, ez := hand.Vec{X: 1}, hand.Vec{Y: 1}, hand.Vec{Z: 1}
	return hand.Inertia{XX: about(ex, ex), YY: about(ey, ey), ZZ: about(ez, ez), XY: about(ex, ey), XZ: about(ex, ez), YZ: about(ey, ez)}
}

func (s *source) readJoint(e *element, links map[string]*urdfLink) *urdfJoint {
	j := &urdfJoint{name: e.attributes["name"], kind: e.attributes["type"], axis: hand.Vec{X: 1}}
	j.at = s.place(e, "joint "+j.name)
	if j.name == "" {
		j.at.fault("needs a name")
	}
	end := func(name string) *urdfLink {
		c := e.child(name)
		if c == nil {
			j.at.fault("needs <%s link=…>", name)
			return nil
		}
		at := s.place(c, j.at.in(name).path)
		k := links[c.attributes["link"]]
		if k == nil {
			at.fault("names link %s, which is not there", quoted(c.attributes["link"]))
		}
		return k
	}
	j.parent, j.child = end("parent"), end("child")
	j.origin = s.origin(e, j.at)
	switch j.kind {
	case "fixed":
		return j
	case "revolute", "prismatic", "continuous":
	case "floating", "planar":
		j.at.fault("is %s; a finger's joint has one axis: revolute, continuous, prismatic or fixed", j.kind)
	default:
		j.at.fault("has the type %s; there are revolute, continuous, prismatic and fixed", quoted(j.kind))
	}
	if a := e.child("axis"); a != nil {
		at := s.place(a, j.at.in("axis").path)
		j.axis = vecOf(s.numbers(a, at, "xyz", 1, 0, 0))
		if !(j.axis.Norm() > 0) {
			at.fault("has no direction")
			j.axis = hand.Vec{X: 1}
		}
	}
	if m := e.child("mimic"); m != nil {
		s.place(m, j.at.in("mimic").path).fault("ties joints together; take it out and let a cord run over both")
	}
	if d := e.child("dynamics"); d != nil {
		at := s.place(d, j.at.in("dynamics").path)
		if j.damping = s.numbers(d, at, "damping", 0)[0]; j.damping < 0 {
			at.fault("damping is %g; it must be 0 or more", j.damping)
		}
	}
	if m := e.child("limit"); m != nil && j.kind != "continuous" {
		at := s.place(m, j.at.in("limit").path)
		j.limited = true
		j.lower, j.upper = s.numbers(m, at, "lower", 0)[0], s.numbers(m, at, "upper", 0)[0]
		if !(j.lower < j.upper) {
			at.fault("lower is %g and upper %g; the first must lie below the second (a joint without way is fixed)", j.lower, j.upper)
		}
	} else if j.kind == "revolute" || j.kind == "prismatic" {
		j.at.fault("is %s and needs a limit", j.kind)
	}
	return j
}
