package grasp_test

import (
	"errors"
	"math"
	"testing"

	"holdfast/mechanics/grasp"
	"holdfast/orient"
)

const g0 = 9.81

var (
	down = grasp.Wrench{Force: orient.Vec3{0, 0, -1}}
	none = grasp.Wrench{}
)

func relative(t *testing.T, what string, got, want float64) {
	t.Helper()
	near(t, what, got, want, alg*math.Abs(want))
}

func evenly(n int, normal float64) []float64 {
	limits := make([]float64, n)
	for i := range limits {
		limits[i] = normal
	}
	return limits
}

// G15: statics, computed: m = 2μN/(g + a).
func TestPinchPayload(t *testing.T) {
	for _, c := range []struct{ mu, n, a, want float64 }{{.5, 5, 0, 0.509684}, {.5, 5, 3, 0.390320}, {.8, 10, 0, 1.630989}} {
		g := sphere(t, grasp.Hard, c.mu, 0, poles...)
		h := must(g.Payload(down, none, evenly(2, c.n), grasp.Cones))(t)
		near(t, "mass", h.Factor/(g0+c.a), c.want, sixth)
		relative(t, "force", h.Factor, 2*c.mu*c.n)
		// A weight that hangs already leaves the rest.
		h = must(g.Payload(down, grasp.Wrench{Force: orient.Vec3{0, 0, -1.5}}, evenly(2, c.n), grasp.Cones))(t)
		relative(t, "force beside a weight", h.Factor, 2*c.mu*c.n-1.5)
	}
}

// G16: ellipse of N. Xydas, I. Kao 1999 (abstract read), figures computed: W = 2/√((1/μN)² + (d/m)²).
func TestPinchPayloadOffCentre(t *testing.T) {
	const mu, n, a = 0.6, 10.0, 0.005
	most := 3 * math.Pi / 16 * mu * n * a
	near(t, "torsion limit", most, 0.0176715, 0.5e-7)
	for d, want := range map[float64]float64{0: 12.0, 0.005: 6.09049, 0.010: 3.39030, 0.020: 1.74829} {
		g := sphere(t, grasp.Soft, mu, most/n/0.03, poles...)
		// A load at d along y: its torque is d·ŷ × (−ẑ) = −d·x̂.
		h := must(g.Payload(grasp.Wrench{Force: orient.Vec3{0, 0, -1}, Torque: orient.Vec3{-d, 0, 0}}, none, evenly(2, n), grasp.Cones))(t)
		near(t, "load", h.Factor, want, 0.5e-5)
		relative(t, "closed form", h.Factor, 2/math.Hypot(1/(mu*n), d/most))
	}
}

// G17: statics, computed: W = 2N(μ·cos φ + sin φ), φ above 0 for contacts below the equator.
func TestPinchAtALatitude(t *testing.T) {
	const mu = 0.4
	for phi, want := range map[float64]float64{-20: 0.067714, -10: 0.440550, 0: 0.8, 10: 1.135143, 20: 1.435794} {
		sin, cos := math.Sincos(rad(phi))
		g := sphere(t, grasp.Hard, mu, 0, orient.Vec3{cos, 0, -sin}, orient.Vec3{-cos, 0, -sin})
		h := must(g.Payload(down, none, evenly(2, 1), grasp.Cones))(t)
		near(t, "load", h.Factor, want, sixth)
		relative(t, "closed form", h.Factor, 2*(mu*cos+sin))
	}
	sin, cos := math.Sincos(-1.001 * math.Atan(mu))
	g := sphere(t, grasp.Hard, mu, 0, orient.Vec3{cos, 0, -sin}, orient.Vec3{-cos, 0, -sin})
	if h := must(g.Payload(down, none, evenly(2, 1), grasp.Cones))(t); math.Abs(h.Factor) > 1e-9 {
		t.Errorf("above the latitude of friction the pinch still carries %g", h.Factor)
	}
	if _, err := g.Squeeze(down, grasp.Total, grasp.Cones); !errors.Is(err, grasp.ErrCannotCarry) {
		t.Errorf("squeezing there: %v", err)
	}
}

