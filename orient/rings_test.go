package orient

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestRingsAsDrawn(t *testing.T) {
	spec := RingSpec{Tilts: []float64{0, 30 * degree, 60 * degree}, Azimuths: []int{8}, Rolls: []float64{0, 90 * degree}}
	for _, c := range []struct {
		name   string
		s      Symmetry
		points int
	}{
		// One azimuth at tilt 0, eight on each of two rings, two rolls.
		{"no symmetry", Symmetry{}, 2 * (1 + 8 + 8)},
		{"two-fold hand", Symmetry{HandFold: 2}, 2 * (1 + 8 + 8)},
		{"four-fold hand: both rolls are one", Symmetry{HandFold: 4}, 1 + 8 + 8},
		// At tilt 0 roll does not matter, on a ring azimuth does not.
		{"axial", Symmetry{Surroundings: Surroundings{Axial: true}}, 1 + 2 + 2},
		// Azimuths 0, 45° remain of eight; at tilt 0 a roll of 90° is a turn of the surroundings.
		{"four-fold surroundings", Symmetry{Surroundings: Surroundings{Fold: 4}}, 1 + 2*2 + 2*2},
		// Roll 0: azimuths 0…180° remain (5). Roll 90° of a two-fold hand mirrors into itself: 5 too.
		{"mirror", Symmetry{HandFold: 2, HandMirror: true, Surroundings: Surroundings{Mirror: true}}, 2 + 10 + 10},
	} {
		points, folded, err := Rings(spec, c.s)
		if err != nil {
			t.Fatal(err)
		}
		if len(points) != c.points || folded != 48-c.points {
			t.Errorf("%s: %d orientations and %d folded away, want %d and %d", c.name, len(points), folded, c.points, 48-c.points)
		}
	}
}

func TestRingsKeepsFirstAndCoversThePlan(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawSymmetry(t)
		var all []Rotation
		spec := RingSpec{Start: rapid.Float64Range(-1, 1).Draw(t, "start")}
		n := rapid.IntRange(1, 3).Draw(t, "rings")
		for range n {
			spec.Tilts = append(spec.Tilts, rapid.SampledFrom([]float64{0, 20 * degree, 45 * degree, math.Pi}).Draw(t, "tilt"))
			spec.Azimuths = append(spec.Azimuths, rapid.IntRange(1, 6).Draw(t, "azimuths"))
		}
		for range rapid.IntRange(1, 3).Draw(t, "rolls") {
			spec.Rolls = append(spec.Rolls, rapid.SampledFrom([]float64{0, 30 * degree, 90 * degree, 180 * degree}).Draw(t, "roll"))
		}
		total := 0
		for i, tilt := range spec.Tilts {
			for j := range spec.Azimuths[i] {
				for _, roll := range spec.Rolls {
					total++
					if tilt == 0 || tilt == math.Pi {
						if j == 0 {
							all = append(all, FromApproach(Approach{tilt, 0, roll}))
						}
						continue
					}
					all = append(all, FromApproach(Approach{tilt, spec.Start + 2*math.Pi*float64(j)/float64(spec.Azimuths[i]), roll}))
				}
			}
		}
		var want []Rotation
		for _, r := range all {
			if _, d := s.Nearest(want, r); len(want) == 0 || d > 1e-6 {
				want = append(want, r)
			}
		}
		points, folded, err := Rings(spec, s)
		if err != nil || len(points) != len(want) || folded != total-len(want) {
			t.Fatalf("%v: %d points and %d folded, want %d and %d (%v)", s, len(points), folded, len(want), total-len(want), err)
		}
		for i := range want {
			if points[i] != want[i] {
				t.Fatalf("point %d is %v, want %v", i, points[i], want[i])
			}
		}
		distinct, stands := s.Distinct(all)
		if len(distinct) != len(want) {
			t.Fatalf("%d distinct, want %d", len(distinct), len(want))
		}
		for i, r := range all {
			if !s.Equivalent(distinct[stands[i]], r, 1e-6) {
				t.Fatalf("%v is stood for by %v", r, distinct[stands[i]])
			}
		}
	})
}

func TestRingsRefuses(t *testing.T) {
	for name, spec := range map[string]RingSpec{
		"no rings":        {Azimuths: []int{1}},
		"tilt beyond":     {Tilts: []float64{3.2}, Azimuths: []int{1}},
		"tilt NaN":        {Tilts: []float64{math.NaN()}, Azimuths: []int{1}},
		"no azimuths":     {Tilts: []float64{1}},
		"zero azimuths":   {Tilts: []float64{1}, Azimuths: []int{0}},
		"counts mismatch": {Tilts: []float64{1, 2, 3}, Azimuths: []int{1, 2}},
		"roll NaN":        {Tilts: []float64{1}, Azimuths: []int{1}, Rolls: []float64{math.NaN()}},
		"too many":        {Tilts: []float64{1}, Azimuths: []int{90000}, Rolls: []float64{0, 1}},
	} {
		if _, _, err := Rings(spec, Symmetry{}); err == nil {
			t.Errorf("%s: accepted", name)
		}
	}
}

func TestNearestAgreesWithTryingAll(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawSymmetry(t)
		rng := testStream()
		points := make([]Rotation, rapid.IntRange(1, 80).Draw(t, "points"))
		for i := range points {
			points[i] = Random(rng)
		}
		ix := NewIndex(points, s)
		r := drawPose(t, "r")
		i, d := ix.Nearest(r)
		j, want := s.Nearest(points, r)
		if math.Abs(d-want) > 1e-7 || math.Abs(s.Distance(points[i], r)-d) > 1e-12 {
			t.Fatalf("%v: index gives %d at %g, search gives %d at %g", s, i, d, j, want)
		}
	})
	if i, d := NewIndex(nil, Symmetry{}).Nearest(Identity); i != -1 || d != math.Pi {
		t.Errorf("empty list: %d, %g", i, d)
	}
}
