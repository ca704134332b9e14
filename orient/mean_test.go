package orient

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestMeanIsHalfwayAndBlindToSigns(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawRotation(t, "centre")
		axis := Vec3{rapid.Float64Range(-1, 1).Draw(t, "x"), rapid.Float64Range(-1, 1).Draw(t, "y"), 1}
		angle := rapid.Float64Range(0.01, 1.5).Draw(t, "angle")
		a, b := c.Mul(AboutAxis(axis, angle)), c.Mul(AboutAxis(axis, -angle))
		if rapid.Bool().Draw(t, "negate") {
			a = Rotation{-a.W, -a.X, -a.Y, -a.Z}
		}
		mean, spread, err := Mean([]Rotation{a, b}, nil)
		if err != nil || mean.AngleTo(c) > 1e-7 {
			t.Fatalf("mean is %g rad from the middle (%v)", mean.AngleTo(c), err)
		}
		if math.Abs(spread.RMS-angle) > 1e-7 || math.Abs(spread.Max-angle) > 1e-7 {
			t.Fatalf("spread %+v, want %g", spread, angle)
		}
		// Eigenvalue of two quaternions half the angle either side: cos²(angle/2).
		if want := (4*math.Pow(math.Cos(angle/2), 2) - 1) / 3; math.Abs(spread.Resultant-want) > 1e-9 {
			t.Fatalf("resultant %g, want %g", spread.Resultant, want)
		}
		whole, _, err := Mean([]Rotation{a, b}, []float64{1, 0})
		if err != nil || whole.AngleTo(a) > 1e-7 {
			t.Fatalf("a weight of zero still counts: %v", err)
		}
	})
}

func TestMeanMovesWithItsData(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l, r := drawRotation(t, "left"), drawRotation(t, "right")
		var plain, moved []Rotation
		for i := range 5 {
			turn := AboutAxis(Vec3{float64(i) - 2, 1, float64(i * i)}, 0.2*float64(i))
			plain, moved = append(plain, turn), append(moved, l.Mul(turn).Mul(r))
		}
		a, _, err1 := Mean(plain, nil)
		b, _, err2 := Mean(moved, nil)
		if err1 != nil || err2 != nil || l.Mul(a).Mul(r).AngleTo(b) > 1e-7 {
			t.Fatalf("the mean does not move with the data: %v %v", err1, err2)
		}
	})
}

func TestMeanThatIsNotUnique(t *testing.T) {
	cases := map[string][]Rotation{
		"half a turn apart":   {Identity, RotZ(math.Pi)},
		"four headings":       {RotZ(0), RotZ(math.Pi / 2), RotZ(math.Pi), RotZ(-math.Pi / 2)},
		"all of a cube's own": polyhedral()[1],
	}
	for name, list := range cases {
		if _, _, err := Mean(list, nil); !errors.Is(err, ErrNotUnique) {
			t.Errorf("%s: error %v", name, err)
		}
	}
	if _, spread, _ := Mean(polyhedral()[1], nil); spread.Resultant > 1e-12 {
		t.Errorf("even spread has resultant %g", spread.Resultant)
	}
	// Told that the hand is four-fold, the four headings are one.
	mean, spread, err := (Symmetry{HandFold: 4}).Mean(cases["four headings"], nil)
	if err != nil || spread.RMS > 1e-7 || mean.AngleTo(Identity) > 1e-7 {
		t.Errorf("four-fold hand: mean %v, spread %+v, %v", mean, spread, err)
	}
}

func TestSymmetricMeanFindsTheCentre(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawSymmetry(t)
		centre := FromApproach(Approach{0.9, 0.21, 0.13})
		var list []Rotation
		for _, axis := range []Vec3{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}} {
			for _, sign := range []float64{1, -1} {
				list = append(list, drawEquivalent(t, s, centre.Mul(AboutAxis(axis, 0.05*sign))))
			}
		}
		mean, spread, err := s.Mean(list, nil)
		if err != nil || s.Distance(mean, centre) > 2e-3 || spread.RMS > 0.0501 {
			t.Fatalf("%v: mean %g rad from the centre, spread %+v (%v)", s, s.Distance(mean, centre), spread, err)
		}
	})
}

func TestMeanDirection(t *testing.T) {
	down, spread, err := MeanDirection([]Vec3{{1, 0, -1}, {-2, 0, -2}, {0, 1, -1}, {0, -1, -1}}, nil)
	if err != nil || down.Add(Vec3{0, 0, 1}).Norm() > 1e-12 || math.Abs(spread.RMS-math.Pi/4) > 1e-9 || math.Abs(spread.Resultant-math.Sqrt(0.5)) > 1e-12 {
		t.Errorf("mean %v, spread %+v, %v", down, spread, err)
	}
	if _, _, err := MeanDirection([]Vec3{{1, 0, 0}, {-1, 0, 0}}, nil); !errors.Is(err, ErrNotUnique) {
		t.Errorf("opposite directions: %v", err)
	}
	if _, _, err := MeanDirection([]Vec3{{0, 0, 0}}, nil); err == nil {
		t.Error("a direction without length was averaged")
	}
}

func TestMeanRefusesBadWeights(t *testing.T) {
	two := []Rotation{Identity, RotX(1)}
	for _, w := range [][]float64{{1}, {0, 0}, {1, -1}, {math.NaN(), 1}, {math.Inf(1), 1}} {
		if _, _, err := Mean(two, w); err == nil {
			t.Errorf("weights %v were accepted", w)
		}
		if _, _, err := (Symmetry{HandFold: 2}).Mean(two, w); err == nil {
			t.Errorf("weights %v were accepted under symmetry", w)
		}
	}
	if _, _, err := Mean(nil, nil); err == nil {
		t.Error("nothing was averaged")
	}
	if _, _, err := Mean([]Rotation{{}}, nil); err == nil {
		t.Error("a zero quaternion was averaged")
	}
}
