package hand_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"

	"holdfast/mechanics/hand"
)

// U1, U2: two phalanges. L. Birglen, C. M. Gosselin, IEEE TRA 20 (2004); L. Birglen, T. Laliberté, C. M. Gosselin,
// "Underactuated Robotic Hands" (2008), from memory; re-derived by virtual work, computed.
func TestTwoPhalanges(t *testing.T) {
	angles := []float64{0, 30, 60, 90, 120}
	for _, c := range []struct {
		ratio, tip float64
		root       [5]float64
	}{
		{.5, 1, [5]float64{-1, -.732051, 0, 1, 2}}, {.3, .6, [5]float64{.2, .360770, .8, 1.4, 2}}, {.7, 1.4, [5]float64{-2.2, -1.824871, -.8, .6, 2}},
	} {
		for i, a := range angles {
			p := hand.Phalanges{Lengths: []float64{1}, Contacts: []float64{.5, .5}, Angles: []float64{.3, a * degree}}
			f, err := p.Forces([]float64{1, c.ratio})
			if err != nil {
				t.Fatal(err)
			}
			near(t, "root, table", f[0], c.root[i], 0.5e-6)
			near(t, "root", f[0], (.5*(1-c.ratio)-c.ratio*math.Cos(a*degree))/.25, 1e-9)
			close(t, "tip", f[1], c.tip, 1e-9)
			// The four-bar form of the same, with h from R = h/(h + l).
			h := c.ratio / (1 - c.ratio)
			close(t, "ratio", hand.LinkageRatio(h, 1), c.ratio, 1e-9)
			near(t, "root, linkage", f[0], (.5-h*math.Cos(a*degree))/(.25*(h+1)), 1e-9)
		}
	}
}

// U3, U4, U6: source as U1; computed.
func TestFingerWithDimensions(t *testing.T) {
	for _, c := range []struct{ degrees, root, balance float64 }{{0, -6, 40}, {20, -5.27631, 37.5877}, {40, -3.19253, 30.6418}, {60, 0, 20}, {90, 6, 0}} {
		p := hand.Phalanges{Lengths: []float64{.060}, Contacts: []float64{.030, .020}, Angles: []float64{0, c.degrees * degree}}
		f, err := p.Forces([]float64{.3, .12})
		if err != nil {
			t.Fatal(err)
		}
		near(t, "root", f[0], c.root, 0.5e-5)
		close(t, "tip", f[1], 6, 1e-9)
		near(t, "rolling contact", 1e3*hand.RollingContact(.4, .060, c.degrees*degree), c.balance, 0.5e-4)
		// With the contact just inside the balance point the proximal phalanx has to pull, just outside it pushes.
		for _, side := range []float64{-1e-4, 1e-4} {
			if k := hand.RollingContact(.4, .060, c.degrees*degree) + side; k > 0 {
				p.Contacts[1] = k
				f, err := p.Forces([]float64{.3, .12})
				if err != nil {
					t.Fatal(err)
				}
				if f[0]*side <= 0 {
					t.Errorf("at %g° the root force is %g N %g m beside the balance point", c.degrees, f[0], side)
				}
			}
		}
	}
	p := hand.Phalanges{Lengths: []float64{.060}, Contacts: []float64{.030, .020}, Angles: []float64{0, 40 * degree}}
	f, err := p.Forces([]float64{.3, .12 - .05*40*degree})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "root with return spring", f[0], .645019, 0.5e-6)
	near(t, "tip with return spring", f[1], 4.254671, 0.5e-6)
}

// U5: source as U1; computed.
func TestHoldingShare(t *testing.T) {
	for ratio, want := range map[float64]float64{.3: .590745, .4: 1 - 2/math.Pi, .5: .221393} {
		near(t, "share", hand.HoldingShare(ratio, .060, .040), want, 1e-4)
	}
}

