package grasp_test

import (
	"math"
	"testing"

	"holdfast/mechanics/grasp"
	"holdfast/orient"
)

// alg is the relative tolerance of closed forms, fit half a unit of the sixth digit.
const alg, sixth = 1e-9, 0.5e-6

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: %.12g, want %.12g ± %.1g", what, got, want, tolerance)
	}
}

func must[T any](v T, err error) func(t *testing.T) T {
	return func(t *testing.T) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}

func rad(deg float64) float64 { return deg * math.Pi / 180 }

// disc is a planar grasp of hard contacts on a disc at the angles.
func disc(t *testing.T, radius, friction float64, angles ...float64) *grasp.Grasp {
	t.Helper()
	var contacts []grasp.Contact
	for _, a := range angles {
		sin, cos := math.Sincos(a)
		contacts = append(contacts, grasp.NewContact(orient.Vec3{radius * cos, radius * sin, 0}, orient.Vec3{-cos, -sin, 0}, grasp.Hard, friction, 0))
	}
	return must(grasp.NewPlanar(contacts, orient.Vec3{}, radius))(t)
}

func margin(t *testing.T, g *grasp.Grasp, s grasp.Sharing, l grasp.Limits, e grasp.Effort) grasp.Margin {
	t.Helper()
	return must(g.Margin(s, l, e))(t)
}

func around(n int) (angles []float64) {
	for i := range n {
		angles = append(angles, 2*math.Pi*float64(i)/float64(n))
	}
	return angles
}

// sphere is a grasp of contacts on a sphere of 30 mm in the directions.
func sphere(t *testing.T, kind grasp.Kind, friction, torsion float64, directions ...orient.Vec3) *grasp.Grasp {
	t.Helper()
	const radius = 0.03
	var contacts []grasp.Contact
	for _, d := range directions {
		d = d.Scale(1 / d.Norm())
		contacts = append(contacts, grasp.NewContact(d.Scale(radius), d.Scale(-1), kind, friction, torsion*radius))
	}
	return must(grasp.New(contacts, orient.Vec3{}, radius))(t)
}

func equator(n int) (directions []orient.Vec3) {
	for _, a := range around(n) {
		directions = append(directions, orient.Vec3{math.Cos(a), math.Sin(a), 0})
	}
	return directions
}

var (
	poles = []orient.Vec3{{1, 0, 0}, {-1, 0, 0}}
	tetra = []orient.Vec3{{1, 1, 1}, {1, -1, -1}, {-1, 1, -1}, {-1, -1, 1}}
	octa  = []orient.Vec3{{1, 0, 0}, {-1, 0, 0}, {0, 1, 0}, {0, -1, 0}, {0, 0, 1}, {0, 0, -1}}
	fine  = grasp.Effort{Gap: 1e-7, Facets: 400000}
)

// G1: V.-D. Nguyen, IJRR 7(3), 1988, from memory; figure computed: two contacts close iff the line between them lies in
// both cones, that is for an angle short of opposite below 2·atan μ.
func TestClosureOfTwoContacts(t *testing.T) {
	limit := 2 * math.Atan(0.5)
	near(t, "limit, degrees", limit/math.Pi*180, 53.1301, 0.5e-4)
	for _, c := range []struct {
		short float64
		want  bool
	}{{0, true}, {0.9 * limit, true}, {limit * (1 - alg), true}, {limit * (1 + alg), false}, {1.1 * limit, false}} {
		got, m, err := disc(t, 0.03, 0.5, 0, math.Pi-c.short).Closure(grasp.Cones)
		if err != nil || got != c.want {
			t.Errorf("%.9g° short of opposite: closure %v (%v), want %v; %v", c.short/math.Pi*180, got, err, c.want, m)
		}
	}
}

