package compare

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"holdfast/numeric"
)

// Turned to where it matters and back, the exact test is the one by plain convolution.
func TestTiltedTestIsTheConvolution(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var all common
		direct, first, seen := []float64{1}, 0, 0
		for range rapid.IntRange(1, 5).Draw(t, "blocks") {
			b := Arms{TrialsA: rapid.IntRange(1, 9).Draw(t, "n"), TrialsB: rapid.IntRange(1, 9).Draw(t, "m")}
			b.HeldA, b.HeldB = rapid.IntRange(0, b.TrialsA).Draw(t, "x"), rapid.IntRange(0, b.TrialsB).Draw(t, "y")
			all.add(b)
			h := newHypergeometric(b.TrialsA, b.TrialsB, b.HeldA+b.HeldB)
			direct, first, seen = convolve(direct, h.p), first+h.first, seen+b.HeldA
		}
		h := hypergeometric{first: first, p: direct}
		got := all.test()
		if g, l := h.atLeast(seen), h.atMost(seen); math.Abs(got.Greater-g) > 1e-10*g || math.Abs(got.Less-l) > 1e-10*l {
			t.Fatalf("%+v, by convolution %g and %g", got, g, l)
		}
		// The posterior lies where the likelihood says, and is no certainty.
		if p := all.positiveOdds(); !(p >= 0 && p <= 1) || all.lo == all.hi && math.Abs(p-0.5) > 1e-9 {
			t.Fatalf("chance to be better %g", p)
		}
	})
}

// Great effects in many blocks and many trials in few must stay numbers.
func TestBlocksStayInRange(t *testing.T) {
	for _, c := range []struct {
		name   string
		blocks int
		arms   Arms
	}{
		{"GreatEffectInManyBlocks", 500, Arms{22, 24, 3, 24}},
		{"AllAgainstNone", 40, Arms{24, 24, 0, 24}},
		{"OneHugeBlock", 1, Arms{30_300, 50_000, 29_800, 50_000}},
		{"NothingHeld", 3, Arms{0, 10, 0, 10}},
	} {
		t.Run(c.name, func(t *testing.T) {
			list := make([]Arms, c.blocks)
			for i := range list {
				list[i] = c.arms
			}
			r, err := PerBlock(list, 0.9)
			if err != nil {
				t.Fatal(err)
			}
			for _, v := range []float64{r.Difference, r.Better, r.Exact.Greater, r.Exact.Less, r.Exact.TwoSided} {
				if math.IsNaN(v) || math.IsInf(v, 0) {
					t.Fatalf("%+v", r)
				}
			}
			if c.arms.HeldA > c.arms.HeldB && (r.Better < 0.99 || r.Exact.TwoSided > 0.01) {
				t.Errorf("%+v", r)
			}
		})
	}
}

// With many trials the exact conditional answers are those of the normal approximation.
func TestOneLargeBlockIsNearlyNormal(t *testing.T) {
	a := Arms{30_000, 50_000, 29_800, 50_000}
	r, err := PerBlock([]Arms{a}, 0.9)
	if err != nil {
		t.Fatal(err)
	}
	pa, pb := 0.6, 0.596
	pooled := (pa + pb) / 2
	z := (pa - pb) / math.Sqrt(pooled*(1-pooled)*2/50_000)
	if mid := (r.Exact.Greater + 1 - r.Exact.Less) / 2; math.Abs(mid-numeric.NormalSurvival(z)) > 2e-4 {
		t.Errorf("mid-p %g, normal %g", mid, numeric.NormalSurvival(z))
	}
	if math.Abs(r.Better-numeric.NormalCDF(z)) > 1e-3 {
		t.Errorf("chance to be better %g, normal %g", r.Better, numeric.NormalCDF(z))
	}
	b, err := Boschloo(Arms{3_000, 5_000, 2_900, 5_000})
	if err != nil {
		t.Fatal(err)
	}
	z = 0.02 / math.Sqrt(0.59*0.41*2/5_000)
	if math.Abs(b.Greater-numeric.NormalSurvival(z)) > 0.02*b.Greater {
		t.Errorf("Boschloo %g, normal %g", b.Greater, numeric.NormalSurvival(z))
	}
}