// U7, U8: three phalanges; source as U1; computed.
func TestThreePhalanges(t *testing.T) {
	for _, c := range []struct{ r2, r3, degrees, f1, f2, f3 float64 }{
		{.4, .08, 0, .114286, 2.742857, 3.2}, {.4, .08, 30, 2.564107, 3.600295, 3.2}, {.4, .08, 45, 5.470047, 4.617374, 3.2}, {.4, .08, 90, 18.4, 9.142857, 3.2},
		{.6, .3, 0, 14.857143, -15.428571, 12}, {.6, .3, 30, 17.153850, -12.213181, 12},
	} {
		p := hand.Phalanges{Lengths: []float64{.050, .035}, Contacts: []float64{.025, .0175, .0125}, Angles: []float64{1, c.degrees * degree, c.degrees * degree}}
		torques := hand.CordTorques(.5, []float64{.010, .010 * c.r2, .010 * c.r3})
		f, err := p.Forces(torques)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "f1", f[0], c.f1, 0.5e-6)
		near(t, "f2", f[1], c.f2, 0.5e-6)
		near(t, "f3", f[2], c.f3, 0.5e-6)
		again, speeds, err := p.Opening(torques, []float64{1, 1, 1})
		if err != nil {
			t.Fatal(err)
		}
		if c.f2 > 0 {
			for i := range f {
				close(t, "the same where all touch", again[i], f[i], 1e-9)
				near(t, "rest", speeds[i], 0, 0)
			}
			continue
		}
		// U8 asks to open the contact and to compute again: no force there, and it moves away. With equal dampers the
		// finger turns about its tip so fast that the first phalanx leaves as well.
		if again[1] != 0 || !(speeds[1] > 0) || !(again[2] > 0) || speeds[2] != 0 {
			t.Errorf("opening: forces %v, speeds %v", again, speeds)
		}
	}
}

// U9: movable pulleys and levers; statics.
func TestDifferentialShares(t *testing.T) {
	end := func(i int) *hand.Split { return &hand.Split{Tendon: i} }
	tree := &hand.Split{Near: &hand.Split{Near: end(0), Far: end(1)}, Far: &hand.Split{Near: end(2), Far: end(3)}}
	shares, err := tree.Shares(4)
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range shares {
		near(t, "two stages", s, 0.25, 0)
	}
	bar := &hand.Split{Near: end(1), Far: end(0), NearArm: .01, FarArm: .03}
	shares, err = bar.Shares(2)
	if err != nil {
		t.Fatal(err)
	}
	close(t, "short arm", shares[1], .75, 1e-9)
	close(t, "long arm", shares[0], .25, 1e-9)
	loop := &hand.Split{Near: end(0)}
	loop.Far = loop
	for name, bad := range map[string]*hand.Split{
		"loop": loop, "one side": {Near: end(0)}, "twice": {Near: end(0), Far: end(0)}, "missing": end(0), "unknown": {Near: end(0), Far: end(7)},
		"arm": {Near: end(0), Far: end(1), NearArm: -1, FarArm: 1},
	} {
		if _, err := bad.Shares(2); err == nil {
			t.Errorf("%s passes", name)
		}
	}
}

// U10, U11, U12: Euler–Eytelwein; computed.
func TestCordFriction(t *testing.T) {
	for mu, want := range map[float64]float64{.05: .539189, .1: .577900, .2: .652108} {
		held, running := hand.PulleyShares(mu, math.Pi)
		near(t, "pulley that slips", held, want, 0.5e-6)
		close(t, "both sides", held+running, 1, 1e-15)
	}
	for _, c := range []struct{ mu, degrees, want float64 }{
		{.1, 180, 1.369108}, {.2, 90, 1.369108}, {.2, 180, 1.874456}, {.3, 90, 1.601978}, {.15, 270, 2.027611}, {.3, 360, 6.586062},
	} {
		near(t, "capstan", hand.Capstan(c.mu, c.degrees*degree), c.want, 0.5e-6)
	}
	curves, left := []float64{0, 45 * degree, 45 * degree, 45 * degree}, make([]float64, 4)
	hand.TensionAlong(left, curves, .12, true)
	for i, want := range []float64{1, .910057, .828204, .753713} {
		near(t, "tension left", left[i], want, 0.5e-6)
	}
	hand.TensionAlong(left, curves, .12, false)
	near(t, "tension when let go", left[3], 1/.753713, 1e-6)
	// Up to 10 N and back to 4: the far end follows on the low side, sticks, and follows on the high side.
	far, angle, r := 0.0, 135*degree, math.Exp(.12*135*degree)
	for _, c := range []struct{ near, far float64 }{{5, 5 / r}, {10, 10 / r}, {8, 10 / r}, {6, 10 / r}, {4, 4 * r}, {5, 4 * r}, {12, 12 / r}} {
		far = hand.Drag(far, c.near, .12, angle)
		close(t, "loop", far, c.far, 1e-12)
	}
}