// G18: statics, figures computed: a V-jaw of half-angle β keeps an item iff β < atan μ.
func TestClosureOfAVJaw(t *testing.T) {
	for beta, want := range map[float64]float64{5: 0.087489, 10: 0.176327, 15: 0.267949, 20: 0.363970} {
		least := math.Tan(rad(beta))
		near(t, "least friction", least, want, sixth)
		for _, c := range []struct {
			friction float64
			want     bool
		}{{least * (1 - alg), false}, {least * (1 + alg), true}} {
			sin, cos := math.Sincos(rad(beta))
			g := must(grasp.NewPlanar([]grasp.Contact{
				grasp.NewContact(orient.Vec3{-0.02, 0, 0}, orient.Vec3{cos, sin, 0}, grasp.Hard, c.friction, 0),
				grasp.NewContact(orient.Vec3{0.02, 0, 0}, orient.Vec3{-cos, sin, 0}, grasp.Hard, c.friction, 0),
			}, orient.Vec3{}, 0.02))(t)
			if got, m, err := g.Closure(grasp.Cones); err != nil || got != c.want {
				t.Errorf("β %g°, μ %.9f: closure %v (%v), want %v; %v", beta, c.friction, got, err, c.want, m)
			}
		}
	}
}

// G2: C. Ferrari, J. Canny, ICRA 1992 (definition, from memory); figures computed. Unit normal forces.
func TestMarginOfTwoContactsOnADisc(t *testing.T) {
	for i, want := range []float64{0.333333, 0.269152, 0.205825, 0.081110, 0.019316, 0.000803} {
		d := []float64{0, 10, 20, 40, 50, 53}[i]
		m := margin(t, disc(t, 0.03, 0.5, 0, math.Pi-rad(d)), grasp.Total, grasp.Cones, grasp.DefaultEffort)
		near(t, "eps", m.Upper, want, sixth)
	}
	if m := margin(t, disc(t, 0.03, 0.5, 0, math.Pi-rad(53.2)), grasp.Total, grasp.Cones, grasp.DefaultEffort); !(m.Upper < 0) {
		t.Errorf("beyond closure the margin is %v", m)
	}
}

// G3: derived (inscribed tetrahedron) and computed: ε = 1/√(1 + 1/μ² + ρ²/(μR)²).
func TestMarginOfAnAntipodalDisc(t *testing.T) {
	for mu, want := range map[float64]float64{.2: 0.140028, .3: 0.207514, .5: 0.333333, 1: 0.577350} {
		g := disc(t, 0.03, mu, 0, math.Pi)
		m := margin(t, g, grasp.Total, grasp.Cones, grasp.DefaultEffort)
		near(t, "eps", m.Upper, want, sixth)
		near(t, "eps, closed form", m.Upper, 1/math.Sqrt(1+2/(mu*mu)), alg)
		other := must(grasp.NewPlanar(g.Contacts, orient.Vec3{}, 0.05))(t)
		near(t, "eps at another length", margin(t, other, grasp.Total, grasp.Cones, grasp.DefaultEffort).Upper,
			1/math.Sqrt(1+1/(mu*mu)+math.Pow(0.05/(mu*0.03), 2)), alg)
	}
}

// G4: C. Ferrari, J. Canny 1992 (definition, from memory); figures computed.
func TestMarginOfEvenContactsOnADisc(t *testing.T) {
	for _, n := range []int{3, 4, 6} {
		for _, mu := range []float64{.2, .3, .5} {
			near(t, "eps", margin(t, disc(t, 0.03, mu, around(n)...), grasp.Total, grasp.Cones, grasp.DefaultEffort).Upper, mu, alg)
		}
	}
	for n, want := range map[int]float64{3: 0.935113, 4: 1, 6: 1} {
		near(t, "eps at μ 1", margin(t, disc(t, 0.03, 1, around(n)...), grasp.Total, grasp.Cones, grasp.DefaultEffort).Upper, want, sixth)
	}
}

