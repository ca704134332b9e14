package motion

import "math"

// Side is what one contact or row does to one moving thing: J (rows × N, row by row) gives the relative velocity from the
// thing's velocities v[At:At+N], and B (N × rows, row by row) gives what a unit impulse adds to them. B is A⁻¹Jᵀ with
// whatever inertia A the thing has, springs taken implicitly included.
type Side struct {
	At, N int
	J, B  []float64
}

// Compliance is one direction's law at the end of the step: relative velocity + Softness·impulse + Bias vanishes where the
// direction holds. [Spring] makes one; both zero are a rigid direction.
type Compliance struct {
	Softness float64 // m/s per N·s
	Bias     float64 // m/s
}

// Spring is the compliance of a spring and a damper side by side, taken at the end of a step of h seconds, of which the
// spring is stretched by x (m) at its start: impulse −h·(k·x⁺ + c·u⁺) with x⁺ = x + h·u⁺ (equation 2). k (N/m) and c (N·s/m)
// must not both be zero.
func Spring(h, k, c, x float64) Compliance {
	soft := 1 / (h * (h*k + c))
	return Compliance{Softness: soft, Bias: h * k * x * soft}
}

// Contact is a pair of points that touch or are about to. The first row of each side's J is the normal's, positive when
// they part; the other two are orthogonal tangents.
type Contact struct {
	Friction float64 // Coulomb's coefficient
	Normal   Compliance
	Shear    Compliance // of both tangents; Bias2 is the second's
	Bias2    float64
	Sides    [3]Side // one with N = 0 does not move

	// Impulse (N·s): normal, tangent, tangent. A good guess makes [Solver.Solve] faster.
	Impulse [3]float64

	own  block
	slip float64 // where the search for sliding ended last
}

// Row is one direction whose impulse stays within bounds: a joint's limit, a cable with a motor of limited force.
type Row struct {
	Law       Compliance
	Low, High float64 // N·s
	Sides     []Side
	Impulse   float64

	own float64
}

// Solver holds how far [Solver.Solve] goes.
type Solver struct {
	MostSweeps int     // default 1000
	Tolerance  float64 // m/s by which no impulse changed a velocity in the last sweep; default 1e-9
}

// patience is the number of sweeps within which the change must fall, else the next ones take shorter steps: sweeps over
// contacts that slide may run in circles. Steps shorter than shortest end it: rigid contacts can ask for more than any
// motion gives (four corners that all stick while the box turns), and then the change stays where it is.
const (
	patience = 25
	shortest = 0.1
)

// Solve finds the impulses of all contacts and rows together and adds what they do to v: block Gauss–Seidel, each contact
// with its own true cone (equation 5). Impulses that contacts and rows bring are the start. It returns the number of sweeps
// and the last change (m/s); more than the tolerance means that it gave up there. Nothing is allocated.
func (s Solver) Solve(v []float64, contacts []Contact, rows []Row) (sweeps int, change float64) {
	most, tolerance := s.MostSweeps, s.Tolerance
	if most == 0 {
		most = 1000
	}
	if tolerance == 0 {
		tolerance = 1e-9
	}
	for i := range contacts {
		contacts[i].begin(v)
	}
	for i := range rows {
		rows[i].begin(v)
	}
	least, since, step := math.Inf(1), 0, 1.0
	for sweeps < most {
		if since == patience {
			if step /= 2; step < shortest {
				break
			}
			least, since = math.Inf(1), 0
		}
		sweeps++
		since++
		change = 0
		for i := range rows {
			change = max(change, rows[i].relax(v))
		}
		for i := range contacts {
			change = max(change, contacts[i].relax(v, step))
		}
		if change <= tolerance {
			break
		}
		if change < 0.99*least {
			least, since = change, 0
		}
	}
	return sweeps, change
}

// begin makes the contact's own matrix and adds what its first guess does.
func (c *Contact) begin(v []float64) {
	c.own, c.slip = block{}, 0
	for k := range c.Sides {
		if s := &c.Sides[k]; s.N > 0 {
			s.own(&c.own)
		}
	}
	c.own.nn += c.Normal.Softness
	c.own.t11 += c.Shear.Softness
	c.own.t22 += c.Shear.Softness
	if !c.own.reduce() {
		// Nothing here can move: an impulse would do nothing.
		c.own.light, c.Impulse = 0, [3]float64{}
	}
	c.push(v, c.Impulse)
}

// slack is what the contact's laws miss.
func (c *Contact) slack(v []float64) (g [3]float64) {
	g[0] = c.Normal.Bias + c.Normal.Softness*c.Impulse[0]
	g[1] = c.Shear.Bias + c.Shear.Softness*c.Impulse[1]
	g[2] = c.Bias2 + c.Shear.Softness*c.Impulse[2]
	for k := range c.Sides {
		if s := &c.Sides[k]; s.N > 0 {
			s.speed(v, &g)
		}
	}
	return g
}

func (c *Contact) push(v []float64, by [3]float64) {
	for k := range c.Sides {
		if s := &c.Sides[k]; s.N > 0 {
			s.push(v, &by)
		}
	}
}

