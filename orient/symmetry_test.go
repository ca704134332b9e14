package orient

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

const degree = math.Pi / 180

func drawSymmetry(t *rapid.T) Symmetry {
	return Symmetry{
		HandFold:   rapid.IntRange(0, 5).Draw(t, "hand fold"),
		HandMirror: rapid.Bool().Draw(t, "hand mirror"),
		Surroundings: Surroundings{
			Axial:  rapid.Bool().Draw(t, "axial"),
			Fold:   rapid.IntRange(0, 5).Draw(t, "fold"),
			Mirror: rapid.Bool().Draw(t, "mirror"),
		},
	}
}

// drawPose favours the places where charts break: the two poles, mirror planes and the edges of canonical ranges.
func drawPose(t *rapid.T, label string) Rotation {
	if rapid.Bool().Draw(t, label+" general") {
		return drawRotation(t, label)
	}
	angle := rapid.SampledFrom([]float64{0, 30, 36, 45, 60, 72, 90, 120, 135, 180, -30, -36, -45, -60, -90, -144})
	tilt := rapid.SampledFrom([]float64{0, 1e-5, 20, 90, 150, 180 - 1e-5, 180})
	return FromApproach(Approach{
		tilt.Draw(t, label+" tilt") * degree, angle.Draw(t, label+" azimuth") * degree, angle.Draw(t, label+" roll") * degree,
	})
}

// drawEquivalent moves r by a random element of the symmetry.
func drawEquivalent(t *rapid.T, s Symmetry, r Rotation) Rotation {
	images := s.Images(r)
	r = images[rapid.IntRange(0, len(images)-1).Draw(t, "image")]
	if s.Axial() {
		r = RotZ(rapid.Float64Range(-4, 4).Draw(t, "turn")).Mul(r)
	}
	if rapid.Bool().Draw(t, "negate") {
		r = Rotation{-r.W, -r.X, -r.Y, -r.Z}
	}
	return r
}

func TestCanonicalIsConstantOnOrbitsAndIdempotent(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawSymmetry(t)
		r := drawPose(t, "r")
		c := s.Canonical(r)
		if d := s.Distance(c, r); d > 1e-7 {
			t.Fatalf("canonical form lies %g rad from the orbit of %v", d, r)
		}
		if d := c.AngleTo(s.Canonical(c)); d > 1e-7 {
			t.Fatalf("not idempotent: moved by %g rad", d)
		}
		q := drawEquivalent(t, s, r)
		if d := c.AngleTo(s.Canonical(q)); d > 1e-7 {
			t.Fatalf("%v: canonical forms of %+v and its equivalent %+v differ by %g rad:\n%+v\n%+v", s, r.Approach(), q.Approach(), d, c.Approach(), s.Canonical(q).Approach())
		}
	})
}

func TestCanonicalRanges(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawSymmetry(t)
		a := s.Canonical(drawPose(t, "r")).Approach()
		const slack = 1e-7
		if a.Tilt > slack && a.Tilt < math.Pi-slack {
			if limit := math.Pi / float64(s.Hand()); math.Abs(a.Roll) > limit+slack {
				t.Fatalf("roll %g outside ±%g", a.Roll, limit)
			}
			if limit := math.Pi / float64(s.Around()); math.Abs(a.Azimuth) > limit+slack {
				t.Fatalf("azimuth %g outside ±%g", a.Azimuth, limit)
			}
		}
		if s.Axial() && math.Abs(a.Azimuth) > slack {
			t.Fatalf("azimuth %g among axial surroundings", a.Azimuth)
		}
		// −180° and 180° are one place; which of them a rotation within rounding of it goes back to is chance.
		if s.Mirror() && a.Azimuth < -slack && a.Azimuth > slack-math.Pi {
			t.Fatalf("azimuth %g is on the mirrored side", a.Azimuth)
		}
	})
}

