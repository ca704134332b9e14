package trialsim

import (
	"math"
	"testing"

	"holdfast/mechanics/shape"
	"holdfast/orient"
)

// A box on a box like it lies flat and still while its centre of mass is over the lower one, and tips off beyond (statics: the
// vertical through the centre of mass has to meet the base). The lower bears the whole
// weight of the upper.
func TestStackedBoxesTipWhereTheyShould(t *testing.T) {
	far := pathFunc(func(float64) Flange { return Flange{Place: orient.Vec3{5, 5, 1}, Turn: facingDown} })
	half := orient.Vec3{0.04, 0.03, 0.015}
	for _, heading := range []float64{0, 0.3} {
		for share, stands := range map[float64]bool{0: true, 0.5: true, 0.9: true, 1.1: false} {
			s := &Scene{Hand: plate(t, 0.01, stiff(0.5)), Gravity: 9.81, Setting: Setting{Support: stiff(0.6), Neighbours: [][2]float64{{0, 0}}},
				Item: Item{Shape: box(t, half), Mass: 0.1, Friction: 1, Rest: orient.Identity}}
			g := sure(t, s)
			turn := orient.RotZ(heading)
			off := turn.Apply(orient.Vec3{share * half[0], 0, 3 * half[2]})
			g.Begin(Flange{Place: orient.Vec3{5, 5, 1}, Turn: facingDown}, []Sample{s.Item.Average(orient.Vec3{0, 0, half[2]}, turn), s.Item.Average(off, turn)})
			for g.Time < 1.5 {
				g.Step(far, 1e-3)
			}
			upper := &g.items[1]
			up := upper.Turn.Apply(orient.Vec3{0, 0, 1})
			moved := sub(upper.Position, off).Norm()
			if stood := up[2] > 0.9999 && moved < 5e-4 && upper.Spin.Norm() < 0.01; stood != stands {
				t.Errorf("out by %.1f of the half length, turned by %g rad: it leans by %.2f°, moved %.2f mm, turns at %.3g rad/s", share, heading, math.Acos(math.Min(1, up[2]))/degree, moved*1e3, upper.Spin.Norm())
			}
			if !stands {
				continue
			}
			load := 0.0
			for i := range g.pairs {
				if p := &g.pairs[i]; p.from.Kind == Thing {
					load += p.load
				}
			}
			if weight := s.Item.Mass * s.Gravity; math.Abs(load-weight) > 0.01*weight {
				t.Errorf("out by %.1f: the lower bears %.4f N of the upper's %.4f N", share, load, weight)
			}
		}
	}
}

// A long box crosswise on one like it has no foot on the other and none of the other's under it: it lies on the square that both have
// in common, still while its centre of mass is over that, and tips off beyond (statics, as above). Seen from above they cross at a
// right angle or aslant.
func TestBoxesCrosswiseTipWhereTheyShould(t *testing.T) {
	far := pathFunc(func(float64) Flange { return Flange{Place: orient.Vec3{5, 5, 1}, Turn: facingDown} })
	half := orient.Vec3{0.06, 0.015, 0.012}
	for _, angle := range []float64{90 * degree, 60 * degree, 35 * degree} {
		for share, stands := range map[float64]bool{0: true, 0.5: true, 0.9: true, 1.1: false} {
			s := &Scene{Hand: plate(t, 0.01, stiff(0.5)), Gravity: 9.81, Setting: Setting{Support: stiff(0.6), Neighbours: [][2]float64{{0, 0}}},
				Item: Item{Shape: box(t, half), Mass: 0.1, Friction: 1, Rest: orient.Identity}}
			g := sure(t, s)
			turn := orient.RotZ(angle)
			// The upper's middle is over the lower one's top up to here along its own length.
			reach := half[1] / math.Sin(angle)
			off := turn.Apply(orient.Vec3{share * reach, 0, 3 * half[2]})
			g.Begin(Flange{Place: orient.Vec3{5, 5, 1}, Turn: facingDown}, []Sample{s.Item.Average(orient.Vec3{0, 0, half[2]}, orient.Identity), s.Item.Average(off, turn)})
			for g.Time < 1.5 {
				g.Step(far, 1e-3)
			}
			upper := &g.items[1]
			up := upper.Turn.Apply(orient.Vec3{0, 0, 1})
			moved := sub(upper.Position, off).Norm()
			if stood := up[2] > 0.9999 && moved < 5e-4 && upper.Spin.Norm() < 0.01; stood != stands {
				t.Errorf("at %g°, out by %.1f of half of what bears: it leans by %.2f°, moved %.2f mm, turns at %.3g rad/s", angle/degree, share, math.Acos(math.Min(1, up[2]))/degree, moved*1e3, upper.Spin.Norm())
			}
		}
	}
}

// Cans of the same size stand on each other at their rims.
func TestStackedCansStand(t *testing.T) {
	far := pathFunc(func(float64) Flange { return Flange{Place: orient.Vec3{5, 5, 1}, Turn: facingDown} })
	can, err := shape.NewCylinder(0.03, 0.02, 0.002)
	if err != nil {
		t.Fatal(err)
	}
	s := &Scene{Hand: plate(t, 0.01, stiff(0.5)), Gravity: 9.81, Setting: Setting{Support: stiff(0.6), Neighbours: [][2]float64{{0, 0}}},
		Item: Item{Shape: can, Mass: 0.1, Friction: 1, Rest: orient.Identity, Stiffness: 2000}}
	g := sure(t, s)
	off := orient.Vec3{0.008, 0.003, 0.06}
	g.Begin(Flange{Place: orient.Vec3{5, 5, 1}, Turn: facingDown}, []Sample{s.Item.Average(orient.Vec3{0, 0, 0.02}, orient.Identity), s.Item.Average(off, orient.RotZ(0.4))})
	for g.Time < 1.5 {
		g.Step(far, 1e-3)
	}
	upper := &g.items[1]
	if up := upper.Turn.Apply(orient.Vec3{0, 0, 1}); up[2] < 0.999 || math.Hypot(upper.Position[0]-off[0], upper.Position[1]-off[1]) > 1e-3 || upper.Spin.Norm() > 0.05 {
		t.Errorf("it leans by %.2f°, lies at %v, turns at %.3g rad/s", math.Acos(up[2])/degree, upper.Position, upper.Spin.Norm())
	}
}