// G19: statics, computed: the mean squeeze N = W(cos β/2μ + sin β/2), gravity β out of the plane of the pads.
func TestTiltedPinchSqueeze(t *testing.T) {
	const mu = 0.5
	g := sphere(t, grasp.Hard, mu, 0, poles...)
	for beta, want := range map[float64]float64{0: 1, 30: 1.116025, 60: 0.933013, 90: 0.5} {
		sin, cos := math.Sincos(rad(beta))
		h := must(g.Squeeze(grasp.Wrench{Force: orient.Vec3{sin, 0, -cos}}, grasp.Total, grasp.Cones))(t)
		near(t, "mean squeeze", h.Factor/2, want, sixth)
		relative(t, "closed form", h.Factor/2, cos/(2*mu)+sin/2)
	}
}

// G20: statics, computed: N = W/(nμ).
func TestEquatorSqueeze(t *testing.T) {
	for _, c := range []struct {
		n        int
		mu, want float64
	}{{2, .5, 1}, {3, .5, 0.666667}, {4, .4, 0.625}} {
		g := sphere(t, grasp.Hard, c.mu, 0, equator(c.n)...)
		for _, s := range []grasp.Sharing{grasp.Each, grasp.Total} {
			h := must(g.Squeeze(down, s, grasp.Cones))(t)
			got := h.Factor
			if s == grasp.Total {
				got /= float64(c.n)
			}
			near(t, "squeeze", got, c.want, sixth)
			relative(t, "closed form", got, 1/(float64(c.n)*c.mu))
			if w := g.Total(h.Forces); w.Force.Add(down.Force).Norm()+w.Torque.Norm()/0.03 > 1e-8 {
				t.Errorf("the forces give %v", w)
			}
		}
	}
}

// I9: J. K. Salisbury 1980, from memory; figures computed: a disc of 30 mm in springs of 1000 and 400 N/m.
func TestStiffnessOfADisc(t *testing.T) {
	for n, want := range map[int][3]float64{2: {2000, 800, .72}, 3: {2100, 2100, 1.08}, 4: {2800, 2800, 1.44}} {
		g := disc(t, 0.03, 0.5, around(n)...)
		springs := make([]grasp.Spring, n)
		for i := range springs {
			springs[i] = grasp.Spring{Normal: 1000, Shear: 400}
		}
		k := must(g.Stiffness(springs, nil))(t)
		for i, at := range []int{0, 1, 5} {
			relative(t, "stiffness", k.At(at, at), want[i])
		}
		near(t, "coupling", math.Abs(k.At(0, 1))+math.Abs(k.At(0, 5))+math.Abs(k.At(1, 5)), 0, 1e-9)
	}
}

// I10: derived, computed, energy's second difference agrees; arXiv 2310.04846 (abstract read) for the sign:
// K = 2·k·r² − 2·N·r, unstable above N = k·r.
func TestPinchTurnsAsideWhenSqueezedTooHard(t *testing.T) {
	g := disc(t, 0.03, 0.5, 0, math.Pi)
	springs := []grasp.Spring{{Normal: 1000, Shear: 400}, {Normal: 1000, Shear: 400}}
	for n, want := range map[float64]float64{5: .42, 10: .12, 12: 0, 15: -.18} {
		k := must(g.Stiffness(springs, []grasp.Force{{Normal: n}, {Normal: n}}))(t)
		near(t, "turning stiffness", k.At(5, 5), want, 1e-6)
		least, _, err := g.Softest(k)
		if err != nil || (n > 12) != (least < -1e-9) {
			t.Errorf("%g N: softest %g N/m, %v", n, least, err)
		}
	}
}
