package scenes

import (
	"bytes"
	"math"
	"path"
	"slices"
	"strings"

	"holdfast/faults"
	"holdfast/mechanics/motion"
	"holdfast/mechanics/shape"
	"holdfast/mechanics/trialsim"
	"holdfast/orient"
)

func (l *loader) item(f *itemFile, at spot) trialsim.Item {
	solid, own := l.shape(&f.Shape, at.in("shape"))
	it := trialsim.Item{
		Name: f.Name, Shape: solid, Rest: rotation(f.Turn, f.Rotation, at.in("quaternion")), Mass: milli(f.Mass),
		Heading: radians(f.Heading), Friction: 1, Stiffness: kilo(f.Stiffness), Rolling: milli(f.Rolling), Modulus: kilo(f.Modulus),
		DamagePressure: kilo(f.DamagePressure), DamageForce: f.DamageForce,
	}
	if own != orient.Identity {
		it.Rest = it.Rest.Mul(own)
	}
	if f.Centre != nil {
		// A mesh's own frame is turned against its file's, in which people measure.
		it.Centre = own.Inverse().Apply(metres(*f.Centre))
	}
	if f.Inertia != nil {
		if f.Shape.Mesh != nil {
			at.in("inertia_g_mm2").fault("a mesh's principal axes follow from its shape; leave this out")
		}
		for i, m := range f.Inertia {
			it.Gyration[i] = math.Sqrt(1e-6 * m / f.Mass)
		}
	}
	if f.Friction != nil {
		it.Friction = *f.Friction
	}
	if s := f.Spread; s != nil {
		it.SizeSpread, it.MassSpread, it.FrictionSpread, it.StiffnessSpread = s.Size, s.Mass, s.Friction, s.Stiffness
	}
	l.check(at, func() error { return it.Check() })
	return it
}

// shape builds the solid, and says how its own frame is turned in that of a mesh's file. Constructors that refuse their measures
// are told of at the shape's own field.
func (l *loader) shape(f *shapeFile, at spot) (solid shape.Solid, own orient.Rotation) {
	var err error
	own = orient.Identity
	field := ""
	switch {
	case f.Ellipsoid != nil:
		return shape.Ellipsoid{Semi: metres(f.Ellipsoid.Size).Scale(0.5)}, own
	case f.Box != nil:
		field = "box"
		solid, err = shape.NewBox(metres(f.Box.Size).Scale(0.5), milli(f.Box.Rounding))
	case f.Cylinder != nil:
		field = "cylinder"
		solid, err = shape.NewCylinder(milli(f.Cylinder.Diameter)/2, milli(f.Cylinder.Height)/2, milli(f.Cylinder.Rounding))
	case f.Cone != nil:
		field = "cone"
		solid, err = shape.NewFrustum(milli(f.Cone.Bottom)/2, milli(f.Cone.Top)/2, milli(f.Cone.Height), milli(f.Cone.Rounding))
	case f.Superellipsoid != nil:
		field = "superellipsoid"
		solid, err = shape.NewSuperellipsoid(metres(f.Superellipsoid.Size).Scale(0.5), f.Superellipsoid.Upright, f.Superellipsoid.Across)
	case f.Crescent != nil:
		field = "crescent"
		solid, err = shape.NewCrescent(milli(f.Crescent.Radius), radians(f.Crescent.Arc)/2, milli(f.Crescent.Thick)/2, milli(f.Crescent.Thin)/2)
	}
	if f.Mesh != nil {
		field = "mesh"
		mesh, ok := l.mesh(f.Mesh.File, milli(f.Mesh.Scale), at.in(field).in("file"))
		if !ok {
			return nil, own
		}
		var fit shape.Fit
		solid, fit, err = shape.NewPolyhedron(mesh)
		own = fit.Turn
	}
	if err != nil {
		at.in(field).fault("%v", err)
		return nil, orient.Identity
	}
	return solid, own
}

// mostMesh bounds a file of triangles.
const mostMesh = 64 << 20

// mesh reads an STL or OBJ file whose unit is a length (m).
func (l *loader) mesh(file string, unit float64, at spot) (mesh shape.Mesh, ok bool) {
	read := shape.ReadSTL
	switch strings.ToLower(path.Ext(file)) {
	case ".stl":
	case ".obj":
		read = shape.ReadOBJ
	default:
		at.fault("%s is neither .stl nor .obj", quoted(file))
		return mesh, false
	}
	name := beside(at.src.file, file)
	text, ok := l.open(name, mostMesh, at)
	if !ok {
		return mesh, false
	}
	mesh, err := read(bytes.NewReader(text), unit)
	if err != nil {
		at.fault("%s: %v", faults.Printable(name), err)
		return mesh, false
	}
	return mesh, true
}

