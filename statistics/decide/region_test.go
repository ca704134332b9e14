package decide

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"holdfast/domain"
	"holdfast/orient"
)

// meridian gives n candidates along one azimuth, evenly from tilt 0 to tiltMax.
func meridian(n int, tiltMax float64) []orient.Rotation {
	points := make([]orient.Rotation, n)
	for i := range points {
		points[i] = orient.FromApproach(orient.Approach{Tilt: tiltMax * float64(i) / float64(n-1)})
	}
	return points
}

func steady(p float64, draws int) []float64 {
	row := make([]float64, draws)
	for d := range row {
		row[d] = p
	}
	return row
}

func distances(points []orient.Rotation) func(i, j int) float64 {
	return func(i, j int) float64 { return points[i].AngleTo(points[j]) }
}

func TestBestPrefersABroadPlateauToALuckyCell(t *testing.T) {
	points := meridian(21, math.Pi/2)
	step := math.Pi / 2 / 20
	draws := make([][]float64, 21)
	for i := range draws {
		draws[i] = steady(0.2, 50)
	}
	draws[3] = steady(0.99, 50)
	for i := 11; i <= 17; i++ {
		draws[i] = steady(0.8, 50)
	}
	r, err := Best(points, distances(points), draws, Options{Spacing: step / 2, TiltMax: math.Pi / 2, MinRadius: 2.1 * step, Target: 0.75})
	if err != nil {
		t.Fatal(err)
	}
	if r.Nominal < 13 || r.Nominal > 15 {
		t.Errorf("nominal %d, want the plateau's middle 13 to 15", r.Nominal)
	}
	if len(r.Members) != 7 || r.Members[0] != 11 || r.Members[6] != 17 {
		t.Errorf("members %v, want 11 to 17", r.Members)
	}
	if !r.MeetsTarget || math.Abs(r.Success-0.8) > 1e-12 {
		t.Errorf("success %g, meets target %v", r.Success, r.MeetsTarget)
	}
	if !strings.Contains(r.Describe(0.75), "meets the target of 75 %") {
		t.Error(r.Describe(0.75))
	}
	// The nearest outside candidate is 3 or 2 steps beyond the plateau's middle; half a step is lost to the spacing.
	if r.Radius <= 1.4*step || r.Radius > 3.6*step {
		t.Errorf("radius %g steps", r.Radius/step)
	}
}

func TestBestIsCautiousAboutUncertainOrientations(t *testing.T) {
	points := meridian(11, 1)
	rng := rand.New(rand.NewPCG(1, 2))
	draws := make([][]float64, 11)
	for i := range draws {
		draws[i] = make([]float64, 400)
		for d := range draws[i] {
			if i < 5 { // mean 0.85, hardly known
				draws[i][d] = math.Min(1, 0.7+0.3*rng.Float64())
			} else { // mean 0.82, well known
				draws[i][d] = 0.81 + 0.02*rng.Float64()
			}
		}
	}
	// Joint errors: the first five share theirs.
	for i := 1; i < 5; i++ {
		draws[i] = draws[0]
	}
	r, err := Best(points, distances(points), draws, Options{Spacing: 0.05, TiltMax: 1, MinRadius: 0.15})
	if err != nil {
		t.Fatal(err)
	}
	if r.Nominal < 5 {
		t.Errorf("nominal %d lies in the uncertain part", r.Nominal)
	}
}

func TestRegionProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(4, 30).Draw(t, "n")
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		points := meridian(n, 1.2)
		draws := make([][]float64, n)
		for i := range draws {
			draws[i] = make([]float64, 40)
			for d := range draws[i] {
				draws[i][d] = rng.Float64()
			}
		}
		o := Options{Spacing: 0.6 / float64(n-1) * 1.01, TiltMax: 1.2, Target: rapid.Float64Range(0, 1).Draw(t, "target")}
		r, err := Best(points, distances(points), draws, o)
		if err != nil {
			t.Fatal(err)
		}
		if !(r.Low <= r.Success && r.Success <= r.High) {
			t.Fatalf("interval %g..%g does not hold the mean %g", r.Low, r.High, r.Success)
		}
		// On a line, connected means consecutive.
		for k := 1; k < len(r.Members); k++ {
			if r.Members[k] != r.Members[k-1]+1 {
				t.Fatalf("members %v are not contiguous", r.Members)
			}
		}
		member := map[int]bool{}
		for _, m := range r.Members {
			member[m] = true
		}
		for _, c := range r.Core {
			if !member[c] {
				t.Fatalf("core %v is not inside %v", r.Core, r.Members)
			}
		}
		for j := range points {
			if !member[j] && points[r.Nominal].AngleTo(points[j]) < r.Radius {
				t.Fatalf("candidate %d lies within the stated radius but outside the region", j)
			}
		}
	})
}

func TestBestRefuses(t *testing.T) {
	points := meridian(3, 1)
	ok := [][]float64{steady(.5, 20), steady(.5, 20), steady(.5, 20)}
	for name, c := range map[string]struct {
		draws [][]float64
		o     Options
		want  string
	}{
		"NoCandidates":   {nil, Options{Spacing: 1}, "0 rows of draws"},
		"FewDraws":       {[][]float64{steady(.5, 5), steady(.5, 5), steady(.5, 5)}, Options{Spacing: 1}, "at least 20"},
		"OutsideZeroOne": {[][]float64{steady(.5, 20), steady(math.NaN(), 20), steady(.5, 20)}, Options{Spacing: 1}, "between 0 and 1"},
		"NoSpacing":      {ok, Options{}, "must be positive"},
		"Level":          {ok, Options{Spacing: 1, Level: 2}, "level"},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := Best(points, distances(points), c.draws, c.o)
			if domain.KindOf(err) != domain.KindInvalid || !strings.Contains(err.Error(), c.want) {
				t.Fatalf("got %v", err)
			}
		})
	}
}
