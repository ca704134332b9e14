package grasp_test

import (
	"math/rand/v2"
	"testing"

	"holdfast/mechanics/grasp"
	"holdfast/orient"
)

// ten contacts on a sphere, drawn from a seed.
func ten(seed uint64) *grasp.Grasp {
	rng := rand.New(rand.NewPCG(seed, 1))
	var contacts []grasp.Contact
	for range 10 {
		d := orient.Vec3{rng.NormFloat64(), rng.NormFloat64(), rng.NormFloat64()}
		d = d.Scale(1 / d.Norm())
		contacts = append(contacts, grasp.NewContact(d.Scale(rho), d.Scale(-1), grasp.Hard, 0.5, 0))
	}
	g, err := grasp.New(contacts, orient.Vec3{}, rho)
	if err != nil {
		panic(err)
	}
	return g
}

// tens are grasps to average over: the work depends on where the contacts lie.
func tens() (all []*grasp.Grasp) {
	for seed := range uint64(16) {
		all = append(all, ten(seed))
	}
	return all
}

func run(b *testing.B, do func(g *grasp.Grasp) error) {
	all := tens()
	b.ReportAllocs()
	i := 0
	for b.Loop() {
		if err := do(all[i%len(all)]); err != nil {
			b.Fatal(err)
		}
		i++
	}
}

func BenchmarkClosure(b *testing.B) {
	run(b, func(g *grasp.Grasp) error { _, _, err := g.Closure(grasp.Limits{Edges: 8}); return err })
}

func BenchmarkClosureCones(b *testing.B) {
	run(b, func(g *grasp.Grasp) error { _, _, err := g.Closure(grasp.Cones); return err })
}

func BenchmarkMargin(b *testing.B) {
	run(b, func(g *grasp.Grasp) error {
		return second(g.Margin(grasp.Total, grasp.Limits{Edges: 8}, grasp.DefaultEffort))
	})
}

func BenchmarkMarginEach(b *testing.B) {
	run(b, func(g *grasp.Grasp) error {
		return second(g.Margin(grasp.Each, grasp.Limits{Edges: 8}, grasp.DefaultEffort))
	})
}

func BenchmarkMarginCones(b *testing.B) {
	run(b, func(g *grasp.Grasp) error { return second(g.Margin(grasp.Total, grasp.Cones, grasp.DefaultEffort)) })
}

func BenchmarkPayload(b *testing.B) {
	normal := evenly(10, 5)
	run(b, func(g *grasp.Grasp) error { return second(g.Payload(down, none, normal, grasp.Cones)) })
}

func BenchmarkSqueeze(b *testing.B) {
	run(b, func(g *grasp.Grasp) error { return second(g.Squeeze(down, grasp.Total, grasp.Cones)) })
}

func BenchmarkSlip(b *testing.B) {
	forces := make([]grasp.Force, 10)
	for i := range forces {
		forces[i] = grasp.Force{Normal: 3, Shear1: float64(i) * 0.1}
	}
	run(b, func(g *grasp.Grasp) error { g.Slip(forces); return nil })
}

// BenchmarkAnalysis is all that is shown with a trial: structure, closure, margin on 8 edges, payload, squeeze, slip.
func BenchmarkAnalysis(b *testing.B) {
	normal := evenly(10, 5)
	limits := grasp.Limits{Edges: 8}
	run(b, func(g *grasp.Grasp) error {
		if _, err := g.Structure(); err != nil {
			return err
		}
		if _, _, err := g.Closure(limits); err != nil {
			return err
		}
		if _, err := g.Margin(grasp.Total, limits, grasp.DefaultEffort); err != nil {
			return err
		}
		if _, err := g.Payload(down, none, normal, grasp.Cones); err != nil {
			return err
		}
		h, err := g.Squeeze(down, grasp.Total, grasp.Cones)
		g.Slip(h.Forces)
		return err
	})
}
