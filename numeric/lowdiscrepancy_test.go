package numeric

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// TestScrambledSobolIsANet checks what scrambling must keep: of any aligned 2ᵐ
// points, every one of 2ᵐ equal slices of an axis, and every elementary box of
// the first two axes (whose quality parameter is 0), holds exactly one point.
func TestScrambledSobolIsANet(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		key := rapid.Uint64().Draw(t, "key")
		m := rapid.IntRange(1, 8).Draw(t, "m")
		start := rapid.IntRange(0, 5).Draw(t, "start") << m
		s, err := NewScrambledSobol(SobolMaxDim, key)
		if err != nil {
			t.Fatal(err)
		}
		size := 1 << m
		points := make([][]float64, size)
		for i := range points {
			points[i] = s.At(uint32(start + i))
		}
		for d := range s.Dim() {
			seen := make([]bool, size)
			for _, p := range points {
				if !(p[d] > 0 && p[d] < 1) {
					t.Fatalf("coordinate %g is not inside (0, 1)", p[d])
				}
				slice := int(p[d] * float64(size))
				if seen[slice] {
					t.Fatalf("axis %d: slice %d of %d is hit twice", d, slice, size)
				}
				seen[slice] = true
			}
		}
		for a := 0; a <= m; a++ {
			seen := make(map[[2]int]bool, size)
			for _, p := range points {
				box := [2]int{int(p[0] * float64(int(1)<<a)), int(p[1] * float64(int(1)<<(m-a)))}
				if seen[box] {
					t.Fatalf("box %v of 2^%d × 2^%d is hit twice", box, a, m-a)
				}
				seen[box] = true
			}
		}
	})
}

func TestScramblingIsUniformOverKeys(t *testing.T) {
	// The first point of the plain sequence is always the origin; scrambled, it is uniform over the keys.
	const keys = 4000
	counts := make([]float64, 16)
	sum := 0.0
	for key := range keys {
		s, err := NewScrambledSobol(2, uint64(key))
		if err != nil {
			t.Fatal(err)
		}
		p := s.At(0)
		counts[int(p[0]*4)*4+int(p[1]*4)]++
		sum += p[0]
	}
	chi := 0.0
	for _, c := range counts {
		chi += (c - keys/16) * (c - keys/16) / (keys / 16)
	}
	if tail := ChiSquareSurvival(chi, 15); tail < 1e-4 {
		t.Errorf("first points are not uniform: chi-square %.1f, tail %g", chi, tail)
	}
	if mean := sum / keys; math.Abs(mean-0.5) > 0.02 {
		t.Errorf("mean of the first coordinate is %g", mean)
	}
}

func TestScrambledBeatsRandomPoints(t *testing.T) {
	const n = 256
	s, err := NewScrambledSobol(2, 11)
	if err != nil {
		t.Fatal(err)
	}
	random := Stream(11, "compare")
	even, loose := make([][2]float64, n), make([][2]float64, n)
	for i := range n {
		p := s.At(uint32(i))
		even[i] = [2]float64{p[0], p[1]}
		loose[i] = [2]float64{random.Float64(), random.Float64()}
	}
	dEven, err := StarDiscrepancy(even)
	if err != nil {
		t.Fatal(err)
	}
	dLoose, err := StarDiscrepancy(loose)
	if err != nil {
		t.Fatal(err)
	}
	if dEven*3 > dLoose {
		t.Errorf("scrambled D* %.4f is not well under random D* %.4f", dEven, dLoose)
	}
}

func TestLowDiscrepancyRefusals(t *testing.T) {
	for _, dim := range []int{-1, 0, SobolMaxDim + 1} {
		if _, err := NewScrambledSobol(dim, 1); err == nil {
			t.Errorf("%d dimensions are accepted", dim)
		}
	}
	if _, err := StarDiscrepancy(nil); err == nil {
		t.Error("no point is accepted")
	}
	if _, err := StarDiscrepancy([][2]float64{{0.5, 1.5}}); err == nil {
		t.Error("a point outside the square is accepted")
	}
	if got := RadicalInverse(1, 7); got != 0 {
		t.Errorf("radical inverse in base 1 is %g", got)
	}
}
