package pushing

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// Identifiers and figures are those of the project's list of mechanical checks: computed from the stated equations, the sources'
// equation numbers from memory.

const degree = math.Pi / 180

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s: %.9g, want %.9g", what, got, want)
	}
}

func TestMeanSupportDistance(t *testing.T) {
	near(t, "E1 square", RectangleDistance(1, 1), (math.Sqrt2+math.Log(1+math.Sqrt2))/6, 1e-12)
	near(t, "E1 square", RectangleDistance(1, 1), 0.382598, 5e-7)
	near(t, "E1 1 × 0.5", RectangleDistance(1, 0.5), 0.296617, 5e-7)
	near(t, "E1 1 × 0.25", RectangleDistance(1, 0.25), 0.265195, 5e-7)
	near(t, "E1 disk", DiskDistance(1), 2./3, 1e-15)
	near(t, "E1 ring", RingDistance(1), 1, 1e-15)
	for _, p := range [][]Patch{Rectangle(1, 1, 200), Disk(1, 100)} {
		sum, share := 0.0, 0.0
		for _, q := range p {
			sum += q.Share * math.Hypot(q.X, q.Y)
			share += q.Share
		}
		near(t, "shares", share, 1, 1e-9)
		if math.Abs(sum-0.382598) > 1e-5 && math.Abs(sum-2./3) > 1e-4 {
			t.Errorf("patches lie %g from their middle", sum)
		}
	}
}

func TestStickingPush(t *testing.T) {
	c := RectangleDistance(0.1, 0.1)
	p := StickingPush(c, -0.05, 0.02, 0.05, 0)
	near(t, "E2 Vx", p.X, 0.045417, 1e-6)
	near(t, "E2 Vy", p.Y, -0.011458, 1e-6)
	near(t, "E2 turn", p.Turn, -0.229157, 1e-5)
	near(t, "E2 friction", NeededFriction(c, p, 1, 0), 0.252282, 1e-5)
	near(t, "E3, what the ellipsoid makes of the disk", StickingPush(2./3*0.05, -math.Sqrt(0.05*0.05-0.02*0.02), 0.02, 0.05, 0).Turn, -0.276923, 1e-6)
	if mu := NeededFriction(c, p, -1, 0); !math.IsInf(mu, 1) {
		t.Errorf("a contact on the far side pulls with %g", mu)
	}
}

func TestStickingPushWithEvenPressure(t *testing.T) {
	for _, c := range []struct {
		name          string
		patches       []Patch
		x, y          float64
		vx, vy, turns float64
	}{
		{"E3 square", Rectangle(0.1, 0.1, 300), -0.05, 0.02, 0.0446743, -0.0133143, -0.266285},
		{"E3 disk", Disk(0.05, 120), -math.Sqrt(0.05*0.05 - 0.02*0.02), 0.02, 0.0436330, -0.0145886, -0.318350},
	} {
		p, err := StickingPushOn(c.patches, c.x, c.y, 0.05, 0)
		if err != nil {
			t.Fatal(err)
		}
		near(t, c.name+" Vx", p.X, c.vx, 1e-6)
		near(t, c.name+" Vy", p.Y, c.vy, 2e-6)
		near(t, c.name+" turn", p.Turn, c.turns, 1e-4)
	}
	if _, err := StickingPushOn(Disk(1, 3), 1, 0, 0, 0); !errors.Is(err, ErrNoBalance) {
		t.Error(err)
	}
}

func TestVotingOnTheSpin(t *testing.T) {
	for _, c := range []struct {
		mu, push float64
		want     int
	}{{0.3, 0, -1}, {0.3, -30, -1}, {0.3, 30, -1}, {0.5, 0, -1}, {0.5, -15, -1}, {0.5, math.Atan2(-0.02, 0.05) / degree, 0}, {0.5, -30, 1}} {
		if got := Spin(-0.05, 0.02, 0, c.mu, c.push*degree); got != c.want {
			t.Errorf("E4 μ = %g, pushed at %.4g°: %d, want %d", c.mu, c.push, got, c.want)
		}
	}
	// The rule agrees with the motion of a sticking push on the square, but for its tie.
	for psi, want := range map[float64]float64{0: -0.266285, -15: -0.085372, -30: 0.102778} {
		sin, cos := math.Sincos(psi * degree)
		p, err := StickingPushOn(Rectangle(0.1, 0.1, 300), -0.05, 0.02, 0.05*cos, 0.05*sin)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "E4 stick", p.Turn, want, 1e-4)
	}
}

