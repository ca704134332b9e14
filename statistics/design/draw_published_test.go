package design

import (
	"strings"
	"testing"

	"holdfast/numeric"
	"holdfast/orient"
)

// TestPermutedBlocksPublished counts the orders of two treatments in a balanced
// block: 6 of size 4, 20 of size 6, 70 of size 8, that is C(2m, m), the classical
// permuted blocks of randomised trials (common practice, no source; computed). All
// must occur, equally often.
func TestPermutedBlocksPublished(t *testing.T) {
	for size, want := range map[int]int{4: 6, 6: 20, 8: 70} {
		spec := bakery()
		spec.Hands, spec.Items, spec.ClosingLevels = spec.Hands[:1], spec.Items[:1], spec.ClosingLevels[:1]
		spec.Orientations = nil
		for i := range size / 2 {
			spec.Orientations = append(spec.Orientations, orient.RotZ(float64(i)))
		}
		spec.References, spec.Replicates, spec.BlockSize = 0, 1, size
		seen := map[string]float64{}
		seeds := 40 * want
		for seed := range seeds {
			spec.Seed = uint64(seed)
			var order strings.Builder
			for _, r := range plan(t, spec) {
				order.WriteString(r.Strategy[:1])
			}
			seen[order.String()]++
		}
		if len(seen) != want {
			t.Errorf("blocks of %d: %d orders, want %d", size, len(seen), want)
		}
		chi := 0.0
		for _, n := range seen {
			chi += (n - 40) * (n - 40) / 40
		}
		if tail := numeric.ChiSquareSurvival(chi, float64(want-1)); tail < 1e-4 {
			t.Errorf("blocks of %d: orders are not equally likely, chi-square %.1f, tail %g", size, chi, tail)
		}
	}
}