func TestDistanceIsAMetricOnOrbits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawSymmetry(t)
		a, b, c := drawPose(t, "a"), drawPose(t, "b"), drawPose(t, "c")
		ab, ba := s.Distance(a, b), s.Distance(b, a)
		if math.Abs(ab-ba) > 1e-7 {
			t.Fatalf("not symmetric: %g and %g", ab, ba)
		}
		if ab > a.AngleTo(b)+1e-9 || ab < 0 || ab > math.Pi {
			t.Fatalf("distance %g, geodesic angle %g", ab, a.AngleTo(b))
		}
		if s.Distance(a, c) > ab+s.Distance(b, c)+1e-7 {
			t.Fatal("triangle inequality fails")
		}
		if d := s.Distance(a, drawEquivalent(t, s, a)); d > 1e-7 {
			t.Fatalf("equivalent orientations are %g rad apart", d)
		}
		if d := s.Distance(drawEquivalent(t, s, a), b); math.Abs(d-ab) > 1e-7 {
			t.Fatalf("distance changes inside an orbit: %g, %g", ab, d)
		}
		if image, d := s.Closest(a, b); math.Abs(d-ab) > 1e-12 || math.Abs(a.AngleTo(image)-ab) > 1e-7 || s.Distance(image, b) > 1e-7 {
			t.Fatalf("closest image of b is %g away, distance %g", d, ab)
		}
	})
}

// The closed form must agree with trying every image, and for axial surroundings with a fine search over turns.
func TestDistanceAgreesWithSearch(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawSymmetry(t)
		a, b := drawPose(t, "a"), drawPose(t, "b")
		want := math.Pi
		turns := 1
		if s.Axial() {
			turns = 3600
		}
		for _, image := range s.Images(b) {
			for k := range turns {
				want = math.Min(want, a.AngleTo(RotZ(2*math.Pi*float64(k)/float64(turns)).Mul(image)))
			}
		}
		got := s.Distance(a, b)
		// A turn of 0.05° off the best one adds at most that much.
		if slack := 0.051 * degree * float64(min(turns-1, 1)); got > want+1e-9 || got < want-slack-1e-7 {
			t.Fatalf("%v: distance %g, by search %g", s, got, want)
		}
	})
}

func TestMirrorChangesSignOfAzimuthAndRoll(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := Approach{
			rapid.Float64Range(0, math.Pi).Draw(t, "tilt"),
			rapid.Float64Range(-3, 3).Draw(t, "azimuth"), rapid.Float64Range(-3, 3).Draw(t, "roll"),
		}
		r := FromApproach(a)
		if d := r.Mirrored().AngleTo(FromApproach(Approach{a.Tilt, -a.Azimuth, -a.Roll})); d > 1e-9 {
			t.Fatalf("off by %g rad", d)
		}
		m, mm := r.Matrix(), r.Mirrored().Matrix()
		sign := [3]float64{1, -1, 1}
		for i := range 3 {
			for j := range 3 {
				if math.Abs(mm[i][j]-sign[i]*m[i][j]*sign[j]) > 1e-12 {
					t.Fatal("not M·R·M")
				}
			}
		}
	})
}

func TestOneMirrorPlaneAloneMakesNothingEquivalent(t *testing.T) {
	a := FromApproach(Approach{40 * degree, 30 * degree, 10 * degree})
	handOnly := Symmetry{HandMirror: true}
	itemOnly := Symmetry{Surroundings: Surroundings{Mirror: true}}
	both := Symmetry{HandMirror: true, Surroundings: Surroundings{Mirror: true}}
	for _, s := range []Symmetry{handOnly, itemOnly} {
		if s.Equivalent(a, a.Mirrored(), 1e-6) {
			t.Errorf("%v: mirrored orientations count as one", s)
		}
	}
	if !both.Equivalent(a, a.Mirrored(), 1e-9) {
		t.Error("with both mirror planes mirrored orientations are one")
	}
}