func transmission(t *testing.T, cords ...hand.Cord) *hand.Transmission {
	t.Helper()
	tr, err := hand.NewTransmission(cords)
	if err != nil {
		t.Fatal(err)
	}
	return tr
}

// S1, S2: adaptive synergy. M. G. Catalano, G. Grioli et al., IJRR 33 (2014) (abstract read, equations from memory); computed.
func TestAdaptiveSynergy(t *testing.T) {
	tr := transmission(t, hand.Cord{Arms: []float64{.012, .009, .006}})
	stiffness, rest := []float64{.06, .04, .02}, []float64{0, 0, 0}
	p, err := tr.Close(hand.Smooth, rest, stiffness, []float64{.015}, nil, hand.Meeting{})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "tension", p.Tension[0], 2.409639, 0.5e-6)
	s, err := tr.Synergy(stiffness)
	if err != nil {
		t.Fatal(err)
	}
	drawn := make([]float64, 1)
	tr.Drawn(drawn, p.Q)
	close(t, "drawn", drawn[0], .015, 1e-9)
	for i, want := range []float64{.481928, .542169, .722892} {
		near(t, "angle", p.Q[i], want, 0.5e-6)
		near(t, "synergy", s[i], []float64{32.128514, 36.144578, 48.192771}[i], 0.5e-6)
		close(t, "synergy times travel", s[i]*.015, p.Q[i], 1e-9)
	}
	p, err = tr.Close(hand.Smooth, rest, stiffness, []float64{.015}, nil, hand.Meeting{Closing: [][]float64{{1, 0, 0}}, Gap: []float64{.2}, Compliance: []float64{0}})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "tension, blocked", p.Tension[0], 3.294118, 0.5e-6)
	near(t, "second joint", p.Q[1], .741176, 0.5e-6)
	near(t, "third joint", p.Q[2], .988235, 0.5e-6)
	near(t, "blocking torque", p.Force[0], .0275294, 0.5e-7)
	close(t, "blocked angle", p.Q[0], .2, 1e-9)
}

