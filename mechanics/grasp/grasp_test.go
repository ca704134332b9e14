package grasp_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"

	"holdfast/mechanics/grasp"
	"holdfast/orient"
)

const rho = 0.03

func number(t *rapid.T, name string, from, to float64) float64 {
	return rapid.Float64Range(from, to).Draw(t, name)
}

func direction(t *rapid.T, name string) orient.Vec3 {
	z, a := number(t, name, -1, 1), number(t, name, -math.Pi, math.Pi)
	r := math.Sqrt(1 - z*z)
	return orient.Vec3{r * math.Cos(a), r * math.Sin(a), z}
}

// drawn are contacts about an item whose normals are not those of a sphere.
func drawn(t *rapid.T, kind grasp.Kind, least, most int) []grasp.Contact {
	contacts := make([]grasp.Contact, rapid.IntRange(least, most).Draw(t, "contacts"))
	for i := range contacts {
		d := direction(t, "place")
		n := d.Scale(-1).Add(direction(t, "bent").Scale(0.3))
		contacts[i] = grasp.NewContact(d.Scale(number(t, "radius", 0.6*rho, 1.4*rho)), n, kind, number(t, "friction", 0.1, 1), number(t, "torsion", 0, 0.3*rho))
	}
	return contacts
}

func made(t *rapid.T, contacts []grasp.Contact, length float64) *grasp.Grasp {
	g, err := grasp.New(contacts, orient.Vec3{}, length)
	if err != nil {
		t.Fatal(err)
	}
	return g
}

func marginOf(t *rapid.T, g *grasp.Grasp, s grasp.Sharing, l grasp.Limits) grasp.Margin {
	m, err := g.Margin(s, l, grasp.Effort{Gap: 1e-2, Facets: 20000})
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func TestFramesAreOrthonormal(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := direction(t, "normal")
		n[2] = math.Copysign(math.Max(math.Abs(n[2]), 1e-300), n[2])
		if rapid.Bool().Draw(t, "down") {
			n = orient.Vec3{n[0] * 1e-9, n[1] * 1e-9, -1}
		}
		c := grasp.NewContact(orient.Vec3{}, n, grasp.Hard, 0.5, 0)
		for _, x := range []float64{c.Tangent1.Dot(c.Tangent2), c.Tangent1.Dot(c.Inward), c.Tangent2.Dot(c.Inward),
			c.Tangent1.Norm() - 1, c.Tangent2.Norm() - 1, c.Inward.Norm() - 1, c.Tangent1.Cross(c.Tangent2).Dot(c.Inward) - 1} {
			if !(math.Abs(x) < 1e-14) {
				t.Fatalf("frame %v is off by %g", c, x)
			}
		}
	})
}

// Pyramids lie inside their cones and around the cones of the friction μ·cos(π/m) (reference value G13, on any grasp).
func TestPyramidsLieBetweenCones(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		contacts := drawn(t, grasp.Hard, 3, 5)
		sharing := rapid.SampledFrom([]grasp.Sharing{grasp.Total, grasp.Each}).Draw(t, "sharing")
		edges := rapid.SampledFrom([]int{3, 4, 6, 8}).Draw(t, "edges")
		g := made(t, contacts, rho)
		edged := marginOf(t, g, sharing, grasp.Limits{Edges: edges})
		outer := marginOf(t, g, sharing, grasp.Cones)
		for i := range contacts {
			contacts[i].Friction *= math.Cos(math.Pi / float64(edges))
		}
		inner := marginOf(t, made(t, contacts, rho), sharing, grasp.Cones)
		if edged.Upper > 0 && !(edged.Upper <= outer.Upper+1e-9) {
			t.Fatalf("%v beyond %v", edged, outer)
		}
		if inner.Lower > 0 && !(inner.Lower <= edged.Upper+1e-9) {
			t.Fatalf("%v below %v", edged, inner)
		}
		if !(outer.Lower <= outer.Upper) {
			t.Fatalf("bracket %v", outer)
		}
	})
}

// Twice as large with twice the length is the same grasp.
func TestMarginHasNoScale(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		contacts := drawn(t, grasp.Soft, 2, 5)
		a := marginOf(t, made(t, contacts, rho), grasp.Total, grasp.Limits{Edges: 6})
		for i := range contacts {
			contacts[i].At = contacts[i].At.Scale(2)
			contacts[i].Torsion *= 2
		}
		b := marginOf(t, made(t, contacts, 2*rho), grasp.Total, grasp.Limits{Edges: 6})
		if !(math.Abs(a.Lower-b.Lower) <= 1e-9) && a.Lower > 0 || (a.Lower > 0) != (b.Lower > 0) {
			t.Fatalf("%v, twice as large %v", a, b)
		}
	})
}

