package orient

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func drawRotation(t *rapid.T, label string) Rotation {
	for {
		q := Rotation{
			rapid.Float64Range(-1, 1).Draw(t, label+".w"), rapid.Float64Range(-1, 1).Draw(t, label+".x"),
			rapid.Float64Range(-1, 1).Draw(t, label+".y"), rapid.Float64Range(-1, 1).Draw(t, label+".z"),
		}
		if q.Norm() > 0.1 {
			u, _ := q.Normalized()
			return u
		}
	}
}

func TestApproachRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := drawRotation(t, "r")
		if d := FromApproach(r.Approach()).AngleTo(r); d > 1e-7 {
			t.Fatalf("round trip through tilt, azimuth, roll moved %v by %g rad", r, d)
		}
	})
}

func TestApproachAtThePoles(t *testing.T) {
	for _, tilt := range []float64{0, 1e-12, 1e-9, 1e-7, 1e-4, math.Pi - 1e-7, math.Pi - 1e-12, math.Pi} {
		for az := -3.0; az <= 3; az += 0.5 {
			for roll := -3.0; roll <= 3; roll += 0.5 {
				want := FromApproach(Approach{tilt, az, roll})
				got := FromApproach(want.Approach())
				if d := got.AngleTo(want); d > 3e-8 {
					t.Errorf("tilt %g azimuth %g roll %g: round trip off by %g rad", tilt, az, roll, d)
				}
			}
		}
	}
}

func TestDirectionMatchesAngles(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tilt := rapid.Float64Range(0, math.Pi).Draw(t, "tilt")
		az := rapid.Float64Range(-3, 3).Draw(t, "azimuth")
		roll := rapid.Float64Range(-3, 3).Draw(t, "roll")
		d := FromApproach(Approach{tilt, az, roll}).Direction()
		want := Vec3{math.Sin(tilt) * math.Cos(az), math.Sin(tilt) * math.Sin(az), -math.Cos(tilt)}
		if d.Add(want.Scale(-1)).Norm() > 1e-12 {
			t.Fatalf("direction %v, want %v", d, want)
		}
	})
}

func TestMatrixRoundTripAndAction(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r, s := drawRotation(t, "r"), drawRotation(t, "s")
		if d := FromMatrix(r.Matrix()).AngleTo(r); d > 1e-7 {
			t.Fatalf("matrix round trip off by %g rad", d)
		}
		v := Vec3{0.3, -0.7, 1.1}
		if d := r.Mul(s).Apply(v).Add(r.Apply(s.Apply(v)).Scale(-1)).Norm(); d > 1e-12 {
			t.Fatalf("product does not act right factor first: off by %g", d)
		}
		m := r.Matrix()
		for i := range 3 {
			row := Vec3{m[i][0], m[i][1], m[i][2]}
			if math.Abs(row.Dot(v)-r.Apply(v)[i]) > 1e-12 {
				t.Fatal("matrix and quaternion act differently")
			}
		}
	})
}