// S3, S4: two sliding fingers behind one cord, and each driven by a spring of its own; source as S1; computed.
func TestFarContactIsReached(t *testing.T) {
	end := func(i int) *hand.Split { return &hand.Split{Tendon: i} }
	cord, err := (&hand.Split{Near: end(0), Far: end(1)}).Behind([]hand.Cord{{Arms: []float64{2, 0}}, {Arms: []float64{0, 2}}}, 0)
	if err != nil {
		t.Fatal(err)
	}
	tr := transmission(t, cord)
	met := hand.Meeting{Closing: [][]float64{{1, 0}, {0, 1}}, Gap: []float64{.010, .020}, Compliance: []float64{1. / 2000, 1. / 2000}}
	k := []float64{50, 50}
	for _, c := range []struct{ z, f1, f2, tension float64 }{
		{16, 0, 0, .4}, {26, .285714, 0, .792857}, {30, .476190, 0, .988095}, {32, 2.243902, 1.756098, 2.8}, {36, 6.243902, 5.756098, 6.9},
	} {
		p, err := tr.Close(hand.Smooth, []float64{0, 0}, k, []float64{c.z * 1e-3}, nil, met)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "near contact", p.Force[0], c.f1, 0.5e-6)
		near(t, "far contact", p.Force[1], c.f2, 0.5e-6)
		near(t, "tension", p.Tension[0], c.tension, 0.5e-6)
		if c.f2 > 0 {
			close(t, "difference", p.Force[0]-p.Force[1], 50*.010*2000/2050, 1e-9)
		}
	}
	// The kinks, from both sides.
	for _, c := range []struct {
		z     float64
		index int
	}{{.020, 0}, {.030 + .010*50/2050, 1}} {
		for side, touches := range map[float64]bool{-1e-6: false, 1e-6: true} {
			p, err := tr.Close(hand.Smooth, []float64{0, 0}, k, []float64{c.z + side}, nil, met)
			if err != nil {
				t.Fatal(err)
			}
			if (p.Force[c.index] > 0) != touches {
				t.Errorf("at %g m contact %d carries %g N", c.z+side, c.index+1, p.Force[c.index])
			}
		}
	}
	// S4: the springs themselves are moved to z/2 and the cord stays slack.
	p, err := tr.Close(hand.Smooth, []float64{.018, .018}, k, []float64{0}, nil, met)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "near contact, springs", p.Force[0], .390244, 0.5e-6)
	near(t, "far contact, springs", p.Force[1], 0, 0)
}

// planarHand is the hand of S5: two fingers of two joints, mirrored, holding an item midway.
func planarHand() *hand.SoftGrasp {
	const l = .050
	s1, c1 := math.Sincos(-20 * degree)
	s12, c12 := math.Sincos(30 * degree)
	left := [][2]float64{{l * (c1 + c12), l * c12}, {-l * (s1 + s12), -l * s12}}
	jac := mat.NewDense(4, 4, nil)
	for j := range 2 {
		jac.Set(0, j, left[0][j])
		jac.Set(1, j, left[1][j])
		jac.Set(2, 2+j, -left[0][j])
		jac.Set(3, 2+j, left[1][j])
	}
	x := .040 - l*(s1+s12)
	grasp := mat.NewDense(3, 4, []float64{1, 0, 1, 0, 0, 1, 0, 1, 0, -x, 0, x})
	scaled := func(n int, v float64) *mat.Dense {
		m := mat.NewDense(n, n, nil)
		for i := range n {
			m.Set(i, i, v)
		}
		return m
	}
	return &hand.SoftGrasp{Jacobian: jac, Grasp: grasp, Contacts: scaled(4, 1000), Joints: scaled(4, .5), Synergies: mat.NewDense(4, 1, []float64{1, .6, 1, .6}), Drives: scaled(1, 2)}
}

