package hand_test

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"holdfast/mechanics/hand"
)

// Which contacts open is found by pivoting; here all subsets are tried, and the one that fits must be the answer.
func TestOpeningAgainstEverySubset(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 4).Draw(t, "phalanges")
		p := hand.Phalanges{}
		torques, dampers := make([]float64, n), make([]float64, n)
		for i := range n {
			p.Contacts = append(p.Contacts, rapid.Float64Range(.2, 1).Draw(t, "contact"))
			p.Angles = append(p.Angles, rapid.Float64Range(-.2, 1.6).Draw(t, "angle"))
			if i > 0 {
				p.Lengths = append(p.Lengths, rapid.Float64Range(.5, 2).Draw(t, "length"))
			}
			torques[i], dampers[i] = component.Draw(t, "torque"), positive.Draw(t, "damper")
		}
		forces, speeds, err := p.Opening(torques, dampers)
		if err != nil {
			t.Fatal(err)
		}
		// Columns of J from virtual work: the torques that balance unit forces, one at a time.
		jac := make([]float64, n*n)
		for i := range n {
			arm, angle := p.Contacts[i], 0.0
			for j := i; j >= 0; j-- {
				jac[i*n+j] = arm
				if j > 0 {
					angle += p.Angles[j]
					arm += p.Lengths[j-1] * math.Cos(angle)
				}
			}
		}
		best := math.Inf(1)
		var found []float64
		for subset := range 1 << n {
			var on []int
			for i := range n {
				if subset>>i&1 == 1 {
					on = append(on, i)
				}
			}
			a, b := make([]float64, len(on)*len(on)), make([]float64, len(on))
			for r, i := range on {
				for j := range n {
					b[r] += jac[i*n+j] * torques[j] / dampers[j]
					for c, k := range on {
						a[r*len(on)+c] += jac[i*n+j] * jac[k*n+j] / dampers[j]
					}
				}
			}
			f := make([]float64, n)
			for r, v := range gauss(a, b) {
				f[on[r]] = v
			}
			wrong := 0.0
			for i := range n {
				wrong = math.Max(wrong, -f[i])
				v := 0.0
				for j := range n {
					left := torques[j]
					for k := range n {
						left -= jac[k*n+j] * f[k]
					}
					v -= jac[i*n+j] * left / dampers[j]
				}
				wrong = math.Max(wrong, -v)
			}
			if wrong < best {
				best, found = wrong, f
			}
		}
		for i := range n {
			same(t, "force", forces[i], found[i], 1e-6*(1+math.Abs(found[i])))
			if forces[i]*speeds[i] != 0 || forces[i] < 0 || speeds[i] < 0 {
				t.Fatalf("contact %d carries %g N and leaves at %g m/s", i, forces[i], speeds[i])
			}
		}
	})
}

// A hand closing on anything must satisfy every condition of its posture, whatever touches, slackens or stalls; cords and
// torques are transposes of each other.
func TestClosePosture(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 5).Draw(t, "joints")
		cords := make([]hand.Cord, rapid.IntRange(1, 3).Draw(t, "cords"))
		least := 0.0
		if len(cords) > 1 {
			least = 1e-4 // nearly stiff cords side by side contradict each other, and forces are differences of huge ones
		}
		for i := range cords {
			cords[i] = hand.Cord{Compliance: rapid.Float64Range(least, .1).Draw(t, "compliance"), Gain: rapid.Float64Range(.5, 2).Draw(t, "gain")}
			if i > 0 && rapid.Bool().Draw(t, "own motor") {
				cords[i].Motor = cords[i-1].Motor + 1
			} else if i > 0 {
				cords[i].Motor = cords[i-1].Motor
			}
			for range n {
				cords[i].Arms = append(cords[i].Arms, rapid.Float64Range(.1, 1).Draw(t, "arm"))
			}
			curves := make([]float64, n)
			for j := range curves {
				curves[j] = positive.Draw(t, "curve")
			}
			var err error
			if cords[i], err = cords[i].Rubbing(curves, rapid.Float64Range(0, .3).Draw(t, "friction")); err != nil {
				t.Fatal(err)
			}
		}
		tr, err := hand.NewTransmission(cords)
		if err != nil {
			t.Fatal(err)
		}
		rest, k := make([]float64, n), make([]float64, n)
		for j := range n {
			rest[j], k[j] = component.Draw(t, "rest"), positive.Draw(t, "stiffness")
		}
		travel, limit := make([]float64, tr.Motors()), make([]float64, tr.Motors())
		for m := range travel {
			travel[m], limit[m] = rapid.Float64Range(0, 2).Draw(t, "travel"), positive.Draw(t, "limit")
			if rapid.Bool().Draw(t, "no limit") {
				limit[m] = math.Inf(1)
			}
		}
		met := hand.Meeting{}
		for range rapid.IntRange(0, 3).Draw(t, "gaps") {
			row := make([]float64, n)
			for j := range row {
				row[j] = positive.Draw(t, "closing")
			}
			met.Closing = append(met.Closing, row)
			met.Gap = append(met.Gap, 2*component.Draw(t, "gap"))
			met.Compliance = append(met.Compliance, rapid.Float64Range(0.001, .1).Draw(t, "softness"))
		}
		way := hand.Smooth
		if len(cords) == 1 {
			way = hand.Way(rapid.IntRange(0, 2).Draw(t, "way"))
		}
		p, err := tr.Close(way, rest, k, travel, limit, met)
		if way != hand.Smooth && errors.Is(err, hand.ErrJammed) {
			t.Skip(err) // with strong friction hand and item can jam
		}
		if err != nil {
			t.Fatal(err)
		}
		torque := make([]float64, n)
		tr.Torque(torque, p.Tension, way)
		for i, f := range p.Force {
			for j := range n {
				torque[j] -= met.Closing[i][j] * f
			}
		}
		for j := range n {
			same(t, "balance", k[j]*(p.Q[j]-rest[j]), torque[j], 1e-9)
		}
		drawn, pull := make([]float64, len(cords)), make([]float64, tr.Motors())
		tr.Drawn(drawn, p.Q)
		tr.Pull(pull, p.Tension)
		for i, c := range cords {
			slack := drawn[i] + c.Compliance*p.Tension[i] - c.Gain*p.Travel[c.Motor]
			same(t, "slack where taut", math.Min(slack, p.Tension[i]), 0, 1e-8)
		}
		for i, f := range p.Force {
			open := met.Gap[i] + met.Compliance[i]*f
			for j := range n {
				open -= met.Closing[i][j] * p.Q[j]
			}
			same(t, "gap where force", math.Min(open, f), 0, 1e-8)
		}
		for m := range pull {
			if pull[m] > limit[m]+1e-8 || p.Travel[m] > travel[m]+1e-12 {
				t.Fatalf("motor %d pulls %g N of %g and travels %g m of %g", m, pull[m], limit[m], p.Travel[m], travel[m])
			}
			same(t, "stall only at the limit", math.Min(travel[m]-p.Travel[m], limit[m]-pull[m]), 0, 1e-8)
		}
		// Where cords stretch, the tension at that posture is what the cord law says.
		law := make([]float64, len(cords))
		tr.Tension(law, p.Travel, p.Q)
		for i, c := range cords {
			if c.Compliance > 1e-3 {
				same(t, "tension", law[i], p.Tension[i], 1e-6)
			}
		}
	})
}