func (l *loader) setting(f *settingFile, at spot) trialsim.Setting {
	s := trialsim.Setting{Name: f.Name, Support: surface(&f.Support), Neighbours: f.Neighbours}
	if f.Edge != nil {
		s.Edge, s.EdgeAt = true, milli(*f.Edge)
	}
	or := func(own *surfaceFile) motion.Surface {
		if own != nil {
			return surface(own)
		}
		return s.Support
	}
	for _, w := range f.Walls {
		s.Blocks = append(s.Blocks, trialsim.Wall(milli(w.At), milli(w.Height), or(w.Surface)))
	}
	if t := f.Tray; t != nil {
		s.Blocks = append(s.Blocks, trialsim.Tray(milli(t.Along), milli(t.Across), milli(t.Height), or(t.Surface))...)
	}
	for i, b := range f.Blocks {
		for k := range 3 {
			if !(b.Low[k] < b.High[k]) {
				at.in("blocks").nth(i).in("high_mm").nth(k).fault("must lie above that of low_mm, %g", b.Low[k])
			}
		}
		s.Blocks = append(s.Blocks, trialsim.Block{Name: b.Name, Low: metres(b.Low), High: metres(b.High), Surface: or(b.Surface)})
	}
	s.Neighbours = nil
	for _, p := range f.Neighbours {
		s.Neighbours = append(s.Neighbours, [2]float64{milli(p[0]), milli(p[1])})
	}
	l.check(at, func() error { return s.Check() })
	return s
}

func (l *loader) strategy(f *strategyFile, at spot) trialsim.Strategy {
	s := trialsim.Strategy{Name: f.Name, Kind: f.Kind, Clearance: milli(f.Clearance), Standoff: milli(f.Standoff), Overhang: f.Overhang, Nearest: milli(f.Nearest), Farthest: milli(f.Farthest), Lean: radians(f.Lean)}
	if f.Farthest > 0 && f.Farthest < f.Nearest {
		at.in("farthest_mm").fault("is %g, below nearest_mm, %g", f.Farthest, f.Nearest)
	}
	for i := range f.Phases {
		s.Phases = append(s.Phases, phase(&f.Phases[i], at.in("phases").nth(i)))
	}
	l.check(at, func() error { return s.Check() })
	return s
}

// phase also says which of the fields the phase's motion needs and does not have, or has and can not use.
func phase(f *phaseFile, at spot) trialsim.Phase {
	p := trialsim.Phase{
		Name: f.Name, Do: trialsim.Motion(f.Do), To: trialsim.Place(f.To), Toward: trialsim.Toward(f.Toward),
		Distance: milli(f.Distance), Speed: milli(f.Speed), Seconds: f.Seconds, Hertz: f.Hertz, Command: -1,
		UntilForce: f.UntilForce, UntilContact: f.UntilContact, UntilTouch: f.UntilTouch, KeepForce: f.KeepForce, MostForce: f.MostForce,
	}
	if f.Command != nil {
		p.Command = *f.Command
	}
	for _, a := range f.Adjustments {
		next := trialsim.Adjustment{Finger: a.Finger - 1, Link: a.Link - 1, Move: metres(a.Move), PerCommand: metres(a.PerCommand), At: a.At, Low: a.Low, High: a.High, Turn: radians(a.Turn)}
		if d := a.ByDirection; d != nil {
			next.ByDirection = &trialsim.ByDirection{PerX: metres(d.PerX), PerY: metres(d.PerY), At: d.At, Low: d.Low, High: d.High}
		}
		p.Adjustments = append(p.Adjustments, next)
	}
	for _, v := range []struct {
		field string
		given bool
		needs []trialsim.Motion
		takes []trialsim.Motion
	}{
		{"to", f.To != "", []trialsim.Motion{trialsim.Move}, nil},
		{"toward", f.Toward != "", []trialsim.Motion{trialsim.Slide}, nil},
		{"distance_mm", f.Distance != 0, []trialsim.Motion{trialsim.Lift, trialsim.Shake}, []trialsim.Motion{trialsim.Press, trialsim.Slide}},
		{"speed_mm_per_s", f.Speed != 0, nil, []trialsim.Motion{trialsim.Move, trialsim.Press, trialsim.Slide, trialsim.Lift, trialsim.Adjust}},
		{"time_s", f.Seconds != 0, []trialsim.Motion{trialsim.Close, trialsim.Comply, trialsim.Hold, trialsim.Shake}, []trialsim.Motion{trialsim.Move, trialsim.Lift, trialsim.Adjust}},
		{"frequency_Hz", f.Hertz != 0, []trialsim.Motion{trialsim.Shake}, nil},
		{"until_force_N", f.UntilForce != 0, nil, []trialsim.Motion{trialsim.Press, trialsim.Slide, trialsim.Move, trialsim.Close}},
		{"until_contact", f.UntilContact, nil, []trialsim.Motion{trialsim.Press, trialsim.Slide, trialsim.Move, trialsim.Close}},
		{"until_touch", f.UntilTouch, nil, []trialsim.Motion{trialsim.Press, trialsim.Slide, trialsim.Move, trialsim.Close}},
		{"adjustments", len(f.Adjustments) > 0, []trialsim.Motion{trialsim.Adjust}, nil},
	} {
		needed, taken := slices.Contains(v.needs, p.Do), slices.Contains(v.takes, p.Do)
		switch {
		case needed && !v.given:
			at.fault("a %s needs %s", f.Do, v.field)
		case v.given && !needed && !taken:
			at.in(v.field).fault("means nothing to a %s", f.Do)
		}
	}
	if p.Do == trialsim.Press && f.UntilForce == 0 && !f.UntilContact && !f.UntilTouch {
		at.fault("a press needs until_force_N, until_contact or until_touch: it goes on until it feels something")
	}
	return p
}
