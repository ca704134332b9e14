package hand

import (
	"fmt"
	"math"
)

// Load is a force on a point of a link.
type Load struct {
	Link     int
	Point    Vec  // m, in the link's frame
	Force    Vec  // N; in the world, or in the link's frame if Follower
	Follower bool // the force turns with the link
}

// Tangent writes the stiffness −∂(torques)/∂q (N m/rad) of springs, stops, weight and loads at Q, row by row; dst holds
// Joints()² numbers. Forces of fixed direction leave it symmetric; followers do not. Call [State.Update] before. With
// p the point, aᵢ the axes and oᵢ the joints, for k ≤ j up to the link of the force (DESIGN.md, eq. 4):
//
//	∂²p/∂qₖ∂qⱼ = aₖ × (aⱼ × (p − oⱼ))
//
// A joint k that slides turns nothing, so its line vanishes; one that slides as j has its axis for aⱼ × (p − oⱼ).
func (s *State) Tangent(dst []float64, loads []Load) {
	n := len(s.bodies)
	clear(dst[:n*n])
	for i := range s.chain.joints {
		_, dst[i*n+i] = s.chain.joints[i].elastic(s.Q[i])
	}
	if s.Gravity != (Vec{}) {
		for i := range s.bodies {
			if m := s.chain.joints[i].Link.Mass; m > 0 {
				s.bend(dst, i, s.Base.Position.Add(s.bodies[i].centre), s.Gravity.Scale(m))
			}
		}
	}
	for i := range loads {
		l := &loads[i]
		point, force := s.Point(l.Link, l.Point), l.Force
		if l.Follower {
			force = s.bodies[l.Link].turn.Apply(force)
		}
		s.bend(dst, l.Link, point, force)
		if !l.Follower {
			continue
		}
		for j := 0; j <= l.Link; j++ {
			arm := s.Lever(j, point)
			for k := 0; k <= l.Link; k++ {
				dst[j*n+k] -= arm.Dot(s.bodies[k].turning.Cross(force))
			}
		}
	}
}

// bend takes from dst how the torques of a dead force change as the joints turn.
func (s *State) bend(dst []float64, link int, point, force Vec) {
	n := len(s.bodies)
	for j := 0; j <= link; j++ {
		arm := s.Lever(j, point)
		for k := 0; k <= j; k++ {
			h := force.Dot(s.bodies[k].turning.Cross(arm))
			dst[j*n+k] -= h
			if k != j {
				dst[k*n+j] -= h
			}
		}
	}
}

// Unbalanced writes the torques (N m) left over at Q at rest: springs, stops, weight, loads, and drive torques, which may
// be nil. Call [State.Update] before.
func (s *State) Unbalanced(dst, drive []float64, loads []Load) {
	s.Weight(dst)
	for i := range s.chain.joints {
		t, _ := s.chain.joints[i].elastic(s.Q[i])
		dst[i] += t
		if drive != nil {
			dst[i] += drive[i]
		}
	}
	for i := range loads {
		l := &loads[i]
		force := l.Force
		if l.Follower {
			force = s.bodies[l.Link].turn.Apply(force)
		}
		s.Push(dst, l.Link, s.Point(l.Link, l.Point), force)
	}
}

// Block is a stop that holds one point of a link at a plane, as the load cell of a blocked-force bench does.
type Block struct {
	Link      int
	Point     Vec     // m, in the link's frame
	Direction Vec     // unit length, in the world
	Position  float64 // m along Direction, where the point is held
}

// Settle brings Q into balance under drive torques (N m, one a joint; nil for none) and loads, from where it stands, and
// leaves the state at rest and updated. It is Newton's method with the exact tangent; where that does not converge at
// once, loads, weight and drive come on in steps. A chain without stiffness that nothing holds has no balance.
func (s *State) Settle(drive []float64, loads []Load) error {
	_, err := s.settle(drive, loads, nil)
	return err
}

// SettleBlocked is Settle with one point held; it returns the force (N) along the block's direction that holds it. The
// force is two-sided: a negative value means that the point would have left the block.
func (s *State) SettleBlocked(drive []float64, loads []Load, block Block) (float64, error) {
	if l := block.Direction.Norm(); !(math.Abs(l-1) < 1e-9) {
		return 0, fmt.Errorf("the block's direction has length %g; it must be 1", l)
	}
	return s.settle(drive, loads, &block)
}

const leastShare = 1.0 / 4096

func (s *State) settle(drive []float64, loads []Load, block *Block) (float64, error) {
	if err := s.checkStatic(drive, loads, block); err != nil {
		return 0, err
	}
	n := len(s.bodies)
	clear(s.Speed)
	kept, gravity := append([]float64(nil), s.Q...), s.Gravity
	defer func() { s.Gravity = gravity; s.Update(); s.Move() }()
	torques, forces := make([]float64, n), append([]Load(nil), loads...)
	hold, settled, share := 0.0, 0.0, 1.0
	for settled < 1 {
		aim := math.Min(1, settled+share)
		s.Gravity = gravity.Scale(aim)
		for i := range torques {
			torques[i] = 0
			if drive != nil {
				torques[i] = aim * drive[i]
			}
		}
		for i := range loads {
			forces[i].Force = loads[i].Force.Scale(aim)
		}
		before := append([]float64(nil), s.Q...)
		if h, ok := s.newton(torques, forces, block, hold); ok {
			hold, settled = h, aim
			share *= 2
			continue
		}
		copy(s.Q, before)
		if share /= 4; share < leastShare {
			copy(s.Q, kept)
			return 0, fmt.Errorf("no balance found beyond %.3g of the loads; the chain may have buckled, or nothing holds a joint", settled)
		}
	}
	return hold, nil
}