// Two solvers that share no code agree: the ball touches where the smallest squeeze carries it, and any other load
// needs less.
func TestMarginIsTheSqueezeOfTheWorstLoad(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := made(t, drawn(t, rapid.SampledFrom([]grasp.Kind{grasp.Hard, grasp.Soft}).Draw(t, "kind"), 3, 6), rho)
		sharing := rapid.SampledFrom([]grasp.Sharing{grasp.Total, grasp.Each}).Draw(t, "sharing")
		limits := rapid.SampledFrom([]grasp.Limits{{Edges: 5}, {Edges: 8}, grasp.Cones}).Draw(t, "limits")
		m := marginOf(t, g, sharing, limits)
		closed, proof, err := g.Closure(limits)
		if err != nil || closed != (m.Lower > 0) && math.Max(m.Upper, proof.Upper) > 1e-9 {
			t.Fatalf("closure %v (%v, %v), margin %v", closed, proof, err, m)
		}
		if m.Lower < 1e-3 {
			return
		}
		h, err := g.Squeeze(grasp.Wrench{Force: m.Weakest.Force.Scale(-1), Torque: m.Weakest.Torque.Scale(-1)}, sharing, limits)
		if err != nil {
			t.Fatal(err)
		}
		if m.Exact && !(math.Abs(h.Factor*m.Upper-1) < 1e-7+10*h.Gap) || !(1/h.Factor >= m.Lower*(1-1e-7-10*h.Gap)) {
			t.Fatalf("squeeze %g for the weakest direction of %v", 1/h.Factor, m)
		}
		u := direction(t, "force").Scale(number(t, "share", 0, 1))
		w := grasp.Wrench{Force: u, Torque: direction(t, "torque").Scale(math.Sqrt(math.Max(0, 1-u.Dot(u))) * rho)}
		if h, err = g.Squeeze(w, sharing, limits); err != nil || !(h.Factor <= 1/m.Lower*(1+1e-7+10*h.Gap)) {
			t.Fatalf("a unit load needs %g (%v), but the margin is %v", h.Factor, err, m)
		}
	})
}

// What is said to carry a load balances it, within friction and limits; and squeeze and payload undo each other.
func TestForcesCarryTheLoad(t *testing.T) {
	asked, undecided := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		asked++
		g := made(t, drawn(t, rapid.SampledFrom([]grasp.Kind{grasp.Frictionless, grasp.Hard, grasp.Soft}).Draw(t, "kind"), 1, 7), rho)
		limits := rapid.SampledFrom([]grasp.Limits{{Edges: 6}, grasp.Cones}).Draw(t, "limits")
		load := grasp.Wrench{Force: direction(t, "force").Scale(number(t, "weight", 0.01, 10)), Torque: direction(t, "torque").Scale(number(t, "moment", 0, 0.1))}
		h, err := g.Squeeze(load, grasp.Each, limits)
		if errors.Is(err, grasp.ErrCannotCarry) {
			return
		}
		if errors.Is(err, grasp.ErrUndecided) {
			undecided++
			return
		}
		if err != nil {
			t.Fatal(err)
		}
		size := math.Hypot(load.Force.Norm(), load.Torque.Norm()/rho)
		check := func(h grasp.Hold, factor, most float64) {
			// What rounding leaves open must be told, and be no more than the solver may call solved.
			if !(h.Gap <= 1e-6) {
				t.Fatalf("a gap of %g", h.Gap)
			}
			w := g.Total(h.Forces)
			if rest := math.Hypot(w.Force.Add(load.Force.Scale(factor)).Norm(), w.Torque.Add(load.Torque.Scale(factor)).Norm()/rho); !(rest < (1e-7+h.Gap)*(size+most)) {
				t.Fatalf("%g of the load is left over", rest)
			}
			for i, f := range h.Forces {
				// Only the balance is open to rounding: whatever it lacks, forces push, and lie in their cones.
				if !(f.Normal >= 0) || !(f.Normal < most*(1+1e-7+h.Gap)) {
					t.Fatalf("contact %d presses with %g of %g N", i, f.Normal, most)
				}
				if use := g.Contacts[i].Use(f); f.Normal > 0 && !(use < 1+1e-12) {
					t.Fatalf("contact %d slips: %g", i, use)
				}
			}
		}
		check(h, 1, h.Factor)
		back, err := g.Payload(load, grasp.Wrench{}, evenly(len(g.Contacts), h.Factor), limits)
		if errors.Is(err, grasp.ErrUndecided) {
			undecided++
			return
		}
		if err != nil {
			t.Fatal(err)
		}
		if max(h.Gap, back.Gap) > 1e-9 {
			// The balance lacks more than rounding: the load stands at the edge of those that can be carried at all, where
			// a millionth more can not, and what the same contacts carry of it is all or nothing.
			undecided++
			return
		}
		// What balance lacks is a share of the forces, which may be many times the load, and near that edge it counts a thousandfold.
		if !(math.Abs(back.Factor-1) < (1e-8+1e4*(h.Gap+back.Gap))*(1+h.Factor/size)) {
			t.Fatalf("%g N carry %g of the load; gaps %g, %g", h.Factor, back.Factor, h.Gap, back.Gap)
		}
		check(back, back.Factor, h.Factor)
	})
	// Drawn numbers crowd at ends and round values, where grasps just fail.
	if undecided > 4+asked/100 {
		t.Errorf("%d of %d questions are left open", undecided, asked)
	}
}

func TestDecompositionAddsUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := made(t, drawn(t, grasp.Soft, 1, 6), rho)
		forces := make([]grasp.Force, len(g.Contacts))
		for i := range forces {
			forces[i] = grasp.Force{Shear1: number(t, "f", -3, 3), Shear2: number(t, "f", -3, 3), Normal: number(t, "f", 0, 9), Torsion: number(t, "f", -.1, .1)}
		}
		carrying, internal, err := g.Decompose(forces)
		if err != nil {
			t.Fatal(err)
		}
		a, b, all := g.Total(carrying), g.Total(internal), g.Total(forces)
		if !(b.Force.Norm() < 1e-12*100) || !(b.Torque.Norm() < 1e-12*100) || !(a.Force.Add(all.Force.Scale(-1)).Norm() < 1e-10) {
			t.Fatalf("carrying %v, internal %v of %v", a, b, all)
		}
		inner := 0.0
		for i := range forces {
			c, n := carrying[i], internal[i]
			if !(math.Abs(c.Normal+n.Normal-forces[i].Normal) < 1e-12*10) || !(math.Abs(c.Torsion+n.Torsion-forces[i].Torsion) < 1e-12) {
				t.Fatal("the parts do not add up")
			}
			inner += c.Shear1*n.Shear1 + c.Shear2*n.Shear2 + c.Normal*n.Normal + c.Torsion*n.Torsion/(rho*rho)
		}
		if !(math.Abs(inner) < 1e-10) {
			t.Fatalf("the parts are not square to each other: %g", inner)
		}
	})
}

// Lattices of contacts and few edges make many corners lie in one plane; facets must not tangle.
func TestMarginOnLattices(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var contacts []grasp.Contact
		for range rapid.IntRange(2, 9).Draw(t, "contacts") {
			axis, sign := rapid.IntRange(0, 2).Draw(t, "axis"), rapid.SampledFrom([]float64{-1, 1}).Draw(t, "side")
			at := orient.Vec3{float64(rapid.IntRange(-1, 1).Draw(t, "x")), float64(rapid.IntRange(-1, 1).Draw(t, "y")), float64(rapid.IntRange(-1, 1).Draw(t, "z"))}
			at[axis] = sign
			n := orient.Vec3{}
			n[axis] = -sign
			contacts = append(contacts, grasp.NewContact(at, n, grasp.Hard, 0.5, 0))
		}
		g := made(t, contacts, 1)
		for _, s := range []grasp.Sharing{grasp.Total, grasp.Each} {
			for _, l := range []grasp.Limits{{Edges: 4}, {Edges: 8}} {
				m := marginOf(t, g, s, l)
				if !(m.Lower <= m.Upper) || m.Upper > 0 && !m.Exact {
					t.Fatalf("%v", m)
				}
			}
		}
	})
}

func TestSameBytes(t *testing.T) {
	g := ten(3)
	a, errA := g.Margin(grasp.Total, grasp.Cones, grasp.DefaultEffort)
	b, errB := g.Margin(grasp.Total, grasp.Cones, grasp.DefaultEffort)
	if a != b || errA != nil || errB != nil {
		t.Errorf("%v, then %v", a, b)
	}
}

