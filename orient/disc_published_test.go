package orient

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// Lambert's azimuthal equal-area projection, R = 2·sin(θ/2): 30° .5176380902 (area .8417872145), 60° 1, 90° √2, 180° 2
// (closed form; digits computed independently).
func TestDiscPublishedRadii(t *testing.T) {
	for _, c := range []struct{ tilt, radius, area float64 }{
		{0, 0, 0}, {30, 0.5176380902, 0.8417872145}, {60, 1, math.Pi}, {90, math.Sqrt2, 2 * math.Pi}, {180, 2, 4 * math.Pi},
	} {
		r := Disc{}.Radius(c.tilt * degree)
		if math.Abs(r-c.radius) > 5e-11 {
			t.Errorf("tilt %g°: radius %.10f, want %.10f", c.tilt, r, c.radius)
		}
		if area := math.Pi * r * r; math.Abs(area-c.area) > 2e-10 || math.Abs(area-2*math.Pi*(1-math.Cos(c.tilt*degree))) > 1e-12 {
			t.Errorf("tilt %g°: area %.10f, want %.10f", c.tilt, area, c.area)
		}
		x, y := Disc{}.Project(DirectionOf(c.tilt*degree, 0.7))
		if math.Abs(math.Hypot(x, y)-c.radius) > 5e-11 {
			t.Errorf("tilt %g°: projected to radius %.10f", c.tilt, math.Hypot(x, y))
		}
	}
}

func TestDiscRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tilt := rapid.OneOf(rapid.Float64Range(0, math.Pi), rapid.SampledFrom([]float64{0, 1e-9, math.Pi - 1e-6, math.Pi})).Draw(t, "tilt")
		az := rapid.Float64Range(-3, 3).Draw(t, "azimuth")
		disc, err := DiscTo(rapid.Float64Range(0.05, math.Pi).Draw(t, "limit"))
		if err != nil {
			t.Fatal(err)
		}
		if rapid.Bool().Draw(t, "plain") {
			disc = Disc{}
		}
		dir := DirectionOf(tilt, az)
		x, y := disc.Project(dir)
		back, ok := disc.Unproject(x, y)
		// One rounding of a coordinate at the rim is a turn of √ε: the disc stands still there as tilt changes.
		if !ok || back.Add(dir.Scale(-1)).Norm() > 1e-7 || math.Abs(back.Norm()-1) > 1e-12 {
			t.Fatalf("direction %v came back as %v (%v)", dir, back, ok)
		}
		x2, y2 := disc.ProjectAngles(tilt, az)
		if math.Hypot(x-x2, y-y2) > 1e-7*disc.Radius(math.Pi) {
			t.Fatalf("by direction (%g, %g), by angles (%g, %g)", x, y, x2, y2)
		}
		tilt2, az2, ok := disc.UnprojectAngles(x2, y2)
		if !ok || math.Abs(tilt2-tilt) > 1e-7 || tilt > 1e-6 && math.Abs(WrapAngle(az2-az)) > 1e-7 {
			t.Fatalf("angles %g, %g came back as %g, %g", tilt, az, tilt2, az2)
		}
		tilt3, az3 := DirectionAngles(dir)
		if math.Abs(tilt3-tilt) > 1e-9 || tilt > 1e-6 && tilt < math.Pi-1e-5 && math.Abs(WrapAngle(az3-az)) > 1e-9 {
			t.Fatalf("direction angles %g, %g, want %g, %g", tilt3, az3, tilt, az)
		}
	})
}

func TestDiscEdges(t *testing.T) {
	if x, y := (Disc{}).Project(Vec3{0, 0, -1}); x != 0 || y != 0 {
		t.Errorf("straight down lies at (%g, %g)", x, y)
	}
	if x, y := (Disc{}).Project(Vec3{0, 0, 1}); x != 2 || y != 0 {
		t.Errorf("straight up lies at (%g, %g)", x, y)
	}
	if d, ok := (Disc{}).Unproject(0, 2); !ok || d.Add(Vec3{0, 0, -1}).Norm() > 1e-12 {
		t.Errorf("the rim is %v, %v", d, ok)
	}
	for _, p := range [][2]float64{{2.001, 0}, {math.NaN(), 0}, {0, math.Inf(1)}} {
		if d, ok := (Disc{}).Unproject(p[0], p[1]); ok {
			t.Errorf("%v was taken for direction %v", p, d)
		}
		if _, _, ok := (Disc{}).UnprojectAngles(p[0], p[1]); ok {
			t.Errorf("%v was taken for angles", p)
		}
	}
	for _, limit := range []float64{0, -1, 4, math.NaN()} {
		if _, err := DiscTo(limit); err == nil {
			t.Errorf("a disc to tilt %g was made", limit)
		}
	}
	if d, err := DiscTo(math.Pi / 3); err != nil || math.Abs(d.Radius(math.Pi/3)-1) > 1e-15 {
		t.Errorf("limit at radius %g (%v)", d.Radius(math.Pi/3), err)
	}
}