func (s *State) checkStatic(drive []float64, loads []Load, block *Block) error {
	n := len(s.bodies)
	if drive != nil && len(drive) != n {
		return fmt.Errorf("%d drive torques for %d joints", len(drive), n)
	}
	for i := range drive {
		if math.IsNaN(drive[i]) || math.IsInf(drive[i], 0) {
			return fmt.Errorf("drive torque of joint %d is %g", i+1, drive[i])
		}
	}
	for i, l := range loads {
		if l.Link < 0 || l.Link >= n || !l.Point.finite() || !l.Force.finite() {
			return fmt.Errorf("load %d: link %d of %d, point %v, force %v must exist and be finite", i+1, l.Link, n, l.Point, l.Force)
		}
	}
	if block != nil && (block.Link < 0 || block.Link >= n || !block.Point.finite()) {
		return fmt.Errorf("the block's link %d of %d or its point %v does not exist", block.Link, n, block.Point)
	}
	return nil
}

// newton searches the balance from Q; hold starts the block's force.
func (s *State) newton(drive []float64, loads []Load, block *Block, hold float64) (float64, bool) {
	n := len(s.bodies)
	size := n
	if block != nil {
		size++
		loads = append(loads[:len(loads):len(loads)], Load{Link: block.Link, Point: block.Point})
	}
	step, rest := make([]float64, size), make([]float64, size)
	matrix, tangent, row := make([]float64, size*size), make([]float64, n*n), make([]float64, 3*n)
	reach := s.reach()
	scale := s.stiffest(reach)
	// What a joint's coordinate counts as an angle: a way counts over the finger's reach.
	angle := make([]float64, n)
	for i := range angle {
		if angle[i] = 1; s.chain.joints[i].Slides {
			angle[i] = 1 / reach
		}
	}
	residual := func() float64 {
		s.Update()
		if block != nil {
			loads[len(loads)-1].Force = block.Direction.Scale(hold)
		}
		s.Unbalanced(rest[:n], drive, loads)
		sum := 0.0
		for i, r := range rest[:n] {
			sum += math.Pow(r/(angle[i]*scale), 2)
		}
		if block != nil {
			rest[n] = block.Position - s.Point(block.Link, block.Point).Dot(block.Direction)
			// A length counts against torques over stiffness as an angle over the finger's reach.
			sum += math.Pow(rest[n]/reach, 2)
		}
		return math.Sqrt(sum)
	}
	left := residual()
	q := make([]float64, n)
	for range 60 {
		if left < 1e-13 {
			return hold, true
		}
		s.Tangent(tangent, loads)
		for i := range n {
			copy(matrix[i*size:], tangent[i*n:(i+1)*n])
		}
		if block != nil {
			s.Jacobian(row, block.Link, s.Point(block.Link, block.Point))
			d := block.Direction
			for k := range n {
				along := d.X*row[k] + d.Y*row[n+k] + d.Z*row[2*n+k]
				matrix[k*size+n], matrix[n*size+k] = -along, along
			}
			matrix[n*size+n] = 0
		}
		copy(step, rest)
		if !solveLinear(matrix, step) {
			return hold, false
		}
		longest := 0.0
		for i, d := range step[:n] {
			longest = math.Max(longest, math.Abs(angle[i]*d))
		}
		if !(longest < math.Inf(1)) {
			return hold, false
		}
		share, held, was := math.Min(1, 0.5/math.Max(longest, 1e-300)), hold, left
		copy(q, s.Q)
		for {
			for i := range q {
				s.Q[i] = q[i] + share*step[i]
			}
			if block != nil {
				hold = held + share*step[n]
			}
			if left = residual(); left < was*(1-share/4) || left < 1e-12 {
				break
			}
			if share /= 2; share < 1e-6 {
				// Rounding may keep the last digits from improving any further.
				return hold, was < 1e-11
			}
		}
	}
	return hold, left < 1e-11
}

// stiffest is the measure of torques: the largest joint stiffness, that of joints which slide at the finger's reach (m), or
// 1 N m/rad for a chain without springs.
func (s *State) stiffest(reach float64) float64 {
	k := 0.0
	for i := range s.chain.joints {
		j := &s.chain.joints[i]
		if j.Slides {
			k = math.Max(k, j.Stiffness*reach*reach)
		} else {
			k = math.Max(k, j.Stiffness)
		}
	}
	if k == 0 {
		return 1
	}
	return k
}

// reach is the measure of lengths: from the base to the end of the last capsule along the joints, and how far those that
// slide stand out at rest; a rail that carries nothing long counts as a centimetre.
func (s *State) reach() float64 {
	sum, least := 0.0, 1e-6
	for i := range s.chain.joints {
		j := &s.chain.joints[i]
		sum += j.Origin.Norm()
		if j.Slides {
			sum, least = sum+math.Abs(j.Rest), 0.01
		}
	}
	last := &s.chain.joints[len(s.chain.joints)-1].Link
	return math.Max(sum+last.To.Norm(), least)
}
