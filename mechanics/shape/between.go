package shape

import (
	"math"

	"holdfast/orient"
)

// Pose is where a solid is: Turn leads from its own frame to that of all, where its origin lies at Position (m).
type Pose struct {
	Turn     orient.Rotation
	Position orient.Vec3
}

// Meeting is where two posed solids are nearest to each other or press into each other, in the frame of all.
type Meeting struct {
	Point  orient.Vec3 // m, in the middle between both surfaces
	Normal orient.Vec3 // unit, from the first solid to the second
	Gap    float64     // m along the normal; negative where they overlap
}

// surfaceOf looks through what only says how a solid is filled.
func surfaceOf(s Solid, at Pose) (Solid, Pose) {
	if w, is := s.(*Weighted); is {
		return w.surface, Pose{Turn: at.Turn, Position: sub(at.Position, at.Turn.Apply(w.centre))}
	}
	return s, at
}

// Between finds where two solids are nearest, or which way out of each other is shortest: the direction along which the planes that
// touch them are farthest apart,
//
//	gap = max over n of min n·(B) − max n·(A)                                                                  (8)
//
// hint is the normal found the step before, or 0. Solids that overlap have several ways out, and the one near the hint is found; deeper
// than a quarter of the thinner one's width it is a way out, but need not be the shortest nearby. ok is false when they are surely farther apart than within (m); Normal is then one worth keeping as a hint. A
// [Crescent] is taken as it is, by its balls. Of a [Polyhedron] it is the convex hull that counts, unless the other one is a
// crescent.
func Between(a, b Solid, at, bt Pose, hint orient.Vec3, within float64) (m Meeting, ok bool) {
	a, at = surfaceOf(a, at)
	b, bt = surfaceOf(b, bt)
	apart := sub(bt.Position, at.Position)
	distance := apart.Norm()
	m.Normal = hint
	if distance > a.Reach()+b.Reach()+within {
		if hint == (orient.Vec3{}) {
			m.Normal = apart.Scale(1 / distance)
		}
		return m, false
	}
	if c, is := a.(*Crescent); is {
		return c.meets(b, at, bt, within)
	}
	if c, is := b.(*Crescent); is {
		m, ok = c.meets(a, bt, at, within)
		m.Normal = m.Normal.Scale(-1)
		return m, ok
	}
	back := at.Turn.Inverse()
	d := difference{a: a, b: b, turn: back.Mul(bt.Turn).Matrix(), apart: back.Apply(apart)}
	n := back.Apply(hint)
	if hint == (orient.Vec3{}) {
		n = orient.Vec3{0, 0, 1}
		if distance > 0 {
			n = d.apart.Scale(1 / distance)
		}
	}
	corner := d.support(n)
	gap := corner.w.Dot(n)
	if gap > within {
		m.Normal = at.Turn.Apply(n)
		return m, false
	}
	// Overlapping bodies, and such as nearly touch, are lifted off each other along the normal before their distance is sought: what is
	// found then is a better normal, and the same one only when it is the best around.
	size := a.Reach() + b.Reach()
	margin := marginShare * size
	var first, second orient.Vec3
	for range liftsMost {
		lift := max(margin-gap, 0)
		v, p, q := d.nearest(n, lift, nearEnough*size)
		long := v.Norm()
		if !(long > 0) {
			break
		}
		next := v.Scale(1 / long)
		better := long - lift*n.Dot(next)
		first, second = p, q
		turned := sub(next, n).Norm()
		gained := better - gap
		if gained > 0 || lift == 0 {
			n, gap = next, better
		}
		if lift == 0 || turned < 1e-7 || gained < nearEnough*size {
			break
		}
	}
	m.Normal = at.Turn.Apply(n)
	m.Gap = gap
	m.Point = at.Position.Add(at.Turn.Apply(first.Add(second).Scale(0.5)))
	return m, gap <= within
}

const (
	marginShare = 0.02 // of both reaches: how far lifted bodies are apart
	nearEnough  = 1e-9 // of both reaches: how well the distance is known
	liftsMost   = 30
	stepsMost   = 64
)

// difference is all points of the second body less all of the first, in the first one's frame.
type difference struct {
	a, b  Solid
	turn  [3][3]float64 // from the second one's frame
	apart orient.Vec3
}

// corner is a point of the difference and those it came from, in the first one's frame.
type corner struct{ w, p, q orient.Vec3 }

