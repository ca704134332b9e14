package grasp

import (
	"fmt"

	"gonum.org/v1/gonum/mat"

	"holdfast/orient"
)

// Spring is what a finger and its skin resist a displacement of one contact with.
type Spring struct {
	Normal, Shear float64 // N/m
	Torsion       float64 // N m/rad, of soft fingers
}

// Stiffness returns how the grasp pulls an item back that is moved and turned a little: the symmetric 6×6 matrix of
// wrench (N, N m about the origin, not over the length) over displacement (m, rad),
//
//	K = Σ Gᵢ·Kᵢ·Gᵢᵀ + Σ [0 0; 0 (fᵢ·rᵢ)·1 − ½(fᵢ·rᵢᵀ + rᵢ·fᵢᵀ)]                        (J. K. Salisbury 1980 for the first sum, from memory)
//
// The second sum is for the forces that the contacts bear already; without forces (nil) it is left out. It takes the
// places of contact as fixed to the item and the forces as keeping their direction in space, which is right for pads
// that stick and fingers long against the item. Squeezing makes it negative about axes across the squeeze: a pinch that
// presses too hard for its shear stiffness snaps aside.
func (g *Grasp) Stiffness(springs []Spring, forces []Force) (*mat.SymDense, error) {
	if len(springs) != len(g.Contacts) || forces != nil && len(forces) != len(g.Contacts) {
		return nil, fmt.Errorf("%d springs and %d forces for %d contacts; give a spring for each, and a force for each or none", len(springs), len(forces), len(g.Contacts))
	}
	k := mat.NewSymDense(6, nil)
	for i := range g.Contacts {
		c := &g.Contacts[i]
		w := c.wrenches(g.Origin, 1)
		s := [4]float64{springs[i].Shear, springs[i].Shear, springs[i].Normal, springs[i].Torsion}
		for _, part := range [4]int{0, 1, 2, 3} {
			if c.Kind == Frictionless && part != 2 || c.Kind != Soft && part == 3 {
				continue
			}
			k.SymRankOne(k, s[part], mat.NewVecDense(6, w[part][:]))
		}
		if forces == nil {
			continue
		}
		f := c.Tangent1.Scale(forces[i].Shear1).Add(c.Tangent2.Scale(forces[i].Shear2)).Add(c.Inward.Scale(forces[i].Normal))
		r := c.At.Add(g.Origin.Scale(-1))
		along := f.Dot(r)
		for a := range 3 {
			for b := a; b < 3; b++ {
				t := -(f[a]*r[b] + r[a]*f[b]) / 2
				if a == b {
					t += along
				}
				k.SetSym(3+a, 3+b, k.At(3+a, 3+b)+t)
			}
		}
	}
	return k, nil
}

// Softest returns the smallest eigenvalue (N/m) of a stiffness with turns measured as arcs at the grasp's length, and its
// displacement (m, rad) for a unit of it. Below 0 the grasp is unstable.
func (g *Grasp) Softest(stiffness *mat.SymDense) (float64, Wrench, error) {
	scaled := mat.NewSymDense(6, nil)
	for a := range 6 {
		for b := a; b < 6; b++ {
			t := stiffness.At(a, b)
			if a > 2 {
				t /= g.Length
			}
			if b > 2 {
				t /= g.Length
			}
			scaled.SetSym(a, b, t)
		}
	}
	var e mat.EigenSym
	if !e.Factorize(scaled, true) {
		return 0, Wrench{}, fmt.Errorf("the stiffness has no eigenvalues; are all its numbers finite?")
	}
	var v mat.Dense
	e.VectorsTo(&v)
	at := func(r int) float64 { return v.At(r, 0) }
	return e.Values(nil)[0], Wrench{orient.Vec3{at(0), at(1), at(2)}, orient.Vec3{at(3), at(4), at(5)}.Scale(1 / g.Length)}, nil
}
