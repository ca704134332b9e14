package successmap

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"holdfast/orient"
)

func fitted(t *testing.T, n int, seed uint64, o Options) *Map {
	t.Helper()
	m, err := Fit(context.Background(), inventTruth(seed, 1).trials(n, seed), o)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// The blurred map against the same convolution carried to a degree at which it has converged.
func TestBlurAgreesWithHighDegree(t *testing.T) {
	m := fitted(t, 1500, 4, Options{})
	const high = 20
	set, err := orient.NewHarmonics(high, orient.Symmetry{})
	if err != nil {
		t.Fatal(err)
	}
	grid := orient.NewHarmonicGrid(set, high, 2)
	estimates := make([]Estimate, grid.Len())
	m.Predict(estimates, grid.Rotations())
	values := make([]float64, grid.Len())
	for i, e := range estimates {
		values[i] = e.P
	}
	coef := make([]float64, set.Len())
	if err := grid.Project(coef, set, values); err != nil {
		t.Fatal(err)
	}
	rs := approaches(300, rand.New(rand.NewPCG(1, 1)))
	torus := orient.NewTorus(set, 2)
	points := torus.Points(rs)
	for _, degrees := range []float64{2, 5, 10, 30} {
		angle := degrees * math.Pi / 180
		b, err := m.Blur(angle)
		if err != nil {
			t.Fatal(err)
		}
		got, want := make([]float64, len(rs)), make([]float64, len(rs))
		b.Predict(got, rs)
		time, err := HeatTime(angle)
		if err != nil {
			t.Fatal(err)
		}
		damped := make([]float64, len(coef))
		for i, c := range coef {
			l := set.At(i).L
			damped[i] = c * math.Exp(-float64(l*(l+1))*time)
		}
		if err := torus.Evaluate(want, set, damped, points); err != nil {
			t.Fatal(err)
		}
		worst := 0.0
		for i := range got {
			worst = math.Max(worst, math.Abs(got[i]-want[i]))
		}
		t.Logf("%g°: largest difference %.2g", degrees, worst)
		if worst > 2e-3 {
			t.Errorf("%g°: blurred maps differ by %.2g", degrees, worst)
		}
	}
}

func TestBlurMeanSquareAngle(t *testing.T) {
	// Against the integral of ω² with the kernel's density, by the midpoint rule.
	for _, time := range []float64{0.01, 0.1, 0.5, 2} {
		const n = 4000
		sum, mass := 0.0, 0.0
		for i := range n {
			w := math.Pi * (float64(i) + 0.5) / n
			k := 0.0
			for l := range 200 {
				k += float64(2*l+1) * math.Exp(-float64(l*(l+1))*time) * math.Sin(float64(2*l+1)*w/2) / math.Sin(w/2)
			}
			d := k * (1 - math.Cos(w)) / n
			mass += d
			sum += d * w * w
		}
		if math.Abs(mass-1) > 1e-6 || math.Abs(sum-meanSquareAngle(time)) > 1e-6 {
			t.Errorf("t = %g: mass %.8f, mean square %.8f, series %.8f", time, mass, sum, meanSquareAngle(time))
		}
	}
	for _, angle := range []float64{0.001, 0.05, 0.5, 1.9} {
		time, err := HeatTime(angle)
		if err != nil {
			t.Fatal(err)
		}
		if got := math.Sqrt(meanSquareAngle(time)); math.Abs(got-angle) > 1e-9 {
			t.Errorf("angle %g comes back as %g", angle, got)
		}
	}
	for _, angle := range []float64{-0.1, 2.1, math.NaN(), math.Inf(1)} {
		if _, err := HeatTime(angle); err == nil {
			t.Errorf("angle %g was accepted", angle)
		}
	}
}

func TestDrawsMatchTheMap(t *testing.T) {
	m := fitted(t, 600, 6, Options{})
	rs := approaches(50, rand.New(rand.NewPCG(2, 2)))
	est := make([]Estimate, len(rs))
	m.Predict(est, rs)
	draws, err := m.Draws(200, 11, rs)
	if err != nil {
		t.Fatal(err)
	}
	b, err := m.Blur(0.1)
	if err != nil {
		t.Fatal(err)
	}
	blurredDraws, err := b.Draws(200, 11, rs)
	if err != nil {
		t.Fatal(err)
	}
	again, err := b.Draws(200, 11, rs[:3])
	if err != nil {
		t.Fatal(err)
	}
	expected := make([]float64, len(rs))
	b.Predict(expected, rs)
	for i := range rs {
		plain, blurred := 0.0, 0.0
		for k := range draws {
			plain += draws[k][i] / 200
			blurred += blurredDraws[k][i] / 200
		}
		if math.Abs(plain-est[i].P) > 0.02 || math.Abs(blurred-expected[i]) > 0.02 {
			t.Errorf("orientation %d: plain draws average %.4f, map %.4f; blurred %.4f, map %.4f", i, plain, est[i].P, blurred, expected[i])
		}
	}
	for k := range again {
		for i := range 3 {
			if again[k][i] != blurredDraws[k][i] {
				t.Fatal("the same seed gave another draw")
			}
		}
	}
}