// G5: C. Ferrari, J. Canny 1992 (definition, from memory); figures computed; two contacts in closed form.
func TestMarginOfSums(t *testing.T) {
	for _, c := range []struct {
		mu   float64
		want []float64
	}{{.5, []float64{0.577350, 0.998286, 1.690309}}, {.3, []float64{0.390567, 0.780318, 1.111713}}} {
		for i, want := range c.want {
			near(t, "eps", margin(t, disc(t, 0.03, c.mu, around(i+2)...), grasp.Each, grasp.Cones, grasp.DefaultEffort).Upper, want, sixth)
		}
		near(t, "closed form", margin(t, disc(t, 0.03, c.mu, around(2)...), grasp.Each, grasp.Cones, grasp.DefaultEffort).Upper,
			2*c.mu/math.Sqrt(2+4*c.mu*c.mu), alg)
	}
}

// G6: derived and computed: a square without friction, ε = a/√(1+4a²); the pinwheel turns.
func TestFrictionlessSquare(t *testing.T) {
	square := func(places ...[2]float64) *grasp.Grasp {
		normals := []orient.Vec3{{-1, 0, 0}, {1, 0, 0}, {0, -1, 0}, {0, 1, 0}}
		var contacts []grasp.Contact
		for _, p := range places {
			for _, n := range normals {
				// The side the place lies on: its outward coordinate is 1.
				if -(n[0]*p[0] + n[1]*p[1]) == 1 {
					contacts = append(contacts, grasp.NewContact(orient.Vec3{p[0], p[1], 0}, n, grasp.Frictionless, 0, 0))
				}
			}
		}
		return must(grasp.NewPlanar(contacts, orient.Vec3{}, 1))(t)
	}
	for a, want := range map[float64]float64{.25: 0.223607, .5: 0.353553, .8: 0.423999} {
		m := margin(t, square([2]float64{1, a}, [2]float64{-1, -a}, [2]float64{a, 1}, [2]float64{-a, -1}), grasp.Total, grasp.Cones, grasp.DefaultEffort)
		near(t, "eps", m.Upper, want, sixth)
		near(t, "closed form", m.Upper, a/math.Sqrt(1+4*a*a), alg)
		if closed, m, err := square([2]float64{1, a}, [2]float64{-a, 1}, [2]float64{-1, -a}, [2]float64{a, -1}).Closure(grasp.Cones); closed || err != nil {
			t.Errorf("the pinwheel is held: %v, %v", m, err)
		}
	}
}

// G7: R. M. Murray, Z. Li, S. S. Sastry, "A Mathematical Introduction to Robotic Manipulation", 1994, ch. 5, from memory;
// computed: two hard contacts leave the spin about the line between them.
func TestTwoHardContactsSpin(t *testing.T) {
	for _, mu := range []float64{0.1, 0.5, 1} {
		g := sphere(t, grasp.Hard, mu, 0, poles...)
		if s := must(g.Structure())(t); s.Rank != 5 {
			t.Errorf("rank %d, want 5", s.Rank)
		}
		closed, m, err := g.Closure(grasp.Cones)
		if closed || err != nil || m.Upper != 0 {
			t.Errorf("closure %v, margin %v, %v", closed, m, err)
		}
		if u := math.Abs(m.Weakest.Torque[0] / m.Length); math.Abs(u-1) > 1e-12 {
			t.Errorf("weakest in %v, want the spin about x", m.Weakest)
		}
	}
}

