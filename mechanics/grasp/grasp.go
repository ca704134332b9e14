package grasp

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"holdfast/orient"
)

// Wrench is force (N) then torque (N m) about the grasp's origin.
type Wrench struct{ Force, Torque orient.Vec3 }

// Grasp is a set of contacts with the origin and the length that torques are measured by.
type Grasp struct {
	Contacts []Contact
	Origin   orient.Vec3 // m, usually the item's centre of mass
	Length   float64     // ρ in m; torques are divided by it
	planar   bool
	cones    []cone
	span     [6][6]float64 // orthonormal, of the wrenches that the contacts give with their friction
	rank     int
}

// MaxContacts is the largest number of contacts that New accepts.
const MaxContacts = 64

// ErrNoGrasp is wrapped by errors about contacts that cannot be analysed.
var ErrNoGrasp = errors.New("not a grasp")

// New checks the contacts and prepares their analysis. The length ρ (m) is often the item's radius of gyration or the
// largest distance of its surface from the origin (common practice, no source).
func New(contacts []Contact, origin orient.Vec3, length float64) (*Grasp, error) {
	return build(contacts, origin, length, false)
}

// NewPlanar takes the contacts as those of a slice in the plane z = 0: forces along x and y and torque about z are all
// there is. Tangents are replaced by the one in the plane, ẑ × normal.
func NewPlanar(contacts []Contact, origin orient.Vec3, length float64) (*Grasp, error) {
	flat := make([]Contact, len(contacts))
	for i, c := range contacts {
		if c.At[2] != origin[2] || c.Inward[2] != 0 {
			return nil, fmt.Errorf("%w: contact %d lies outside the plane of the origin", ErrNoGrasp, i+1)
		}
		c.Tangent1, c.Tangent2 = orient.Vec3{-c.Inward[1], c.Inward[0], 0}, orient.Vec3{0, 0, 1}
		flat[i] = c
	}
	return build(flat, origin, length, true)
}

func build(contacts []Contact, origin orient.Vec3, length float64, planar bool) (*Grasp, error) {
	if len(contacts) == 0 || len(contacts) > MaxContacts {
		return nil, fmt.Errorf("%w: %d contacts; 1 to %d can be analysed", ErrNoGrasp, len(contacts), MaxContacts)
	}
	if !(length > 0) || math.IsInf(length, 0) {
		return nil, fmt.Errorf("%w: torques are divided by a length of %g m; it must be above 0", ErrNoGrasp, length)
	}
	if n := origin.Norm(); math.IsNaN(n) || math.IsInf(n, 0) {
		return nil, fmt.Errorf("%w: the origin must be three finite numbers", ErrNoGrasp)
	}
	g := &Grasp{Contacts: append([]Contact(nil), contacts...), Origin: origin, Length: length, planar: planar}
	g.cones = make([]cone, len(contacts))
	for i := range g.Contacts {
		if err := g.Contacts[i].Validate(); err != nil {
			return nil, fmt.Errorf("%w: contact %d: %w", ErrNoGrasp, i+1, err)
		}
		g.cones[i] = g.coneOf(&g.Contacts[i])
	}
	g.findSpan()
	return g, nil
}

// dim is the number of wrench components.
func (g *Grasp) dim() int {
	if g.planar {
		return 3
	}
	return 6
}

// packed keeps the components that count, in front.
func (g *Grasp) packed(w [6]float64) [6]float64 {
	if g.planar {
		return [6]float64{w[0], w[1], w[5]}
	}
	return w
}

// scaled is the wrench with its torque over the length, packed.
func (g *Grasp) scaled(w Wrench) [6]float64 {
	t := w.Torque.Scale(1 / g.Length)
	return g.packed([6]float64{w.Force[0], w.Force[1], w.Force[2], t[0], t[1], t[2]})
}

// wrench undoes scaled.
func (g *Grasp) wrench(u [6]float64) Wrench {
	if g.planar {
		u = [6]float64{u[0], u[1], 0, 0, 0, u[2]}
	}
	return Wrench{orient.Vec3{u[0], u[1], u[2]}, orient.Vec3{u[3], u[4], u[5]}.Scale(g.Length)}
}

