package trialsim

import (
	"math"

	"holdfast/mechanics/hand"
	"holdfast/orient"
)

// finger is a chain in motion with its implicit inertia.
type finger struct {
	state     *hand.State
	at        int // of its joints in v
	first     int // of its joints among all
	n         int
	factor    [mostJoints * mostJoints]float64 // Cholesky's of A = M + h·D + h²·K, lower
	turn      hand.Turn                        // of the mount in the palm's frame
	root      orient.Vec3
	from, to  []orient.Vec3 // ends of the links' capsules in the world
	middle    []orient.Vec3
	half      []orient.Vec3 // from the middle to the end
	radius    []float64
	reach     []float64 // half lengths and radius
	beyond    []float64 // m, from the joint to the farthest point that it moves, or 1 for one that slides
	torque    [mostJoints]float64
	stiffness [mostJoints]float64
	bias      [mostJoints]float64
	damping   [mostJoints]float64
}

func newFinger(f *Finger, at, first int, gravity float64) finger {
	n := f.Chain.Joints()
	m := finger{state: f.Chain.NewState(), at: at, first: first, n: n, turn: turnOf(f.Turn), root: f.Root,
		from: make([]orient.Vec3, n), to: make([]orient.Vec3, n), middle: make([]orient.Vec3, n), half: make([]orient.Vec3, n),
		radius: make([]float64, n), reach: make([]float64, n), beyond: make([]float64, n)}
	m.state.Gravity = hand.Vec{Z: -gravity}
	past := 0.0
	for j := n - 1; j >= 0; j-- {
		joint := f.Chain.Joint(j)
		m.damping[j] = joint.Damping
		m.radius[j] = joint.Link.Radius
		m.reach[j] = joint.Link.To.Sub(joint.Link.From).Norm()/2 + joint.Link.Radius
		// However the later joints stand, nothing that this one moves is farther from its axis.
		own := math.Max(joint.Link.From.Norm(), joint.Link.To.Norm()) + joint.Link.Radius
		m.beyond[j] = math.Max(own, past)
		past = m.beyond[j] + joint.Origin.Norm()
		if joint.Slides {
			m.beyond[j] = 1
		}
	}
	return m
}

// prepare works out what the finger's joints do without contacts and without cords, and the inertia that impulses meet.
// extra is the torque of chambers (N·m); nil: none.
func (f *finger) prepare(h float64, v, extra []float64) {
	s := f.state
	s.Update()
	s.Move()
	n := f.n
	s.MassMatrix(f.factor[:n*n])
	s.Bias(f.bias[:n])
	s.Elastic(f.torque[:n], f.stiffness[:n])
	var push [mostJoints]float64
	for j := range n {
		// Springs and dampers at the end of the step: their change with the speed goes to the inertia.
		push[j] = h * (f.torque[j] - f.bias[j] - h*f.stiffness[j]*s.Speed[j])
		f.factor[j*n+j] += h * (f.damping[j] + h*f.stiffness[j])
	}
	for j, t := range extra {
		push[j] += h * t
	}
	f.decompose()
	f.solveOne(push[:n])
	for j := range n {
		v[j] = s.Speed[j] + push[j]
	}
	f.place()
}

// place works out where the links' capsules are.
func (f *finger) place() {
	for j := range f.n {
		from, to, _ := f.state.Capsule(j)
		x, y, z := (from.X+to.X)*0.5, (from.Y+to.Y)*0.5, (from.Z+to.Z)*0.5
		f.from[j], f.to[j] = orient.Vec3{from.X, from.Y, from.Z}, orient.Vec3{to.X, to.Y, to.Z}
		f.middle[j], f.half[j] = orient.Vec3{x, y, z}, orient.Vec3{to.X - x, to.Y - y, to.Z - z}
	}
}

// roundEnd says that a place on the link's surface lies beyond the ends of its axis.
func (f *finger) roundEnd(link int, p orient.Vec3) bool {
	way := f.half[link]
	return math.Abs(sub(p, f.middle[link]).Dot(way)) > way.Dot(way)
}

// sweep bounds how fast (m/s) any point of the finger moves in the palm's frame.
func (f *finger) sweep() (speed float64) {
	for j, u := range f.state.Speed {
		speed += math.Abs(u) * f.beyond[j]
	}
	return speed
}