// G8, G9: derived; closed form ε = min(γ/R, μ/√(2+μ²)) and figures computed. The inner approximation has a ring of
// edges and two vertices of torsion.
func TestTwoSoftFingers(t *testing.T) {
	for _, c := range []struct{ mu, gamma, want, eight, sixteen float64 }{
		{.5, .1, 0.1, 0.097736, 0.097984}, {.5, .2, 0.2, 0.183536, 0.185191}, {.5, .5, 1. / 3, 0.310496, 0.327622}, {.8, .3, 0.3, 0.277974, 0.280216},
	} {
		g := sphere(t, grasp.Soft, c.mu, c.gamma, poles...)
		near(t, "closed form", math.Min(c.gamma, c.mu/math.Sqrt(2+c.mu*c.mu)), c.want, sixth)
		m := margin(t, g, grasp.Total, grasp.Cones, grasp.Effort{Gap: 1e-3, Facets: 60000})
		near(t, "true cones", m.Upper, c.want, 1e-6)
		if !(m.Lower <= c.want && m.Lower > 0.998*c.want) {
			t.Errorf("bracket %v of %g", m, c.want)
		}
		near(t, "8 edges", margin(t, g, grasp.Total, grasp.Limits{Edges: 8}, grasp.DefaultEffort).Upper, c.eight, sixth)
		near(t, "16 edges", margin(t, g, grasp.Total, grasp.Limits{Edges: 16}, grasp.DefaultEffort).Upper, c.sixteen, sixth)
	}
}

// G10: computed in two ways; three hard contacts on the equator, and the hull of 128 edges below them.
func TestThreeHardContacts(t *testing.T) {
	for _, c := range []struct{ mu, want, hull float64 }{{.3, 0.165260, 0.165240}, {.5, 0.287698, 0.287660}, {.8, 0.461880, 0}} {
		g := sphere(t, grasp.Hard, c.mu, 0, equator(3)...)
		m := margin(t, g, grasp.Total, grasp.Cones, grasp.Effort{Gap: 1e-3, Facets: 60000})
		near(t, "true cones", m.Upper, c.want, 1e-5)
		if !(m.Lower <= c.want+sixth) {
			t.Errorf("bracket %v of %g", m, c.want)
		}
		if c.hull > 0 {
			edged := margin(t, g, grasp.Total, grasp.Limits{Edges: 128}, grasp.DefaultEffort).Upper
			if !(edged <= c.want+sixth && edged >= c.hull*math.Cos(math.Pi/128)) {
				t.Errorf("128 edges: %.6f, want about %.6f and no more than %.6f", edged, c.hull, c.want)
			}
		}
	}
}

// G11: computed: μ/√2 at the corners of a tetrahedron, μ·√⅔ at those of an octahedron.
func TestTetrahedronAndOctahedron(t *testing.T) {
	near(t, "tetrahedron", margin(t, sphere(t, grasp.Hard, 0.5, 0, tetra...), grasp.Total, grasp.Cones, fine).Upper, 0.353553, 1e-6)
	near(t, "octahedron", margin(t, sphere(t, grasp.Hard, 0.5, 0, octa...), grasp.Total, grasp.Cones, fine).Upper, 0.408248, 1e-6)
}

// G12: elementary, figures computed: what a pyramid of m edges takes for friction, along and between its edges. Two
// opposite contacts on a disc in space hold just what their friction along x or along the diagonal gives.
func TestPyramidsUnderstateFriction(t *testing.T) {
	for m, want := range map[int]float64{4: 29.289, 6: 13.397, 8: 7.6120, 12: 3.4074, 16: 1.9215, 32: 0.48153} {
		c := grasp.NewContact(orient.Vec3{0, 0, -0.03}, orient.Vec3{0, 0, 1}, grasp.Hard, 0.5, 0)
		g := must(grasp.New([]grasp.Contact{c}, orient.Vec3{}, 0.03))(t)
		worst := 0.0
		for i := range 20 * m {
			a := 2 * math.Pi * float64(i) / float64(20*m)
			direction := c.Tangent1.Scale(math.Cos(a)).Add(c.Tangent2.Scale(math.Sin(a)))
			worst = math.Max(worst, 1-g.ShearLimit(0, direction, grasp.Limits{Edges: m})/0.5)
		}
		near(t, "understated", 100*worst, want, 0.5e-3)
	}
}