// Behind a differential the work of the motor is the work of the tendons, for any tree.
func TestDifferentialKeepsWork(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tendons := 0
		var grow func(depth int) *hand.Split
		grow = func(depth int) *hand.Split {
			if depth == 0 || rapid.Bool().Draw(t, "end") {
				tendons++
				return &hand.Split{Tendon: tendons - 1}
			}
			s := &hand.Split{Near: grow(depth - 1), Far: grow(depth - 1)}
			if rapid.Bool().Draw(t, "bar") {
				s.NearArm, s.FarArm = positive.Draw(t, "near"), positive.Draw(t, "far")
			}
			return s
		}
		tree := grow(4)
		cords := make([]hand.Cord, tendons)
		for i := range cords {
			cords[i] = hand.Cord{Arms: []float64{component.Draw(t, "arm"), 1}, Compliance: positive.Draw(t, "stretch")}
		}
		shares, err := tree.Shares(tendons)
		if err != nil {
			t.Fatal(err)
		}
		sum := 0.0
		for _, s := range shares {
			sum += s
		}
		same(t, "all of the force arrives", sum, 1, 1e-12)
		cord, err := tree.Behind(cords, 0)
		if err != nil {
			t.Fatal(err)
		}
		force := positive.Draw(t, "force")
		q := []float64{component.Draw(t, "q1"), component.Draw(t, "q2")}
		work := 0.0
		for i, c := range cords {
			work += shares[i] * force * (c.Arms[0]*q[0] + c.Arms[1]*q[1] + c.Compliance*shares[i]*force)
		}
		same(t, "work", force*(cord.Arms[0]*q[0]+cord.Arms[1]*q[1]+cord.Compliance*force), work, 1e-12)
	})
}