func TestCombine(t *testing.T) {
	axial, four, six, none := Surroundings{Axial: true, Mirror: true}, Surroundings{Fold: 4, Mirror: true}, Surroundings{Fold: 6}, Surroundings{Fold: 1}
	for _, c := range []struct{ item, setting, want Surroundings }{
		{axial, axial, Surroundings{Axial: true, Mirror: true}},
		{axial, four, Surroundings{Fold: 4, Mirror: true}},
		{six, axial, Surroundings{Fold: 6}},
		{four, six, Surroundings{Fold: 2}},
		{none, six, Surroundings{}},
		{axial, none, Surroundings{}},
	} {
		got, err := Combine(2, true, c.item, c.setting)
		if err != nil || got.Surroundings != c.want {
			t.Errorf("%v with %v: got %v (%v), want %v", c.item, c.setting, got.Surroundings, err, c.want)
		}
	}
	if _, err := Combine(-1, false, none, none); err == nil {
		t.Error("a negative fold was accepted")
	}
	if _, err := Combine(1, false, Surroundings{Fold: MaxFold + 1}, none); err == nil {
		t.Error("a huge fold was accepted")
	}
}

func TestParseSurroundings(t *testing.T) {
	for text, want := range map[string]Surroundings{
		"none": {}, "1": {}, "axial": {Axial: true}, "4": {Fold: 4}, " Axial ": {Axial: true},
		"mirror": {Mirror: true}, "none+mirror": {Mirror: true}, "4+mirror": {Fold: 4, Mirror: true}, "axial+mirror": {Axial: true, Mirror: true},
	} {
		got, err := ParseSurroundings(text)
		if err != nil || got != want {
			t.Errorf("%q: got %+v, %v; want %+v", text, got, err, want)
		}
		if again, err := ParseSurroundings(got.String()); err != nil || again != got {
			t.Errorf("%q does not come back from %q", text, got.String())
		}
	}
	for _, text := range []string{"", "0", "-2", "2.5", "round", "361", "4mirror", "+mirror", "4+mirror+mirror", "99999999999999999999"} {
		if got, err := ParseSurroundings(text); err == nil {
			t.Errorf("%q was read as %+v", text, got)
		}
	}
}

func FuzzParseSurroundings(f *testing.F) {
	for _, seed := range []string{"none", "axial", "4", "4+mirror", "mirror", "+", "0x4", "١"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		s, err := ParseSurroundings(text)
		if err != nil {
			return
		}
		if again, err := ParseSurroundings(s.String()); err != nil || again != s {
			t.Fatalf("%q reads as %+v but comes back as %+v (%v)", text, s, again, err)
		}
	})
}

func TestSpaceMeasuresTheSameDistances(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawSymmetry(t)
		sp := newSpace(s)
		a, b := drawPose(t, "a"), drawPose(t, "b")
		best := 5.0
		for g := range sp.images {
			image := sp.images[g].apply(sp.embed(b))
			best = math.Min(best, sp.embed(a).chord2(image))
			inverse := sp.images[g].inverse()
			if back := inverse.apply(image); back.chord2(sp.embed(b)) > 1e-20 {
				t.Fatal("inverse does not undo the isometry")
			}
		}
		if got, want := sp.angle(best), s.Distance(a, b); math.Abs(got-want) > 3e-7 {
			t.Fatalf("%v: embedded distance %g, want %g", s, got, want)
		}
		if d := s.Distance(sp.lift(sp.embed(a)), a); d > 1e-7 {
			t.Fatalf("lifting back moves by %g rad", d)
		}
		if tilt := sp.tilt(sp.embed(a)); math.Abs(tilt-a.Approach().Tilt) > 1e-7 {
			t.Fatalf("tilt %g, want %g", tilt, a.Approach().Tilt)
		}
		limit := rapid.Float64Range(0, math.Pi).Draw(t, "limit")
		c := sp.clamp(sp.embed(a), limit)
		if sp.tilt(c) > limit+1e-9 || math.Abs(c.dot(c)-1) > 1e-9 {
			t.Fatalf("clamped to tilt %g beyond %g", sp.tilt(c), limit)
		}
	})
}