// decompose replaces the lower triangle of A by its Cholesky factor, with the diagonal's reciprocals. Fingers of four joints are
// what trials have most: for them it is written out, in the order of the loops, to the same bits.
func (f *finger) decompose() {
	n, a := f.n, f.factor[:f.n*f.n]
	if n == 4 {
		a := (*[16]float64)(a)
		a[0] = 1 / math.Sqrt(a[0])
		a[4] *= a[0]
		a[5] = 1 / math.Sqrt(a[5]-a[4]*a[4])
		a[8] *= a[0]
		a[9] = (a[9] - a[8]*a[4]) * a[5]
		a[10] = 1 / math.Sqrt(a[10]-a[8]*a[8]-a[9]*a[9])
		a[12] *= a[0]
		a[13] = (a[13] - a[12]*a[4]) * a[5]
		a[14] = (a[14] - a[12]*a[8] - a[13]*a[9]) * a[10]
		a[15] = 1 / math.Sqrt(a[15]-a[12]*a[12]-a[13]*a[13]-a[14]*a[14])
		return
	}
	for i := range n {
		for j := range i {
			sum := a[i*n+j]
			for k := range j {
				sum -= a[i*n+k] * a[j*n+k]
			}
			a[i*n+j] = sum * a[j*n+j]
		}
		sum := a[i*n+i]
		for k := range i {
			sum -= a[i*n+k] * a[i*n+k]
		}
		a[i*n+i] = 1 / math.Sqrt(sum)
	}
}

// solveOne replaces b by A⁻¹·b.
func (f *finger) solveOne(b []float64) {
	n, a := f.n, f.factor[:f.n*f.n]
	b = b[:n]
	if n == 4 {
		b := (*[4]float64)(b)
		b[0], b[1], b[2], b[3] = solveFour((*[16]float64)(a), b[0], b[1], b[2], b[3])
		return
	}
	for i := range b {
		sum, row := b[i], a[i*n:i*n+i+1]
		for k, w := range row[:i] {
			sum -= w * b[k]
		}
		b[i] = sum * row[i]
	}
	for i := n - 1; i >= 0; i-- {
		// Column by column, so that what is done to the earlier ones does not wait for the sum.
		x, row := b[i]*a[i*n+i], a[i*n:i*n+i]
		b[i] = x
		for k, w := range row {
			b[k] -= w * x
		}
	}
}

// solveFour is A⁻¹ times one column, with the factor of four joints.
func solveFour(a *[16]float64, x, y, z, w float64) (float64, float64, float64, float64) {
	x *= a[0]
	y = (y - a[4]*x) * a[5]
	z = (z - a[8]*x - a[9]*y) * a[10]
	w = (w - a[12]*x - a[13]*y - a[14]*z) * a[15]
	w *= a[15]
	z = (z - a[14]*w) * a[10]
	y = (y - a[13]*w - a[9]*z) * a[5]
	x = (x - a[12]*w - a[8]*z - a[4]*y) * a[0]
	return x, y, z, w
}

// solveThree replaces the three columns of b (n rows, row by row) by A⁻¹·b.
func (f *finger) solveThree(b []float64) {
	n, a := f.n, f.factor[:f.n*f.n]
	b = b[:3*n]
	if n == 4 {
		a, b := (*[16]float64)(a), (*[12]float64)(b)
		b[0], b[3], b[6], b[9] = solveFour(a, b[0], b[3], b[6], b[9])
		b[1], b[4], b[7], b[10] = solveFour(a, b[1], b[4], b[7], b[10])
		b[2], b[5], b[8], b[11] = solveFour(a, b[2], b[5], b[8], b[11])
		return
	}
	for i := range n {
		x, y, z := b[3*i], b[3*i+1], b[3*i+2]
		row := a[i*n : i*n+i+1]
		for k, w := range row[:i] {
			r := b[3*k : 3*k+3 : 3*k+3]
			x -= w * r[0]
			y -= w * r[1]
			z -= w * r[2]
		}
		w := row[i]
		b[3*i], b[3*i+1], b[3*i+2] = x*w, y*w, z*w
	}
	for i := n - 1; i >= 0; i-- {
		w, r := a[i*n+i], b[3*i:3*i+3:3*i+3]
		x, y, z := r[0]*w, r[1]*w, r[2]*w
		r[0], r[1], r[2] = x, y, z
		for k, w := range a[i*n : i*n+i] {
			r := b[3*k : 3*k+3 : 3*k+3]
			r[0] -= w * x
			r[1] -= w * y
			r[2] -= w * z
		}
	}
}
