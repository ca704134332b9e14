package scenes

import (
	"math"
	"os"
	"testing"

	"holdfast/mechanics/hand"
	"holdfast/mechanics/motion"
	"holdfast/mechanics/shape"
	"holdfast/mechanics/trialsim"
	"holdfast/orient"
)

var shipped = os.DirFS("../examples/scenes")

// The peer scene in Go is written a second time in mechanics/trialsim/peer_test.go; this says that the file means the same.
func TestPeerSceneIsTheOneInGo(t *testing.T) {
	s, err := ReadScene(shipped, "peer.yaml")
	if err != nil {
		t.Fatal(err)
	}
	touch := motion.Surface{Friction: 0.6, Stiffness: 40000, Damping: 40, Shear: 30000}
	if s.Hand.Skin != touch || s.Setting.Support != touch || s.Gravity != 9.81 || s.Closing != 1 || s.Hand.PalmRadius != 0.034 {
		t.Errorf("skin %+v, support %+v, gravity %g, closing %g, palm %g", s.Hand.Skin, s.Setting.Support, s.Gravity, s.Closing, s.Hand.PalmRadius)
	}
	if want := (trialsim.Motor{Travel: 0.085, Stiffness: 1000, MostForce: 30}); len(s.Hand.Motors) != 1 || s.Hand.Motors[0] != want {
		t.Errorf("motors %+v, want %+v", s.Hand.Motors, want)
	}
	if it := s.Item; it.Shape != (shape.Ellipsoid{Semi: orient.Vec3{0.035, 0.030, 0.028}}) || it.Mass != 0.12 || it.Friction != 1 || it.Rest != orient.Identity {
		t.Errorf("item %+v", it)
	}
	if len(s.Hand.Cords) != 1 || len(s.Hand.Fingers) != 3 {
		t.Fatalf("%d cords, %d fingers", len(s.Hand.Cords), len(s.Hand.Fingers))
	}
	c := s.Hand.Cords[0]
	if c.Motor != 0 || c.Gain != 0 || c.Stiffness != 0 || c.Pushes || c.Wraps != nil || c.Friction != 0 || len(c.Arms) != 12 {
		t.Errorf("cord %+v", c)
	}
	for _, a := range c.Arms {
		if a != 0.008 {
			t.Errorf("arm %g", a)
		}
	}
	for i, f := range s.Hand.Fingers {
		phi := 2 * math.Pi * float64(i) / 3
		near(t, "root", f.Root, orient.Vec3{0.016 * math.Cos(phi), 0.016 * math.Sin(phi), 0})
		if want := orient.RotZ(phi).Mul(orient.RotY(20 * math.Pi / 180)); math.Abs(f.Turn.W-want.W)+math.Abs(f.Turn.X-want.X)+math.Abs(f.Turn.Y-want.Y)+math.Abs(f.Turn.Z-want.Z) > 1e-15 {
			t.Errorf("finger %d is turned by %v, want %v", i, f.Turn, want)
		}
		before := 0.0
		for k, length := range []float64{0.035, 0.030, 0.025, 0.020} {
			const r = 0.008
			want := hand.Joint{
				Origin: hand.Vec{Z: before}, Axis: hand.Vec{Y: -1}, Stiffness: 0.15, Damping: 0.01,
				Stops: hand.Stops{Lower: -0.8, Upper: 1.7, Stiffness: 5, Ramp: 0.02},
				Link:  hand.SolidCapsule(hand.Vec{}, hand.Vec{Z: length}, r, 1100*math.Pi*r*r*(length+4.0/3*r)),
			}
			before = length
			if got := f.Chain.Joint(k); !sameJoint(got, want, 1e-15) {
				t.Errorf("finger %d, joint %d:\n%+v, want\n%+v", i, k, got, want)
			}
		}
	}
	if s.Strategy.Standoff != 0.1 || len(s.Strategy.Phases) != 5 {
		t.Errorf("strategy %+v", s.Strategy)
	}
}

func near(t *testing.T, what string, a, b orient.Vec3) {
	t.Helper()
	for k := range 3 {
		if math.Abs(a[k]-b[k]) > 1e-15 {
			t.Errorf("%s %v, want %v", what, a, b)
			return
		}
	}
}

// sameJoint compares to within a share of sizes.
func sameJoint(a, b hand.Joint, share float64) bool {
	list := func(j hand.Joint) []float64 {
		l, s := j.Link, j.Stops
		return []float64{
			j.Origin.X, j.Origin.Y, j.Origin.Z, j.Axis.X, j.Axis.Y, j.Axis.Z, j.Rest, j.Stiffness, j.Damping, j.Armature,
			s.Lower, s.Upper, s.Stiffness, s.Ramp, l.From.X, l.From.Y, l.From.Z, l.To.X, l.To.Y, l.To.Z, l.Radius, l.Mass, l.Centre.X, l.Centre.Y, l.Centre.Z,
			1e6 * l.Inertia.XX, 1e6 * l.Inertia.YY, 1e6 * l.Inertia.ZZ, 1e6 * l.Inertia.XY, 1e6 * l.Inertia.XZ, 1e6 * l.Inertia.YZ,
		}
	}
	x, y := list(a), list(b)
	for i := range x {
		if math.Abs(x[i]-y[i]) > share*math.Max(1, math.Abs(y[i])) {
			return false
		}
	}
	return a.Slides == b.Slides
}
