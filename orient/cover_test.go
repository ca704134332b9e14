package orient

import (
	"math"
	"reflect"
	"runtime"
	"testing"
)

func TestCoverKeepsItsPromises(t *testing.T) {
	mirrored := Surroundings{Fold: 2, Mirror: true}
	for _, c := range []struct {
		n       int
		tiltMax float64
		s       Symmetry
		bound   float64 // times the radius of a ball that has 1/n of the region's volume
	}{
		{1, 30, Symmetry{}, 0},
		{7, 30, Symmetry{}, 2},
		{60, 60, Symmetry{}, 1.6},
		{61, 60, Symmetry{HandFold: 2}, 1.6},
		{48, 90, Symmetry{HandFold: 2, HandMirror: true, Surroundings: mirrored}, 1.6},
		{60, 45, Symmetry{HandFold: 3, Surroundings: Surroundings{Axial: true}}, 1.7},
		{40, 180, Symmetry{HandFold: 2, HandMirror: true, Surroundings: Surroundings{Axial: true, Mirror: true}}, 1.7},
	} {
		limit := c.tiltMax * degree
		got, err := Cover(c.n, limit, c.s, 7)
		if err != nil {
			t.Fatal(err)
		}
		if len(got.Points) != c.n {
			t.Fatalf("%d points, want %d", len(got.Points), c.n)
		}
		last := 0.0
		for i, p := range got.Points {
			if math.Abs(p.Norm()-1) > 1e-9 {
				t.Fatalf("point %d has length %g", i, p.Norm())
			}
			tilt := p.Approach().Tilt
			if tilt > limit+1e-9 || tilt < last-1e-8 {
				t.Fatalf("point %d has tilt %g° after %g°, limit %g°", i, tilt/degree, last/degree, c.tiltMax)
			}
			last = tilt
			if d := p.AngleTo(c.s.Canonical(p)); d > 1e-7 {
				t.Fatalf("point %d is not canonical by %g rad", i, d)
			}
		}
		// The figures against trying all.
		separation := math.Pi
		for i, p := range got.Points {
			for _, q := range got.Points[:i] {
				separation = math.Min(separation, c.s.Distance(p, q))
			}
		}
		if math.Abs(separation-got.Separation) > 1e-7 {
			t.Errorf("%d points: separation %g, by trying all %g", c.n, got.Separation, separation)
		}
		if c.n > 1 && separation < crowding*got.CoveringRadius {
			t.Errorf("%d points: two are only %g° apart, the covering radius is %g°", c.n, separation/degree, got.CoveringRadius/degree)
		}
		rng, ix := testStream(), NewIndex(got.Points, c.s)
		for range 5000 {
			if _, d := ix.Nearest(RandomWithin(limit, rng)); d > got.CoveringRadius+0.05*degree {
				t.Fatalf("%d points: an orientation lies %g° from all, beyond the covering radius %g°", c.n, d/degree, got.CoveringRadius/degree)
			}
		}
		if c.bound > 0 {
			if ball := equalBall(c.n, limit, c.s); got.CoveringRadius > c.bound*ball {
				t.Errorf("%d points, tilt to %g°, %v: covering radius %.2f° is %.2f times the equal-volume ball's %.2f°", c.n, c.tiltMax, c.s, got.CoveringRadius/degree, got.CoveringRadius/ball, ball/degree)
			}
		}
	}
}

// equalBall returns the radius (rad) of a ball with 1/n of the region's volume.
func equalBall(n int, limit float64, s Symmetry) float64 {
	share := (1 - math.Cos(limit)) / 2 / float64(n*s.Order())
	if s.Axial() {
		return math.Acos(1 - 2*share)
	}
	low, high := 0.0, math.Pi
	for range 60 {
		if mid := (low + high) / 2; HaarAngleCDF(mid) < share {
			low = mid
		} else {
			high = mid
		}
	}
	return low
}

func TestCoverIsReproducible(t *testing.T) {
	s := Symmetry{HandFold: 2}
	a, err := Cover(36, 50*degree, s, 3)
	if err != nil {
		t.Fatal(err)
	}
	before := runtime.GOMAXPROCS(1)
	b, err := Cover(36, 50*degree, s, 3)
	runtime.GOMAXPROCS(before)
	if err != nil || !reflect.DeepEqual(a, b) {
		t.Error("the same arguments give another covering on another number of processors")
	}
	if c, _ := Cover(36, 50*degree, s, 4); reflect.DeepEqual(a.Points, c.Points) {
		t.Error("the seed does nothing")
	}
}

func TestCoverStraightDown(t *testing.T) {
	for _, c := range []struct {
		n                    int
		s                    Symmetry
		covering, separation float64 // degrees
	}{
		{6, Symmetry{}, 30, 60},
		{6, Symmetry{HandFold: 2, Surroundings: Surroundings{Fold: 3}}, 5, 10},
		{3, Symmetry{HandFold: 2, HandMirror: true, Surroundings: Surroundings{Mirror: true}}, 15, 30},
		{1, Symmetry{}, 180, 180},
		{1, axialSurroundings, 0, 180},
	} {
		got, err := Cover(c.n, 0, c.s, 1)
		if err != nil || len(got.Points) != c.n {
			t.Fatalf("%d at tilt 0: %v, %v", c.n, got, err)
		}
		if math.Abs(got.CoveringRadius/degree-c.covering) > 1e-9 || math.Abs(got.Separation/degree-c.separation) > 1e-9 {
			t.Errorf("%d at tilt 0, %v: radius %g°, separation %g°", c.n, c.s, got.CoveringRadius/degree, got.Separation/degree)
		}
		measured, err := Measure(got.Points, 0, c.s, 1)
		if err != nil || math.Abs(measured.CoveringRadius-got.CoveringRadius) > 0.05*degree || math.Abs(measured.Separation-got.Separation) > 1e-7 {
			t.Errorf("%d at tilt 0, %v: measured radius %g°, separation %g°", c.n, c.s, measured.CoveringRadius/degree, measured.Separation/degree)
		}
	}
}

func TestCoverRefuses(t *testing.T) {
	for name, f := range map[string]func() (Covering, error){
		"none asked":         func() (Covering, error) { return Cover(0, 1, Symmetry{}, 1) },
		"too many":           func() (Covering, error) { return Cover(MaxCoverPoints+1, 1, Symmetry{}, 1) },
		"tilt beyond":        func() (Covering, error) { return Cover(5, 3.2, Symmetry{}, 1) },
		"tilt NaN":           func() (Covering, error) { return Cover(5, math.NaN(), Symmetry{}, 1) },
		"one place only":     func() (Covering, error) { return Cover(2, 0, axialSurroundings, 1) },
		"nothing to measure": func() (Covering, error) { return Measure(nil, 1, Symmetry{}, 1) },
		"measured beyond":    func() (Covering, error) { return Measure([]Rotation{Identity}, -1, Symmetry{}, 1) },
	} {
		if c, err := f(); err == nil {
			t.Errorf("%s: got %d points", name, len(c.Points))
		}
	}
}

func BenchmarkCover200(b *testing.B) {
	for b.Loop() {
		if _, err := Cover(200, math.Pi/3, Symmetry{HandFold: 2}, 1); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkCover2000(b *testing.B) {
	for b.Loop() {
		if _, err := Cover(2000, math.Pi/3, Symmetry{HandFold: 2}, 1); err != nil {
			b.Fatal(err)
		}
	}
}