// components are the force components of a contact that reach the wrench: indices into shear 1, shear 2, normal,
// torsion. The normal comes third, as in the usual order of the textbooks.
func (g *Grasp) components(c *Contact) []int {
	switch {
	case c.Kind == Frictionless:
		return []int{2}
	case g.planar:
		return []int{0, 2}
	case c.Kind == Hard:
		return []int{0, 1, 2}
	}
	return []int{0, 1, 2, 3}
}

// Map returns the grasp map G, torque rows divided by the length: column by column the wrench of a unit of each force
// component, contact after contact in the order shear 1, shear 2, normal, torsion over the length, as far as the kind
// passes them on.
// Wrenches have six rows (three for a planar grasp: fx, fy, torque).
func (g *Grasp) Map() *mat.Dense {
	var columns [][6]float64
	for i := range g.Contacts {
		c := &g.Contacts[i]
		w := c.wrenches(g.Origin, g.Length)
		for _, k := range g.components(c) {
			column := g.packed(w[k])
			if k == 3 {
				scale(&column, g.Length)
			}
			columns = append(columns, column)
		}
	}
	m := mat.NewDense(g.dim(), len(columns), nil)
	for j, c := range columns {
		for r := range g.dim() {
			m.Set(r, j, c[r])
		}
	}
	return m
}

// rankTolerance is the share of the largest singular value below which one counts as 0.
const rankTolerance = 1e-10

// Structure is the linear algebra of a grasp map, friction limits left aside.
type Structure struct {
	Values   []float64  // singular values, the largest first, as many as wrench components (0 filled)
	Rank     int        // number of wrench components that contact forces span
	Internal *mat.Dense // orthonormal columns: force components that press on the item without any wrench; nil if none
}

// Structure returns singular values, rank and internal forces.
func (g *Grasp) Structure() (Structure, error) {
	m := g.Map()
	d, k := m.Dims()
	var svd mat.SVD
	if !svd.Factorize(m, mat.SVDFull) {
		return Structure{}, fmt.Errorf("%w: the grasp map has no singular values", ErrNoGrasp)
	}
	s := Structure{Values: make([]float64, d)}
	copy(s.Values, svd.Values(nil))
	for _, v := range s.Values {
		if v > rankTolerance*s.Values[0] {
			s.Rank++
		}
	}
	if k > s.Rank {
		var v mat.Dense
		svd.VTo(&v)
		s.Internal = mat.DenseCopyOf(v.Slice(0, k, s.Rank, k))
	}
	return s, nil
}

// findSpan orthogonalises the wrenches of the contacts, the largest rest first.
func (g *Grasp) findSpan() {
	var rest [][6]float64
	for i := range g.cones {
		k := &g.cones[i]
		rest = append(rest, k.axis)
		rest = append(rest, k.spread[:k.q]...)
	}
	largest := 0.0
	for g.rank < g.dim() {
		best, most := 0, 0.0
		for j := range rest {
			if n := dot6(&rest[j], &rest[j]); n > most {
				best, most = j, n
			}
		}
		largest = math.Max(largest, most)
		if most <= rankTolerance*rankTolerance*largest {
			return
		}
		q := rest[best]
		scale(&q, 1/math.Sqrt(most))
		for pass := 0; pass < 2; pass++ {
			g.square(&q)
		}
		scale(&q, 1/math.Sqrt(dot6(&q, &q)))
		g.span[g.rank] = q
		g.rank++
		for j := range rest {
			along := dot6(&q, &rest[j])
			for r := range q {
				rest[j][r] -= along * q[r]
			}
		}
	}
}

// square takes what lies in the span out of a wrench.
func (g *Grasp) square(w *[6]float64) {
	for k := range g.rank {
		along := dot6(&g.span[k], w)
		for r := range w {
			w[r] -= along * g.span[k][r]
		}
	}
}

// Total returns the wrench of the contact forces about the origin.
func (g *Grasp) Total(forces []Force) Wrench {
	var w Wrench
	for i := range min(len(forces), len(g.Contacts)) {
		c, f := &g.Contacts[i], forces[i]
		push := c.Tangent1.Scale(f.Shear1).Add(c.Tangent2.Scale(f.Shear2)).Add(c.Inward.Scale(f.Normal))
		w.Force = w.Force.Add(push)
		w.Torque = w.Torque.Add(c.At.Add(g.Origin.Scale(-1)).Cross(push)).Add(c.Inward.Scale(f.Torsion))
	}
	return w
}