// support is the point of the difference that lies least far along n: the first body's farthest, the second one's least far.
func (d *difference) support(n orient.Vec3) (c corner) {
	c.p = d.a.Support(n)
	t := &d.turn
	own := orient.Vec3{
		-(t[0][0]*n[0] + t[1][0]*n[1] + t[2][0]*n[2]),
		-(t[0][1]*n[0] + t[1][1]*n[1] + t[2][1]*n[2]),
		-(t[0][2]*n[0] + t[1][2]*n[1] + t[2][2]*n[2]),
	}
	q := d.b.Support(own)
	for i := range q {
		c.q[i] = t[i][0]*q[0] + t[i][1]*q[1] + t[i][2]*q[2] + d.apart[i]
	}
	c.w = sub(c.q, c.p)
	return c
}

// nearest is the point of the difference, lifted along n, that is nearest to the origin, and the points p and q of the bodies (not
// lifted) that it comes from. It keeps up to four corners of the difference that hold the point nearest so far, and adds the one
// that lies least far towards it (E. G. Gilbert, D. W. Johnson and S. S. Keerthi, "A fast procedure for computing the distance
// between complex objects in three-dimensional space", 1988).
func (d *difference) nearest(n orient.Vec3, lift, enough float64) (v, p, q orient.Vec3) {
	raised := n.Scale(lift)
	var s simplex
	c := d.support(n)
	c.w = c.w.Add(raised)
	s.corners[0], s.share[0], s.count = c, 1, 1
	v = c.w
	for range stepsMost {
		long := v.Norm()
		if long <= enough {
			break
		}
		c := d.support(v.Scale(1 / long))
		c.w = c.w.Add(raised)
		if long-c.w.Dot(v)/long <= enough || s.holds(c.w) {
			break
		}
		before := s
		s.corners[s.count] = c
		s.count++
		next := s.closest()
		if !(next.Dot(next) < long*long) {
			s = before // rounding: no nearer
			break
		}
		v = next
	}
	for i := range s.count {
		p = p.Add(s.corners[i].p.Scale(s.share[i]))
		q = q.Add(s.corners[i].q.Scale(s.share[i]))
	}
	return v, p, q
}

// simplex is up to four corners, and the shares of each in the point nearest to the origin.
type simplex struct {
	corners [4]corner
	share   [4]float64
	count   int
}

func (s *simplex) holds(w orient.Vec3) bool {
	for i := range s.count {
		if s.corners[i].w == w {
			return true
		}
	}
	return false
}

// closest leaves the corners that hold the point nearest to the origin, and returns it.
func (s *simplex) closest() orient.Vec3 {
	switch s.count {
	case 2:
		return s.keep(s.onLine(0, 1))
	case 3:
		return s.keep(s.onPlane(0, 1, 2))
	}
	best, least := shares{}, math.Inf(1)
	for _, f := range [4][4]int{{0, 1, 2, 3}, {0, 1, 3, 2}, {0, 2, 3, 1}, {1, 2, 3, 0}} {
		a, b, c, o := s.corners[f[0]].w, s.corners[f[1]].w, s.corners[f[2]].w, s.corners[f[3]].w
		n := sub(b, a).Cross(sub(c, a))
		// On the side where the fourth corner is, the origin is within as far as this face goes.
		if -n.Dot(a)*n.Dot(sub(o, a)) > 0 {
			continue
		}
		l := s.onPlane(f[0], f[1], f[2])
		if v := s.point(&l); v.Dot(v) < least {
			best, least = l, v.Dot(v)
		}
	}
	if math.IsInf(least, 1) {
		s.share = [4]float64{0.25, 0.25, 0.25, 0.25}
		return orient.Vec3{} // within: lifted bodies are not
	}
	return s.keep(best)
}

// shares are those of the four corners.
type shares [4]float64

func (s *simplex) onLine(i, j int) (l shares) {
	a, way := s.corners[i].w, sub(s.corners[j].w, s.corners[i].w)
	t := 0.0
	if long := way.Dot(way); long > 0 {
		t = clamp(-a.Dot(way) / long)
	}
	l[i], l[j] = 1-t, t
	return l
}

func (s *simplex) onPlane(i, j, k int) (l shares) {
	a, b, c := s.corners[i].w, s.corners[j].w, s.corners[k].w
	n := sub(b, a).Cross(sub(c, a))
	all := n.Dot(n)
	if all > 0 {
		l[i], l[j], l[k] = n.Dot(b.Cross(c))/all, n.Dot(c.Cross(a))/all, n.Dot(a.Cross(b))/all
		if l[i] >= 0 && l[j] >= 0 && l[k] >= 0 {
			return l
		}
	}
	best, least := shares{}, math.Inf(1)
	for _, e := range [3][2]int{{i, j}, {j, k}, {i, k}} {
		l := s.onLine(e[0], e[1])
		if v := s.point(&l); v.Dot(v) < least {
			best, least = l, v.Dot(v)
		}
	}
	return best
}