// G13: derived, figures computed: ε(μ·cos(π/m)) ≤ ε_m(μ) ≤ ε(μ) in any tangent frame.
func TestPyramidsAreBracketed(t *testing.T) {
	for m, least := range map[int]float64{4: 0.25, 8: 0.326641, 16: 0.353553 * math.Cos(math.Pi/16)} {
		for _, turn := range []float64{0, 0.3, 0.7, 1.1} {
			g := sphere(t, grasp.Hard, 0.5, 0, tetra...)
			for i := range g.Contacts {
				c := &g.Contacts[i]
				sin, cos := math.Sincos(turn * float64(i+1))
				c.Tangent1, c.Tangent2 = c.Tangent1.Scale(cos).Add(c.Tangent2.Scale(sin)), c.Tangent1.Scale(-sin).Add(c.Tangent2.Scale(cos))
			}
			g = must(grasp.New(g.Contacts, orient.Vec3{}, 0.03))(t)
			eps := margin(t, g, grasp.Total, grasp.Limits{Edges: m}, grasp.DefaultEffort).Upper
			if !(eps >= least-sixth && eps <= 0.353553+sixth) {
				t.Errorf("%d edges, turned by %g: %.6f, want %.6f to 0.353553", m, turn, eps, least)
			}
		}
	}
}

// G14: R. M. Murray, Z. Li, S. S. Sastry 1994, sect. 5.2 (soft-finger box example), from memory; matrix computed.
func TestBoxInTwoSoftFingers(t *testing.T) {
	const r = 1.0
	box := func(kind grasp.Kind) *grasp.Grasp {
		return must(grasp.New([]grasp.Contact{
			{At: orient.Vec3{0, -r, 0}, Tangent1: orient.Vec3{0, 0, 1}, Tangent2: orient.Vec3{1, 0, 0}, Inward: orient.Vec3{0, 1, 0}, Kind: kind, Friction: .5, Torsion: .1},
			{At: orient.Vec3{0, r, 0}, Tangent1: orient.Vec3{1, 0, 0}, Tangent2: orient.Vec3{0, 0, 1}, Inward: orient.Vec3{0, -1, 0}, Kind: kind, Friction: .5, Torsion: .1},
		}, orient.Vec3{}, 1))(t)
	}
	want := [6][8]float64{
		{0, 1, 0, 0, 1, 0, 0, 0}, {0, 0, 1, 0, 0, 0, -1, 0}, {1, 0, 0, 0, 0, 1, 0, 0},
		{-r, 0, 0, 0, 0, r, 0, 0}, {0, 0, 0, 1, 0, 0, 0, -1}, {0, r, 0, 0, -r, 0, 0, 0},
	}
	g := box(grasp.Soft)
	m := g.Map()
	for i := range want {
		for j := range want[i] {
			near(t, "G", m.At(i, j), want[i][j], 1e-15)
		}
	}
	s := must(g.Structure())(t)
	for _, v := range s.Values {
		near(t, "singular value", v, math.Sqrt2, 1e-12)
	}
	if _, k := s.Internal.Dims(); s.Rank != 6 || k != 2 {
		t.Fatalf("rank %d with %d internal forces, want 6 and 2", s.Rank, k)
	}
	// Equal squeeze and equal opposite twist span the internal forces.
	for _, f := range [][8]float64{{2: math.Sqrt2 / 2, 6: math.Sqrt2 / 2}, {3: math.Sqrt2 / 2, 7: math.Sqrt2 / 2}} {
		in := 0.0
		for k := range 2 {
			along := 0.0
			for j := range f {
				along += f[j] * s.Internal.At(j, k)
			}
			in += along * along
		}
		near(t, "share inside the null space", in, 1, 1e-12)
	}
	if s := must(box(grasp.Hard).Structure())(t); s.Rank != 5 {
		t.Errorf("without torsion the rank is %d, want 5", s.Rank)
	}
}
