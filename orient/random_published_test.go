package orient

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

func testStream() *rand.Rand { return rand.New(rand.NewPCG(1, 2)) }

// K. Shoemake, "Uniform random rotations", Graphics Gems III (1992) 124: u = (.25, .5, .75) gives
// (x, y, z, w) = (0, −.8660254, −.5, 0). Formula from memory, value computed by hand from it.
func TestShoemakeFormula(t *testing.T) {
	q := Shoemake(0.25, 0.5, 0.75)
	want := Rotation{X: 0, Y: -math.Sqrt(3) / 2, Z: -0.5, W: 0}
	for i, d := range []float64{q.X - want.X, q.Y - want.Y, q.Z - want.Z, q.W - want.W} {
		if math.Abs(d) > 1e-15 {
			t.Errorf("component %d off by %g", i, d)
		}
	}
}

// Rotation angle under the Haar measure: density (1 − cos ω)/π, CDF (ω − sin ω)/π, mean π/2 + 2/π = 126.47563°,
// median 132.34646° (standard; values computed independently for this test).
func TestHaarAngleClosedForm(t *testing.T) {
	for _, c := range []struct{ angle, want, tol float64 }{
		{30, 0.00751172, 5e-9}, {90, 0.18169011, 5e-9}, {132.34646, 0.5, 5e-8}, {180, 1, 0}, {0, 0, 0}, {-1, 0, 0},
	} {
		if got := HaarAngleCDF(c.angle * degree); math.Abs(got-c.want) > c.tol {
			t.Errorf("CDF at %g°: %.9f, want %.9f", c.angle, got, c.want)
		}
	}
	// The series and the closed form meet.
	if a, b := HaarAngleCDF(0.01*(1-1e-12)), HaarAngleCDF(0.01); math.Abs(a/b-1) > 1e-9 {
		t.Errorf("series %g, closed form %g", a, b)
	}
}

func TestRandomRotationsFollowTheHaarMeasure(t *testing.T) {
	const n = 40000
	rng := testStream()
	angles := make([]float64, n)
	var mean float64
	var traces [4]float64
	for i := range angles {
		r := Random(rng)
		angles[i] = Identity.AngleTo(r)
		mean += angles[i] / n
		m := r.Matrix()
		tr := m[0][0] + m[1][1] + m[2][2]
		for k, p := 0, tr; k < 4; k, p = k+1, p*tr {
			traces[k] += p / n
		}
	}
	slices.Sort(angles)
	distance := 0.0
	for i, a := range angles {
		f := HaarAngleCDF(a)
		distance = max(distance, math.Abs(f-float64(i)/n), math.Abs(f-float64(i+1)/n))
	}
	// Kolmogorov's 0.1 % point is 1.95/√n.
	if limit := 1.95 / math.Sqrt(n); distance > limit {
		t.Errorf("Kolmogorov distance %.4f above %.4f", distance, limit)
	}
	if got := mean / degree; math.Abs(got-126.47563) > 0.6 {
		t.Errorf("mean angle %.3f°, want 126.476°", got)
	}
	if got := angles[n/2] / degree; math.Abs(got-132.34646) > 0.8 {
		t.Errorf("median angle %.3f°, want 132.346°", got)
	}
	// E[trᵏ] = 0, 1, 1, 3 for k = 1…4 (counts of invariants; computed).
	for k, want := range []float64{0, 1, 1, 3} {
		if math.Abs(traces[k]-want) > 0.02*float64(int(1)<<(k+k/2)) {
			t.Errorf("mean trace^%d is %.3f, want %g", k+1, traces[k], want)
		}
	}
}

func TestRandomWithinIsUniformUpToTheLimit(t *testing.T) {
	const n = 20000
	rng := testStream()
	for _, limit := range []float64{10 * degree, math.Pi / 2, math.Pi, 7} {
		capped := math.Min(limit, math.Pi)
		heights, headings := make([]float64, n), make([]float64, n)
		for i := range heights {
			r := RandomWithin(limit, rng)
			if math.Abs(r.Norm()-1) > 1e-12 {
				t.Fatalf("length %g", r.Norm())
			}
			a := r.Approach()
			heights[i] = (1 - math.Cos(a.Tilt)) / (1 - math.Cos(capped))
			headings[i] = (WrapAngle(a.Azimuth+a.Roll) + math.Pi) / (2 * math.Pi)
		}
		for name, u := range map[string][]float64{"height": heights, "heading": headings} {
			slices.Sort(u)
			for i, x := range u {
				if d := math.Abs(x - float64(i)/n); d > 1.95/math.Sqrt(n) {
					t.Fatalf("limit %g: %s is not uniform, off by %g", limit, name, d)
				}
			}
		}
	}
}

func TestRandomTurnHasItsAngle(t *testing.T) {
	rng := testStream()
	var sum Vec3
	for range 20000 {
		r := RandomTurn(0.3, rng)
		if math.Abs(Identity.AngleTo(r)-0.3) > 1e-12 {
			t.Fatalf("turned by %g", Identity.AngleTo(r))
		}
		sum = sum.Add(Vec3{r.X, r.Y, r.Z}.Scale(1 / math.Sin(0.15) / 20000))
	}
	if sum.Norm() > 0.03 {
		t.Errorf("axes prefer %v", sum)
	}
}