// S5, S6, S7: soft synergies. M. Gabiccini, A. Bicchi, D. Prattichizzo, M. Malvezzi, Auton. Robots 2011; D. Prattichizzo et
// al., IEEE T-RO 2013 (abstract read, equations from memory); computed.
func TestSoftSynergy(t *testing.T) {
	g := planarHand()
	r, err := g.Respond([]float64{.1}, []float64{0, 0, 0})
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []float64{.336312, 0, -.336312, 0} {
		near(t, "force", r.Force[i], want, 0.5e-6)
	}
	for i := range 2 {
		near(t, "torque", r.Torque[2*i], .030364, 0.5e-6)
		near(t, "torque", r.Torque[2*i+1], .014563, 0.5e-6)
		near(t, "angle", r.Joint[2*i], .000170, 0.5e-6)
		near(t, "angle", r.Joint[2*i+1], .007413, 0.5e-6)
	}
	near(t, "synergy", r.Synergy[0], .060898, 0.5e-6)
	near(t, "drive", r.Drive[0], .078204, 0.5e-6)
	for i, want := range []float64{0, -.000187, 0} {
		near(t, "item", r.Item[i], want, 0.5e-6)
	}

	r, err = g.Respond([]float64{0}, []float64{0, -1, 0})
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []float64{.090448, .5, -.090448, .5} {
		near(t, "force under weight", r.Force[i], want, 0.5e-6)
	}
	near(t, "sink", r.Item[1], -.884e-3, 0.5e-6)
	r, err = g.Respond([]float64{0}, []float64{1, 0, 0})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "side", r.Item[0], .010527, 0.5e-6)
	near(t, "turn", r.Item[2], .055939, 0.5e-6)
	r, err = g.Respond([]float64{0}, []float64{0, 0, .01})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "side under moment", r.Item[0], .000559, 0.5e-6)
	near(t, "turn under moment", r.Item[2], .011523, 0.5e-6)

	k, err := g.Stiffness()
	if err != nil {
		t.Fatal(err)
	}
	near(t, "Kxx", k[0], 128.026177, 0.5e-6)
	near(t, "Kyy", k[4], 1131.310256, 0.5e-6)
	near(t, "Ktt", k[8], 1.169572, 0.5e-6)
	near(t, "Kxt", k[2], -6.215216, 0.5e-6)
	// Block solve and closed form: a wrench K·u must move the item by −(−u).
	r, err = g.Respond([]float64{0}, []float64{k[0], k[3], k[6]})
	if err != nil {
		t.Fatal(err)
	}
	close(t, "closed form and block solve", r.Item[0], 1, 1e-11)
	near(t, "closed form and block solve", r.Item[2], 0, 1e-11)
	bad := planarHand()
	bad.Drives = nil
	if _, err := bad.Stiffness(); err == nil {
		t.Error("a missing matrix passes")
	}
}

// I7: springs in series; computed.
func TestSpringsInSeries(t *testing.T) {
	near(t, "in series", hand.InSeries(1000, 300, 2000), 206.896552, 0.5e-6)
}

// I8: J. K. Salisbury 1980 (from memory): compliance of a finger tip; computed.
func TestTipCompliance(t *testing.T) {
	joint := func(from, stiffness float64) hand.Joint {
		return hand.Joint{Origin: hand.Vec{X: from}, Axis: hand.Vec{Z: 1}, Stiffness: stiffness, Link: hand.Link{To: hand.Vec{X: .050}, Mass: 1, Centre: hand.Vec{X: .025}}}
	}
	c, err := hand.NewChain([]hand.Joint{joint(0, .5), joint(.050, .25)})
	if err != nil {
		t.Fatal(err)
	}
	s := c.NewState()
	s.Q[0], s.Q[1] = 30*degree, 60*degree
	s.Update()
	tip := s.Point(1, hand.Vec{X: .050})
	j, compliance := make([]float64, 6), make([]float64, 9)
	s.Jacobian(j, 1, tip)
	for i, want := range []float64{-.075, -.05, .0433013, 0} {
		near(t, "Jacobian", j[i], want, 0.5e-7)
	}
	s.Compliance(compliance, 1, tip)
	cxx, cxy, cyy := compliance[0], compliance[1], compliance[4]
	near(t, "Cxx, mm/N", 1e3*cxx, 21.25, 0.5e-6)
	near(t, "Cxy, mm/N", 1e3*cxy, -6.495191, 0.5e-6)
	near(t, "Cyy, mm/N", 1e3*cyy, 3.75, 0.5e-6)
	d := cxx*cyy - cxy*cxy
	near(t, "Kxx", cyy/d, 100, 1e-6)
	near(t, "Kxy", -cxy/d, 173.205, 0.5e-3)
	near(t, "Kyy", cxx/d, 566.667, 0.5e-3)
	// Back from a stiffness of the tip to the joints: Jᵀ·K·J.
	for i, want := range []float64{3.1875, 1.875, 1.875, 1.25} {
		r, k := i/2, i%2
		near(t, "joint stiffness", 500*j[r]*j[k]+200*j[2+r]*j[2+k], want, 1e-9)
	}
}