// speed adds the side's part of a contact's relative velocity. Bodies and fingers of four joints are what trials have most;
// with their lengths known, nothing is checked or counted inside.
func (s *Side) speed(v []float64, g *[3]float64) {
	switch s.N {
	case 6:
		u, j := (*[6]float64)(v[s.At:]), (*[18]float64)(s.J)
		g[0] += j[0]*u[0] + j[1]*u[1] + j[2]*u[2] + j[3]*u[3] + j[4]*u[4] + j[5]*u[5]
		g[1] += j[6]*u[0] + j[7]*u[1] + j[8]*u[2] + j[9]*u[3] + j[10]*u[4] + j[11]*u[5]
		g[2] += j[12]*u[0] + j[13]*u[1] + j[14]*u[2] + j[15]*u[3] + j[16]*u[4] + j[17]*u[5]
	case 4:
		u, j := (*[4]float64)(v[s.At:]), (*[12]float64)(s.J)
		g[0] += j[0]*u[0] + j[1]*u[1] + j[2]*u[2] + j[3]*u[3]
		g[1] += j[4]*u[0] + j[5]*u[1] + j[6]*u[2] + j[7]*u[3]
		g[2] += j[8]*u[0] + j[9]*u[1] + j[10]*u[2] + j[11]*u[3]
	default:
		u := v[s.At : s.At+s.N]
		for i := range 3 {
			row := s.J[i*s.N : (i+1)*s.N]
			for m, x := range u {
				g[i] += row[m] * x
			}
		}
	}
}

// push adds to the velocities what an impulse does.
func (s *Side) push(v []float64, by *[3]float64) {
	x, y, z := by[0], by[1], by[2]
	switch s.N {
	case 6:
		u, b := (*[6]float64)(v[s.At:]), (*[18]float64)(s.B)
		u[0] += b[0]*x + b[1]*y + b[2]*z
		u[1] += b[3]*x + b[4]*y + b[5]*z
		u[2] += b[6]*x + b[7]*y + b[8]*z
		u[3] += b[9]*x + b[10]*y + b[11]*z
		u[4] += b[12]*x + b[13]*y + b[14]*z
		u[5] += b[15]*x + b[16]*y + b[17]*z
	case 4:
		u, b := (*[4]float64)(v[s.At:]), (*[12]float64)(s.B)
		u[0] += b[0]*x + b[1]*y + b[2]*z
		u[1] += b[3]*x + b[4]*y + b[5]*z
		u[2] += b[6]*x + b[7]*y + b[8]*z
		u[3] += b[9]*x + b[10]*y + b[11]*z
	default:
		u := v[s.At : s.At+s.N]
		for m := range u {
			row := s.B[m*3 : m*3+3]
			u[m] += row[0]*x + row[1]*y + row[2]*z
		}
	}
}

// own adds J·B, by which the contact's impulse changes its own relative velocity; that is symmetric.
func (s *Side) own(d *block) {
	n := s.N
	switch n {
	case 6:
		j, b := (*[18]float64)(s.J), (*[18]float64)(s.B)
		for m := range 6 {
			d.add(j[m], j[6+m], j[12+m], b[3*m], b[3*m+1], b[3*m+2])
		}
		return
	case 4:
		j, b := (*[12]float64)(s.J), (*[12]float64)(s.B)
		for m := range 4 {
			d.add(j[m], j[4+m], j[8+m], b[3*m], b[3*m+1], b[3*m+2])
		}
		return
	}
	for m := range n {
		b := s.B[m*3 : m*3+3]
		d.add(s.J[m], s.J[n+m], s.J[2*n+m], b[0], b[1], b[2])
	}
}

// add takes in one velocity of a side: its column of J and its row of B.
func (d *block) add(j0, j1, j2, b0, b1, b2 float64) {
	d.nn += j0 * b0
	d.n1 += j0 * b1
	d.n2 += j0 * b2
	d.t11 += j1 * b1
	d.t12 += j1 * b2
	d.t22 += j2 * b2
}

func (c *Contact) relax(v []float64, step float64) (change float64) {
	d := &c.own
	if d.light == 0 {
		return 0 * d.nn // which is not a number if the inertia is none
	}
	g := c.slack(v)
	p0, p1, p2 := c.Impulse[0], c.Impulse[1], c.Impulse[2]
	n, t1, t2 := d.solve(g[0]-d.nn*p0-d.n1*p1-d.n2*p2, g[1]-d.n1*p0-d.t11*p1-d.t12*p2, g[2]-d.n2*p0-d.t12*p1-d.t22*p2, c.Friction, &c.slip)
	n, t1, t2 = n-p0, t1-p1, t2-p2
	change = max(math.Abs(n)*d.nn, math.Abs(t1)*d.t11, math.Abs(t2)*d.t22)
	if change == 0 {
		return 0
	}
	by := [3]float64{step * n, step * t1, step * t2}
	c.Impulse = [3]float64{p0 + by[0], p1 + by[1], p2 + by[2]}
	c.push(v, by)
	return change
}

func (r *Row) begin(v []float64) {
	r.own = r.Law.Softness
	for k := range r.Sides {
		s := &r.Sides[k]
		for m := range s.N {
			r.own += s.J[m] * s.B[m]
		}
	}
	r.Impulse = min(max(r.Impulse, r.Low), r.High)
	r.push(v, r.Impulse)
}

func (r *Row) push(v []float64, by float64) {
	for k := range r.Sides {
		s := &r.Sides[k]
		u := v[s.At : s.At+s.N]
		for m := range u {
			u[m] += s.B[m] * by
		}
	}
}

func (r *Row) relax(v []float64) float64 {
	if !(r.own > 0) {
		return 0
	}
	g := r.Law.Bias + r.Law.Softness*r.Impulse
	for k := range r.Sides {
		s := &r.Sides[k]
		for m, x := range v[s.At : s.At+s.N] {
			g += s.J[m] * x
		}
	}
	next := min(max(r.Impulse-g/r.own, r.Low), r.High)
	by := next - r.Impulse
	if by == 0 {
		return 0
	}
	r.Impulse = next
	r.push(v, by)
	return math.Abs(by) * r.own
}
