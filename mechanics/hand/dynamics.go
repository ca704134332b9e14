package hand

// MassMatrix writes the joint-space mass matrix (kg m²) into dst, row by row, Joints()² numbers; call [State.Update]
// before. It is the composite-rigid-body algorithm (R. Featherstone, "Rigid Body Dynamics Algorithms" (2008) ch. 6, from
// memory) with mass, first moment and inertia of the links beyond a joint summed about the base, so that adding a link is
// ten additions (DESIGN.md, eq. 1).
func (s *State) MassMatrix(dst []float64) {
	if s.chain.plane != 0 {
		s.massFlat(dst)
		return
	}
	n := len(s.bodies)
	var mass float64
	var first Vec // mass times centre, from the base
	var all Inertia
	for i := n - 1; i >= 0; i-- {
		b, j := &s.bodies[i], &s.chain.joints[i]
		if m := j.Link.Mass; m > 0 {
			r := b.centre
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
		// Momentum of everything beyond joint i when it moves at unit speed.
		linear := b.carried.Scale(mass).Add(b.turning.Cross(first))
		angular := all.apply(b.turning).Add(first.Cross(b.carried))
		dst[i*n+i] = b.turning.Dot(angular) + b.carried.Dot(linear) + j.Armature
		for k := 0; k < i; k++ {
			o := &s.bodies[k]
			m := o.turning.Dot(angular) + o.carried.Dot(linear)
			dst[i*n+k], dst[k*n+i] = m, m
		}
	}
}

// Bias writes the torques (N m) that would hold all joint accelerations at zero: velocity forces, weight, and what the
// base's acceleration asks for. The equation of motion is M·q̈ + bias = torque. Call [State.Update] and [State.Move]
// before. It is the recursive Newton–Euler algorithm (J. Y. S. Luh, M. W. Walker, R. P. C. Paul 1980; Featherstone (2008)
// ch. 5; from memory), in world coordinates about the base (DESIGN.md, eq. 2).
func (s *State) Bias(dst []float64) { s.Inverse(dst, nil) }

// Inverse writes the torques (N m) that bring about the accelerations (rad/s²), nil for none.
func (s *State) Inverse(dst, acceleration []float64) {
	if s.chain.plane != 0 {
		if s.Base.Spin == (Vec{}) && s.Base.SpinRate == (Vec{}) {
			s.inverseFlat(dst, acceleration)
			return
		}
		s.align()
	}
	// A base falling freely feels no weight: gravity enters as the base's acceleration upwards. The base's velocity changes
	// nothing: everything is seen from a frame that moves with it.
	linear, angular := s.Base.Acceleration.Sub(s.Gravity), s.Base.SpinRate
	spin, drift := s.Base.Spin, Vec{}
	for i := range s.bodies {
		b, j := &s.bodies[i], &s.chain.joints[i]
		turning, carried := b.turning.Scale(s.Speed[i]), b.carried.Scale(s.Speed[i])
		linear = linear.Add(spin.Cross(carried)).Add(drift.Cross(turning))
		angular = angular.Add(spin.Cross(turning))
		if acceleration != nil {
			linear, angular = linear.Add(b.carried.Scale(acceleration[i])), angular.Add(b.turning.Scale(acceleration[i]))
		}
		spin, drift = b.spin, b.drift
		if m := j.Link.Mass; m > 0 {
			r := b.centre
			force := linear.Add(angular.Cross(r)).Add(spin.Cross(drift.Add(spin.Cross(r)))).Scale(m)
			s.force[i] = force
			if u := b.along; j.round {
				own := angular.Scale(j.across).Add(u.Scale(j.excess * u.Dot(angular))).Add(spin.Cross(u).Scale(j.excess * u.Dot(spin)))
				s.moment[i] = own.Add(r.Cross(force))
			} else {
				// In the link's frame the inertia needs no turning; two vectors there and one back are cheaper.
				w, a := b.turn.Back(spin), b.turn.Back(angular)
				own := j.Link.Inertia.apply(a).Add(w.Cross(j.Link.Inertia.apply(w)))
				s.moment[i] = b.turn.Apply(own).Add(r.Cross(force))
			}
		} else {
			s.force[i], s.moment[i] = Vec{}, Vec{}
		}
	}
	var force, moment Vec // about the base
	for i := len(s.bodies) - 1; i >= 0; i-- {
		b := &s.bodies[i]
		force, moment = force.Add(s.force[i]), moment.Add(s.moment[i])
		dst[i] = b.turning.Dot(moment) + b.carried.Dot(force)
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
		dst[i] = b.turning.Dot(first.Cross(s.Gravity)) + mass*b.carried.Dot(s.Gravity)
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
		v := s.Base.Velocity.Add(b.drift).Add(b.spin.Cross(b.centre))
		w := b.turn.Back(b.spin)
		kinetic += (j.Link.Mass*v.Dot(v) + w.Dot(j.Link.Inertia.apply(w)) + j.Armature*s.Speed[i]*s.Speed[i]) / 2
		potential += j.energy(s.Q[i]) - j.Link.Mass*s.Gravity.Dot(s.Base.Position.Add(b.centre))
	}
	return kinetic, potential
}
