package finger

import (
	"math"
	"testing"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %.12g, want %.12g (tolerance %g)", what, got, want, tol)
	}
}

// Roots and constants after Blevins 1979, computed with scipy 1.10.1.
func TestBeamRoots(t *testing.T) {
	free := BeamRoots(Free, 5)
	for k, want := range []float64{1.875104068712, 4.694091132974, 7.854757438238, 10.995540734875, 14.137168391046} {
		near(t, "clamped–free", free[k], want, 1e-12)
	}
	near(t, "second frequency by first", math.Pow(free[1]/free[0], 2), 6.266893, 5e-7)
	near(t, "third frequency by first", math.Pow(free[2]/free[0], 2), 17.547482, 5e-7)
	for k, want := range []float64{.7340955138, 1.0184673188, .9992244965} {
		near(t, "shape constant", ShapeConstant(free[k]), want, 1e-10)
	}
	for k, want := range []float64{4.7300407449, 7.8532046241} {
		near(t, "clamped–clamped", BeamRoots(Clamped, 2)[k], want, 1e-10)
	}
	for k, want := range []float64{3.9266023120, 7.0685827456} {
		near(t, "clamped–pinned", BeamRoots(Pinned, 2)[k], want, 1e-10)
	}
	for ratio, want := range map[float64]float64{.05: 1.79117056, .1: 1.72274152, .25: 1.57375130, .5: 1.41996443, 1: 1.24791741} {
		near(t, "tip mass", TipMassRoot(ratio), want, 1e-8)
	}
	for _, c := range []struct {
		mode int
		s    float64
	}{{1, .783445}, {2, .503548}, {2, .867678}} {
		v, slope := Shape(free[c.mode], c.s)
		near(t, "place of the node", v/slope, 0, 1e-6)
	}
}

// Computed from Johnson's chapter 11: 50 g against E* 4/3 MPa, R 10 mm at 0.2 m/s; and an apple of 163 g, R 35.85 mm, E 4.069 MPa,
// ν 0.32 dropped 100 mm onto a rigid plane.
func TestHertzImpact(t *testing.T) {
	near(t, "contact time", HertzContactTime(0.05, 0.2, 4e6/3, 0.010), 10.64206e-3, 5e-9)
	near(t, "apple", HertzContactTime(0.163, 1.4007, 4.069e6/(1-0.32*0.32), 0.03585), 5.49e-3, 5e-6)
	near(t, "stiffer by 100", HertzContactTime(0.05, 0.2, 4e6/3, 0.010)/HertzContactTime(0.05, 0.2, 400e6/3, 0.010), math.Pow(100, 0.4), 1e-12)
}

// A tone that is struck by half a sine of duration T rings, afterwards, as if by a blow in its middle, weaker by
// |cos πfT / (1 − (2fT)²)|, the spectrum of half a sine (common practice, from memory).
func TestHalfSineStrikes(t *testing.T) {
	const rate = 48000.0
	for _, ft := range []float64{0.1, 0.4, 1, 1.9, 2.6, 6.3} {
		m := mode{hz: 1000, gain: 1}
		contact := ft / m.hz
		x := make([]float64, 1200)
		m.struck(x, contact, rate)
		gain := math.Cos(math.Pi*ft) / (1 - 4*ft*ft)
		for i := int(contact*rate) + 1; i < len(x); i++ {
			near(t, "after the contact", x[i], gain*math.Sin(2*math.Pi*m.hz*(float64(i)/rate-contact/2)), 1e-9)
		}
	}
}

// Computed: wall 5 MPa, radius three times its thickness, 40 kPa above 101.325: ε = 0.75·0.04·3/5 = 0.018; K = 141 821 Pa becomes
// 197 808 Pa, √((1 + 6·K/E)/(1 + 6·1.036·K'/E)) = 0.96926.
func TestPressureMovesTones(t *testing.T) {
	p := &Specimen{wallPa: 5e6, modes: []mode{{hz: 1000}, {hz: 1000, air: true}}}
	under := p.At(40e3)
	near(t, "bending", under.modes[0].hz, 1018, 1e-9)
	near(t, "air", under.modes[1].hz, 1000*math.Sqrt((1+6*141821/5e6)/(1+6*1.036*197808/5e6)), 0.01)
	if p.modes[0].hz != 1000 {
		t.Error("the finger without pressure changed")
	}
}

// Computed: E 1 MPa, 90 × 20 × 12 mm, 1070 kg/m³.
func TestSoftFingerBends(t *testing.T) {
	b := Beam{1e6, .09, .02, .012, 1070}
	for k, want := range []float64{7.316184, 45.849740, 128.380601} {
		near(t, "frequency", b.FrequencyHz(BeamRoots(Free, 3)[k]), want, 1e-6*want)
	}
	near(t, "tip stiffness", b.TipStiffness(), 11.851852, 1e-6)
}

// Computed from the cited formulas; the flanged end there is 0.82 to 0.8217 radii.
func TestTubes(t *testing.T) {
	c := SpeedOfSound(20)
	near(t, "speed at 20 °C", c, 343.2146, 5e-5)
	near(t, "speed at 35 °C", SpeedOfSound(35), 351.8859, 5e-5)
	for _, s := range []struct{ l, a, ideal, unflanged, flanged, closed float64 }{
		{.090, .005, 953.374, 921.961, 911.752, 1906.748}, {.080, .004, 1072.546, 1040.635, 1030.219, 2145.091}, {.120, .008, 715.030, 686.944, 677.895, 1430.061},
	} {
		near(t, "ideal", TubeFrequencyHz(1, c, s.l, s.a, 0), s.ideal, 1e-3)
		near(t, "unflanged", TubeFrequencyHz(1, c, s.l, s.a, Unflanged), s.unflanged, 1e-3)
		near(t, "flanged", TubeFrequencyHz(1, c, s.l, s.a, Flanged), s.flanged, 1e-3)
		near(t, "second by first", TubeFrequencyHz(2, c, s.l, s.a, 0)/TubeFrequencyHz(1, c, s.l, s.a, 0), 3, 1e-12)
		// A tube closed at both ends rings as one closed at one end of half its length.
		near(t, "closed at both ends", TubeFrequencyHz(1, c, s.l/2, s.a, 0), s.closed, 1e-3)
	}
	density := 141838.5 / (c * c) // from the air's bulk modulus of the source
	for wall, want := range map[float64]float64{1e6: 252.266, .5e6: 208.794, .1e6: 111.293} {
		near(t, "soft wall", SoftWallSpeed(c, density, wall, 3), want, 1e-3)
	}
}
