package grasp

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// Slip is how near the contact that is nearest to slipping is to it.
type Slip struct {
	Contact int     // index of the contact that uses most of its friction
	Use     float64 // how much: 1 is slip
	Reserve float64 // N: the smallest further shear that makes any contact slip while its normal force stays
	Loosest int     // index of the contact with this reserve
}

// Slip looks at contact forces as they are. It allocates nothing. Contacts without any force are passed over; if none
// has force, Contact is −1.
func (g *Grasp) Slip(forces []Force) Slip {
	s := Slip{Contact: -1, Loosest: -1, Reserve: math.Inf(1)}
	for i := range min(len(forces), len(g.Contacts)) {
		if forces[i] == (Force{}) {
			continue
		}
		c := &g.Contacts[i]
		if use := c.Use(forces[i]); s.Contact < 0 || use > s.Use {
			s.Contact, s.Use = i, use
		}
		if c.Kind == Frictionless {
			continue
		}
		if reserve := c.Reserve(forces[i]); reserve < s.Reserve {
			s.Loosest, s.Reserve = i, reserve
		}
	}
	return s
}

// Decompose splits contact forces into those that carry their wrench with the least sum of squares (the particular part,
// G⁺·G·f) and internal forces, which only press the item together. Torsion counts over the grasp's length in the sum.
// The parts need not lie within friction on their own.
func (g *Grasp) Decompose(forces []Force) (carrying, internal []Force, err error) {
	if len(forces) != len(g.Contacts) {
		return nil, nil, fmt.Errorf("%d forces for %d contacts; give one for each", len(forces), len(g.Contacts))
	}
	var f []float64
	for i := range g.Contacts {
		all := [4]float64{forces[i].Shear1, forces[i].Shear2, forces[i].Normal, forces[i].Torsion / g.Length}
		for _, k := range g.components(&g.Contacts[i]) {
			if math.IsNaN(all[k]) || math.IsInf(all[k], 0) {
				return nil, nil, fmt.Errorf("the force of contact %d is not finite", i+1)
			}
			f = append(f, all[k])
		}
	}
	s, err := g.Structure()
	if err != nil {
		return nil, nil, err
	}
	inner := mat.NewVecDense(len(f), nil)
	if s.Internal != nil {
		var along mat.VecDense
		along.MulVec(s.Internal.T(), mat.NewVecDense(len(f), f))
		inner.MulVec(s.Internal, &along)
	}
	carrying, internal = make([]Force, len(forces)), make([]Force, len(forces))
	j := 0
	for i := range g.Contacts {
		var a, b [4]float64
		for _, k := range g.components(&g.Contacts[i]) {
			b[k] = inner.AtVec(j)
			a[k] = f[j] - b[k]
			j++
		}
		carrying[i] = Force{a[0], a[1], a[2], a[3] * g.Length}
		internal[i] = Force{b[0], b[1], b[2], b[3] * g.Length}
	}
	return carrying, internal, nil
}
