package hand

import "math"

// flat is a link of a finger that bends in a plane, in that plane: coordinates along the base's two axes beside the joints'
// common direction, from the base's position. Most fingers are such, and there a rotation is one number (DESIGN.md, eq. 2a).
type flat struct {
	sin, cos float64 // of the angle between link and base
	ox, oy   float64 // m, the joint
	cx, cy   float64 // m, the centre of mass
}

// level is what a joint of such a finger is in its plane; u and v are the two axes that follow the joints' axis in xyzxyz….
type level struct {
	ou, ov, along  float64 // m, the joint's origin; the last beside the plane
	cu, cv, beside float64 // m, the centre of mass
	own            float64 // kg m², about the centre
}

// flatten sees whether all joints turn about one coordinate axis, and then takes them down to the plane.
func (c *Chain) flatten() {
	name := c.joints[0].coordinate
	for i := range c.joints {
		if j := &c.joints[i]; j.Slides || name == 0 || j.coordinate != name {
			return
		}
	}
	split := func(v Vec) (u, w, along float64) {
		switch name {
		case 'x':
			return v.Y, v.Z, v.X
		case 'y':
			return v.Z, v.X, v.Y
		}
		return v.X, v.Y, v.Z
	}
	c.plane = name
	c.levels = make([]level, len(c.joints))
	for i := range c.joints {
		j, l := &c.joints[i], &c.levels[i]
		l.ou, l.ov, l.along = split(j.Origin)
		l.cu, l.cv, l.beside = split(j.Link.Centre)
		_, _, l.own = split(Vec{j.Link.Inertia.XX, j.Link.Inertia.YY, j.Link.Inertia.ZZ})
	}
}

// axes returns the plane's axes and the joints' direction.
func (c *Chain) axes(t *Turn) (u, v, along Vec) {
	switch c.plane {
	case 'x':
		return t.Y, t.Z, t.X
	case 'y':
		return t.Z, t.X, t.Y
	}
	return t.X, t.Y, t.Z
}

// updateFlat is [State.Update] in the plane.
func (s *State) updateFlat() {
	c := s.chain
	u, v, e := c.axes(&s.Base.Turn)
	base := s.Base.Position
	levels, flats, bodies, q := c.levels, s.flats[:len(c.levels)], s.bodies[:len(c.levels)], s.Q[:len(c.levels)]
	angle, sin, cos, ox, oy, along := 0.0, 0.0, 1.0, 0.0, 0.0, 0.0
	for i := range levels {
		l, f, b, sign := &levels[i], &flats[i], &bodies[i], c.joints[i].sign
		ox, oy, along = ox+cos*l.ou-sin*l.ov, oy+sin*l.ou+cos*l.ov, along+l.along
		angle += sign * q[i]
		sin, cos = math.Sincos(angle)
		cx, cy := ox+cos*l.cu-sin*l.cv, oy+sin*l.cu+cos*l.cv
		f.sin, f.cos, f.ox, f.oy, f.cx, f.cy = sin, cos, ox, oy, cx, cy
		b.axis = e.Scale(sign)
		b.turning = b.axis
		b.carried = u.Scale(sign * oy).Sub(v.Scale(sign * ox))
		b.origin = base.Add(u.Scale(ox)).Add(v.Scale(oy)).Add(e.Scale(along))
		b.centre = u.Scale(cx).Add(v.Scale(cy)).Add(e.Scale(along + l.beside))
		nu, nv := u.Scale(cos).Add(v.Scale(sin)), v.Scale(cos).Sub(u.Scale(sin))
		switch c.plane {
		case 'x':
			b.turn = Turn{e, nu, nv}
		case 'y':
			b.turn = Turn{nv, e, nu}
		default:
			b.turn = Turn{nu, nv, e}
		}
	}
	s.aligned = false
}

// align turns what only a base that spins asks for.
func (s *State) align() {
	if !s.aligned {
		for i := range s.bodies {
			b := &s.bodies[i]
			b.along = b.turn.Apply(s.chain.joints[i].along)
		}
		s.aligned = true
	}
}

// massFlat is [State.MassMatrix] in the plane.
func (s *State) massFlat(dst []float64) {
	n := len(s.flats)
	var mass, hx, hy, inertia float64 // of all beyond a joint, about the base
	joints := s.chain.joints[:n]
	for i := n - 1; i >= 0; i-- {
		f, j := &s.flats[i], &joints[i]
		m := j.Link.Mass
		mass, hx, hy = mass+m, hx+m*f.cx, hy+m*f.cy
		inertia += s.chain.levels[i].own + m*(f.cx*f.cx+f.cy*f.cy)
		// The moment about the base less what hangs on both joints: I − (oᵢ + oₖ)·h + m·oᵢ·oₖ.
		rest, px, py := inertia-f.ox*hx-f.oy*hy, hx-mass*f.ox, hy-mass*f.oy
		row := dst[i*n : i*n+i+1]
		row[i] = rest - f.ox*px - f.oy*py + j.Armature
		for k := range row[:i] {
			o := &s.flats[k]
			m := j.sign * joints[k].sign * (rest - o.ox*px - o.oy*py)
			row[k], dst[k*n+i] = m, m
		}
	}
}

// inverseFlat is [State.Inverse] in the plane, for a base that does not spin.
func (s *State) inverseFlat(dst, acceleration []float64) {
	n := len(s.flats)
	u, v, _ := s.chain.axes(&s.Base.Turn)
	push := s.Base.Acceleration.Sub(s.Gravity)
	ax, ay := push.Dot(u), push.Dot(v)
	spin, turn := 0.0, 0.0 // rad/s, rad/s² of the link
	px, py := 0.0, 0.0
	joints, speed := s.chain.joints[:n], s.Speed[:n]
	for i := range joints {
		f, j := &s.flats[i], &joints[i]
		dx, dy, ww := f.ox-px, f.oy-py, spin*spin
		ax, ay = ax-turn*dy-ww*dx, ay+turn*dx-ww*dy
		px, py = f.ox, f.oy
		spin += j.sign * speed[i]
		if acceleration != nil {
			turn += j.sign * acceleration[i]
		}
		dx, dy, ww = f.cx-px, f.cy-py, spin*spin
		m := j.Link.Mass
		fx, fy := m*(ax-turn*dy-ww*dx), m*(ay+turn*dx-ww*dy)
		s.force[i].X, s.force[i].Y, s.force[i].Z = fx, fy, f.cx*fy-f.cy*fx+s.chain.levels[i].own*turn
	}
	var fx, fy, moment float64
	for i := n - 1; i >= 0; i-- {
		f, j := &s.flats[i], &joints[i]
		fx, fy, moment = fx+s.force[i].X, fy+s.force[i].Y, moment+s.force[i].Z
		dst[i] = j.sign * (moment - f.ox*fy + f.oy*fx)
		if acceleration != nil {
			dst[i] += j.Armature * acceleration[i]
		}
	}
}
