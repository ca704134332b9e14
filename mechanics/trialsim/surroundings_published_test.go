package trialsim

import (
	"math"
	"testing"

	"holdfast/mechanics/hand"
	"holdfast/mechanics/motion"
	"holdfast/mechanics/shape"
	"holdfast/orient"
)

// The identifiers are those of the project's list of mechanical checks; its numbers were computed from the stated equations.

// plate is a hand whose palm does the work: its fingers are stubs out of the way.
func plate(t *testing.T, radius float64, skin motion.Surface) Hand {
	t.Helper()
	chain, err := hand.NewChain([]hand.Joint{{Axis: hand.Vec{Y: 1}, Stiffness: 1, Damping: 0.01, Link: hand.SolidCapsule(hand.Vec{}, hand.Vec{Z: 0.01}, 0.002, 0.001)}})
	if err != nil {
		t.Fatal(err)
	}
	return Hand{Fingers: []Finger{{Chain: chain, Turn: orient.RotX(math.Pi), Root: orient.Vec3{0, 0.3, -0.3}}}, PalmRadius: radius, Skin: skin}
}

func box(t *testing.T, half orient.Vec3) shape.Solid {
	t.Helper()
	b, err := shape.NewBox(half, 0.001)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// pathFunc makes a path of a function.
type pathFunc func(t float64) Flange

func (f pathFunc) At(t float64) Flange { return f(t) }

var facingDown = orient.RotX(math.Pi)

func sure(t *testing.T, s *Scene) *Stage {
	t.Helper()
	if err := s.Check(); err != nil {
		t.Fatal(err)
	}
	return NewStage(s)
}

func stiff(friction float64) motion.Surface {
	return motion.Surface{Friction: friction, Stiffness: 40000, Damping: 40, Shear: 30000}
}

// A ball of mass m meets a spring k at speed v: peak force v√(km), squash v√(m/k), contact time π√(m/k) (I1); with a constant
// thrust F₀ the peak is F₀ + √(F₀² + kmv²) (I2); dropped by h, W(1 + √(1 + 2hk/W)) (I4). Computed; asked within 0.5 %.
func TestImpactOnASpring(t *testing.T) {
	for _, c := range []struct {
		id                   string
		mass, k, v, thrust   float64
		force, squash, lasts float64
	}{
		{"I1", 0.5, 1000, 0.1, 0, 2.236068, 2.236068e-3, 70.25e-3},
		{"I1", 1, 2000, 0.25, 0, 11.180340, 5.590e-3, 70.25e-3},
		{"I1", 0.2, 500, 0.05, 0, 0.5, 1e-3, 62.83e-3},
		{"I2", 0.5, 1000, 0.1, 5, 10.477226, 0, 0},
		{"I4", 1 / 9.81, 500, 0, 1, 2, 4e-3, 0},
		{"I4", 1 / 9.81, 500, math.Sqrt(2 * 9.81 * 0.01), 1, 4.316625, 0, 0},
		{"I4", 1 / 9.81, 500, math.Sqrt(2 * 9.81 * 0.05), 1, 8.141428, 0, 0},
	} {
		const h, radius = 2e-5, 0.02
		s := &Scene{Hand: plate(t, 0.01, stiff(0.5)), Gravity: c.thrust / c.mass,
			Item:    Item{Shape: shape.Ellipsoid{Semi: orient.Vec3{radius, radius, radius}}, Mass: c.mass, Friction: 1, Rest: orient.Identity},
			Setting: Setting{Support: motion.Surface{Stiffness: c.k, Shear: 1}}}
		g := sure(t, s)
		far := pathFunc(func(float64) Flange { return Flange{Place: orient.Vec3{1, 1, 1}, Turn: facingDown} })
		g.Start(far, orient.Vec3{0, 0, radius}, orient.Identity)
		g.Item.Velocity = orient.Vec3{0, 0, -c.v}
		peak, deepest, touching := 0.0, 0.0, 0.0
		for range int(0.2 / h) {
			g.Step(far, h)
			load := 0.0
			for i := range g.pairs {
				load += g.pairs[i].load
			}
			peak, deepest = math.Max(peak, load), math.Max(deepest, radius-g.Item.Position[2])
			if load > 0 {
				touching += h
			} else if touching > 0 {
				break
			}
		}
		for _, v := range []struct {
			name      string
			got, want float64
		}{{"peak force", peak, c.force}, {"squash", deepest, c.squash}, {"time", touching, c.lasts}} {
			if v.want > 0 && math.Abs(v.got-v.want) > 0.005*v.want {
				t.Errorf("%s: %s %.6g, want %.6g", c.id, v.name, v.got, v.want)
			}
		}
	}
}

// A palm that presses on top drags the item along when its force exceeds μ_t W/(μ_f − μ_t), and slides off below (E6; statics).
func TestPressingFromAboveDrags(t *testing.T) {
	for _, c := range []struct{ finger, table, weight, want float64 }{{0.8, 0.3, 1, 0.6}, {0.6, 0.3, 2, 2.0}, {1, 0.5, 0.5, 0.5}} {
		for _, share := range []float64{0.95, 1.05} {
			const k, h, high = 1000, 1e-3, 0.02
			skin := motion.Surface{Friction: c.finger, Stiffness: k, Damping: 1, Shear: 700}
			s := &Scene{Hand: plate(t, 0.2, skin), Gravity: 9.81,
				Item:    Item{Shape: box(t, orient.Vec3{0.04, 0.03, high}), Mass: c.weight / 9.81, Friction: 1, Rest: orient.Identity},
				Setting: Setting{Support: stiff(c.table)}}
			g := sure(t, s)
			// Four corners bear the palm's force; the box sinks a little under it.
			sink := (share*c.want/4 + c.weight/4) / 40000
			deep := share * c.want / 4 / k
			path := pathFunc(func(t float64) Flange {
				return Flange{Place: orient.Vec3{0.05 * blend((t-0.5)/2), 0, 2*high - sink - deep*blend(t/0.4)}, Turn: facingDown}
			})
			g.Start(path, orient.Vec3{0, 0, high}, orient.Identity)
			for range 3000 {
				g.Step(path, h)
			}
			dragged := g.Item.Position[0] > 0.04
			if dragged != (share > 1) {
				t.Errorf("pressed with %.2f of the force that drags: moved by %.1f mm, pressed with %.3f N", share, g.Item.Position[0]*1e3, g.Grip)
			}
		}
	}
}

// A block that is slid over an edge tips when it stands out by more than half its length, and by more when it is pressed
// inside the edge (E7: 50 and 62 mm for a block of 100 mm and 1 N, pressed by 0.6 N 20 mm inside; statics). The rounding of
// the block's ends takes nothing away from its underside that matters here.
func TestTippingOverTheEdge(t *testing.T) {
	for _, c := range []struct{ press, want float64 }{{0, 0.050}, {0.6, 0.062}} {
		for _, out := range []float64{c.want - 0.0008, c.want + 0.0008} {
			const high, k = 0.01, 50
			skin := motion.Surface{Stiffness: k, Damping: 2, Shear: 300}
			s := &Scene{Hand: plate(t, 0.0005, skin), Gravity: 9.81,
				Item:    Item{Shape: box(t, orient.Vec3{0.05, 0.03, high}), Mass: 1 / 9.81, Friction: 1, Rest: orient.Identity},
				Setting: Setting{Support: stiff(0.5), Edge: true}}
			g := sure(t, s)
			// Middle and rim of the small palm bear alike.
			lower := -0.003
			if c.press > 0 {
				lower = c.press / (5 * k)
			}
			path := pathFunc(func(float64) Flange {
				return Flange{Place: orient.Vec3{-0.02, 0, 2*high - lower}, Turn: facingDown}
			})
			g.Start(path, orient.Vec3{out - 0.05, 0, high}, orient.Identity)
			force := 0.0
			for i := range 4000 {
				g.Step(path, 1e-3)
				if i == 400 {
					force = g.Grip
				}
			}
			// The inner end has left the support: a spring that presses stops it soon after.
			tipped := true
			for i := range g.pairs {
				if p := &g.pairs[i]; p.from.Kind == Support && p.load > 0 {
					tipped = false
				}
			}
			if out < c.want && math.Abs(force-c.press) > 0.03*c.press {
				t.Errorf("pressed with %g N, wanted %g", force, c.press)
			}
			if tipped != (out > c.want) {
				t.Errorf("pressed by %g N, %.1f mm out: tipped is %v", c.press, out*1e3, tipped)
			}
		}
	}
}

// A hand that is off by e pushes the item sideways through its wrist: kb·e, and the item moves until only μW is left (I11:
// with μW = 0.3 N and 200 or 2000 N/m the first 1.5 or 0.15 mm do nothing; statics).
func TestWristPushesSideways(t *testing.T) {
	for _, kb := range []float64{200, 2000} {
		for _, e := range []float64{0.9 * 0.3 / kb, 0.005} {
			const half = 0.02
			h := plate(t, 0.5, motion.Surface{Friction: 0, Stiffness: 40000, Damping: 40, Shear: 30000})
			h.Wrist = Wrist{Stiffness: orient.Vec3{1e5, 1e5, kb}, Turning: orient.Vec3{100, 100, 100}, Damping: 1, Mass: 0.5}
			s := &Scene{Hand: h, Gravity: 9.81,
				Item:    Item{Shape: box(t, orient.Vec3{half, half, half}), Mass: 1 / 9.81, Friction: 1, Rest: orient.Identity},
				Setting: Setting{Support: stiff(0.3)}}
			g := sure(t, s)
			sideways := orient.RotY(math.Pi / 2) // out of the palm is along x
			path := pathFunc(func(t float64) Flange {
				return Flange{Place: orient.Vec3{-half - 1e-4 + (e+1e-4)*blend(t/3), 0, half}, Turn: sideways}
			})
			g.Start(path, orient.Vec3{0, 0, half}, orient.Identity)
			for range 5000 {
				g.Step(path, 1e-3)
			}
			want := math.Max(0, e-0.3/kb)
			if moved := g.Item.Position[0]; math.Abs(moved-want) > 0.02e-3+0.01*want {
				t.Errorf("wrist of %g N/m, off by %.2f mm: the item moved by %.3f mm, want %.3f", kb, e*1e3, moved*1e3, want*1e3)
			}
			// The touches and the support give in series with the wrist.
			if push, want := g.OnItem[0], math.Min(0.3, e/(1/kb+1./160000+1./120000)); math.Abs(push-want) > 0.03*want {
				t.Errorf("wrist of %g N/m, off by %.2f mm: pushes with %.3f N, want %.3f", kb, e*1e3, push, want)
			}
		}
	}
}

// Two pads that press with N each carry 2μN and no more (G15: m = 2μN/(g + a); statics): 0.509684 kg for μ = 0.5 and 5 N.
func TestPinchCarriesTwiceMuN(t *testing.T) {
	for _, share := range []float64{0.95, 1.05} {
		const friction, force = 0.5, 5
		m := share * 0.509684
		s := &Scene{Hand: rails(t, 2, friction, force), Gravity: 9.81,
			Item:    Item{Shape: shape.Ellipsoid{Semi: orient.Vec3{0.02, 0.02, 0.02}}, Mass: m, Friction: 1, Rest: orient.Identity},
			Setting: Setting{Support: stiff(0.5)}}
		g := sure(t, s)
		path := pathFunc(func(t float64) Flange {
			return Flange{Place: orient.Vec3{0, 0, 0.09 + 0.05*blend((t-1)/2)}, Turn: facingDown, Command: blend(t / 0.8)}
		})
		g.Start(path, orient.Vec3{0, 0, 0.02}, orient.Identity)
		for range 4000 {
			g.Step(path, 1e-3)
		}
		if held := g.Item.Position[2] > 0.06; held != (share < 1) {
			t.Errorf("%.2f of the payload: the item is at %.1f mm, gripped with %.2f N", share, g.Item.Position[2]*1e3, g.Grip)
		}
		if share < 1 && math.Abs(g.Grip-2*force) > 0.02*2*force {
			t.Errorf("the jaws press with %.3f N together, want %d", g.Grip, 2*force)
		}
	}
}

// A ball that rolls into one like it at rest, without friction and nearly without loss, stops, and the other goes on with its
// speed: equal masses exchange their velocities (elementary mechanics).
func TestEqualBallsExchangeVelocities(t *testing.T) {
	const radius, v, h = 0.02, 0.3, 2e-5
	s := &Scene{Hand: plate(t, 0.01, stiff(0.5)), Gravity: 9.81,
		Item:    Item{Shape: shape.Ellipsoid{Semi: orient.Vec3{radius, radius, radius}}, Mass: 0.05, Friction: 1, Rest: orient.Identity},
		Setting: Setting{Support: motion.Surface{Stiffness: 5000, Shear: 4000}, Neighbours: [][2]float64{{0.06, 0}}}}
	g := sure(t, s)
	far := pathFunc(func(float64) Flange { return Flange{Place: orient.Vec3{1, 1, 1}, Turn: facingDown} })
	g.Start(far, orient.Vec3{0, 0, radius}, orient.Identity)
	g.Item.Velocity = orient.Vec3{v, 0, 0}
	for range int(0.3 / h) {
		g.Step(far, h)
	}
	// The implicit springs of the touch lose a little.
	if one, other := g.Item.Velocity[0], g.items[1].Velocity[0]; math.Abs(one) > 0.02*v || math.Abs(other-v) > 0.02*v || math.Abs(one+other-v) > 1e-6 {
		t.Errorf("after the touch %.4f and %.4f m/s, want 0 and %g", one, other, v)
	}
}