func TestSteadyPushing(t *testing.T) {
	const d, w = 0.5, 1
	c := RectangleDistance(1, 1)
	near(t, "E5 y = 0", SteadyRadius(c, d, w, 0.5, 0), 0.292762, 1e-6)
	near(t, "E5 y = −0.1", SteadyRadius(c, d, w, 0.3, -0.1), 0.392762, 1e-6)
	near(t, "E5 y = −0.5", SteadyRadius(c, d, w, 0.25, -0.5), 2, 1e-12)
	if !Steady(c, d, w, 0, 0.3, 0) || Steady(c, d, w, 0, 100, -0.01) {
		t.Error("E5: without friction only centres beside the middle are steady")
	}
}

func TestDraggingTippingLifting(t *testing.T) {
	for _, c := range [][4]float64{{0.8, 0.3, 1, 0.6}, {0.6, 0.3, 2, 2}, {1, 0.5, 0.5, 0.5}} {
		near(t, "E6", DragForce(c[0], c[1], c[2]), c[3], 1e-12)
	}
	if !math.IsInf(DragForce(0.3, 0.3, 1), 1) {
		t.Error("E6: a finger as slippery as the support drags")
	}
	near(t, "E7", TippingOverhang(0.1, 1, 0, 0.02), 0.050, 1e-12)
	near(t, "E7", TippingOverhang(0.1, 1, 0.6, 0.02), 0.062, 1e-12)
	for _, c := range [][4]float64{{80, 30, 0.3, 0.550562}, {80, 80, 0.3, 0.615385}, {80, 30, 0, 0.5}} {
		near(t, "E8", LiftAtWall(c[0]*1e-3, c[1]*1e-3, c[2], 1), c[3], 5e-7)
	}
	for _, c := range [][5]float64{{10, 0.2, 0.3, 0.690083, 0.390083}, {20, 0.3, 0.3, 1.045357, 0.745357}, {15, 0.1, 0.2, 0.578080, 0.378080}} {
		push, thrust := WedgePush(c[0]*degree, c[1], c[2], 1)
		near(t, "E9 push", push, c[3], 5e-7)
		near(t, "E9 thrust", thrust, c[4], 5e-7)
	}
	for _, c := range [][6]float64{{10, 0.2, 0.3, 0.3, 1.132535, 0.781544}, {20, 0.3, 0.3, 0.5, 1.594078, 1.666380}} {
		load, push := WedgeAtWall(c[0]*degree, c[1], c[2], c[3], 1)
		near(t, "E10 load", load, c[4], 5e-7)
		near(t, "E10 push", push, c[5], 5e-7)
	}
	if load, _ := WedgeAtWall(60*degree, 0.5, 0.3, 0.9, 1); !math.IsInf(load, 1) {
		t.Error("E10: a steep wedge does not jam")
	}
	for _, c := range [][3]float64{{30, 5, 0.663325}, {30, 10, 1.118034}, {40, 4, 0.484322}} {
		near(t, "E11", StepForce(c[0]*1e-3, c[1]*1e-3, 1), c[2], 5e-7)
	}
}

// A sticking push gives the contact the velocity that it is pushed with, whatever the support, and friction's power is not negative.
func TestStickingPushReproducesTheContact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		number := func(name string) float64 { return rapid.Float64Range(-1, 1).Draw(t, name) }
		x, y, vx, vy := number("x"), number("y"), number("vx"), number("vy")
		p := StickingPush(rapid.Float64Range(0.1, 1).Draw(t, "c"), x, y, vx, vy)
		if math.Abs(p.X-p.Turn*y-vx) > 1e-9 || math.Abs(p.Y+p.Turn*x-vy) > 1e-9 {
			t.Fatalf("the contact moves with %g, %g", p.X-p.Turn*y, p.Y+p.Turn*x)
		}
		if p.X*vx+p.Y*vy < -1e-12 {
			t.Fatal("the item goes against the push")
		}
	})
}