func TestBadInputIsNamed(t *testing.T) {
	good := grasp.NewContact(orient.Vec3{0, 0, 1}, orient.Vec3{0, 0, -1}, grasp.Hard, 0.5, 0)
	with := func(change func(*grasp.Contact)) []grasp.Contact {
		c := good
		change(&c)
		return []grasp.Contact{good, c}
	}
	for want, contacts := range map[string][]grasp.Contact{
		"0 contacts":     nil,
		"65 contacts":    make([]grasp.Contact, 65),
		"length 2":       with(func(c *grasp.Contact) { c.Inward = orient.Vec3{0, 0, -2} }),
		"right-handed":   with(func(c *grasp.Contact) { c.Tangent1, c.Tangent2 = c.Tangent2, c.Tangent1 }),
		"finite numbers": with(func(c *grasp.Contact) { c.At[1] = math.NaN() }),
		"friction is -1": with(func(c *grasp.Contact) { c.Friction = -1 }),
		"torsion length": with(func(c *grasp.Contact) { c.Kind, c.Torsion = grasp.Soft, math.NaN() }),
		"contact kind 9": with(func(c *grasp.Contact) { c.Kind = 9 }),
		"length 0, it":   {grasp.NewContact(orient.Vec3{}, orient.Vec3{}, grasp.Hard, 0.5, 0)},
	} {
		if _, err := grasp.New(contacts, orient.Vec3{}, 1); !errors.Is(err, grasp.ErrNoGrasp) || !strings.Contains(err.Error(), want) {
			t.Errorf("want %q, got %v", want, err)
		}
	}
	for _, length := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		if _, err := grasp.New([]grasp.Contact{good}, orient.Vec3{}, length); err == nil {
			t.Errorf("length %g is taken", length)
		}
	}
	if _, err := grasp.NewPlanar([]grasp.Contact{good}, orient.Vec3{}, 1); err == nil {
		t.Error("a contact out of the plane is taken")
	}
	g, err := grasp.New([]grasp.Contact{good}, orient.Vec3{}, 1)
	if err != nil {
		t.Fatal(err)
	}
	for i, err := range []error{
		second(g.Margin(grasp.Total, grasp.Limits{Edges: 2}, grasp.DefaultEffort)),
		second(g.Margin(9, grasp.Cones, grasp.DefaultEffort)),
		second(g.Margin(grasp.Total, grasp.Cones, grasp.Effort{Gap: math.NaN()})),
		second(g.Payload(down, none, nil, grasp.Cones)),
		second(g.Payload(down, none, []float64{-1}, grasp.Cones)),
		second(g.Payload(none, none, []float64{1}, grasp.Cones)),
		second(g.Payload(grasp.Wrench{Force: orient.Vec3{math.NaN()}}, none, []float64{1}, grasp.Cones)),
		second(g.Squeeze(down, 9, grasp.Cones)),
		second(g.Stiffness(nil, nil)),
		second(mat.NewSymDense(1, nil), func() error { _, _, err := g.Decompose(nil); return err }()),
		func() error { _, _, err := g.Worst(nil, none, []float64{1}, grasp.Cones); return err }(),
	} {
		if err == nil {
			t.Errorf("bad question %d is answered", i)
		}
	}
	// A palm below can bear weight, but not lift against it, and nothing at all when it may not press.
	if _, err := g.Squeeze(down, grasp.Total, grasp.Cones); !errors.Is(err, grasp.ErrCannotCarry) {
		t.Errorf("a contact above carries a weight: %v", err)
	}
	if h, err := g.Payload(grasp.Wrench{Force: orient.Vec3{0, 0, 1}}, none, []float64{3}, grasp.Cones); err != nil || math.Abs(h.Factor-3) > 1e-9 {
		t.Errorf("against a push up: %v, %v", h, err)
	}
	if _, err := g.Payload(down, down, []float64{0}, grasp.Cones); !errors.Is(err, grasp.ErrCannotCarry) {
		t.Errorf("without force it carries: %v", err)
	}
}

func second[T any](_ T, err error) error { return err }

func TestSlipOfGivenForces(t *testing.T) {
	g := sphere(t, grasp.Soft, 0.5, 0.1, poles...)
	s := g.Slip([]grasp.Force{{Normal: 10, Shear1: 3}, {Normal: 10, Shear2: -2, Torsion: 0.8 * 10 * 0.1 * 0.03}})
	// 3 of 5 N; and √((2/5)² + 0.8²).
	near(t, "use", s.Use, math.Hypot(0.4, 0.8), 1e-12)
	near(t, "reserve", s.Reserve, 5*0.6-2, 1e-12)
	if s.Contact != 1 || s.Loosest != 1 {
		t.Errorf("contacts %d and %d, want 1", s.Contact, s.Loosest)
	}
	if s := g.Slip([]grasp.Force{{Normal: 0, Shear1: 1}, {}}); !math.IsInf(s.Use, 1) || s.Reserve != -1 {
		t.Errorf("shear without normal force: %+v", s)
	}
	if s := g.Slip(nil); s.Contact != -1 {
		t.Errorf("no forces: %+v", s)
	}
}

func TestWorstLoad(t *testing.T) {
	g := sphere(t, grasp.Soft, 0.5, 0.1, poles...)
	loads := []grasp.Wrench{down, {Force: orient.Vec3{1, 0, 0}}, {Torque: orient.Vec3{1, 0, 0}}}
	i, h, err := g.Worst(loads, none, evenly(2, 10), grasp.Cones)
	// Twist: 2·γ·N = 0.06 N m. Along the pads one of them gives its 10 N, and the other may let go.
	if err != nil || i != 2 || math.Abs(h.Factor-0.06) > 1e-9 {
		t.Errorf("load %d, %v, %v", i, h, err)
	}
}
