package hand

// MassMatrix writes the joint-space mass matrix (kg m²) into dst, row by row, Joints()² numbers; call [State.Update]
// before. It is the composite-rigid-body algorithm (R. Featherstone, "Rigid Body Dynamics Algorithms" (2008) ch. 6, from
// memory) with mass, first moment and inertia of the links beyond a joint summed about the base, so that adding a link is
// ten additions (DESIGN.md, eq. 1).
func (s *State) MassMatrix(dst []float64) {
	n := len(s.bodies)
	var mass float64
	var first Vec // mass times centre, from the base
	var all Inertia
	base := s.Base.Position
	for i := n - 1; i >= 0; i-- {
		b, j := &s.bodies[i], &s.chain.joints[i]
		if m := j.Link.Mass; m > 0 {
			r := b.centre.Sub(base)
			var own Inertia
			if u := b.along; j.round {
				e := u.Scale(j.excess)
				own = Inertia{j.across + e.X*u.X, j.across + e.Y*u.Y, j.across + e.Z*u.Z, e.X * u.Y, e.X * u.Z, e.Y * u.Z}
			} else {
				own = j.Link.Inertia.seen(&b.turn)
			}
			all.XX += own.XX + m*(r.Y*r.Y+r.Z*r.Z)
			all.YY += own.YY + m*(r.X*r.X+r.Z*r.Z)
			all.ZZ += own.ZZ + m*(r.X*r.X+r.Y*r.Y)
			all.XY += own.XY - m*r.X*r.Y
			all.XZ += own.XZ - m*r.X*r.Z
			all.YZ += own.YZ - m*r.Y*r.Z
			first = first.Add(r.Scale(m))
			mass += m
		}
		// Momentum of everything beyond joint i when it turns at unit speed.
		lever := b.origin.Sub(base)
		linear := b.axis.Cross(first.Sub(lever.Scale(mass)))
		angular := all.apply(b.axis).Sub(first.Cross(b.axis.Cross(lever)))
		dst[i*n+i] = b.axis.Dot(angular.Sub(lever.Cross(linear))) + j.Armature
		for k := 0; k < i; k++ {
			o := &s.bodies[k]
			m := o.axis.Dot(angular.Sub(o.origin.Sub(base).Cross(linear)))
			dst[i*n+k], dst[k*n+i] = m, m
		}
	}
}

// Bias writes the torques (N m) that would hold all joint accelerations at zero: velocity forces, weight, and what the
// base's acceleration asks for. The equation of motion is M·q̈ + bias = torque. Call [State.Update] and [State.Move]
// before. It is the recursive Newton–Euler algorithm (J. Y. S. Luh, M. W. Walker, R. P. C. Paul 1980; Featherstone (2008)
// ch. 5; from memory), in world coordinates (DESIGN.md, eq. 2).
func (s *State) Bias(dst []float64) { s.Inverse(dst, nil) }

// Inverse writes the torques (N m) that bring about the accelerations (rad/s²), nil for none.
func (s *State) Inverse(dst, acceleration []float64) {
	// A base falling freely feels no weight: gravity enters as the base's acceleration upwards.
	linear, angular := s.Base.Acceleration.Sub(s.Gravity), s.Base.SpinRate
	spin, origin := s.Base.Spin, s.Base.Position
	for i := range s.bodies {
		b, j := &s.bodies[i], &s.chain.joints[i]
		r := b.origin.Sub(origin)
		linear = linear.Add(angular.Cross(r)).Add(spin.Cross(spin.Cross(r)))
		angular = angular.Add(spin.Cross(b.axis.Scale(s.Speed[i])))
		if acceleration != nil {
			angular = angular.Add(b.axis.Scale(acceleration[i]))
		}
		spin, origin = b.spin, b.origin
		if m := j.Link.Mass; m > 0 {
			c := b.centre.Sub(b.origin)
			force := linear.Add(angular.Cross(c)).Add(spin.Cross(spin.Cross(c))).Scale(m)
			s.force[i] = force
			if u := b.along; j.round {
				own := angular.Scale(j.across).Add(u.Scale(j.excess * u.Dot(angular))).Add(spin.Cross(u).Scale(j.excess * u.Dot(spin)))
				s.moment[i] = own.Add(c.Cross(force))
			} else {
				// In the link's frame the inertia needs no turning; two vectors there and one back are cheaper.
				w, a := b.turn.Back(spin), b.turn.Back(angular)
				own := j.Link.Inertia.apply(a).Add(w.Cross(j.Link.Inertia.apply(w)))
				s.moment[i] = b.turn.Apply(own).Add(c.Cross(force))
			}
		} else {
			s.force[i], s.moment[i] = Vec{}, Vec{}
		}
	}
	var force, moment Vec // about the origin of the joint at hand
	var after Vec
	for i := len(s.bodies) - 1; i >= 0; i-- {
		b := &s.bodies[i]
		moment = moment.Add(after.Sub(b.origin).Cross(force)).Add(s.moment[i])
		force = force.Add(s.force[i])
		after = b.origin
		dst[i] = b.axis.Dot(moment)
		if acceleration != nil {
			dst[i] += s.chain.joints[i].Armature * acceleration[i]
		}
	}
}

// Weight writes the torques (N m) that gravity exerts on the joints; call [State.Update] before.
func (s *State) Weight(dst []float64) {
	var mass float64
	var first Vec
	for i := len(s.bodies) - 1; i >= 0; i-- {
		b := &s.bodies[i]
		m := s.chain.joints[i].Link.Mass
		first = first.Add(b.centre.Scale(m))
		mass += m
		dst[i] = b.axis.Dot(first.Sub(b.origin.Scale(mass)).Cross(s.Gravity))
	}
}

// Elastic writes the torques (N m) of springs, stops and dampers at Q and Speed, and, for a time step that takes them
// implicitly, their stiffness −dτ/dq (N m/rad); stiffness may be nil. Damping is constant: see [Chain.Joint].
func (s *State) Elastic(torque, stiffness []float64) {
	for i := range s.chain.joints {
		j := &s.chain.joints[i]
		t, k := j.elastic(s.Q[i])
		torque[i] = t - j.Damping*s.Speed[i]
		if stiffness != nil {
			stiffness[i] = k
		}
	}
}

// Energy returns the kinetic energy (J), and the potential energy (J) of weight, springs and stops. Weight counts from
// the world's origin. Call [State.Update] and [State.Move] before.
func (s *State) Energy() (kinetic, potential float64) {
	for i := range s.bodies {
		b, j := &s.bodies[i], &s.chain.joints[i]
		v := b.velocity.Add(b.spin.Cross(b.centre.Sub(b.origin)))
		w := b.turn.Back(b.spin)
		kinetic += (j.Link.Mass*v.Dot(v) + w.Dot(j.Link.Inertia.apply(w)) + j.Armature*s.Speed[i]*s.Speed[i]) / 2
		potential += j.energy(s.Q[i]) - j.Link.Mass*s.Gravity.Dot(b.centre)
	}
	return kinetic, potential
}