// Drawn to the same travel, a hand that rubs stands otherwise when it came from open than when it is let go: with little
// tension left at the tip the joints near the motor have turned further. Between the two it does not move at all.
func TestFrictionMakesAHysteresis(t *testing.T) {
	cord, err := hand.Cord{Arms: []float64{.01, .01, .01}}.Rubbing([]float64{.5, .8, .8}, .15)
	if err != nil {
		t.Fatal(err)
	}
	tr := transmission(t, cord)
	rest, k := []float64{0, 0, 0}, []float64{.05, .05, .05}
	var tension [3]float64
	var q [3][]float64
	for way := hand.Smooth; way <= hand.Opening; way++ {
		p, err := tr.Close(way, rest, k, []float64{.015}, nil, hand.Meeting{})
		if err != nil {
			t.Fatal(err)
		}
		tension[way], q[way] = p.Tension[0], p.Q
		near(t, "travel", .01*(p.Q[0]+p.Q[1]+p.Q[2]), .015, 1e-12)
	}
	if !(tension[hand.Closing] > tension[hand.Smooth] && tension[hand.Smooth] > tension[hand.Opening]) {
		t.Errorf("tensions %v", tension)
	}
	close(t, "tip over root while closing", q[hand.Closing][2]/q[hand.Closing][0], math.Exp(-.15*1.6), 1e-12)
	close(t, "tip over root while opening", q[hand.Opening][2]/q[hand.Opening][0], math.Exp(.15*1.6), 1e-12)
	// The motor-side loop is as wide as the capstan at each joint says.
	sum := func(sign float64) float64 {
		return math.Exp(sign*.15*.5) + math.Exp(sign*.15*1.3) + math.Exp(sign*.15*2.1)
	}
	close(t, "width of the loop", tension[hand.Closing]/tension[hand.Opening], sum(1)/sum(-1), 1e-12)
	for name, c := range map[string]func() (hand.Cord, error){
		"curves":   func() (hand.Cord, error) { return cord.Rubbing([]float64{1}, .1) },
		"friction": func() (hand.Cord, error) { return cord.Rubbing([]float64{1, 1, 1}, -.1) },
		"angle":    func() (hand.Cord, error) { return cord.Rubbing([]float64{1, -1, 1}, .1) },
	} {
		if _, err := c(); err == nil {
			t.Errorf("%s: nonsense passes", name)
		}
	}
	if _, err := hand.NewTransmission([]hand.Cord{{Arms: []float64{1, 1}, Closing: []float64{1}}}); err == nil {
		t.Error("one lever for two joints passes")
	}
}

// A motor that cannot be driven back keeps its travel; another gives way at its force and not before.
func TestMotorHolds(t *testing.T) {
	worm := hand.Motor{Limit: 20, Backward: math.Inf(1)}
	if back, f := worm.Held(.01, 5000); back != 0 || f != 50 {
		t.Errorf("gives way %g m at %g N", back, f)
	}
	direct := hand.Motor{Limit: 20, Backward: 30}
	back, f := direct.Held(.01, 5000)
	near(t, "force", f, 30, 0)
	near(t, "given way", back, .004, 1e-15)
	if back, f := direct.Held(-.01, 5000); back != 0 || f != 0 {
		t.Errorf("a slack cord pulls: %g m, %g N", back, f)
	}
}

func TestTransmissionRefusesNonsense(t *testing.T) {
	for name, cords := range map[string][]hand.Cord{
		"none": nil, "no arms": {{}}, "all zero": {{Arms: []float64{0, 0}}}, "uneven": {{Arms: []float64{1}}, {Arms: []float64{1, 2}}},
		"not finite": {{Arms: []float64{math.Inf(1)}}}, "negative stretch": {{Arms: []float64{1}, Compliance: -1}},
		"motor": {{Arms: []float64{1}, Motor: 1}}, "gain": {{Arms: []float64{1}, Gain: -1}},
	} {
		if _, err := hand.NewTransmission(cords); err == nil {
			t.Errorf("%s passes", name)
		}
	}
	tr := transmission(t, hand.Cord{Arms: []float64{1, 1}}, hand.Cord{Arms: []float64{2, 2}})
	if _, err := tr.Synergy([]float64{1, 1}); err == nil {
		t.Error("two cords alike have a synergy")
	}
	one := []float64{1, 1}
	for name, call := range map[string]func() error{
		"stiffness": func() error {
			_, err := tr.Close(hand.Smooth, one, []float64{0, 1}, []float64{0}, nil, hand.Meeting{})
			return err
		},
		"travel": func() error { _, err := tr.Close(hand.Smooth, one, one, nil, nil, hand.Meeting{}); return err },
		"limit": func() error {
			_, err := tr.Close(hand.Smooth, one, one, []float64{0}, []float64{-1}, hand.Meeting{})
			return err
		},
		"gap": func() error {
			_, err := tr.Close(hand.Smooth, one, one, []float64{0}, nil, hand.Meeting{Gap: []float64{1}})
			return err
		},
		"angle": func() error {
			_, err := tr.Close(hand.Smooth, []float64{math.NaN(), 0}, one, []float64{0}, nil, hand.Meeting{})
			return err
		},
	} {
		if call() == nil {
			t.Errorf("%s passes", name)
		}
	}
	if _, err := (&hand.Phalanges{Contacts: []float64{-1}, Angles: []float64{0}}).Forces([]float64{1}); err == nil {
		t.Error("a contact behind its joint passes")
	}
}

func BenchmarkTransmission(b *testing.B) {
	cords := make([]hand.Cord, 3)
	for i := range cords {
		arms := make([]float64, 12)
		for j := range 4 {
			arms[4*i+j] = .01
		}
		cords[i] = hand.Cord{Arms: arms, Compliance: 1e-4}
	}
	tr, err := hand.NewTransmission(cords)
	if err != nil {
		b.Fatal(err)
	}
	q, torque, tension, travel := make([]float64, 12), make([]float64, 12), make([]float64, 3), []float64{.01}
	b.ReportAllocs()
	for b.Loop() {
		clear(torque)
		tr.Tension(tension, travel, q)
		tr.Torque(torque, tension, hand.Closing)
	}
}