func (s *simplex) point(l *shares) (v orient.Vec3) {
	for i, x := range l {
		if x > 0 {
			v = v.Add(s.corners[i].w.Scale(x))
		}
	}
	return v
}

func (s *simplex) keep(l shares) orient.Vec3 {
	v := s.point(&l)
	kept := 0
	for i, x := range l {
		if x > 0 {
			s.corners[kept], s.share[kept] = s.corners[i], x
			kept++
		}
	}
	s.count = kept
	return v
}

// meets is Between for a crescent and another solid: of all balls along its arc the one whose centre is nearest to the other's
// surface, less its radius. The arc is sampled, and where the slope turns from down to up the dip between is found.
func (c *Crescent) meets(other Solid, at, bt Pose, within float64) (m Meeting, ok bool) {
	back := bt.Turn.Inverse()
	turn, apart := back.Mul(at.Turn), back.Apply(sub(at.Position, bt.Position))
	look := func(theta float64) (Near, float64) {
		n := other.Point(turn.Apply(c.middleLine(theta)).Add(apart))
		sin, cos := math.Sincos(theta)
		slope := n.Normal.Dot(turn.Apply(orient.Vec3{-c.ring * sin, c.ring * cos, 0})) + 2*c.taper*theta
		n.Distance -= c.thickness(theta)
		n.Along = theta
		return n, slope
	}
	var value, slopes [stations]float64
	best := Near{Distance: math.Inf(1)}
	for k := range value {
		n, slope := look(c.station(k))
		value[k], slopes[k] = n.Distance, slope
		if n.Distance < best.Distance {
			best = n
		}
	}
	// Between two places the gap is nowhere less than half of both less half the way; the centre moves by the ring's radius a radian.
	steep := c.ring + 2*c.taper*c.angle
	halvings := 0
	switch other.(type) {
	case *Crescent, *Polyhedron: // not convex: dips may lie closer to each other
		halvings = 2
	}
	var stack [2*stations + 8]stretch
	depth := 0
	for k := range stations - 1 {
		stack[depth] = stretch{c.station(k), c.station(k + 1), value[k], value[k+1], slopes[k], slopes[k+1], halvings}
		depth++
	}
	for depth > 0 {
		depth--
		s := stack[depth]
		if (s.lowGap+s.highGap-steep*(s.high-s.low))/2 >= best.Distance {
			continue
		}
		if s.halvings > 0 {
			theta := (s.low + s.high) / 2
			n, slope := look(theta)
			if n.Distance < best.Distance {
				best = n
			}
			stack[depth] = stretch{s.low, theta, s.lowGap, n.Distance, s.lowSlope, slope, s.halvings - 1}
			stack[depth+1] = stretch{theta, s.high, n.Distance, s.highGap, slope, s.highSlope, s.halvings - 1}
			depth += 2
			continue
		}
		if !(s.lowSlope < 0 && s.highSlope > 0) {
			continue
		}
		// The Illinois rule, as along a segment.
		for side, tries := 0, 0; tries < rootSteps && s.high-s.low > 1e-9; tries++ {
			theta := s.low - s.lowSlope*(s.high-s.low)/(s.highSlope-s.lowSlope)
			if !(theta > s.low && theta < s.high) {
				theta = (s.low + s.high) / 2
			}
			n, slope := look(theta)
			if n.Distance < best.Distance {
				best = n
			}
			if math.Abs(slope) < 1e-7*c.ring {
				break
			}
			if slope < 0 {
				s.low, s.lowSlope = theta, slope
				if side < 0 {
					s.highSlope /= 2
				}
				side = -1
			} else {
				s.high, s.highSlope = theta, slope
				if side > 0 {
					s.lowSlope /= 2
				}
				side = 1
			}
		}
	}
	normal := bt.Turn.Apply(best.Normal).Scale(-1)
	m = Meeting{Normal: normal, Gap: best.Distance}
	m.Point = bt.Position.Add(bt.Turn.Apply(best.Point)).Add(normal.Scale(-best.Distance / 2))
	return m, m.Gap <= within
}

// stretch is a piece of the arc with the gaps and slopes at its ends.
type stretch struct {
	low, high, lowGap, highGap, lowSlope, highSlope float64
	halvings                                        int
}
